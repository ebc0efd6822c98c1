"""How far a spanning part sags. Millimetres and newtons here, as the formulas are printed."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

#: The sag of a span held simply at both ends, under a load that lies evenly.
OF_EVEN_LOAD: Final = Fraction(5, 384)


def second_moment(breadth_nm: Fraction, thickness_nm: Fraction) -> Fraction:
    """Second moment of area of a flat board, mm4: b h3 / 12."""
    return breadth_nm * thickness_nm**3 / 12 / Fraction(10**24)


def second_moment_tube(breadth_nm: Fraction, thickness_nm: Fraction, wall_nm: Fraction) -> Fraction:
    """Second moment of area of a square or rectangular tube, mm4: that of its outside less that of its hollow."""
    hollow_breadth = max(breadth_nm - 2 * wall_nm, Fraction(0))
    hollow_thickness = max(thickness_nm - 2 * wall_nm, Fraction(0))
    return second_moment(breadth_nm, thickness_nm) - second_moment(hollow_breadth, hollow_thickness)


def sag_uniform(
    load: Fraction, span_nm: Fraction, stiffness: Fraction, moment: Fraction, of_even_load: Fraction = OF_EVEN_LOAD
) -> Fraction:
    """Sag in the middle of a simply held board under an even load, nm: 5/384 w L4 / (E I).

    Load in N/mm, stiffness in N/mm2, moment in mm4. Source: any mechanics text (simple span, uniform load).
    """
    span = span_nm / 10**6
    return of_even_load * load * span**4 / (stiffness * moment) * 10**6
