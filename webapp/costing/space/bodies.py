"""Convex pieces: exact corners, and faces that know by name which side of the part they are.

A piece is made as a box, with its length, width and thickness along axes, then turned, moved and cut. Its faces are
named as it is made: whichever way it lies in the end, and however its ends are cut, what was its start end still is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from math import gcd, lcm
from typing import Final, TypeVar, cast

from webapp.costing.errors import CostingError
from webapp.costing.space.turns import Turn, Vector, add, cross, dot, take_away, unit

#: The faces in the part's own terms, the lower before the upper along its length, its width and its thickness.
START_END: Final = "start end"
FAR_END: Final = "far end"
ENDS: Final = (START_END, FAR_END)
EDGES: Final = ("first edge", "second edge")
FACES: Final = ("first face", "second face")
_BY_SIZE: Final = (ENDS, EDGES, FACES)
#: The corners of a box are counted by 1 for right, 2 for back and 4 for top; its faces go round them anticlockwise
#: as seen from outside, the lower face of each axis first.
_BOX_ROUNDS: Final = (
    ((0, 4, 6, 2), (1, 3, 7, 5)), ((0, 1, 5, 4), (2, 6, 7, 3)), ((0, 2, 3, 1), (4, 5, 7, 6)),
)  # fmt: skip


#: What stands at the corners of a round: their places, or what is known of them.
Corner = TypeVar("Corner")


class PieceError(CostingError):
    """A piece of which nothing is left; `part` and `number` say which."""

    def __init__(self, part: str, number: int, reason: str) -> None:
        super().__init__(reason)
        self.part = part
        self.number = number


@dataclass(frozen=True, slots=True)
class Face:
    """A face of a piece: its name in the part's own terms, and its corners' places, anticlockwise from outside."""

    name: str
    corners: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Plane:
    """A half of space: what lies within is every place whose product with the normal is at most the offset, nm.

    The normal points away from what is kept; its length says nothing.
    """

    normal: Vector
    offset: Fraction

    def beyond(self, place: Vector) -> Fraction:
        """Above nothing where a place lies outside, nothing on the plane itself; in lengths of the normal."""
        return dot(self.normal, place) - self.offset

    def other_side(self) -> Plane:
        """The half that this one leaves."""
        x, y, z = self.normal
        return Plane((-x, -y, -z), -self.offset)


@dataclass(frozen=True, slots=True)
class Body:
    """A convex piece of a part: its corners (nm, exact), its faces, and which way its own sizes run.

    `along`, `across` and `through` are the directions of its length, width and thickness, each exactly one long. A
    name may stand at two faces where a cut took only a part of an end. `square` says that it is a box along the axes.
    """

    part: str
    number: int
    corners: tuple[Vector, ...]
    faces: tuple[Face, ...]
    along: Vector
    across: Vector
    through: Vector
    square: bool = False

    def own(self, place: Vector) -> Vector:
        """A place by the piece's own directions: so far along its length, its width and its thickness, nm."""
        return (dot(place, self.along), dot(place, self.across), dot(place, self.through))

    def named(self) -> str:
        """The piece as a sentence names it: Leg 2."""
        return f"{self.part} {self.number}"


def box_body(
    part: str,
    number: int,
    sizes: Vector,
    corner: Vector,
    axes: tuple[int, int, int] = (0, 1, 2),
) -> Body:
    """A square piece of a length, a width and a thickness (nm), which run along the axes named (x 0, y 1, z 2), with
    its lower corner at a place.

    Raises PieceError where a size is nothing.
    """
    for size, what in zip(sizes, ("length", "width", "thickness"), strict=True):
        if size <= 0:
            raise PieceError(part, number, f"{part} {number} has no {what}: it comes to nothing.")
    extent = [Fraction(0)] * 3
    for axis, size in zip(axes, sizes, strict=True):
        extent[axis] = size
    corners = tuple(
        cast(Vector, tuple(corner[axis] + (place >> axis & 1) * extent[axis] for axis in range(3)))
        for place in range(8)
    )
    faces = tuple(
        Face(name, round_)
        for axis, names in zip(axes, _BY_SIZE, strict=True)
        for name, round_ in zip(names, _BOX_ROUNDS[axis], strict=True)
    )
    along, across, through = (unit(axis) for axis in axes)
    return Body(part, number, corners, faces, along, across, through, square=True)


