"""Glue: from the area of glue lines to litres."""

from __future__ import annotations

from fractions import Fraction


def glue_litres(area_m2: Fraction, spread: Fraction, squeeze_out: Fraction, grams_per_litre: Fraction) -> Fraction:
    """Litres for so many m2 of glue line: area x spread (g/m2) x squeeze-out, by the glue's weight per litre.

    A spread that a handbook states for a glue line already holds the squeeze-out: then `squeeze_out` is 1.
    """
    return area_m2 * spread * squeeze_out / grams_per_litre
