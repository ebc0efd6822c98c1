"""Where square pieces meet: the rectangles that their faces share, exactly, and what a joint comes to by them.

All is whole numbers of a common fraction of a nanometre, so a meeting is there or it is not. A piece with mitred ends
is not looked at: what its ends share is said by the design.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from webapp.costing.takeoff.solid import Ends, Placed, crowding, whole_ends


@dataclass(frozen=True, slots=True)
class Meeting:
    """Two pieces, by their places in the list, that share a rectangle of their faces.

    The faces meet across the axis `across` (0 x, 1 y, 2 z), where `one` ends and `other` begins. `low` and `high` are
    the ends of the rectangle along the three axes, nm.
    """

    one: int
    other: int
    across: int
    low: tuple[Fraction, Fraction, Fraction]
    high: tuple[Fraction, Fraction, Fraction]

    @property
    def sides(self) -> tuple[Fraction, Fraction]:
        """The longer and the shorter side, nm."""
        first, second = (self.high[axis] - self.low[axis] for axis in range(3) if axis != self.across)
        return max(first, second), min(first, second)

    @property
    def along(self) -> int:
        """The axis of the longer side."""
        axes = [axis for axis in range(3) if axis != self.across]
        return max(axes, key=lambda axis: self.high[axis] - self.low[axis])


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
    runs = Counter(meeting.sides[0] for meeting in found)
    area = sum((meeting.sides[0] * meeting.sides[1] for meeting in found), Fraction(0))
    widths = tuple(sorted({meeting.sides[1] for meeting in found}, reverse=True))
    return Lines(tuple(sorted(runs.items(), reverse=True)), area, widths)


def _find(placed: Sequence[Placed]) -> list[Meeting]:
    """Pairs of pieces with a face of positive area in common, by a sweep along the axis that crowds least."""
    square = [(place, piece) for place, piece in enumerate(placed) if piece.slant is None]
    if not square:
        return []
    divisor, ends = whole_ends([piece for _, piece in square])
    along = min((0, 2, 4), key=lambda axis: crowding(ends, axis))
    found: list[Meeting] = []
    waiting: list[Ends] = []
    for box in sorted(ends, key=lambda each: each[along]):
        start = box[along]
        waiting = [other for other in waiting if other[along + 1] >= start]
        found += [met for other in waiting if (met := _meet(other, box, divisor, square)) is not None]
        waiting.append(box)
    return sorted(found, key=lambda met: (met.one, met.other))


def _meet(one: Ends, other: Ends, divisor: int, square: Sequence[tuple[int, Placed]]) -> Meeting | None:
    across, low, high = -1, [], []
    for axis in (0, 2, 4):
        begin, end = max(one[axis], other[axis]), min(one[axis + 1], other[axis + 1])
        if begin > end or (begin == end and across >= 0):
            return None
        if begin == end:
            across = axis // 2
        low.append(begin)
        high.append(end)
    if across < 0:
        return None
    if one[2 * across + 1] != other[2 * across]:
        one, other = other, one
    x, y, z = (Fraction(end) / divisor for end in low)
    right, back, top = (Fraction(end) / divisor for end in high)
    return Meeting(square[one[6]][0], square[other[6]][0], across, (x, y, z), (right, back, top))
