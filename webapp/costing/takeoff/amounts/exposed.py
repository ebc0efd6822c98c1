"""What of a part touches nothing and can be reached: the faces that a finish goes on where nothing else is said.

The space about the pieces is parted by the planes of all their faces; what is free is filled from outside, and a face
counts as far as free space that was reached lies before it. So the inside of a closed core is no face to finish. What
stands aslant is reached wherever it touches nothing.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from webapp.costing.designs.model import Part
from webapp.costing.ledger.working import Figure
from webapp.costing.space.bodies import EDGES, ENDS, FACES
from webapp.costing.space.boxes import Ends, whole_ends
from webapp.costing.space.shapes import area_of
from webapp.costing.takeoff.context import LeftOut, Taking
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.takeoff.placed.solid import Placed
from webapp.costing.takeoff.placed.stood import AXES

#: More cells than this are not filled: a part of such a thing needs its faces said.
_MOST_CELLS: Final = 1_000_000
#: The faces of a piece; where convex ones of one that is cut to an outline lie on each other is none of these.
_SEEN: Final = (*ENDS, *EDGES, *FACES)


class Sight:
    """The faces of all pieces that can be reached, by kind of part, in nm2."""

    def __init__(self, placed: Sequence[Placed], meetings: Meetings) -> None:
        self._placed, self._meetings = placed, meetings
        square = [piece for piece in placed if piece.body is None]
        self._divisor, self._boxes = whole_ends(square)
        self._parts = [piece.part for piece in square]
        self._areas: dict[str, Fraction] | None = None
        self._faces: dict[tuple[str, int], int] = {}
        self._planes = [
            sorted({end for box in self._boxes for end in (box[axis], box[axis + 1])}) for axis in (0, 2, 4)
        ]

    def area(self, part: str) -> Fraction | None:
        """The area of a part's faces in sight, of all its pieces, nm2; None where there are too many to look at."""
        if self._areas is None:
            self._areas = self._less_covered(self._measure())
        return self._areas.get(part, Fraction(0)) if self._areas or not self._boxes else None

    def broad_faces(self, part: Part) -> int:
        """How many broad faces of a part's square pieces are in sight at least in part, once its area is known."""
        thin = next(axis for axis in range(3) if "xyz"[axis] not in (part.length_axis, part.width_axis))
        return self._faces.get((part.name, thin), 0)

    def _less_covered(self, areas: dict[str, Fraction]) -> dict[str, Fraction]:
        """The areas with those of pieces that stand aslant, and without what these cover of others.

        They are taken to be reached all around but where they touch.
        """
        if self._boxes and not areas:
            return areas
        for place, piece in enumerate(self._placed):
            covered = [meeting for meeting in self._meetings.of(place) if piece.body or meeting.aslant]
            if piece.body is not None:
                whole = area_of(piece.body, _SEEN)
                areas[piece.part] = areas.get(piece.part, Fraction(0)) + whole
            if covered:
                areas[piece.part] -= sum(meeting.area for meeting in covered)
        for seam in self._meetings.bodies.contacts:
            one, other = self._placed[seam.first], self._placed[seam.second]
            if one.is_one_with(other):
                # Where a leg that leans goes on from another there is no face.
                areas[one.part] -= seam.area * sum(name in _SEEN for name in (seam.first_face, seam.second_face))
        return areas

    def _measure(self) -> dict[str, Fraction]:
        """Cells are counted with a free layer all around: along each axis 0 lies before the first plane."""
        wide, deep, tall = (len(planes) + 1 for planes in self._planes)
        if wide * deep * tall > _MOST_CELLS:
            return {}
        taken = bytearray(wide * deep * tall)
        spans = [self._cells(box) for box in self._boxes]
        for (left, right), (front, back), (bottom, top) in spans:
            for x in range(left, right):
                for y in range(front, back):
                    start = (x * deep + y) * tall
                    taken[start + bottom : start + top] = b"\x01" * (top - bottom)
        self._fill(taken, deep, tall)
        areas: dict[str, int] = {}
        for part, span in zip(self._parts, spans, strict=True):
            for axis in range(3):
                for before in (span[axis][0] - 1, span[axis][1]):
                    seen = self._seen(taken, deep, tall, span, axis, before)
                    areas[part] = areas.get(part, 0) + seen
                    self._faces[part, axis] = self._faces.get((part, axis), 0) + (seen > 0)
        return {part: Fraction(seen, self._divisor**2) for part, seen in areas.items()}

    def _cells(self, box: Ends) -> list[tuple[int, int]]:
        return [
            (bisect_left(planes, box[axis]) + 1, bisect_left(planes, box[axis + 1]) + 1)
            for planes, axis in zip(self._planes, (0, 2, 4), strict=True)
        ]

    @staticmethod
    def _fill(taken: bytearray, deep: int, tall: int) -> None:
        """Mark with 2 the free cells that are reached from the outermost one, through faces."""
        steps = (deep * tall, -deep * tall, tall, -tall, 1, -1)
        last = len(taken)
        taken[0] = 2
        waiting = [0]
        while waiting:
            cell = waiting.pop()
            for step in steps:
                beside = cell + step
                # A step over the end of a row lands in the free layer of the next: both are outside.
                if 0 <= beside < last and not taken[beside]:
                    taken[beside] = 2
                    waiting.append(beside)

    def _seen(
        self, taken: bytearray, deep: int, tall: int, span: list[tuple[int, int]], axis: int, before: int
    ) -> int:
        """The area of a face of a piece across an axis that reached space lies before, in the layer `before`."""
        strides = (deep * tall, tall, 1)
        first, second = (other for other in range(3) if other != axis)
        seen = 0
        for one in range(*span[first]):
            size = self._planes[first][one] - self._planes[first][one - 1]
            row = before * strides[axis] + one * strides[first]
            seen += size * sum(
                self._planes[second][other] - self._planes[second][other - 1]
                for other in range(*span[second])
                if taken[row + other * strides[second]] == 2
            )
        return seen


