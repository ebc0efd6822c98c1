"""Whether convex pieces stand in each other, how deep, and whether one that moves straight runs into another.

Two convex pieces are apart where they are apart along a direction: one of their faces' normals, or square to an edge of
each. What they share along the least of these is how deep they stand in each other.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import inf
from typing import Final, NamedTuple

from webapp.costing.space.bodies import Body
from webapp.costing.space.shapes import (
    NEAR,
    Point,
    Shape,
    cross_points,
    dot_points,
    near_pairs,
    one_long,
    shape_of,
)

#: Edges whose directions are nearer than this give no direction square to both.
_PARALLEL: Final = 1e-9
#: Across a movement a direction that turns this little with it stands still, mm a mm.
_STILL: Final = 1e-9
_NM_PER_MM: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class BodyOverlap:
    """Two pieces that stand in each other, by their places in the list, the lower first, and how deep: how far one has
    to move at least until they only touch, nm, rounded once."""

    first: int
    second: int
    depth: Fraction


class Passing(NamedTuple):
    """The travels, mm, at which a moving piece touches another, stands in it by more than 0.01 mm, and has left it
    again; below nothing for what lies behind."""

    touches: float
    enters: float
    leaves: float


def overlaps_of_bodies(bodies: Sequence[Body], square: Collection[int] = ()) -> list[BodyOverlap]:
    """The pieces that stand in each other by more than 0.01 mm. Pairs of which both places are in `square` are left
    out: square boxes are asked exactly, elsewhere."""
    shapes = [shape_of(body) for body in bodies]
    boxes = frozenset(square)
    found = []
    for one, other in sorted(near_pairs(shapes, -NEAR)):
        if one in boxes and other in boxes:
            continue
        deep = -distance(shapes[one], shapes[other])
        if deep > NEAR:
            found.append(BodyOverlap(one, other, Fraction(round(deep * _NM_PER_MM))))
    return found


def distance(one: Shape, other: Shape) -> float:
    """How far two pieces are apart, mm: never more than they are; below nothing where they stand in each other, by
    how deep they do."""
    farthest = -inf
    for direction in parting_directions(one, other):
        low_one, high_one = reach(one, direction)
        low_other, high_other = reach(other, direction)
        farthest = max(farthest, low_other - high_one, low_one - high_other)
    return farthest


def passing(mover: Shape, other: Shape, direction: Point) -> Passing | None:
    """When a piece that goes straight along a direction (one long) stands in another by more than 0.01 mm; None where
    it never does."""
    touches = enters = -inf
    leaves = inf
    for along in parting_directions(mover, other):
        low, high = reach(mover, along)
        low_other, high_other = reach(other, along)
        speed = dot_points(along, direction)
        if speed < 0:
            low, high, low_other, high_other, speed = -high, -low, -high_other, -low_other, -speed
        ahead, behind = low_other - high, high_other - low
        if speed <= _STILL:
            if ahead > -NEAR or behind < NEAR:
                return None
            continue
        if (ahead + NEAR) / speed > enters:
            touches, enters = ahead / speed, (ahead + NEAR) / speed
        leaves = min(leaves, (behind - NEAR) / speed)
        if enters >= leaves:
            return None
    return Passing(touches, enters, leaves)


def reach(shape: Shape, direction: Point) -> tuple[float, float]:
    """How far a piece goes along a direction, from its lowest corner to its highest, mm."""
    x, y, z = direction
    reached = [corner[0] * x + corner[1] * y + corner[2] * z for corner in shape.corners]
    return min(reached), max(reached)


def parting_directions(one: Shape, other: Shape) -> Iterator[Point]:
    """The directions, each one long, along one of which two convex pieces are apart if they are apart at all."""
    yield from one.normals
    yield from other.normals
    for mine in one.edges:
        for theirs in other.edges:
            square = cross_points(mine, theirs)
            if dot_points(square, square) > _PARALLEL:
                yield one_long(square)
