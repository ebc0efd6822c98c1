"""What each piece is worth, so that no sheet can ever hold more worth than its own weight.

The sum over all pieces then bounds the weights of the sheets from below. With the sheet's area, its price or one for
every sheet as weights this bounds the area, the price or the number of sheets.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from webapp.costing.cutting.dual_feasible import DualFunction, Sizes, dual_functions
from webapp.costing.cutting.sheet_problem import Sheet, SheetProblem

Pair = tuple[DualFunction, DualFunction]


class PieceWorth:
    """The worth of a problem's pieces on the sheets `present`, for pairs of dual feasible functions."""

    def __init__(self, problem: SheetProblem, present: tuple[int, ...]) -> None:
        kinds = problem.kinds
        self.problem = problem
        self.present = present
        self.along: Sizes = np.array([kind.along for kind in kinds], dtype=np.int64)
        self.across: Sizes = np.array([kind.across for kind in kinds], dtype=np.int64)
        self.may_turn = np.array([kind.may_turn for kind in kinds], dtype=np.bool_)
        self.count = np.array([kind.count for kind in kinds], dtype=np.float64)
        most = 14 if len(kinds) <= 60 else 10 if len(kinds) <= 150 else 5 if len(kinds) <= 600 else 2
        lying = set(self.along.tolist()) | set(self.across[self.may_turn].tolist())
        standing = set(self.across.tolist()) | set(self.along[self.may_turn].tolist())
        self.functions_along = dual_functions(lying, max(problem.sheets[s].along for s in present), most)
        self.functions_across = dual_functions(standing, max(problem.sheets[s].across for s in present), most)
        self.tables = {
            mirrored: [self._table(problem.sheets[place], mirrored) for place in present]
            for mirrored in ((False, True) if self._may_mirror() else (False,))
        }

    def demand(self, weights: list[int]) -> Fraction:
        """The most that the pieces are worth together under any of the pairs; `weights` has one entry a sheet."""
        values = self.values(weights)
        kinds = self.problem.kinds
        return sum((value * kind.count for value, kind in zip(values, kinds, strict=True)), Fraction(0))

    def values(self, weights: list[int]) -> list[Fraction]:
        """The worth of each kind under the best pair, exactly; 0 for a kind that none of the sheets holds."""
        best_total, best = -1.0, ((self.functions_along[0], self.functions_across[0]), False)
        for mirrored, tables in self.tables.items():
            worth = np.minimum.reduce([_weighted(t, weights[s]) for t, s in zip(tables, self.present, strict=True)])
            totals = np.where(np.isinf(worth), 0.0, worth) @ self.count
            first, second = np.unravel_index(int(np.argmax(totals)), totals.shape)
            if totals[first, second] > best_total:
                best_total = float(totals[first, second])
                best = ((self.functions_along[int(first)], self.functions_across[int(second)]), mirrored)
        return self.exact_values(weights, *best)

    def plain_values(self, weights: list[int]) -> list[Fraction]:
        """The worth of each kind by its area alone."""
        return self.exact_values(weights, (self.functions_along[0], self.functions_across[0]), False)

    def exact_values(self, weights: list[int], pair: Pair, mirrored: bool) -> list[Fraction]:
        """The worth of each kind under one pair; `mirrored` as in `_table`."""
        least: list[Fraction | None] = [None] * len(self.problem.kinds)
        for place in self.present:
            sheet = self.problem.sheets[place]
            for number, share in enumerate(self._exact_shares(sheet, pair, mirrored)):
                if share is not None:
                    value = share * weights[place]
                    known = least[number]
                    least[number] = value if known is None or value < known else known
        return [Fraction(0) if value is None else value for value in least]

    def _may_mirror(self) -> bool:
        sheets = [self.problem.sheets[place] for place in self.present]
        return bool(self.may_turn.any()) and any(sheet.along == sheet.across for sheet in sheets)

    def _table(self, sheet: Sheet, mirrored: bool) -> NDArray[np.float64]:
        """The share of the sheet that each kind takes, for each pair: [along, across, kind]; infinite if it can't lie.

        A piece counts with the lesser of its positions. On a square sheet every packing may also be seen in the
        mirror, where each piece lies the other way: with `mirrored` it counts with the mean of the two instead.
        """
        upright = (self.along <= sheet.along) & (self.across <= sheet.across)
        turned = self.may_turn & (self.across <= sheet.along) & (self.along <= sheet.across)
        lying = _changed(self.functions_along, self.along, sheet.along)
        standing = _changed(self.functions_across, self.across, sheet.across)
        as_is = lying[:, None, :] * standing[None, :, :]
        if not turned.any() and not mirrored:
            return np.where(upright, as_is, np.inf)
        lying = _changed(self.functions_along, self.across, sheet.along)
        standing = _changed(self.functions_across, self.along, sheet.across)
        other = lying[:, None, :] * standing[None, :, :]
        if mirrored and sheet.along == sheet.across:
            return np.where(upright, (as_is + other) / 2, np.inf)
        return np.minimum(np.where(upright, as_is, np.inf), np.where(turned, other, np.inf))

    def _exact_shares(self, sheet: Sheet, pair: Pair, mirrored: bool) -> list[Fraction | None]:
        along, across = pair
        lying, lying_whole = _numerators(along, self.along, sheet.along)
        standing, standing_whole = _numerators(across, self.across, sheet.across)
        lying_turned, _ = _numerators(along, self.across, sheet.along)
        standing_turned, _ = _numerators(across, self.along, sheet.across)
        whole = lying_whole * standing_whole
        mean = mirrored and sheet.along == sheet.across
        shares: list[Fraction | None] = []
        for number, kind in enumerate(self.problem.kinds):
            upright = kind.along <= sheet.along and kind.across <= sheet.across
            turned = kind.may_turn and kind.across <= sheet.along and kind.along <= sheet.across
            as_is = lying[number] * standing[number]
            other = lying_turned[number] * standing_turned[number]
            if mean and upright:
                shares.append(Fraction(as_is + other, 2 * whole))
            elif upright and turned:
                shares.append(Fraction(min(as_is, other), whole))
            elif upright or turned:
                shares.append(Fraction(as_is if upright else other, whole))
            else:
                shares.append(None)
        return shares


def _weighted(table: NDArray[np.float64], weight: int) -> NDArray[np.float64]:
    """The table times the weight; a free sheet makes nothing worth anything, save what it can't hold."""
    return table * weight if weight else np.where(np.isinf(table), np.inf, 0.0)


def _suited(function: DualFunction, whole: int) -> DualFunction:
    """The function itself, or the plain one where the whole is too short for it."""
    return function if function.suits(whole) else dual_functions((), whole, 0)[0]


def _changed(functions: list[DualFunction], sizes: Sizes, whole: int) -> NDArray[np.float64]:
    clipped = np.minimum(sizes, whole)
    rows = []
    for function in functions:
        numerators, changed_whole = _suited(function, whole).changed(clipped, whole)
        rows.append(numerators / changed_whole)
    return np.array(rows)


def _numerators(function: DualFunction, sizes: Sizes, whole: int) -> tuple[list[int], int]:
    numerators, changed_whole = _suited(function, whole).changed(np.minimum(sizes, whole), whole)
    return [int(numerator) for numerator in numerators.tolist()], changed_whole
