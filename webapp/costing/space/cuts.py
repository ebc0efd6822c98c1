"""What pieces are cut off by: planes, exact. A leg ends level with the floor, a brace on the legs that it meets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import cast

from webapp.costing.space.bodies import (
    ENDS,
    FAR_END,
    START_END,
    Body,
    Face,
    PieceError,
    Plane,
    box_body,
    moved,
    pairs_round,
    plane_of,
    turned,
)
from webapp.costing.space.turns import Turn, Vector, add, dot, unit

_ORIGIN = (Fraction(0), Fraction(0), Fraction(0))


def above(height: Fraction) -> Plane:
    """What stands above a level, nm: a leg is cut by it at the floor."""
    x, y, z = unit(2)
    return Plane((x, y, -z), -height)


def below(height: Fraction) -> Plane:
    """What stands below a level, nm: a leg is cut by it under its top."""
    return Plane(unit(2), height)


def cut(body: Body, plane: Plane, name: str) -> Body:
    """What a plane leaves of a piece; the cut takes the name, of the end that it replaces. A plane that only touches
    the piece leaves it as it is.

    Raises PieceError where nothing is left.
    """
    beyond = [plane.beyond(corner) for corner in body.corners]
    if max(beyond) <= 0:
        return body
    if min(beyond) >= 0:
        raise PieceError(body.part, body.number, f"{body.named()} is cut away wholly at its {name}: nothing is left.")
    kept = _Kept(body, beyond)
    faces = list[Face]()
    #: Where the cut's own round goes on from each of its corners: against the edge that it shares with each face.
    onwards = dict[int, int]()
    for face in body.faces:
        if all(beyond[place] >= 0 for place in face.corners):
            continue
        corners = kept.part_of(face)
        faces.append(Face(face.name, corners))
        for one, following in pairs_round(corners):
            if one in kept.on_plane and following in kept.on_plane:
                onwards[following] = one
    faces.append(Face(name, _round_from(onwards)))
    return replace(body, corners=tuple(kept.corners), faces=tuple(faces), square=False)


def shared_by(one: Body, other: Body) -> Body:
    """What two convex pieces share, as a piece of the first one's.

    Raises PieceError where that is nothing.
    """
    for face in other.faces:
        one = cut(one, plane_of(other, face), face.name)
    return one


class _Kept:
    """The corners that stay and those that the cut makes, each once."""

    def __init__(self, body: Body, beyond: Sequence[Fraction]) -> None:
        self.corners: list[Vector] = []
        self.on_plane: set[int] = set()
        self._body, self._beyond = body, beyond
        self._places: dict[tuple[int, int], int] = {}

    def part_of(self, face: Face) -> tuple[int, ...]:
        """What stays of a face, as its new round."""
        beyond, stays = self._beyond, list[int]()
        for one, following in pairs_round(face.corners):
            if beyond[one] <= 0:
                stays.append(self._place(one, one))
            if beyond[one] * beyond[following] < 0:
                stays.append(self._place(min(one, following), max(one, following)))
        return tuple(stays)

    def _place(self, one: int, other: int) -> int:
        """The place of a corner (given twice), or of where the edge between two is cut."""
        known = self._places.get((one, other))
        if known is not None:
            return known
        place = self._places[one, other] = len(self.corners)
        near, far = self._body.corners[one], self._body.corners[other]
        if one == other:
            self.corners.append(near)
        else:
            share = self._beyond[one] / (self._beyond[one] - self._beyond[other])
            crossing = tuple(low + share * (high - low) for low, high in zip(near, far, strict=True))
            self.corners.append(cast(Vector, crossing))
        if one != other or self._beyond[one] == 0:
            self.on_plane.add(place)
        return place


def _round_from(onwards: dict[int, int]) -> tuple[int, ...]:
    first = next(iter(onwards))
    places = [first]
    while (following := onwards[places[-1]]) != first:
        places.append(following)
    return tuple(places)


def stick_between(
    part: str,
    number: int,
    section: tuple[Fraction, Fraction],
    turn: Turn,
    through: Vector,
    ends: tuple[Plane, Plane],
) -> Body:
    """A straight stick whose two ends are cut to planes: a splayed leg between floor and top, a brace between legs.

    Before its turn the stick stands upright, its width along x and its thickness along y (`section`, nm), its start
    below; then its middle line runs through the place. The blank is as long as from long point to long point.

    Raises PieceError where a plane runs along the stick, stands at the wrong end, or nothing is left between the two.
    """
    width, thickness = section
    along = turn.apply(unit(2))
    reached = []
    for plane, name, leans in zip(ends, ENDS, (-1, 1), strict=True):
        across = dot(plane.normal, along)
        if across * leans <= 0:
            raise PieceError(
                part, number, f"{part} {number} can't end there: what its {name} is cut to does not cross its length."
            )
        reached.append([
            (plane.offset - dot(plane.normal, add(through, turn.apply((x, y, Fraction(0)))))) / across
            for x in (-width / 2, width / 2) for y in (-thickness / 2, thickness / 2)
        ])  # fmt: skip
    low, high = min(reached[0]), max(reached[1])
    if low >= high:
        raise PieceError(part, number, f"{part} {number} comes to nothing: its two ends pass each other.")
    blank = box_body(
        part, number, (high - low, width, thickness), (-width / 2, -thickness / 2, low), axes=(2, 0, 1)
    )  # fmt: skip
    stick = moved(turned(blank, turn, _ORIGIN), through)
    return cut(cut(stick, ends[0], START_END), ends[1], FAR_END)
