"""How far a spanning part sags. Millimetres and newtons here, as the formulas are printed."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

#: The sag of a span held simply at both ends, under a load that lies evenly.
OF_EVEN_LOAD: Final = Fraction(5, 384)


def second_moment(breadth_nm: Fraction, thickness_nm: Fraction) -> Fraction:
    """Second moment of area of a flat board, mm4: b h3 / 12.

    >>> second_moment(Fraction(100 * 10**6), Fraction(18 * 10**6))
    Fraction(48600, 1)
    """
    return breadth_nm * thickness_nm**3 / 12 / Fraction(10**24)


def second_moment_tube(breadth_nm: Fraction, thickness_nm: Fraction, wall_nm: Fraction) -> Fraction:
    """Second moment of area of a square or rectangular tube, mm4: that of its outside less that of its hollow.

    >>> side, wall = Fraction(40 * 10**6), Fraction(2 * 10**6)
    >>> second_moment_tube(side, side, wall) == Fraction(40**4 - 36**4, 12)
    True
    """
    hollow_breadth = max(breadth_nm - 2 * wall_nm, Fraction(0))
    hollow_thickness = max(thickness_nm - 2 * wall_nm, Fraction(0))
    return second_moment(breadth_nm, thickness_nm) - second_moment(hollow_breadth, hollow_thickness)


def sag_uniform(
    load: Fraction, span_nm: Fraction, stiffness: Fraction, moment: Fraction, of_even_load: Fraction = OF_EVEN_LOAD
) -> Fraction:
    """Sag in the middle of a simply held board under an even load, nm: 5/384 w L4 / (E I).

    Load in N/mm, stiffness in N/mm2, moment in mm4. Source: any mechanics text (simple span, uniform load).

    1 N/mm over a metre, 12,500 N/mm2 and 104,167 mm4 sag 10 mm:

    >>> sag_uniform(Fraction(1), Fraction(10**9), Fraction(12_500), Fraction(312_500, 3))
    Fraction(10000000, 1)
    """
    span = span_nm / 10**6
    return of_even_load * load * span**4 / (stiffness * moment) * 10**6
