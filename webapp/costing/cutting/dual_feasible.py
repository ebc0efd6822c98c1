"""Dual feasible functions: they change lengths so that whatever fitted end to end into the whole still fits.

So for pieces that lie in one sheet, the products of changed lengths and changed widths never add to more than the
sheet's own, and a sum over all pieces bounds the sheets from below. Families and their proofs: Fekete and Schepers,
'New classes of fast lower bounds for bin packing problems', Mathematical Programming 91 (2001), and Carlier,
Clautiaux and Moukrim, 'New reduction procedures and lower bounds for the two-dimensional bin packing problem with
fixed orientation', Computers & Operations Research 34 (2007).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

Sizes = NDArray[np.int64]


class Family(Enum):
    """How a function changes a length."""

    PLAIN = "plain"
    THRESHOLD = "threshold"
    ROUNDED = "rounded"
    STEPPED = "stepped"


@dataclass(frozen=True, slots=True)
class DualFunction:
    """One function; `parameter` is a length for THRESHOLD and STEPPED (at most half the whole), a count for ROUNDED."""

    family: Family
    parameter: int

    def suits(self, whole: int) -> bool:
        """Whether the function is dual feasible for this whole."""
        if self.family in (Family.THRESHOLD, Family.STEPPED):
            return 0 < 2 * self.parameter <= whole
        return True

    def changed(self, sizes: Sizes, whole: int) -> tuple[Sizes, int]:
        """The changed sizes (each from 0 to `whole`) as numerators over the changed whole."""
        parameter = self.parameter
        if self.family is Family.PLAIN:
            return sizes, whole
        if self.family is Family.THRESHOLD:
            return np.where(sizes > whole - parameter, whole, np.where(sizes < parameter, 0, sizes)), whole
        if self.family is Family.ROUNDED:
            steps = (parameter + 1) * sizes
            return np.where(steps % whole == 0, sizes * parameter, steps // whole * whole), whole * parameter
        top = whole // parameter
        above = 2 * (top - (whole - sizes) // parameter)
        below = 2 * (sizes // parameter)
        return np.where(2 * sizes > whole, above, np.where(2 * sizes == whole, top, below)), 2 * top


def dual_functions(sizes: Iterable[int], whole: int, most: int) -> list[DualFunction]:
    """The plain function and those whose parameters the sizes suggest, at most about `most` of each family."""
    suggested = set()
    for size in sizes:
        suggested |= {size, whole - size + 1, whole // 2}
    useful = sorted(threshold for threshold in suggested if 0 < 2 * threshold <= whole)
    if len(useful) > most:
        useful = [useful[place * len(useful) // most] for place in range(most)]
    found = [DualFunction(Family.PLAIN, 0)]
    if whole <= 1:
        return found
    found += [DualFunction(Family.THRESHOLD, threshold) for threshold in useful]
    found += [DualFunction(Family.ROUNDED, count) for count in range(1, min(most, 10) + 1)]
    found += [DualFunction(Family.STEPPED, threshold) for threshold in useful]
    return found
