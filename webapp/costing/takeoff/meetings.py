"""Where pieces meet: the rectangles that the faces of square ones share, exactly, what those that stand aslant share
within a hundredth of a millimetre, and what a joint comes to by them.

For square pieces all is whole numbers of a common fraction of a nanometre, so a meeting is there or it is not. A piece
with mitred ends is not looked at: what its ends share is said by the design.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Final, Literal

from webapp.costing.designs.model import Part
from webapp.costing.space.bodies import EDGES, ENDS
from webapp.costing.space.boxes import BoxContact, contacts_of_boxes
from webapp.costing.space.contact import Contact
from webapp.costing.space.shapes import between, cross_points
from webapp.costing.takeoff.placed.solid import Bodies, Placed

#: Which of a part's sizes a face stands across.
Side = Literal["length", "width", "thickness"]
#: Runs and widths of what stands aslant that differ by less are one, nm.
_ONE: Final = 10_000
_NM_PER_MM: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class Meeting:
    """Two pieces, by their places in the list, that share a rectangle of their faces.

    The faces meet across the axis `across` (0 x, 1 y, 2 z), where `one` ends and `other` begins. Where one stands
    aslant that is the axis to which the faces are nearest.
    """

    one: int
    other: int
    across: int
    contact: BoxContact | Contact

    @property
    def aslant(self) -> Contact | None:
        """How they touch where one of them stands aslant."""
        return self.contact if isinstance(self.contact, Contact) else None

    @property
    def sides(self) -> tuple[Fraction, Fraction]:
        """The longer and the shorter side, nm."""
        return self.contact.run, self.contact.width

    @property
    def area(self) -> Fraction:
        """What they share, nm2."""
        return self.contact.area

    @property
    def along(self) -> int:
        """The axis of the longer side."""
        first, second = (axis for axis in range(3) if axis != self.across)
        met = self.contact
        if isinstance(met, Contact):
            reach = {axis: high - low for axis in (first, second) for low, high in (self.ends(axis),)}
            return first if reach[first] >= reach[second] else second
        return first if met.high_one - met.low_one >= met.high_two - met.low_two else second

    def ends(self, axis: int) -> tuple[Fraction, Fraction]:
        """From where to where what they share reaches along an axis, nm; to a whole nm where one stands aslant."""
        if isinstance(self.contact, BoxContact):
            return self.contact.ends(axis)
        places = [corner[axis] * _NM_PER_MM for corner in self.contact.outline]
        return Fraction(round(min(places))), Fraction(round(max(places)))


class Meetings:
    """All meetings of the pieces of one finished thing, by the kinds of part that meet."""

    def __init__(self, placed: Sequence[Placed], known: Iterable[Meeting] | None = None) -> None:
        self.placed = placed
        self.bodies = Bodies(placed)
        self._by_parts: dict[tuple[str, str], list[Meeting]] = {}
        self._of_piece: dict[int, list[Meeting]] = {}
        self._all = [*(_find(placed, self.bodies) if known is None else known)]
        for meeting in self._all:
            parts = (placed[meeting.one].part, placed[meeting.other].part)
            self._by_parts.setdefault(parts, []).append(meeting)
            for place in (meeting.one, meeting.other):
                self._of_piece.setdefault(place, []).append(meeting)

    def among(self, places: Sequence[int]) -> Meetings:
        """The meetings of some of the pieces with each other, by their places here, in order."""
        if len(places) == len(self.placed):
            return self
        placed, now = [self.placed[place] for place in places], {place: here for here, place in enumerate(places)}
        if self.bodies.aslant:
            return Meetings(placed)
        kept = (met for met in self._all if met.one in now and met.other in now)
        return Meetings(placed, [replace(met, one=now[met.one], other=now[met.other]) for met in kept])

    def between(self, source: str, into: str, depth: int = 0) -> list[Meeting]:
        """The meetings of two kinds of part, whichever stands first; of a kind with itself each once.

        `depth` is how many uses of other designs stand around both: only what is in one place of each counts then.
        """
        found = list(self._by_parts.get((source, into), ()))
        if source != into:
            found += self._by_parts.get((into, source), ())
        if not depth:
            return found
        return [met for met in found if self._place(met.one, depth) == self._place(met.other, depth)]

    def _place(self, piece: int, depth: int) -> tuple[int, ...]:
        return self.placed[piece].places[:depth]

    def of(self, place: int) -> Sequence[Meeting]:
        """The meetings of one piece."""
        return self._of_piece.get(place, ())

    def through(self, source: Part, into: Part, depth: int = 0) -> Sequence[tuple[Side, Side]]:
        """Across which of the sizes of two parts the faces of a joint meet, each way once."""
        ways: dict[tuple[Side, Side], None] = {}
        for meeting in self.between(source.name, into.name, depth):
            one, other = (source, into) if self.placed[meeting.one].part == source.name else (into, source)
            pair = (self._across(meeting, meeting.one, one), self._across(meeting, meeting.other, other))
            ways.setdefault(pair if one is source else (pair[1], pair[0]))
        return tuple(ways)

    def side_of(self, meeting: Meeting, part: Part) -> Side:
        """Which size of its part the piece of a part has across a meeting."""
        return self._across(meeting, meeting.one if self.placed[meeting.one].part == part.name else meeting.other, part)

    def _across(self, meeting: Meeting, place: int, part: Part) -> Side:
        """Which size of its part a piece has across a meeting."""
        axis = meeting.across
        if meeting.aslant is not None:
            face = meeting.aslant.first_face if place == meeting.aslant.first else meeting.aslant.second_face
            which = 0 if face in ENDS else 1 if face in EDGES else 2
            if self.placed[place].body is not None:
                return ("length", "width", "thickness")[which]
            # A square piece is made with its sizes along x, y and z.
            axis = which
        return side_across(part, axis)


def side_across(part: Part, across: int) -> Side:
    """Which of a part's sizes lies along an axis: its length, width or thickness."""
    axis = "xyz"[across]
    return "length" if axis == part.length_axis else "width" if axis == part.width_axis else "thickness"