def exposed_area(taking: Taking, key: str, one: MadePart, sight: Sight, cut: Figure | None) -> Figure:
    """The area of a part's faces that touch nothing and can be reached, m2, less what is `cut` out of each broad face
    of one. Raises LeftOut where it is not known."""
    area = sight.area(one.part.name) if one.placed else None
    if area is None:
        raise LeftOut(
            f"What of “{one.part.says}” is in sight is not known, since "
            + ("there are too many pieces to look at" if one.placed else "nobody knows where it stands")
            + "; its finish is left out: say which of its faces it goes on."
        )
    says, own = one.part.says, f"{key}/{one.part.name}"
    if one.taken.round is not None:
        # A round section is as much less round than the square about it as its area is less: pi in 4, ends and sides.
        return taking.derive(
            own, f"{says}: in sight", "m2",
            "faces of the square about it that touch nothing and can be reached, by the round of its section",
            "square_metres(faces, 1) * round_around(diameter) / (sides * across)", diameter=one.taken.round.diameter,
            sides=taking.given(f"{own}/sides", f"{says}: sides of its square", 4, "", "a square has four"),
            across=taking.given(f"{own}/across", f"{says}: its square", one.placed[0].extent[
                AXES.index(one.part.width_axis)], "nm", "where it stands"),
            faces=taking.given(f"{own}/faces", f"{says}: faces in sight", area, "nm2",
                               "where the parts stand"),
        )  # fmt: skip
    words, formula = "its faces that touch nothing and can be reached", "square_metres(faces, 1)"
    inputs = {"faces": taking.given(f"{own}/faces", f"{says}: faces in sight", area, "nm2", "where the parts stand")}
    if cut is not None:
        words, formula = f"{words}, less the openings in those that are broad", f"{formula} - cut * broad"
        inputs["cut"] = cut
        inputs["broad"] = taking.given(f"{own}/broad", f"{says}: broad faces in sight", sight.broad_faces(one.part),
                                       "face", "where the parts stand")  # fmt: skip
    return taking.derive(own, f"{says}: in sight", "m2", words, formula, **inputs)
