"""The side of a part that something is made in, and places on it: exact, from the lower corner of each piece. nm."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, TypeVar

from webapp.costing.designs.made import HoleField, OnFace, Opening
from webapp.costing.designs.model import FACES, Face
from webapp.costing.designs.within import is_in
from webapp.costing.errors import CostingError
from webapp.costing.ledger.formula import Expression
from webapp.costing.takeoff.context import LeftOut, Taking
from webapp.costing.takeoff.features import Side
from webapp.costing.takeoff.made.legs import part_of_legs
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.takeoff.placed.solid import Corner, Placed
from webapp.costing.takeoff.placed.stood import AXES

Entry = TypeVar("Entry", HoleField, Opening)
Made = TypeVar("Made")

#: What lies within this of a face lies on it: what stands aslant touches within so much, nm.
_ON_FACE: Final = 10_000
#: What an edge is called, by its axis and end.
EDGE_WORDS: Final = {(AXES.index(axis), end): name for name, (axis, end) in FACES.items()}


@dataclass(frozen=True, slots=True)
class OnSide:
    """Where something is made: across an axis (0 x, 1 y, 2 z), with the end of each piece that it is made from (0 the
    lower, 1 the upper), and how far a piece reaches along the two axes of that side and through it."""

    axis: int
    ends: tuple[int, ...]
    reach: tuple[Fraction, Fraction]
    through: Fraction

    @property
    def plane(self) -> tuple[int, int]:
        """The two axes of the side, in their order."""
        first, second = (axis for axis in range(3) if axis != self.axis)
        return first, second


@dataclass(frozen=True, slots=True)
class Behind:
    """A piece that meets a side or the one behind it, as a rectangle there from the lower corner of the piece."""

    part: str
    number: int
    of_piece: int
    low: tuple[Fraction, Fraction]
    high: tuple[Fraction, Fraction]


def made_on_sides(
    taking: Taking, parts: Sequence[MadePart], section: str, entries: Iterable[Entry], words: str,
    make: Callable[[Entry, MadePart, OnSide, str], Made],
) -> tuple[Made, ...]:  # fmt: skip
    """What the entries of a section make under the answers chosen, each on the side of its part, in the design's order.

    What can't be made is named, by these words and its own, and left out.
    """
    made = {one.part.name: one for one in parts}
    middles = _Middles(taking, parts)
    found = []
    for entry in filter(taking.environment.active, entries):
        part = made.get(entry.part)
        if part is None:
            continue
        called = f"{words} “{entry.says}”"
        try:
            if entry.leg:
                part = part_of_legs(taking, part, entry.leg, called)
            found.append(make(entry, part, side_of(part, entry.face, middles.of, called), called))
        except CostingError as error:
            taking.leave_out(f"{section}.{entry.name}", called, error)
    return tuple(found)


def side_of(part: MadePart, face: OnFace, middle: Callable[[MadePart, Placed], Corner], entry: str) -> OnSide:
    """The side of a part that a face names, where `middle` is what a piece of it stands about. Raises LeftOut where the
    part stands nowhere, or a piece in the middle has no inside."""
    if not part.placed:
        raise LeftOut(f"{entry} is made in “{part.part.says}”, which stands nowhere; it is left out.")
    thin = next(
        place for place, axis in enumerate(AXES) if axis not in (part.part.length_axis, part.part.width_axis)
    )  # fmt: skip
    extent = part.placed[0].extent
    if face in ("inside", "outside"):
        axis, ends = thin, tuple(
            _towards(piece.corner[thin] + extent[thin] / 2, middle(part, piece)[thin], face == "inside", part, entry)
            for piece in part.placed
        )  # fmt: skip
    elif face:
        named, end = FACES[face]  # type: ignore[index]
        axis, ends = AXES.index(named), (end,) * len(part.placed)
    else:
        axis, ends = thin, (1,) * len(part.placed)
    first, second = (extent[place] for place in range(3) if place != axis)
    return OnSide(axis, ends, (first, second), extent[axis])


def _towards(place: Fraction, middle: Fraction, inside: bool, part: MadePart, entry: str) -> int:
    if place == middle:
        raise LeftOut(f"{entry}: “{part.part.says}” stands in the middle and has no inside; name the side.")
    return int((place < middle) == inside)


class _Middles:
    """The middle of what each piece is a part of: of its own place of the use that it stands in, as its own drawer; of
    the whole where it stands in none, or is all that there is in its use."""

    def __init__(self, taking: Taking, parts: Sequence[MadePart]) -> None:
        self._design = taking.design
        self._placed = [(part.part.within, piece) for part in parts for piece in part.placed]
        self._known: dict[tuple[str, tuple[int, ...]], Corner] = {}

    def of(self, part: MadePart, piece: Placed) -> Corner:
        """The middle of what a piece of a part is a part of."""
        within, places = part.part.within, piece.places
        while within and len(self._in(within, places)) == 1:
            within, places = self._design.uses[within].within, places[:-1]
        if (within, places) not in self._known:
            self._known[within, places] = middle_of(self._in(within, places))
        return self._known[within, places]

    def _in(self, use: str, places: tuple[int, ...]) -> list[Placed]:
        return [
            piece for within, piece in self._placed
            if not use or (is_in(self._design, within, use) and piece.places[: len(places)] == places)
        ]  # fmt: skip


def middle_of(placed: Sequence[Placed]) -> Corner:
    """The middle of all that stands, along x, y and z."""
    x, y, z = (
        (min(one.corner[axis] for one in placed) + max(one.corner[axis] + one.extent[axis] for one in placed)) / 2
        for axis in range(3)
    )
    return x, y, z


def depth_in(
    taking: Taking, formula: Expression | None, part: MadePart, side: OnSide, called: str, advice: str = ""
) -> Fraction:
    """How deep something goes into a side, nm; 0 where it goes through. Raises LeftOut, with `advice` on what to do,
    for a depth that leaves nothing of the part beneath, or is none."""
    if formula is None:
        return Fraction(0)
    depth = taking.environment.value(formula)
    if not 0 < depth < side.through:
        raise LeftOut(
            f"{called} is {taking.length(depth)} deep in “{part.part.says}”, which is {taking.length(side.through)} "
            f"there{advice}; it is left out."
        )
    return depth


def begins_at(
    taking: Taking, side: OnSide, along: int, edges: Mapping[Face, Expression], extent: Fraction, half: Fraction,
    entry: str,
) -> Fraction | None:
    """Where what reaches over `extent` begins along one of the side's axes (0 or 1): as far from an edge as is said.

    `half` is what lies before its beginning, as half a hole before its middle counts from the edge and not from there.
    None where nothing is said. Raises LeftOut for an edge that the side does not have.
    """
    found = None
    for face, formula in edges.items():
        axis, end = AXES.index(FACES[face][0]), FACES[face][1]
        if axis == side.axis:
            raise LeftOut(f"{entry} stands off the {face} edge, which that side does not have; it is left out.")
        if axis != side.plane[along]:
            continue
        off = taking.environment.value(formula)
        found = off - half if end == 0 else side.reach[along] - off - extent + half
    return found


def met_behind(part: MadePart, side: OnSide, meetings: Meetings) -> list[Behind]:
    """The pieces that meet a part on the side that something is made from, or on the one across from it."""
    found = []
    places: dict[tuple[str, int], list[int]] = {}
    for place, piece in enumerate(meetings.placed):
        places.setdefault((piece.part, piece.number), []).append(place)
    axis, (first, second) = side.axis, side.plane
    for piece in part.placed:
        faces = (piece.corner[axis], piece.corner[axis] + piece.extent[axis])
        own = places.get((piece.part, piece.number), ())
        for place, meeting in ((each, met) for each in own for met in meetings.of(each)):
            # Of what is several pieces, each meets what lies on its own faces: a leg is not the flat.
            if meeting.across != axis:
                continue
            if len(own) > 1 and min(abs(meeting.ends(axis)[0] - face) for face in faces) > _ON_FACE:
                continue
            other = meetings.placed[meeting.one if meeting.one != place else meeting.other]
            (left, right), (lower, upper) = meeting.ends(first), meeting.ends(second)
            along, up = piece.corner[first], piece.corner[second]
            found.append(Behind(
                other.part, other.number, piece.number, (left - along, lower - up), (right - along, upper - up)
            ))  # fmt: skip
    return found


def drawn_side(part: MadePart, side: OnSide) -> Side:
    """The side as a drawing of the part by itself has it, of its first piece."""
    length, width = AXES.index(part.part.length_axis), AXES.index(part.part.width_axis)
    end = side.ends[0]
    if side.axis == length:
        return "end" if end else "start"
    if side.axis == width:
        return "high" if end else "low"
    return "face" if (end == 1) == _right_handed(length, width) else "back"


def _right_handed(length: int, width: int) -> bool:
    return (width - length) % 3 == 1


def drawn_at(part: MadePart, side: OnSide, on: Side, place: tuple[Fraction, Fraction]) -> tuple[int, int]:
    """A place on a side as a drawing of the part has it: along from its left end and up from its lower edge."""
    at = dict(zip(side.plane, place, strict=True))
    length, width = AXES.index(part.part.length_axis), AXES.index(part.part.width_axis)
    if on in ("start", "end"):
        along, up = at[width], at[3 - length - width]
    elif on in ("low", "high"):
        along, up = at[length], at[3 - length - width]
    else:
        along, up = at[length], at[width]
    if on == "back":
        along = part.placed[0].extent[length] - along
    return round(along), round(up)
