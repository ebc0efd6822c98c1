"""The most that rectangles of every size can hold, from what single pieces are worth: filled over all cuts.

Cutting a rectangle in two in every way, each part the best there is of its size: the recursion of
'Multistage cutting stock problems of two and more dimensions', Operations Research 13 (1965). Cuts are tried at raster
points alone, after 'Zuschnittprobleme und ihre praktische Loesung' (1987).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from webapp.costing.cutting.laying.compiled import compiled

Table = NDArray[np.int32]
Places = NDArray[np.int64]

DENSE: Final = 0.6
"""From this share of all whole sizes on, all of them are taken as points: cuts then run through memory in order."""

# Of a leaf: the place in the table of the least rectangle of its worth, where it lies, what was cut off for it.
PLACE_ALONG, PLACE_ACROSS, LEFT, LOW, LONG, HIGH = range(6)
LEAF_COLUMNS: Final = 6

_AXIS: Final = "int64[::1], int64[::1], int64[::1]"


class Axis:
    """The raster points of one direction, and for each what is left beyond every cut worth trying: places 1, 2, 3...

    The rests of all points stand one after another; those of a point begin at its place in `starts`.
    """

    def __init__(self, sizes: Iterable[int], wholes: Sequence[int], *, may_fill_up: bool) -> None:
        self.points = raster_points(sizes, wholes)
        self.dense = may_fill_up and len(self.points) >= DENSE * (max(wholes) + 1)
        if self.dense:
            self.points = np.arange(max(wholes) + 1, dtype=np.int64)
        self.place_of: Places = np.searchsorted(self.points, np.arange(max(wholes) + 1), side="right") - 1
        """The place of the largest point not above each size."""
        # Only the lesser part is tried from 1 on: part 0 has no size, and the parts may change sides.
        numbers = np.searchsorted(self.points, self.points // 2, side="right") - 1
        self.starts: Places = np.concatenate(([0], np.cumsum(numbers)))
        self.rests: Places = np.empty(int(self.starts[-1]), dtype=np.int64)
        for place, point in enumerate(self.points):
            beyond = self.place_of[point - self.points[1 : numbers[place] + 1]]
            self.rests[self.starts[place] : self.starts[place + 1]] = beyond

    def first_place_for(self, size: int) -> int:
        """The place of the least point that holds a size."""
        return int(np.searchsorted(self.points, size))


def filled(single: Table, along: Axis, across: Axis) -> Table:
    """The most that a rectangle up to each pair of points can hold, if one piece at most is worth `single` there."""
    table = single.copy()
    _fill(table, along.rests, along.starts, across.rests, across.starts, across.dense)
    return table


@compiled("void(int32[:, ::1], int64[::1], int64[::1], int64[::1], int64[::1], boolean)")
def _fill(
    table: Table, along_rests: Places, along_starts: Places, across_rests: Places, across_starts: Places, dense: bool
) -> None:
    """Row by row: first every cut of the rows before in two, then every cut within the row, small sizes first."""
    rows, width = table.shape
    for place in range(rows):
        row = table[place]
        if place > 0:
            for y in range(width):
                row[y] = max(row[y], table[place - 1, y])
        start = along_starts[place]
        for part in range(1, along_starts[place + 1] - start + 1):
            one, other = table[part], table[along_rests[start + part - 1]]
            for y in range(width):
                row[y] = max(row[y], np.int32(one[y] + other[y]))
        for y in range(1, width):
            best = max(row[y], row[y - 1])
            if not dense:
                start = across_starts[y]
                for part in range(1, across_starts[y + 1] - start + 1):
                    best = max(best, np.int32(row[part] + row[across_rests[start + part - 1]]))
                row[y] = best
                continue
            # Where every size is a point, what a size makes of the larger ones is quicker to tell than to ask.
            row[y] = best
            most = min(y, width - 1 - y)
            larger, beside = row[y + 1 : y + 1 + most], row[1 : 1 + most]
            for part in range(most):
                larger[part] = max(larger[part], np.int32(best + beside[part]))


def leaves_of(
    table: Table, single: Table, along: Axis, across: Axis, whole: tuple[int, int, int, int], most: int
) -> Places:
    """The pieces, at most so many, of one best way to cut a rectangle, given as its corner and its sizes."""
    leaves = np.empty((most, LEAF_COLUMNS), dtype=np.int64)
    number = _read(
        table,
        single,
        along.points,
        along.place_of,
        along.rests,
        along.starts,
        across.points,
        across.place_of,
        across.rests,
        across.starts,
        *whole,
        leaves,
    )
    return leaves[:number]


@compiled(
    f"int64(int32[:, ::1], int32[:, ::1], int64[::1], {_AXIS}, int64[::1], {_AXIS}, int64, int64, int64, int64, "
    "int64[:, ::1])"
)
def _read(
    table: Table,
    single: Table,
    along_points: Places,
    along_place_of: Places,
    along_rests: Places,
    along_starts: Places,
    across_points: Places,
    across_place_of: Places,
    across_rests: Places,
    across_starts: Places,
    x: int,
    y: int,
    along: int,
    across: int,
    leaves: Places,
) -> int:
    number = 0
    # Of the parts that wait at any time, all but the last hold a piece each.
    waiting = np.empty((leaves.shape[0] + 2, 4), dtype=np.int64)
    waiting[0, 0], waiting[0, 1], waiting[0, 2], waiting[0, 3] = x, y, along, across
    left = 1
    while left:
        left -= 1
        x, y, along, across = waiting[left, 0], waiting[left, 1], waiting[left, 2], waiting[left, 3]
        i, j = along_place_of[along], across_place_of[across]
        value = table[i, j]
        if value == 0:
            continue
        # The smallest rectangle of the same worth: what is beyond it is left over.
        i = np.searchsorted(table[:, j], value)
        j = np.searchsorted(table[i], value)
        if single[i, j] == value:
            leaves[number, PLACE_ALONG], leaves[number, PLACE_ACROSS] = i, j
            leaves[number, LEFT], leaves[number, LOW] = x, y
            leaves[number, LONG], leaves[number, HIGH] = along, across
            number += 1
            continue
        cut = 0
        for part in range(1, along_starts[i + 1] - along_starts[i] + 1):
            if table[part, j] + table[along_rests[along_starts[i] + part - 1], j] == value:
                cut = along_points[part]
                break
        if cut:
            waiting[left, 0], waiting[left, 1], waiting[left, 2], waiting[left, 3] = x + cut, y, along - cut, across
            left += 1
            waiting[left, 0], waiting[left, 1], waiting[left, 2], waiting[left, 3] = x, y, cut, across
            left += 1
            continue
        for part in range(1, across_starts[j + 1] - across_starts[j] + 1):
            if table[i, part] + table[i, across_rests[across_starts[j] + part - 1]] == value:
                cut = across_points[part]
                break
        waiting[left, 0], waiting[left, 1], waiting[left, 2], waiting[left, 3] = x, y + cut, along, across - cut
        left += 1
        waiting[left, 0], waiting[left, 1], waiting[left, 2], waiting[left, 3] = x, y, along, cut
        left += 1
    return number


def raster_points(sizes: Iterable[int], wholes: Sequence[int]) -> Places:
    """Every sum of sizes that can matter in a cut of one of the wholes, with 0 and what each whole comes down to."""
    reach, mask = 1, (1 << (max(wholes) + 1)) - 1
    for size in sorted(set(sizes)):
        step = size
        while step <= max(wholes):
            reach |= (reach << step) & mask
            step *= 2
    bits = bin(reach)[:1:-1]
    normal = np.array([place for place, bit in enumerate(bits) if bit == "1"], dtype=np.int64)
    raster = {0}
    for whole in wholes:
        within = normal[normal <= whole]
        raster.update(within[np.searchsorted(within, whole - within, side="right") - 1].tolist())
    return np.array(sorted(raster), dtype=np.int64)
