"""The parts as placed in space: whether they overlap, whether joints touch, and what the whole comes to.

Everything is decided on the exact sizes, before any rounding: square parts close exactly. A part's finished size is
rounded once to the shop's step, so at the bench each part may differ by at most half a step from what is checked here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import Final

Corner = tuple[Fraction, Fraction, Fraction]
#: Lower and upper ends along x, y and z, then the place of the part in the list.
_Ends = tuple[int, int, int, int, int, int, int]

#: Above this many digits in common the ends are compared as fractions: slower, but they can't grow without end.
_MOST_BITS: Final = 2000


@dataclass(frozen=True, slots=True)
class Placed:
    """One piece of a part in space: the corner nearest the front left at the floor and the extents, nm, exact."""

    part: str
    number: int
    corner: Corner
    extent: Corner


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two kinds of part that stand in each other: the first such pieces, and how many pairs there are."""

    first: tuple[str, int]
    second: tuple[str, int]
    pairs: int


def whole_ends(placed: Sequence[Placed]) -> tuple[list[_Ends], int]:
    """The ends of the pieces as whole numbers of a common fraction of a nanometre, and that fraction's divisor.

    Where no sensible common divisor exists the ends stay fractions, and the divisor is 1.
    """
    divisor = 1
    for each in placed:
        divisor = lcm(divisor, *(value.denominator for value in (*each.corner, *each.extent)))
        if divisor.bit_length() > _MOST_BITS:
            return [_fraction_ends(place, each) for place, each in enumerate(placed)], 1
    ends = []
    for place, each in enumerate(placed):
        x, y, z = (value.numerator * (divisor // value.denominator) for value in each.corner)
        wide, deep, tall = (value.numerator * (divisor // value.denominator) for value in each.extent)
        ends.append((x, x + wide, y, y + deep, z, z + tall, place))
    return ends, divisor


def _fraction_ends(place: int, each: Placed) -> _Ends:
    x, y, z = each.corner
    wide, deep, tall = each.extent
    return (x, x + wide, y, y + deep, z, z + tall, place)  # type: ignore[return-value]


def find_overlaps(placed: Sequence[Placed]) -> list[Overlap]:
    """The kinds of part that share a space of positive volume, each pair of kinds once. Touching is no overlap."""
    ends, _ = whole_ends(placed)
    pairs: Counter[tuple[str, str]] = Counter()
    first_seen: dict[tuple[str, str], tuple[int, int]] = {}
    for one, other in _overlapping(ends):
        low, high = sorted((one, other))
        kinds = (placed[low].part, placed[high].part)
        pairs[kinds] += 1
        first_seen[kinds] = min(first_seen.get(kinds, (low, high)), (low, high))
    found = []
    for kinds, count in pairs.items():
        low, high = first_seen[kinds]
        found.append(Overlap((placed[low].part, placed[low].number), (placed[high].part, placed[high].number), count))
    return sorted(found, key=lambda overlap: (overlap.first, overlap.second))


def _overlapping(ends: list[_Ends]) -> Iterator[tuple[int, int]]:
    """Pairs of places whose boxes overlap, by a sweep along the axis on which the boxes are shortest."""
    if not ends:
        return
    along = min((0, 2, 4), key=lambda axis: _crowding(ends, axis))
    across, upward = (axis for axis in (0, 2, 4) if axis != along)
    until, deep, tall = along + 1, across + 1, upward + 1
    waiting: list[_Ends] = []
    for box in sorted(ends, key=lambda each: each[along]):
        start, low, high, bottom, top = box[along], box[across], box[deep], box[upward], box[tall]
        waiting = [other for other in waiting if other[until] > start]
        for other in waiting:
            if other[across] < high and low < other[deep] and other[upward] < top and bottom < other[tall]:
                yield other[6], box[6]
        waiting.append(box)


def _crowding(ends: list[_Ends], axis: int) -> Fraction:
    """How much of an axis the boxes take up together, against what the whole takes up."""
    whole = max(box[axis + 1] for box in ends) - min(box[axis] for box in ends)
    return Fraction(sum(box[axis + 1] - box[axis] for box in ends)) / (whole or 1)


def untouched(placed: Sequence[Placed], source: str, into: str) -> list[tuple[str, int]]:
    """The pieces of `source` that touch no piece of `into` on a face of positive area."""
    ends, _ = whole_ends([each for each in placed if each.part in (source, into)])
    pieces = [each for each in placed if each.part in (source, into)]
    reached = [box for box in ends if pieces[box[6]].part == into]
    return [
        (pieces[box[6]].part, pieces[box[6]].number)
        for box in ends
        if pieces[box[6]].part == source and not any(_touch(box, other) for other in reached if other is not box)
    ]


def _touch(one: _Ends, other: _Ends) -> bool:
    """Whether two boxes share a face: they meet on one axis and overlap on the other two."""
    meets = False
    for axis in (0, 2, 4):
        low, high = max(one[axis], other[axis]), min(one[axis + 1], other[axis + 1])
        if low > high or (low == high and meets):
            return False
        meets = meets or low == high
    return meets


def overall(placed: Iterable[Placed]) -> Mapping[str, tuple[Fraction, Fraction]]:
    """The lowest and highest ends of the whole along x, y and z, nm, exact; empty where nothing is placed."""
    pieces = tuple(placed)
    if not pieces:
        return {}
    return {
        axis: (
            min(each.corner[place] for each in pieces),
            max(each.corner[place] + each.extent[place] for each in pieces),
        )
        for place, axis in enumerate("xyz")
    }
