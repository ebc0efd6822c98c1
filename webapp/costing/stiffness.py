"""How far a spanning part sags. Millimetres and newtons here, as the formulas are printed."""

from __future__ import annotations

from fractions import Fraction


def second_moment(breadth_nm: Fraction, thickness_nm: Fraction) -> Fraction:
    """Second moment of area of a flat board, mm4: b h3 / 12."""
    return breadth_nm * thickness_nm**3 / 12 / Fraction(10**24)


def sag_uniform(load: Fraction, span_nm: Fraction, stiffness: Fraction, moment: Fraction) -> Fraction:
    """Sag in the middle of a simply held board under an even load, nm: 5 w L4 / (384 E I).

    Load in N/mm, stiffness in N/mm2, moment in mm4. Source: any mechanics text (simple span, uniform load).
    """
    span = span_nm / 10**6
    return 5 * load * span**4 / (384 * stiffness * moment) * 10**6
