"""What a person at the saw needs of a piece with cut ends: its finished length, both bevels, and where the marks go."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import atan, degrees, hypot
from typing import Final

from webapp.costing.measures.written import round_to_step
from webapp.costing.space.bodies import EDGES, ENDS, FACES, START_END, Body, Plane, faces_named, plane_of
from webapp.costing.space.convex_outline import outline
from webapp.costing.space.turns import Vector, dot


@dataclass(frozen=True, slots=True)
class Marks:
    """Where a cut crosses one side of the piece: how far back from the end's long point, nm, exact.

    `side` is the side's name; `long_point` and `short_point` are where the cut comes nearest the end there, and
    farthest. On a side that the cut crosses square the two are one.
    """

    side: str
    long_point: Fraction
    short_point: Fraction


@dataclass(frozen=True, slots=True)
class EndCut:
    """One cut of an end: how it slants, and where it is marked on each side.

    `face_run` is how far the cut runs along the length for each unit of the width, seen on the broad face, `edge_run`
    for each unit of the thickness, seen on the edge; exact, and above nothing where the cut runs back from the end as
    it goes from the first edge or face to the second.
    """

    end: str
    face_run: Fraction
    edge_run: Fraction
    marks: tuple[Marks, ...]

    @property
    def face_degrees(self) -> float:
        """The bevel seen on the broad face, degrees off square: the mitre angle where the face lies on the table."""
        return degrees(atan(self.face_run))

    @property
    def edge_degrees(self) -> float:
        """The bevel seen on the edge, degrees off square: the mitre angle where the edge lies on the table."""
        return degrees(atan(self.edge_run))

    @property
    def blade_degrees(self) -> float:
        """How far the blade tilts, off upright, with the broad face on the table and the mitre set to face_degrees.

        The blade's plane, square to (1, a, b) along length, width and thickness, is off the thickness by the angle
        whose tangent is b / root(1 + a²).
        """
        return degrees(atan(float(self.edge_run) / hypot(1.0, float(self.face_run))))


#: A bevel of less is none, degrees.
SQUARE: Final = 0.05
#: Corners by their place along the length, from the start's long point, and up; nm, each rounded once.
Corners = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Outline:
    """A piece as it shows from one of its sides, its length going to the right: all of it, and that side itself.

    A cut that slants away from the eye leaves the side short of all that shows. `side` is () where nothing is left.
    """

    whole: Corners
    side: Corners


@dataclass(frozen=True, slots=True)
class SawMarks:
    """A piece as it is cut to length: `length` from long point to long point along the piece, nm, exact, and each cut
    of its ends, the start's first.

    `short_length` is from short point to short point, nothing where its two cuts run into each other, and begins so far
    on from the start's long point. `direction` is that of its length, one long. `face` is its outline with its second
    face to the eye, `edge` from beneath that, with its first edge to the eye.
    """

    length: Fraction
    short_length: Fraction
    short_begins: Fraction
    cuts: tuple[EndCut, ...]
    direction: Vector
    face: Outline
    edge: Outline

    @property
    def length_nm(self) -> int:
        """The length as it is written: rounded once, to a whole nanometre."""
        return round_to_step(self.length, 1)


def saw_marks(body: Body) -> SawMarks:
    """The finished length of a piece and how each of its ends is cut."""
    lengths = [dot(corner, body.along) for corner in body.corners]
    low, high = min(lengths), max(lengths)
    cuts = []
    for end in ENDS:
        for face in faces_named(body, end):
            long_point = low if end == START_END else high
            on_cut = {place: abs(lengths[place] - long_point) for place in face.corners}
            cuts.append(_end_cut(body, end, plane_of(body, face), on_cut))
    ends = [[lengths[place] for face in faces_named(body, end) for place in face.corners] for end in ENDS]
    begins = max(ends[0], default=low)
    short = max(Fraction(0), min(ends[1], default=high) - begins)
    broad, narrow = _outline(body, body.across, FACES[1]), _outline(body, body.through, EDGES[0])
    return SawMarks(high - low, short, begins - low, tuple(cuts), body.along, broad, narrow)


def _outline(body: Body, up: Vector, side: str) -> Outline:
    places = [(dot(corner, body.along), dot(corner, up)) for corner in body.corners]
    left, low = (min(place[axis] for place in places) for axis in (0, 1))
    flat = [(round_to_step(along - left, 1), round_to_step(high - low, 1)) for along, high in places]
    own = [flat[place] for face in faces_named(body, side) for place in face.corners]
    return Outline(tuple(outline(flat)), tuple(outline(own)))


def _end_cut(body: Body, end: str, plane: Plane, on_cut: dict[int, Fraction]) -> EndCut:
    along, across, through = body.own(plane.normal)
    marks = []
    for side in (*FACES, *EDGES):
        met = [on_cut[place] for face in faces_named(body, side) for place in face.corners if place in on_cut]
        if met:
            marks.append(Marks(side, min(met), max(met)))
    return EndCut(end, across / abs(along), through / abs(along), tuple(marks))
