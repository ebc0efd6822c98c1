"""The most that rectangles of every size can hold, from what single pieces are worth: filled over all cuts.

Cutting a rectangle in two in every way, each part the best there is of its size: the recursion of Gilmore and Gomory,
'Multistage cutting stock problems of two and more dimensions', Operations Research 13 (1965). Cuts are tried at raster
points alone, after Terno, Lindemann and Scheithauer, 'Zuschnittprobleme und ihre praktische Loesung' (1987).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

Whole = NDArray[np.int32]
Places = NDArray[np.intp]

DENSE: Final = 0.6
"""From this share of all whole sizes on, all of them are taken as points: then whole diagonals are filled at once."""
IMPOSSIBLE: Final = -(2**30)


class Axis:
    """The raster points of one direction, and for each what is left beyond every cut worth trying: places 1, 2, 3..."""

    def __init__(self, sizes: Iterable[int], wholes: Sequence[int]) -> None:
        self.points = raster_points(sizes, wholes)
        self.dense = len(self.points) >= DENSE * (max(wholes) + 1)
        if self.dense:
            self.points = np.arange(max(wholes) + 1, dtype=np.int64)
        self.listed: list[int] = self.points.tolist()
        every = np.arange(max(wholes) + 1)
        self.place_of: list[int] = (np.searchsorted(self.points, every, side="right") - 1).tolist()
        """The place of the largest point not above each size."""
        self.rests: list[Places] = []
        self.entries = 0
        for point in self.points:
            # Only the lesser part is tried from 1 on: part 0 has no size, and the parts may change sides.
            last = int(np.searchsorted(self.points, point // 2, side="right"))
            rest = np.searchsorted(self.points, point - self.points[1:last], side="right") - 1
            self.rests.append(rest)
            self.entries += len(rest)
        self.cuts: list[list[int]] = [rest.tolist() for rest in self.rests]

    def first_place_for(self, size: int) -> int:
        """The place of the least point that holds a size."""
        return bisect_left(self.listed, size)


def filled(single: Whole, along: Axis, across: Axis) -> Whole:
    """The most that a rectangle up to each pair of points can hold, if one piece at most is worth `single` there."""
    if along.dense and across.dense:
        return _by_diagonals(single)
    return _by_sweeps(single, along, across)


def _by_diagonals(single: Whole) -> Whole:
    """Sizes that add up to the same are filled together: the parts of each cut add up to less.

    The table is kept twice each way, once by size and once by the sum of the two sizes, so that both parts of the same
    cut of a whole diagonal lie in plain rectangles. `up` is the table with its axes changed.
    """
    long, wide = single.shape[0] - 1, single.shape[1] - 1
    mirrored = long == wide and bool((single == single.T).all())
    table, skewed = _empty(long, wide)
    up, up_skewed = (table, skewed) if mirrored else _empty(wide, long)
    flat, singles, step = table.reshape(-1), single.reshape(-1), wide
    for total in range(2, long + wide + 1):
        low, high = max(1, total - wide), min(long, total - 1)
        first, last = total - high, total - low
        diagonal = slice(low * (wide + 1) + last, high * (wide + 1) + first + 1, step)
        # By the second size, from the least to the greatest.
        best = singles[diagonal][::-1].copy()
        if high > 1:
            np.maximum(best, _best_cut(table, skewed, total, first, last, high // 2), out=best)
        if mirrored:
            np.maximum(best, best[::-1], out=best)
        elif last > 1:
            np.maximum(best, _best_cut(up, up_skewed, total, low, high, last // 2)[::-1], out=best)
        flat[diagonal] = best[::-1]
        skewed[total, first : last + 1] = best
        if not mirrored:
            up.reshape(-1)[first * (long + 1) + high : last * (long + 1) + low + 1 : long] = best
            up_skewed[total, low : high + 1] = best[::-1]
    return table


def _empty(long: int, wide: int) -> tuple[Whole, Whole]:
    return np.zeros((long + 1, wide + 1), dtype=np.int32), np.full((long + wide + 1, wide + 1), IMPOSSIBLE, np.int32)


def _best_cut(table: Whole, skewed: Whole, total: int, first: int, last: int, most: int) -> Whole:
    """The best cut of the first size in two, its lesser part up to `most`, for each second size from first to last."""
    parts: Whole = table[1 : most + 1, first : last + 1] + skewed[total - most : total, first : last + 1][::-1]
    best: Whole = np.maximum.reduce(parts, axis=0)
    return best


def _by_sweeps(single: Whole, along: Axis, across: Axis) -> Whole:
    """Whole axes at a time, until no value grows."""
    table = single.copy()
    _sweep(table, along, np.arange(table.shape[1]))
    # A cut along one axis leaves the other size as it is: from here on only what has changed is swept again.
    lines = np.arange(table.shape[0])
    while len(lines):
        lines = _sweep(table.T, across, lines)
        if len(lines):
            lines = _sweep(table, along, lines)
    return table


def _sweep(table: Whole, axis: Axis, lines: Places) -> Places:
    """Cut along the first axis in every way, small rectangles first, on some lines; which places of the axis grew."""
    part = np.ascontiguousarray(table[:, lines])
    before = part.copy()
    for place in range(1, len(axis.points)):
        row = part[place]
        np.maximum(row, part[place - 1], out=row)
        rest = axis.rests[place]
        if len(rest):
            sums = part[rest]
            sums += part[1 : len(rest) + 1]
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
