"""What moves: drawers drawn, doors swung, and the first thing that each runs into."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import acos, atan2, cos, degrees, hypot, radians, sin, tau
from typing import Final

from webapp.costing.space.bodies import Body
from webapp.costing.space.overlaps import parting_directions, passing, reach
from webapp.costing.space.shapes import (
    NEAR,
    Point,
    Shape,
    between,
    cross_points,
    dot_points,
    one_long,
    placed_anew,
    point_of,
    shape_of,
    turn_point,
)
from webapp.costing.space.turns import Vector

#: The least that a swing goes on at a time, mm at its outermost corner.
_STEP: Final = 0.1
#: So near is the angle found at which something is hit, degrees.
_ANGLE: Final = 0.001
_NM_PER_MM: Final = 1_000_000
#: A plane parts two pieces only where they are not nearer than this to standing in each other, mm.
_HARDLY: Final = 1e-6
Rows = tuple[Point, Point, Point]
#: A place on the line of a hinge, and the line's direction, one long: a swing is right-handed about it.
Hinge = tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class Hit:
    """What is hit first: its place in the list, and after what travel, in nm along the way or in degrees of swing."""

    other: int
    travel: Fraction


def swept_free(piece: Body, direction: Vector, way: Fraction, others: Sequence[Body]) -> Hit | None:
    """The first thing that a piece runs into which goes straight along a direction (of any length) for so far, nm; None
    where its way is free. What it stands in already is hit at no travel; what it slides along is not hit."""
    mover, along = shape_of(piece), one_long(point_of(direction))
    found: Hit | None = None
    for place, other in enumerate(others):
        met = passing(mover, shape_of(other), along)
        if met is None or met.leaves <= 0 or met.enters * _NM_PER_MM >= way:
            continue
        travel = Fraction(max(0, round(met.touches * _NM_PER_MM)))
        if found is None or travel < found.travel:
            found = Hit(place, travel)
    return found


def swing_free(
    piece: Body, hinge: Vector, axis: Vector, opened_degrees: Fraction, others: Sequence[Body]
) -> Hit | None:
    """The first thing that a piece runs into which swings about a hinge's line, right-handed about its axis; a swing
    below nothing goes the other way. None where it is free.

    It goes by steps, each as far as something still stands beyond a plane that no corner of the piece has crossed; the
    angle at which something is hit is found within a thousandth of a degree.
    """
    mover = shape_of(piece)
    pivot, line = point_of(hinge), one_long(point_of(axis if opened_degrees > 0 else _other_way(axis)))
    outermost = max(hypot(*cross_points(between(pivot, corner), line)) for corner in mover.corners)
    end = abs(radians(opened_degrees))
    found: tuple[float, int] | None = None
    for place, other in enumerate(others):
        angle = _first_met(mover, shape_of(other), (pivot, line), end, _STEP / outermost)
        if angle is not None and (found is None or angle < found[0]):
            found, end = (angle, place), angle
    return None if found is None else Hit(found[1], Fraction(round(degrees(found[0]) * 1000), 1000))


def _first_met(mover: Shape, other: Shape, hinge: Hinge, end: float, least: float) -> float | None:
    """The angle, radians, at which a swing first stands in something; by steps of at least so much."""
    angle = free = 0.0
    while True:
        leap = _leap(_swung(mover, hinge, angle), other, hinge)
        if leap is None:
            return _narrowed(mover, other, hinge, free, angle)
        if angle >= end:
            return None
        free = angle
        angle = min(end, angle + max(leap, least))


def _narrowed(mover: Shape, other: Shape, hinge: Hinge, free: float, met: float) -> float:
    while met - free > radians(_ANGLE):
        middle = (free + met) / 2
        if _leap(_swung(mover, hinge, middle), other, hinge) is None:
            met = middle
        else:
            free = middle
    return met


def _leap(swung: Shape, other: Shape, hinge: Hinge) -> float | None:
    """How far a swing may go on, radians, before the piece has crossed every plane that parts it from another now; None
    where it stands in it by 0.01 mm."""
    longest: float | None = None
    for direction in parting_directions(swung, other):
        low, high = reach(swung, direction)
        low_other, high_other = reach(other, direction)
        if low_other - high > _HARDLY - NEAR:
            leap = _until(swung, direction, low_other + NEAR, hinge)
        elif low - high_other > _HARDLY - NEAR:
            x, y, z = direction
            leap = _until(swung, (-x, -y, -z), NEAR - high_other, hinge)
        else:
            continue
        longest = leap if longest is None else max(longest, leap)
    return longest


def _until(swung: Shape, direction: Point, limit: float, hinge: Hinge) -> float:
    """The angle at which the first corner comes as far along a direction as the limit; a whole turn where none does.

    A corner that swings goes along any direction as a cosine does: so far in the middle, so far about it.
    """
    pivot, line = hinge
    middle, soonest = dot_points(direction, pivot), tau
    for corner in swung.corners:
        arm = between(pivot, corner)
        still = dot_points(direction, line) * dot_points(arm, line)
        along = dot_points(direction, arm) - still
        turning = dot_points(direction, cross_points(line, arm))
        size = hypot(along, turning)
        left = limit - middle - still
        if left < size:
            soonest = min(soonest, (atan2(turning, along) - acos(max(-1.0, left / size))) % tau)
    return soonest


def _swung(shape: Shape, hinge: Hinge, angle: float) -> Shape:
    pivot, line = hinge
    rows = _rows(line, angle)
    corners = (_sum(pivot, turn_point(rows, between(pivot, corner))) for corner in shape.corners)
    return placed_anew(shape, corners, rows)


def _sum(one: Point, other: Point) -> Point:
    return (one[0] + other[0], one[1] + other[1], one[2] + other[2])


def _rows(line: Point, angle: float) -> Rows:
    """The turn by an angle about a direction that is one long."""
    x, y, z = line
    c, s = cos(angle), sin(angle)
    rest = 1 - c
    return (
        (c + x * x * rest, x * y * rest - z * s, x * z * rest + y * s),
        (y * x * rest + z * s, c + y * y * rest, y * z * rest - x * s),
        (z * x * rest - y * s, z * y * rest + x * s, c + z * z * rest),
    )


def _other_way(vector: Vector) -> Vector:
    x, y, z = vector
    return (-x, -y, -z)