@dataclass(frozen=True, slots=True)
class Lines:
    """The lines in which a joint's faces meet: so many of each length, the longest first, and their area, nm2."""

    by_run: tuple[tuple[Fraction, int], ...]
    area: Fraction
    widths: tuple[Fraction, ...]

    @property
    def count(self) -> int:
        """How many lines there are."""
        return sum(number for _, number in self.by_run)


def lines_between(meetings: Meetings, source: str, into: Sequence[str], depth: int = 0) -> Lines:
    """How the faces of a part meet those of the parts it is held to."""
    found = [meeting for one in into for meeting in meetings.between(source, one, depth)]
    boxes = [meeting.contact for meeting in found if isinstance(meeting.contact, BoxContact)]
    return _of_boxes(boxes) if len(boxes) == len(found) else _of_all(found)


def _of_boxes(boxes: Sequence[BoxContact]) -> Lines:
    """The lines of square pieces, in the whole numbers that their contacts have in common."""
    if not boxes:
        return Lines((), Fraction(0), ())
    divisor = boxes[0].divisor
    sides = Counter(
        (max(lengths), min(lengths))
        for lengths in ((each.high_one - each.low_one, each.high_two - each.low_two) for each in boxes)
    )
    runs: Counter[int] = Counter()
    for (run, _), number in sides.items():
        runs[run] += number
    area = sum(run * width * number for (run, width), number in sides.items())
    widths = sorted({width for _, width in sides}, reverse=True)
    return Lines(
        tuple((Fraction(run, divisor), number) for run, number in sorted(runs.items(), reverse=True)),
        Fraction(area, divisor * divisor),
        tuple(Fraction(width, divisor) for width in widths),
    )


def _of_all(found: Sequence[Meeting]) -> Lines:
    """The lines of pieces of which some stand aslant: what differs by less than a hundredth of a millimetre is one."""
    runs = Counter(_as_one([meeting.sides[0] for meeting in found]))
    area = sum((meeting.area for meeting in found), Fraction(0))
    widths = tuple(sorted(set(_as_one([meeting.sides[1] for meeting in found])), reverse=True))
    return Lines(tuple(sorted(runs.items(), reverse=True)), area, widths)


def _as_one(sizes: Sequence[Fraction]) -> Sequence[Fraction]:
    """Sizes of which those that differ by less than a hundredth of a millimetre are the least of them."""
    found = list[Fraction]()
    for size in sorted(sizes):
        found.append(found[-1] if found and size - found[-1] < _ONE else size)
    return found


def _find(placed: Sequence[Placed], bodies: Bodies) -> Iterator[Meeting]:
    """Pairs of pieces with a face of positive area in common; what is one piece does not meet itself."""
    square = [box for box in bodies.square if placed[box[6]].slant is None]
    for contact in contacts_of_boxes(bodies.divisor, square):
        if not placed[contact.first].is_one_with(placed[contact.second]):
            yield Meeting(contact.first, contact.second, contact.axis, contact)
    for touching in bodies.contacts:
        if not placed[touching.first].is_one_with(placed[touching.second]):
            yield _aslant(touching)


def _aslant(contact: Contact) -> Meeting:
    """A meeting of which one piece stands aslant."""
    first, *rest = contact.outline
    normal = [0.0, 0.0, 0.0]
    for near, far in pairwise(rest):
        for axis, part in enumerate(cross_points(between(first, near), between(first, far))):
            normal[axis] += part
    across = max(range(3), key=lambda axis: abs(normal[axis]))
    # The outline goes round as the first piece's face does, anticlockwise as seen from outside of it.
    one, other = (contact.first, contact.second)[:: 1 if normal[across] > 0 else -1]
    return Meeting(one, other, across, contact)
