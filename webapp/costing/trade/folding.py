"""Sheet metal folded: what a fold takes up, the flat length, and what the shop's own test strip tells. Lengths in nm.

Geometry, but for where in the thickness the metal neither stretches nor shortens: K, a share of the thickness from the
inside, which follows from material, die and radius. A shop that bends a strip knows its own.

An angle is that of the bend: by how many degrees the metal is turned off the flat, as all sums of bends take it.
Between the legs there is what is left of 180: 45 off the flat leave 135. A leg is measured outside: to the corner of
the outsides, and of what is bent beyond square to the outermost of its fold, since that corner then lies in the air.
Source: DIN 6935 (2011), cold bending of flat rolled steel, as copied: by tangents up to 90 degrees between the legs, by
the corner where they open wider.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.trade.mitring import mitre_run
from webapp.costing.trade.triangles import QUARTER_TURN

#: The handbooks' round figures a degree, for radius and thickness, of K about 0.447. Source: a naval aviation training
#: course, p. 13-19.
OF_RADIUS: Final = Fraction("0.0173")
OF_THICKNESS: Final = Fraction("0.0078")

#: So far off the flat is folded: less is no fold, and what is flat on itself is pressed and not folded.
LEAST_DEGREES: Final = Fraction(5)
MOST_DEGREES: Final = Fraction(175)
SQUARE: Final = Fraction(90)

#: The least outside leg, and the least from a hole's edge to the outside of the fold, in thicknesses beyond the radius.
#: Common practice for air bending on a brake; the die's own table has the last word.
LEG_IN_THICKNESSES: Final = Fraction(4)
HOLE_IN_THICKNESSES: Final = Fraction(5, 2)


@dataclass(frozen=True, slots=True)
class Fold:
    """A fold: its inside radius (nm), by how many degrees it turns the metal, and K."""

    radius: Fraction
    degrees: Fraction
    k: Fraction


def bend_allowance(radius: Fraction, thickness: Fraction, degrees: Fraction, k: Fraction) -> Fraction:
    """How long the metal is round a fold: angle x (R + K T), the angle in radians to forty places.

    >>> round(float(bend_allowance(Fraction("0.13"), Fraction("0.07"), Fraction(90), Fraction("0.42"))), 3)
    0.25
    """
    return QUARTER_TURN * degrees / 90 * (radius + k * thickness)


def handbook_allowance(
    radius: Fraction,
    thickness: Fraction,
    degrees: Fraction,
    of_radius: Fraction = OF_RADIUS,
    of_thickness: Fraction = OF_THICKNESS,
) -> Fraction:
    """The same by the handbooks' round figures: (0.0173 R + 0.0078 T) x degrees.

    >>> float(handbook_allowance(Fraction("0.16"), Fraction("0.04"), Fraction(90)))
    0.2772
    """
    return (of_radius * radius + of_thickness * thickness) * degrees


def setback(radius: Fraction, thickness: Fraction, degrees: Fraction) -> Fraction:
    """From the corner of the outsides to where the fold begins: (R + T) x tangent of half the angle, in whole nm.

    From 0 to less than 180 degrees; raises ValueError for any other.

    >>> setback(Fraction(160), Fraction(40), Fraction(90))
    Fraction(200, 1)
    """
    return mitre_run(Fraction(radius) + thickness, Fraction(degrees) / 2)


def leg_setback(radius: Fraction, thickness: Fraction, degrees: Fraction) -> Fraction:
    """From where a leg is measured to where its fold ends: the setback, and R + T of what is bent beyond square.

    >>> leg_setback(Fraction(160), Fraction(40), Fraction(90)), leg_setback(Fraction(160), Fraction(40), Fraction(135))
    (Fraction(200, 1), Fraction(200, 1))
    """
    return setback(radius, thickness, min(Fraction(degrees), SQUARE))


def allowance_by_arc(square: Fraction, radius: Fraction, thickness: Fraction, degrees: Fraction) -> Fraction:
    """How long the metal is round a fold of any angle, from what one of 90 degrees takes off: the arc of that, in
    proportion to the angle, since angle x (R + K T) has the same R, K and T.

    >>> round(float(allowance_by_arc(Fraction(106), Fraction(60), Fraction(60), Fraction(45))), 1)
    67.0
    >>> round(float(bend_allowance(Fraction(60), Fraction(60), Fraction(45), Fraction("0.4218"))), 1)
    67.0
    """
    return (2 * setback(radius, thickness, SQUARE) - square) * Fraction(degrees) / SQUARE


def bend_deduction(thickness: Fraction, fold: Fold) -> Fraction:
    """What a fold takes off the sum of its outside legs: twice the setback less the allowance.

    >>> mil = 25_400
    >>> sheet, fold = Fraction(60 * mil), Fold(Fraction(60 * mil), Fraction(90), Fraction("0.4218"))
    >>> round(float(bend_deduction(sheet, fold)) / mil, 1)
    106.0
    """
    allowance = bend_allowance(fold.radius, thickness, fold.degrees, fold.k)
    return 2 * setback(fold.radius, thickness, fold.degrees) - allowance


def flat_length(legs: Iterable[Fraction], deductions: Iterable[Fraction]) -> Fraction:
    """The length of the blank: the outside legs added up, less what each fold takes off.

    >>> flat_length([Fraction(20), Fraction(50), Fraction(20)], [Fraction(3), Fraction(3)])
    Fraction(84, 1)
    """
    return sum(legs, Fraction(0)) - sum(deductions, Fraction(0))


def deduction_of_strip(legs: Iterable[Fraction], flat: Fraction) -> Fraction:
    """What a fold takes off, from a strip that the shop bent once: its two outside legs less its length when flat.

    >>> deduction_of_strip([Fraction(31), Fraction(22)], Fraction(50))
    Fraction(3, 1)
    """
    return sum(legs, Fraction(0)) - flat


def k_of_strip(deduction: Fraction, radius: Fraction, thickness: Fraction, degrees: Fraction) -> Fraction:
    """K, from what a test strip was found to take off; a K beyond 0 to 1 tells that something was measured wrong.

    >>> mil = Fraction(25_400)
    >>> round(float(k_of_strip(106 * mil, 60 * mil, 60 * mil, Fraction(90))), 4)
    0.4218
    """
    allowance = 2 * setback(radius, thickness, degrees) - deduction
    return (allowance / (QUARTER_TURN * degrees / 90) - radius) / thickness


def least_leg(
    thickness: Fraction, radius: Fraction, degrees: Fraction = SQUARE, thicknesses: Fraction = LEG_IN_THICKNESSES
) -> Fraction:
    """The least outside leg that a brake folds: of a square fold four thicknesses and the radius, of any other as much
    beyond the end of its fold. Common practice.

    >>> least_leg(Fraction(2), Fraction(3))
    Fraction(11, 1)
    """
    return (thicknesses - 1) * thickness + leg_setback(radius, thickness, degrees)


def hole_to_fold(
    thickness: Fraction, radius: Fraction, degrees: Fraction = SQUARE, thicknesses: Fraction = HOLE_IN_THICKNESSES
) -> Fraction:
    """The least from a hole's edge to the outside of the fold, so that the hole stays round: of a square fold 2.5
    thicknesses and the radius, of any other as much beyond the end of its fold. Common practice.

    >>> hole_to_fold(Fraction(2), Fraction(3))
    Fraction(8, 1)
    """
    return (thicknesses - 1) * thickness + leg_setback(radius, thickness, degrees)
