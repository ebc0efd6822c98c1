"""How far a spanning part sags. Millimetres and newtons here, as the formulas are printed."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from webapp.costing.trade.triangles import QUARTER_TURN

#: The sag of a span held simply at both ends, under a load that lies evenly.
OF_EVEN_LOAD: Final = Fraction(5, 384)
#: The same of other ways of bearing, and of a load at one point: in the middle, or at the free end of a cantilever.
#: Source: any mechanics text.
OF_EVEN_LOAD_FIXED: Final = Fraction(1, 384)
OF_EVEN_LOAD_CANTILEVER: Final = Fraction(1, 8)
OF_POINT_LOAD: Final = Fraction(1, 48)
OF_POINT_LOAD_FIXED: Final = Fraction(1, 192)
OF_POINT_LOAD_CANTILEVER: Final = Fraction(1, 3)
#: How far shear adds to the sag, as a share of W L / (G A'), W being the whole load. Source: Wood Handbook (1999),
#: ch. 8, eq. 8-2, its second term; the shares by mechanics.
SHEAR_OF_EVEN_LOAD: Final = Fraction(1, 8)
SHEAR_OF_POINT_LOAD: Final = Fraction(1, 4)
SHEAR_OF_EVEN_LOAD_CANTILEVER: Final = Fraction(1, 2)
SHEAR_OF_POINT_LOAD_CANTILEVER: Final = Fraction(1)


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


def second_moment_round(diameter_nm: Fraction, wall_nm: Fraction) -> Fraction:
    """Second moment of area of a round bar, or of a round tube with a wall, mm4: pi / 64 x (d4 - that of the hollow).

    >>> round(float(second_moment_round(Fraction(20 * 10**6), Fraction(0))), 2)
    7853.98
    """
    hollow = max(diameter_nm - 2 * wall_nm, Fraction(0)) if wall_nm else Fraction(0)
    return QUARTER_TURN / 32 * (diameter_nm**4 - hollow**4) / Fraction(10**24)


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


def sag_point(
    load: Fraction, span_nm: Fraction, stiffness: Fraction, moment: Fraction, of_point_load: Fraction = OF_POINT_LOAD
) -> Fraction:
    """Sag under a load at one point, nm: 1/48 P L3 / (E I) in the middle of a simply held board.

    Load in N, stiffness in N/mm2, moment in mm4; the share by how the board is held: `OF_POINT_LOAD_FIXED` in the
    middle between fixed ends, `OF_POINT_LOAD_CANTILEVER` at the free end. Source: any mechanics text.

    480 N over a metre, 10,000 N/mm2 and 100,000 mm4 sag 10 mm:

    >>> sag_point(Fraction(480), Fraction(10**9), Fraction(10_000), Fraction(100_000))
    Fraction(10000000, 1)
    """
    span = span_nm / 10**6
    return of_point_load * load * span**3 / (stiffness * moment) * 10**6


def sag_of_shear(
    whole_load: Fraction, span_nm: Fraction, shear_stiffness: Fraction, of_load: Fraction = SHEAR_OF_EVEN_LOAD
) -> Fraction:
    """What shear adds to the sag, nm: share x W L / (G A').

    `whole_load` in N; `shear_stiffness` in N is the shear modulus times the area that carries shear: of a plain board
    5/6 of its section, of a hollow panel about its webs alone. It tells where a panel is short and hollow. Source: Wood
    Handbook (1999), ch. 8, eq. 8-2.

    1000 N over 800 mm, 100,000 N of shear stiffness:

    >>> sag_of_shear(Fraction(1000), Fraction(800 * 10**6), Fraction(100_000))
    Fraction(1000000, 1)
    """
    return of_load * whole_load * span_nm / shear_stiffness
