"""Where square pieces meet: the rectangles that their faces share, exactly, and what a joint comes to by them.

All is whole numbers of a common fraction of a nanometre, so a meeting is there or it is not. A piece with mitred ends
is not looked at: what its ends share is said by the design.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from webapp.costing.space.boxes import BoxContact, contacts_of_boxes
from webapp.costing.takeoff.solid import Placed


@dataclass(frozen=True, slots=True)
class Meeting:
    """Two pieces, by their places in the list, that share a rectangle of their faces.

    The faces meet across the axis `across` (0 x, 1 y, 2 z), where `one` ends and `other` begins.
    """

    one: int
    other: int
    across: int
    contact: BoxContact

    @property
    def whole_sides(self) -> tuple[int, int]:
        """The longer and the shorter side, in whole numbers of which the contact's divisor make a nanometre."""
        met = self.contact
        first, second = met.high_one - met.low_one, met.high_two - met.low_two
        return (first, second) if first >= second else (second, first)

    @property
    def sides(self) -> tuple[Fraction, Fraction]:
        """The longer and the shorter side, nm."""
        return self.contact.run, self.contact.width

    @property
    def along(self) -> int:
        """The axis of the longer side."""
        first, second = (axis for axis in range(3) if axis != self.across)
        met = self.contact
        return first if met.high_one - met.low_one >= met.high_two - met.low_two else second

    @property
    def low(self) -> tuple[Fraction, Fraction, Fraction]:
        """The lower corner of the rectangle, nm."""
        return self.contact.rectangle[0]

    @property
    def high(self) -> tuple[Fraction, Fraction, Fraction]:
        """The upper corner of the rectangle, nm."""
        return self.contact.rectangle[1]


class Meetings:
    """All meetings of the pieces of one finished thing, by the kinds of part that meet."""

    def __init__(self, placed: Sequence[Placed]) -> None:
        self.placed = placed
        self._by_parts: dict[tuple[str, str], list[Meeting]] = {}
        self._of_piece: dict[int, list[Meeting]] = {}
        for meeting in _find(placed):
            parts = (placed[meeting.one].part, placed[meeting.other].part)
            self._by_parts.setdefault(parts, []).append(meeting)
            for place in (meeting.one, meeting.other):
                self._of_piece.setdefault(place, []).append(meeting)

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

    def across(self, source: str, into: Sequence[str], depth: int = 0) -> Mapping[int, int]:
        """How many meetings of a joint lie across each axis."""
        return Counter(meeting.across for one in into for meeting in self.between(source, one, depth))


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
    if not found:
        return Lines((), Fraction(0), ())
    divisor = found[0].contact.divisor
    sides = Counter(meeting.whole_sides for meeting in found)
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


def _find(placed: Sequence[Placed]) -> list[Meeting]:
    """Pairs of pieces with a face of positive area in common."""
    square = [(place, piece) for place, piece in enumerate(placed) if piece.slant is None]
    return [
        Meeting(square[contact.first][0], square[contact.second][0], contact.axis, contact)
        for contact in contacts_of_boxes([piece for _, piece in square])
    ]
