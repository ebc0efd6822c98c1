"""Pieces as doubles in millimetres: what contact, overlap and movement of tilted pieces are judged on.

A place is known here to about a millionth of a nanometre in a metre; whatever is decided leaves a hundredth of a
millimetre, so no rounding has a say. Nothing that is written down is reckoned on from here.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import sqrt
from typing import Final

from webapp.costing.space.bodies import Body, pairs_round

#: A place or a direction; places in mm.
Point = tuple[float, float, float]

#: Pieces that are so near touch, and such as share no more than this do not stand in each other: mm.
NEAR: Final = 0.01
_NM_PER_MM: Final = 1_000_000
#: Directions that differ by less are one.
_SAME: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Side:
    """A face of a shape: its name, its corners in order, its outward normal, one long, and how far out it lies, mm."""

    name: str
    corners: tuple[Point, ...]
    normal: Point
    offset: float


@dataclass(frozen=True, slots=True)
class Shape:
    """A convex piece in doubles: corners, sides, the directions of its edges, and the box along the axes around it."""

    corners: tuple[Point, ...]
    sides: tuple[Side, ...]
    normals: tuple[Point, ...]
    edges: tuple[Point, ...]
    low: Point
    high: Point


def point_of(place: Sequence[Fraction]) -> Point:
    """A place of nm in mm."""
    x, y, z = (part.numerator / (part.denominator * _NM_PER_MM) for part in place)
    return (x, y, z)


def shape_of(body: Body) -> Shape:
    """A piece in doubles."""
    corners = tuple(point_of(corner) for corner in body.corners)
    sides = tuple(_side(face.name, tuple(corners[place] for place in face.corners)) for face in body.faces)
    low, high = around(corners)
    edges = {
        (min(one, following), max(one, following))
        for face in body.faces
        for one, following in pairs_round(face.corners)
    }
    along = (one_long(between(corners[one], corners[other])) for one, other in sorted(edges))
    return Shape(corners, sides, different(side.normal for side in sides), different(along), low, high)


def area_of(body: Body, names: Collection[str]) -> Fraction:
    """The area of the faces of these names, nm², rounded once."""
    area = 0.0
    for side in shape_of(body).sides:
        if side.name in names:
            first, *rest = side.corners
            area += sum(
                dot_points(side.normal, cross_points(between(first, one), between(first, other))) / 2
                for one, other in pairwise(rest)
            )
    return Fraction(round(area * _NM_PER_MM**2))


def placed_anew(shape: Shape, corners: Iterable[Point], directed: Sequence[Sequence[float]]) -> Shape:
    """A shape whose corners went elsewhere by a turn, with the turn's rows; its sides are not taken along."""
    went = tuple(corners)
    low, high = around(went)
    normals, edges = (
        tuple(turn_point(directed, each) for each in directions) for directions in (shape.normals, shape.edges)
    )
    return Shape(went, (), normals, edges, low, high)


def turn_point(rows: Sequence[Sequence[float]], point: Point) -> Point:
    """Where a turn takes a direction, or a place about the origin."""
    x, y, z = point
    one, two, three = (row[0] * x + row[1] * y + row[2] * z for row in rows)
    return (one, two, three)


def _side(name: str, corners: tuple[Point, ...]) -> Side:
    # By all corners: where a cut left a short edge, three of them would say little of the plane.
    x = y = z = 0.0
    for (ax, ay, az), (bx, by, bz) in pairs_of(corners):
        x += (ay - by) * (az + bz)
        y += (az - bz) * (ax + bx)
        z += (ax - bx) * (ay + by)
    normal = one_long((x, y, z))
    offset = sum(dot_points(normal, corner) for corner in corners) / len(corners)
    return Side(name, corners, normal, offset)


def pairs_of(corners: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    """Each corner of a round with the next."""
    return zip(corners, (*corners[1:], corners[0]), strict=True)


def around(corners: Sequence[Point]) -> tuple[Point, Point]:
    """The lower and the upper corner of the box along the axes that holds some places."""
    xs, ys, zs = zip(*corners, strict=True)
    return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))


def dot_points(one: Point, other: Point) -> float:
    """The product of two vectors."""
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def cross_points(one: Point, other: Point) -> Point:
    """The direction square to both."""
    return (
        one[1] * other[2] - one[2] * other[1],
        one[2] * other[0] - one[0] * other[2],
        one[0] * other[1] - one[1] * other[0],
    )


def between(one: Point, other: Point) -> Point:
    """The way from one place to another."""
    return (other[0] - one[0], other[1] - one[1], other[2] - one[2])


def one_long(vector: Point) -> Point:
    """A direction one long; a vector of nothing stays nothing."""
    x, y, z = vector
    size = sqrt(x * x + y * y + z * z)
    return (x / size, y / size, z / size) if size else vector


def different(directions: Iterable[Point]) -> tuple[Point, ...]:
    """The directions that differ by more than noise; one way and the opposite are the same."""
    found = list[Point]()
    for each in directions:
        if all(abs(dot_points(each, known)) < 1 - _SAME for known in found):
            found.append(each)
    return tuple(found)


def apart(one: Shape, other: Shape, more: float) -> bool:
    """Whether the boxes around two shapes, each pair of sides drawn nearer by `more` mm, still stand apart."""
    return any(one.high[axis] + more < other.low[axis] or other.high[axis] + more < one.low[axis] for axis in range(3))


def near_pairs(shapes: Sequence[Shape], more: float) -> Iterator[tuple[int, int]]:
    """The places of shapes whose boxes, grown by `more` mm together, meet, the lower first; by a sweep along x."""
    waiting = list[int]()
    for place in sorted(range(len(shapes)), key=lambda each: shapes[each].low[0]):
        shape = shapes[place]
        waiting = [other for other in waiting if shapes[other].high[0] + more >= shape.low[0]]
        for other in waiting:
            if not apart(shape, shapes[other], more):
                yield min(place, other), max(place, other)
        waiting.append(place)
