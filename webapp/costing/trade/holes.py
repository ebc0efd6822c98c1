"""Holes: what they leave between them and at the edge, and whether a peg goes in. Lengths in nm."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.trade.roots import root_to_places
from webapp.costing.trade.triangles import QUARTER_TURN

Point = tuple[Fraction, Fraction]

#: What has to be left between two holes, and from a hole to an edge, in diameters of the larger. Common practice.
BETWEEN_IN_DIAMETERS: Final = Fraction(1)
TO_EDGE_IN_DIAMETERS: Final = Fraction(1)


def left_between(one: Point, diameter: Fraction, other: Point, other_diameter: Fraction) -> Fraction:
    """What is left between two round holes: from middle to middle less both radii, to twelve places; below 0 they meet.

    >>> left_between((Fraction(0), Fraction(0)), Fraction(10), (Fraction(30), Fraction(40)), Fraction(20))
    Fraction(35, 1)
    """
    apart = root_to_places(Fraction(one[0] - other[0]) ** 2 + Fraction(one[1] - other[1]) ** 2)
    return apart - Fraction(diameter + other_diameter) / 2


def wanted_between(diameter: Fraction, other_diameter: Fraction, times: Fraction = BETWEEN_IN_DIAMETERS) -> Fraction:
    """The least to leave between two holes: the larger diameter. Common practice.

    >>> wanted_between(Fraction(10), Fraction(20))
    Fraction(20, 1)
    """
    return times * max(diameter, other_diameter)


def wanted_to_edge(diameter: Fraction, times: Fraction = TO_EDGE_IN_DIAMETERS) -> Fraction:
    """The least to leave from the rim of a hole to an edge or an opening: its diameter. Common practice.

    >>> wanted_to_edge(Fraction(20))
    Fraction(20, 1)
    """
    return times * diameter


def rounded_area(length: Fraction, width: Fraction, corner: Fraction) -> Fraction:
    """The area of a rectangle with round corners, to forty places; a circle where both sides are twice the radius.

    >>> round(float(rounded_area(Fraction(2), Fraction(2), Fraction(1))), 6)
    3.141593
    """
    return Fraction(length) * width - (4 - 2 * QUARTER_TURN) * Fraction(corner) ** 2


def rounded_outline(length: Fraction, width: Fraction, corner: Fraction) -> Fraction:
    """How far it is round a rectangle with round corners, to forty places.

    >>> round(float(rounded_outline(Fraction(2), Fraction(2), Fraction(1))), 6)
    6.283185
    """
    return 2 * (Fraction(length) + width) - (8 - 4 * QUARTER_TURN) * Fraction(corner)


def share_of_row(pitch: Fraction, diameter: Fraction) -> Fraction:
    """What an endless row of equal holes leaves of a strip along the row: (pitch - diameter) / pitch, 0 at least.

    >>> share_of_row(Fraction(100), Fraction(20))
    Fraction(4, 5)
    """
    return max(Fraction(0), (Fraction(pitch) - diameter) / pitch)


def net_section(breadth: Fraction, diameters: Iterable[Fraction]) -> Fraction:
    """What a row of holes across a strip leaves of its breadth, as a share of it; 0 at least.

    >>> net_section(Fraction(100), [Fraction(20), Fraction(20)])
    Fraction(3, 5)
    """
    return max(Fraction(0), (Fraction(breadth) - sum(diameters, Fraction(0))) / breadth)


@dataclass(frozen=True, slots=True)
class Between:
    """A length that may come out anywhere between a least and a most, nm."""

    least: Fraction
    most: Fraction


def of_test_cuts(readings: Iterable[Fraction], step: Fraction) -> Between:
    """What the shop's test cuts came to: the least and the most of them, each wider by half of what can be measured.

    Raises ValueError without a reading.

    >>> of_test_cuts([Fraction(201), Fraction(203)], Fraction(1)) == Between(Fraction(401, 2), Fraction(407, 2))
    True
    """
    found = [Fraction(one) for one in readings]
    if not found:
        raise ValueError("Without a test cut nothing is known of a hole.")
    return Between(min(found) - Fraction(step) / 2, max(found) + Fraction(step) / 2)


def clearance(hole: Between, peg: Between) -> Between:
    """How much wider the hole is than the peg: with the thickest peg in the tightest hole, and the other way round.

    >>> clearance(Between(Fraction(201), Fraction(203)), Between(Fraction(199), Fraction(200)))
    Between(least=Fraction(1, 1), most=Fraction(4, 1))
    """
    return Between(hole.least - peg.most, hole.most - peg.least)


def fits(hole: Between, peg: Between, wanted: Between) -> Literal["always", "sometimes", "never"]:
    """Whether a peg goes in with a clearance as it is wanted: with any two of them, with some, or with none.

    >>> hole = Between(Fraction(201), Fraction(203))
    >>> fits(hole, Between(Fraction(199), Fraction(200)), Between(Fraction(1), Fraction(3)))
    'sometimes'
    """
    found = clearance(hole, peg)
    if wanted.least <= found.least and found.most <= wanted.most:
        return "always"
    return "never" if found.most < wanted.least or found.least > wanted.most else "sometimes"
