"""What moves: drawers drawn, doors swung, and the first thing that each runs into."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import cos, degrees, hypot, radians, sin
from typing import Final

from webapp.costing.space.bodies import Body
from webapp.costing.space.overlaps import distance, passing
from webapp.costing.space.shapes import (
    NEAR,
    Point,
    Shape,
    apart,
    between,
    cross_points,
    one_long,
    placed_anew,
    point_of,
    shape_of,
    turn_point,
)
from webapp.costing.space.turns import Vector

#: What swings close by something goes on by so much at a time, mm at its outermost corner.
_STEP: Final = 0.5
#: So near is the angle found at which something is hit, degrees.
_ANGLE: Final = 0.001
_NM_PER_MM: Final = 1_000_000
Rows = tuple[Point, Point, Point]


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

    It goes by steps: as far as nothing can be reached, and half a millimetre of its outermost corner where something is
    close; the angle at which something is hit is then found within a thousandth of a degree.
    """
    mover = shape_of(piece)
    pivot, line = point_of(hinge), one_long(point_of(axis))
    outermost = max(hypot(*cross_points(between(pivot, corner), line)) for corner in mover.corners)
    swing = radians(opened_degrees)
    found: tuple[float, int] | None = None
    for place, other in enumerate(others):
        still = shape_of(other)
        limit = abs(swing) if found is None else found[0]
        angle = _first_met(mover, still, pivot, line, limit if swing > 0 else -limit, outermost)
        if angle is not None and (found is None or angle < found[0]):
            found = (angle, place)
    return None if found is None else Hit(found[1], Fraction(round(degrees(found[0]) * 1000), 1000))


def _first_met(mover: Shape, other: Shape, pivot: Point, line: Point, swing: float, outermost: float) -> float | None:
    """The angle, radians and without its sign, at which a swing first stands in something."""
    sign, end = (1.0 if swing > 0 else -1.0), abs(swing)
    angle = free = 0.0
    while True:
        clear = _clear(mover, other, pivot, line, sign * angle)
        if clear < -NEAR:
            return _narrowed(mover, other, pivot, line, sign, free, angle)
        if angle >= end:
            return None
        free = angle
        angle = min(end, angle + max(clear, _STEP) / outermost)


def _narrowed(mover: Shape, other: Shape, pivot: Point, line: Point, sign: float, free: float, met: float) -> float:
    while met - free > radians(_ANGLE):
        middle = (free + met) / 2
        if _clear(mover, other, pivot, line, sign * middle) < -NEAR:
            met = middle
        else:
            free = middle
    return met


def _clear(mover: Shape, other: Shape, pivot: Point, line: Point, angle: float) -> float:
    """How far the swung piece is from another at least, mm."""
    swung = _swung(mover, pivot, line, angle)
    if apart(swung, other, 0.0):
        # The boxes around them tell it as well, and at once.
        return max(max(other.low[axis] - swung.high[axis], swung.low[axis] - other.high[axis]) for axis in range(3))
    return distance(swung, other)


def _swung(shape: Shape, pivot: Point, line: Point, angle: float) -> Shape:
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
