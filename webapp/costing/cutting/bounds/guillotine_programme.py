"""The most that any one sheet can be worth, by dynamic programming over all ways to cut it from edge to edge.

Pieces may be taken as often as one likes, so what it finds is at least what any real sheet can hold: a bound.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from webapp.costing.cutting.bounds.guillotine_table import Axis, Places, Table, filled, leaves_of

MOST_VALUE = 2**30
"""No sum of values may reach this: they are kept as 32-bit whole numbers."""


class Box(NamedTuple):
    """One way in which a piece of some kind may lie."""

    kind: int
    shape: int
    along: int
    across: int


class Leaf(NamedTuple):
    """A piece of a pattern: what lies there, its corner, and the part of the sheet that was cut off for it."""

    box: Box
    x: int
    y: int
    along: int
    across: int


@dataclass(frozen=True, slots=True)
class Corner:
    """The boxes that fit in a sheet's corner, and the places in the table of what then lies around each."""

    boxes: list[int]
    whole: tuple[int, int]
    along: Places
    across: Places
    right: Places
    above: Places


class GuillotineProgramme:
    """Values of all rectangles between raster points for given values of the pieces."""

    def __init__(self, boxes: Sequence[Box], sheets: Sequence[tuple[int, int]]) -> None:
        self.boxes = list(boxes)
        self.sheets = list(sheets)
        alongs, acrosses = [along for along, _ in sheets], [across for _, across in sheets]
        # Whole rows are added up in any case: more points along would only be more rows.
        self.along = Axis((box.along for box in boxes), alongs, may_fill_up=False)
        self.across = Axis((box.across for box in boxes), acrosses, may_fill_up=True)
        rests = len(self.along.rests), len(self.across.rests)
        self.work = rests[0] * len(self.across.points) + rests[1] * len(self.along.points)
        """How many sums all cuts of all rectangles take."""
        self.corners = [
            (self.along.first_place_for(box.along), self.across.first_place_for(box.across)) for box in self.boxes
        ]
        self.in_corner = [self._in_corner(*sheet) for sheet in sheets]
        least = min((box.along for box in boxes), default=1), min((box.across for box in boxes), default=1)
        self.most_leaves = (max(alongs, default=0) // least[0]) * (max(acrosses, default=0) // least[1])
        self.table: Table = np.zeros((1, 1), dtype=np.int32)
        self.single: Table = self.table
        self.values_of_boxes = np.zeros(len(boxes), dtype=np.int64)
        self.boxes_worth: defaultdict[int, list[tuple[Box, int, int]]] = defaultdict(list)

    def solve(self, values: Sequence[int]) -> None:
        """Fill the table for the values of the kinds; `worth` and `pattern` then read it."""
        self.values_of_boxes = np.array([values[box.kind] for box in self.boxes], dtype=np.int64)
        self.boxes_worth.clear()
        shape = len(self.along.points), len(self.across.points)
        single = np.zeros(shape, dtype=np.int32)
        for box, corner in zip(self.boxes, self.corners, strict=True):
            self.boxes_worth[values[box.kind]].append((box, *corner))
            if corner[0] < shape[0] and corner[1] < shape[1] and values[box.kind] > single[corner]:
                single[corner] = values[box.kind]
        np.maximum.accumulate(single, axis=0, out=single)
        np.maximum.accumulate(single, axis=1, out=single)
        self.single, self.table = single, filled(single, self.along, self.across)

    def worth(self, along: int, across: int) -> int:
        """The most that a rectangle of this size can hold."""
        return int(self.table[self.along.place_of[along], self.across.place_of[across]])

    def with_each(self, sheet: int, above: float, most: int) -> list[list[Leaf]]:
        """For each kind the best pattern of a sheet with one of it in the corner, if it is worth more than `above`.

        The best come first, at most so many of them.
        """
        corner, table = self.in_corner[sheet], self.table
        values = self.values_of_boxes[corner.boxes]
        across_first = table[corner.right, corner.whole[1]] + table[corner.along, corner.above]
        along_first = table[corner.right, corner.across] + table[corner.whole[0], corner.above]
        worths = np.where(values > 0, values + np.maximum(across_first, along_first), -1)
        seen: set[int] = set()
        patterns: list[list[Leaf]] = []
        for place in np.argsort(-worths, kind="stable").tolist():
            box = self.boxes[corner.boxes[place]]
            if worths[place] <= above or len(patterns) == most:
                break
            if box.kind not in seen:
                patterns.append(self._with(box, sheet, bool(across_first[place] >= along_first[place])))
                seen.update(leaf.box.kind for leaf in patterns[-1])
        return patterns

    def _with(self, box: Box, sheet: int, across_first: bool) -> list[Leaf]:
        along, across = self.sheets[sheet]
        right, above = along - box.along, across - box.across
        if across_first:
            parts = ((right, across, box.along, 0), (box.along, above, 0, box.across))
        else:
            parts = ((right, box.across, box.along, 0), (along, above, 0, box.across))
        return [Leaf(box, 0, 0, along, across), *(leaf for part in parts for leaf in self.pattern(*part))]

    def pattern(self, along: int, across: int, x: int = 0, y: int = 0) -> list[Leaf]:
        """The pieces of one best way to cut a rectangle that lies at x, y."""
        whole = x, y, along, across
        found = leaves_of(self.table, self.single, self.along, self.across, whole, self.most_leaves)
        return [Leaf(self._box_within(i, j), left, low, long, high) for i, j, left, low, long, high in found.tolist()]

    def _in_corner(self, along: int, across: int) -> Corner:
        fitting = [place for place, box in enumerate(self.boxes) if box.along <= along and box.across <= across]

        def places(axis: Axis, sizes: Iterable[int]) -> Places:
            return np.array([axis.place_of[size] for size in sizes], dtype=np.intp)

        boxes = [self.boxes[place] for place in fitting]
        return Corner(
            boxes=fitting,
            whole=(self.along.place_of[along], self.across.place_of[across]),
            along=places(self.along, (box.along for box in boxes)),
            across=places(self.across, (box.across for box in boxes)),
            right=places(self.along, (along - box.along for box in boxes)),
            above=places(self.across, (across - box.across for box in boxes)),
        )

    def _box_within(self, i: int, j: int) -> Box:
        """A box worth the most of those that a rectangle holds."""
        for box, along, across in self.boxes_worth[int(self.single[i, j])]:
            if along <= i and across <= j:
                return box
        raise AssertionError("a value that no box has")
