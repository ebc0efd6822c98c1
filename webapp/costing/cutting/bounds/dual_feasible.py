"""Dual feasible functions: they change lengths so that whatever fitted end to end into the whole still fits.

So for pieces that lie in one sheet, the products of changed lengths and changed widths never add to more than the
sheet's own, and a sum over all pieces bounds the sheets from below. Families and their proofs:
'New classes of fast lower bounds for bin packing problems', Mathematical Programming 91 (2001), and
'New reduction procedures and lower bounds for the two-dimensional bin packing problem with
fixed orientation', Computers & Operations Research 34 (2007).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Sizes = NDArray[np.int64]
MOST_ROUNDED = 10


@dataclass(frozen=True, slots=True)
class DualFunctions:
    """A row of functions: the plain one, one of each threshold, one of each rounding count, one of each step."""

    thresholds: Sizes
    counts: Sizes

    def changed(self, sizes: Sizes, whole: int) -> tuple[Sizes, Sizes]:
        """The changed sizes (each from 0 to `whole`) over the changed whole: [function, size] and [function].

        A threshold of more than half the whole is no dual feasible function; the plain one stands in its place.
        """
        allowed = 2 * self.thresholds[:, None] <= whole
        threshold = np.where(allowed, self.thresholds[:, None], 1)
        count = self.counts[:, None]
        all_or_nothing = np.where(sizes > whole - threshold, whole, np.where(sizes < threshold, 0, sizes))
        steps = (count + 1) * sizes
        rounded = np.where(steps % whole == 0, sizes * count, steps // whole * whole)
        top = whole // threshold
        below = 2 * (sizes // threshold)
        above = 2 * (top - (whole - sizes) // threshold)
        stepped = np.where(2 * sizes > whole, above, np.where(2 * sizes == whole, top, below))
        numerators = np.concatenate((sizes[None, :], np.where(allowed, all_or_nothing, sizes), rounded, stepped))
        wholes = np.concatenate(([whole], np.full(len(threshold), whole), whole * self.counts, 2 * top[:, 0]))
        return numerators, wholes.astype(np.int64)


def dual_functions(sizes: Iterable[int], whole: int, most: int) -> DualFunctions:
    """The functions whose parameters the sizes suggest, at most `most` thresholds and as many steps."""
    suggested = set() if whole <= 1 else {1, whole // 2}
    for size in sizes:
        suggested |= {size, whole - size + 1}
    useful = sorted(threshold for threshold in suggested if 0 < 2 * threshold <= whole)
    if len(useful) > most:
        useful = [useful[place * len(useful) // most] for place in range(most)]
    counts = range(1, min(most, MOST_ROUNDED) + 1) if whole > 1 else ()
    return DualFunctions(np.array(useful, dtype=np.int64), np.array(counts, dtype=np.int64))
