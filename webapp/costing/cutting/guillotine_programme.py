"""The most that any one sheet can be worth, by dynamic programming over all ways to cut it from edge to edge.

Pieces may be taken as often as one likes, so what it finds is at least what any real sheet can hold: a bound. The
recursion over the two cuts is that of Gilmore and Gomory, 'Multistage cutting stock problems of two and more
dimensions', Operations Research 13 (1965); cuts are tried at raster points alone, after Terno, Lindemann and
Scheithauer, 'Zuschnittprobleme und ihre praktische Loesung' (1987), and the values are swept over whole axes at a
time until none grows.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Whole = NDArray[np.int32]
Places = NDArray[np.intp]

MOST_VALUE = 2**30
"""No sum of values may reach this: they are kept as 32-bit whole numbers."""


@dataclass(frozen=True, slots=True)
class Box:
    """One way in which a piece of some kind may lie."""

    kind: int
    shape: int
    along: int
    across: int


@dataclass(frozen=True, slots=True)
class Leaf:
    """A piece of a pattern: what lies there, its corner, and the part of the sheet that was cut off for it."""

    box: Box
    x: int
    y: int
    along: int
    across: int


class Axis:
    """The raster points of one direction, and for each the places of the two parts of every cut worth trying."""

    def __init__(self, sizes: Iterable[int], wholes: Sequence[int]) -> None:
        self.points = raster_points(sizes, wholes)
        self.listed: list[int] = self.points.tolist()
        count = len(self.points)
        self.cuts: list[tuple[int, Places]] = []
        entries = 0
        for place in range(count):
            point = self.points[place]
            # Only the lesser part is tried from 1 on: part 0 has no size, and the parts may change sides.
            last = int(np.searchsorted(self.points, point // 2, side="right"))
            rest = np.searchsorted(self.points, point - self.points[1:last], side="right") - 1
            self.cuts.append((last, rest))
            entries += max(last - 1, 0)
        self.entries = entries

    def place_of(self, size: int) -> int:
        """The place of the largest point not above a size."""
        return bisect_right(self.listed, size) - 1

    def first_place_for(self, size: int) -> int:
        """The place of the least point that holds a size."""
        return bisect_left(self.listed, size)


class GuillotineProgramme:
    """Values of all rectangles between raster points for given values of the pieces."""

    def __init__(self, boxes: Sequence[Box], sheets: Sequence[tuple[int, int]]) -> None:
        self.boxes = list(boxes)
        self.sheets = list(sheets)
        self.along = Axis((box.along for box in boxes), [along for along, _ in sheets])
        self.across = Axis((box.across for box in boxes), [across for _, across in sheets])
        self.work = self.along.entries * len(self.across.points) + self.across.entries * len(self.along.points)
        """How many sums one sweep in each direction takes."""
        self.corners = [
            (self.along.first_place_for(box.along), self.across.first_place_for(box.across)) for box in self.boxes
        ]
        self.table: Whole = np.zeros((1, 1), dtype=np.int32)
        self.single: Whole = self.table
        self.values: list[int] = []
        self.boxes_worth: defaultdict[int, list[tuple[Box, int, int]]] = defaultdict(list)

    def solve(self, values: Sequence[int]) -> None:
        """Fill the table for the values of the kinds; `worth` and `pattern` then read it."""
        self.values = list(values)
        self.boxes_worth.clear()
        shape = len(self.along.points), len(self.across.points)
        single = np.zeros(shape, dtype=np.int32)
        for box, corner in zip(self.boxes, self.corners, strict=True):
            self.boxes_worth[values[box.kind]].append((box, *corner))
            if corner[0] < shape[0] and corner[1] < shape[1] and values[box.kind] > single[corner]:
                single[corner] = values[box.kind]
        np.maximum.accumulate(single, axis=0, out=single)
        np.maximum.accumulate(single, axis=1, out=single)
        self.single = single
        table = single.copy()
        # A cut along one axis leaves the other size as it is: only what changed since the last sweep is swept again.
        lines = np.arange(shape[1])
        while len(lines):
            lines = _sweep(table, self.along, lines)
            if len(lines):
                lines = _sweep(table.T, self.across, lines)
        self.table = table

    def worth(self, along: int, across: int) -> int:
        """The most that a rectangle of this size can hold."""
        return int(self.table[self.along.place_of(along), self.across.place_of(across)])

    def pattern(self, along: int, across: int, x: int = 0, y: int = 0) -> list[Leaf]:
        """The pieces of one best way to cut a rectangle that lies at x, y."""
        leaves: list[Leaf] = []
        open_parts = [(along, across, x, y)]
        table, ways, rows = self.table, self.along, self.across
        while open_parts:
            along, across, x, y = open_parts.pop()
            i, j = ways.place_of(along), rows.place_of(across)
            value = table[i, j]
            if not value:
                continue
            # The smallest rectangle of the same worth: what is beyond it is left over.
            i = int(table[: i + 1, j].searchsorted(value))
            j = int(table[i, : j + 1].searchsorted(value))
            if self.single[i, j] == value:
                leaves.append(Leaf(self._box_within(i, j), x, y, along, across))
                continue
            last, rest = ways.cuts[i]
            hits = (table[1:last, j] + table[rest, j] == value).nonzero()[0]
            if len(hits):
                first = ways.listed[1 + int(hits[0])]
                open_parts += [(along - first, across, x + first, y), (first, across, x, y)]
                continue
            last, rest = rows.cuts[j]
            hits = (table[i, 1:last] + table[i, rest] == value).nonzero()[0]
            first = rows.listed[1 + int(hits[0])]
            open_parts += [(along, across - first, x, y + first), (along, first, x, y)]
        return leaves

    def _box_within(self, i: int, j: int) -> Box:
        """A box worth the most of those that a rectangle holds."""
        return next(
            box for box, along, across in self.boxes_worth[int(self.single[i, j])] if along <= i and across <= j
        )


def _sweep(table: Whole, axis: Axis, lines: Places) -> Places:
    """Cut along the first axis in every way, small rectangles first, on some lines; which places of the axis grew."""
    part = np.ascontiguousarray(table[:, lines])
    before = part.copy()
    for place in range(1, len(axis.points)):
        row = part[place]
        np.maximum(row, part[place - 1], out=row)
        last, rest = axis.cuts[place]
        if last > 1:
            sums = part[rest]
            sums += part[1:last]
            np.maximum(row, sums.max(axis=0), out=row)
    table[:, lines] = part
    return np.flatnonzero((part != before).any(axis=1))


def raster_points(sizes: Iterable[int], wholes: Sequence[int]) -> NDArray[np.int64]:
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
