"""Weight from density. Wood: density from specific gravity at a moisture content."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from webapp.costing.trade.triangles import QUARTER_TURN

WATER_KG_PER_M3: Final = Fraction(1000)
#: The moisture, a share of the dry weight, at which densities of wood are told.
TOLD_AT_MOISTURE: Final = Fraction(12, 100)


def kilograms(length_nm: Fraction, width_nm: Fraction, thickness_nm: Fraction, density: Fraction) -> Fraction:
    """Weight of a square part, kg: its sides in nm and the density in kg/m3.

    A square metre of plywood of 18 mm at 680 kg/m3:

    >>> float(kilograms(Fraction(10**9), Fraction(10**9), Fraction(18 * 10**6), Fraction(680)))
    12.24
    """
    return length_nm * width_nm * thickness_nm * density / 10**27


def round_kilograms(length_nm: Fraction, diameter_nm: Fraction, wall_nm: Fraction, density: Fraction) -> Fraction:
    """Weight of a round bar, or of a round tube with a wall, kg: sizes in nm, 0 for no wall, the density in kg/m3.

    A metre of round steel of 20 mm weighs 2.47 kg:

    >>> round(float(round_kilograms(Fraction(10**9), Fraction(20 * 10**6), Fraction(0), Fraction(7850))), 3)
    2.466
    """
    hollow = max(diameter_nm - 2 * wall_nm, Fraction(0)) if wall_nm else Fraction(0)
    return QUARTER_TURN / 2 * (diameter_nm**2 - hollow**2) * length_nm * density / 10**27


def round_around(diameter: Fraction) -> Fraction:
    """How far it is round a circle, to forty places.

    >>> round(float(round_around(Fraction(2))), 6)
    6.283185
    """
    return 2 * QUARTER_TURN * diameter


def tube_kilograms(
    length_nm: Fraction, width_nm: Fraction, thickness_nm: Fraction, wall_nm: Fraction, density: Fraction
) -> Fraction:
    """Weight of a square or rectangular tube, kg: outer sides and wall in nm, square corners, the density in kg/m3.

    A wall as thick as half the section leaves no hollow.

    A metre of steel tube, 40 x 40 x 2 mm:

    >>> side, wall = Fraction(40 * 10**6), Fraction(2 * 10**6)
    >>> float(tube_kilograms(Fraction(10**9), side, side, wall, Fraction(7850)))
    2.3864
    """
    hollow = max(width_nm - 2 * wall_nm, Fraction(0)) * max(thickness_nm - 2 * wall_nm, Fraction(0))
    return length_nm * (width_nm * thickness_nm - hollow) * density / 10**27


def wood_density(specific_gravity: Fraction, moisture: Fraction, water: Fraction = WATER_KG_PER_M3) -> Fraction:
    """kg/m3 at a moisture content (a share of one): water x G x (1 + moisture), G on the volume at that moisture.

    Source: Wood Handbook FPL-GTR-190, ch. 4 (its worked example: G 0.40 at 12 % is 448 kg/m3).

    >>> wood_density(Fraction("0.40"), TOLD_AT_MOISTURE)
    Fraction(448, 1)
    """
    return water * specific_gravity * (1 + moisture)