def turned(body: Body, turn: Turn, about: Vector) -> Body:
    """The piece turned about a place."""
    corners = tuple(add(about, turn.apply(take_away(corner, about))) for corner in body.corners)
    along, across, through = (turn.apply(each) for each in (body.along, body.across, body.through))
    straight = all(part.denominator == 1 for row in turn.rows for part in row)
    return replace(body, corners=corners, along=along, across=across, through=through, square=body.square and straight)


def moved(body: Body, by: Vector) -> Body:
    """The piece moved, nm."""
    return replace(body, corners=tuple(add(corner, by) for corner in body.corners))


def mirrored_body(body: Body, mirrored: Sequence[bool]) -> Body:
    """The piece mirrored about nothing along some of the axes x, y and z.

    Its directions stay such that the third follows from the first two: where it is another hand its first face and its
    second change their names.
    """

    def mirror(place: Vector) -> Vector:
        x, y, z = (-part if other_way else part for part, other_way in zip(place, mirrored, strict=True))
        return x, y, z

    corners = tuple(mirror(corner) for corner in body.corners)
    along, across, through = (mirror(each) for each in (body.along, body.across, body.through))
    if sum(mirrored) % 2 == 0:
        return replace(body, corners=corners, along=along, across=across, through=through)
    other = dict(zip(FACES, reversed(FACES), strict=True))
    faces = tuple(Face(other.get(face.name, face.name), face.corners[::-1]) for face in body.faces)
    x, y, z = through
    return replace(body, corners=corners, faces=faces, along=along, across=across, through=(-x, -y, -z))


def plane_of(body: Body, face: Face) -> Plane:
    """The plane of a face, with the piece itself within. The normal is as short as whole numbers allow."""
    first, second, third = (body.corners[place] for place in face.corners[:3])
    normal = _shortest(cross(take_away(second, first), take_away(third, second)))
    return Plane(normal, dot(normal, first))


def faces_named(body: Body, name: str) -> Iterator[Face]:
    """The faces of a name: one, two where an end is cut in two ways, none where a cut took it away."""
    return (face for face in body.faces if face.name == name)


def pairs_round(places: Sequence[Corner]) -> Iterator[tuple[Corner, Corner]]:
    """Each corner of a round with the next."""
    return zip(places, (*places[1:], places[0]), strict=True)


def volume_of(body: Body) -> Fraction:
    """What the piece takes up, nm³, exact: the pyramids from one corner to each triangle of its faces."""
    tip = body.corners[0]
    six = Fraction(0)
    for face in body.faces:
        first, *rest = (take_away(body.corners[place], tip) for place in face.corners)
        for second, third in pairwise(rest):
            six += dot(first, cross(second, third))
    return six / 6


def centre_of_body(body: Body) -> Vector:
    """Where the piece would balance, nm, to a whole one: by the pyramids that its volume is made of."""
    tip = body.corners[0]
    six, moment = Fraction(0), (Fraction(0), Fraction(0), Fraction(0))
    for face in body.faces:
        first, *rest = (take_away(body.corners[place], tip) for place in face.corners)
        for second, third in pairwise(rest):
            part = dot(first, cross(second, third))
            x, y, z = add(first, add(second, third))
            six += part
            moment = add(moment, (part * x / 4, part * y / 4, part * z / 4))
    return cast(Vector, tuple(Fraction(round(tip[axis] + moment[axis] / six)) for axis in range(3)))


def lower_corner(body: Body) -> Vector:
    """The lower corner of the box along the axes that holds the piece, nm."""
    return cast(Vector, tuple(min(corner[axis] for corner in body.corners) for axis in range(3)))


def upper_corner(body: Body) -> Vector:
    """The upper corner of the box along the axes that holds the piece, nm."""
    return cast(Vector, tuple(max(corner[axis] for corner in body.corners) for axis in range(3)))


def _shortest(vector: Vector) -> Vector:
    """The same direction in the smallest whole numbers: whatever is reckoned from it stays short too."""
    below = lcm(*(part.denominator for part in vector))
    whole = [int(part * below) for part in vector]
    shared = gcd(*whole) or 1
    return cast(Vector, tuple(Fraction(part // shared) for part in whole))
