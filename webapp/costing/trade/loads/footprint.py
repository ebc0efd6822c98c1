"""The footprint that a thing stands on, and how near its centre of mass comes to an edge of it. Lengths in nm.

A swivel castor touches the floor beside its pivot, and swings: an edge is then as near as the castors can bring it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations

from webapp.costing.trade.roots import root_to_places

Point = tuple[Fraction, Fraction]


@dataclass(frozen=True, slots=True)
class Contact:
    """Where a thing stands: a foot, or the pivot of a castor whose wheel touches the floor `swing` nm beside it."""

    x: Fraction
    y: Fraction
    swing: Fraction = Fraction(0)


def reach_towards(contacts: Sequence[Contact], centre: Point, towards: Point) -> Fraction:
    """How far before the centre of mass the edge lies that it would tip over one way, every castor swung back, nm.

    `towards` is a direction of length 1, along an axis or not; below 0 the centre already hangs over.

    Two castors of 30 mm swing, 400 mm before the centre, and two feet behind:

    >>> wheels = [Contact(Fraction(400), Fraction(side), Fraction(30)) for side in (-200, 200)]
    >>> feet = [Contact(Fraction(-400), Fraction(side)) for side in (-200, 200)]
    >>> reach_towards([*wheels, *feet], (Fraction(0), Fraction(0)), (Fraction(1), Fraction(0)))
    Fraction(370, 1)
    """
    x, y = towards
    return max((one.x - centre[0]) * x + (one.y - centre[1]) * y - one.swing for one in contacts)


@dataclass(frozen=True, slots=True)
class NearestEdge:
    """How far the centre of mass is from the nearest edge, nm (below 0: beyond it), and which way that is."""

    distance: Fraction
    towards: Point


def nearest_edge(contacts: Sequence[Contact], centre: Point) -> NearestEdge:
    """The edge of the footprint that the centre of mass is nearest to, each castor swung to its worst.

    The least of `reach_towards` over every direction. It lies where two contacts are equally far that way, or straight
    away from one; these are tried, their roots to twelve places, and the result is good to a nanometre. Raises
    ValueError below three contacts.

    >>> corners = [Contact(Fraction(x), Fraction(y), Fraction(25)) for x in (-300, 300) for y in (-200, 200)]
    >>> nearest_edge(corners, (Fraction(0), Fraction(0))).distance
    Fraction(175, 1)
    """
    if len(contacts) < 3:
        raise ValueError("What stands on fewer than three stands on none of them.")
    tried = {way for one, other in combinations(contacts, 2) for way in _equally_far(one, other)}
    for one in contacts:
        apart = root_to_places((one.x - centre[0]) ** 2 + (one.y - centre[1]) ** 2)
        if apart:
            tried.add(((centre[0] - one.x) / apart, (centre[1] - one.y) / apart))
    if not tried:
        return NearestEdge(-max(one.swing for one in contacts), (Fraction(1), Fraction(0)))
    return min(
        (NearestEdge(reach_towards(contacts, centre, way), way) for way in sorted(tried)), key=lambda one: one.distance
    )


def _equally_far(one: Contact, other: Contact) -> list[Point]:
    """The directions, of length 1, in which two contacts with their castors swung back are equally far."""
    x, y = one.x - other.x, one.y - other.y
    apart = root_to_places(x * x + y * y)
    more = one.swing - other.swing
    if apart == 0 or abs(more) > apart:
        return []
    along, across = more / apart, root_to_places(1 - (more / apart) ** 2)
    return [((along * x - side * across * y) / apart, (along * y + side * across * x) / apart) for side in (1, -1)]
