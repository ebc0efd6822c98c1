"""Glue: from the area of glue lines to litres."""

from __future__ import annotations

from fractions import Fraction


def glue_litres(area_m2: Fraction, spread: Fraction, squeeze_out: Fraction, grams_per_litre: Fraction) -> Fraction:
    """Litres for so many m2 of glue line: area x spread (g/m2) x squeeze-out, by the glue's weight per litre.

    A spread that a handbook states for a glue line already holds the squeeze-out: then `squeeze_out` is 1.

    2 m2 at 200 g/m2, 1100 g in a litre:

    >>> glue_litres(Fraction(2), Fraction(200), Fraction(1), Fraction(1100))
    Fraction(4, 11)
    """
    return area_m2 * spread * squeeze_out / grams_per_litre
