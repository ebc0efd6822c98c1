"""What each piece is worth, so that no sheet can ever hold more worth than its own weight.

The sum over all pieces then bounds the weights of the sheets from below. With the sheet's area, its price or one for
every sheet as weights this bounds the area, the price or the number of sheets.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import lcm

import numpy as np
from numpy.typing import NDArray

from webapp.costing.cutting.bounds.dual_feasible import Sizes, dual_functions
from webapp.costing.cutting.laying.problem import SheetProblem

Present = tuple[int, ...]
"""Which of the problem's sheets are there to be used."""


@dataclass(frozen=True, slots=True)
class Values:
    """The worth of one piece of each kind: a whole number over a common denominator."""

    numerators: list[int]
    denominator: int

    def total(self, counts: list[int]) -> Fraction:
        """The worth of so many of each kind."""
        return Fraction(sum(n * count for n, count in zip(self.numerators, counts, strict=True)), self.denominator)

    def densest(self, areas: list[int]) -> Fraction:
        """The most that any kind is worth for its area."""
        return max(Fraction(n, area) for n, area in zip(self.numerators, areas, strict=True)) / self.denominator


class PieceWorth:
    """The worth of a problem's pieces under pairs of dual feasible functions, one for each direction of the sheet."""

    def __init__(self, problem: SheetProblem) -> None:
        kinds = problem.kinds
        self.problem = problem
        along: Sizes = np.array([kind.along for kind in kinds], dtype=np.int64)
        across: Sizes = np.array([kind.across for kind in kinds], dtype=np.int64)
        self.may_turn = np.array([kind.may_turn for kind in kinds], dtype=np.bool_)
        self.counts = [kind.count for kind in kinds]
        most = 14 if len(kinds) <= 60 else 10 if len(kinds) <= 150 else 5 if len(kinds) <= 600 else 2
        lying = set(along.tolist()) | set(across[self.may_turn].tolist())
        standing = set(across.tolist()) | set(along[self.may_turn].tolist())
        functions_along = dual_functions(lying, max(sheet.along for sheet in problem.sheets), most)
        functions_across = dual_functions(standing, max(sheet.across for sheet in problem.sheets), most)
        self.sheets = [
            _SheetShares(
                upright=(along <= sheet.along) & (across <= sheet.across),
                turned=self.may_turn & (across <= sheet.along) & (along <= sheet.across),
                square=sheet.along == sheet.across,
                lying=functions_along.changed(np.minimum(along, sheet.along), sheet.along),
                standing=functions_across.changed(np.minimum(across, sheet.across), sheet.across),
                lying_turned=functions_along.changed(np.minimum(across, sheet.along), sheet.along)[0],
                standing_turned=functions_across.changed(np.minimum(along, sheet.across), sheet.across)[0],
            )
            for sheet in problem.sheets
        ]

    def demand(self, present: Present, weights: list[int]) -> Fraction:
        """The most that the pieces are worth together under any of the pairs; `weights` has one entry a sheet."""
        return self.values(present, weights).total(self.counts)

    def values(self, present: Present, weights: list[int]) -> Values:
        """The worth of each kind under the best pair, exactly; 0 for a kind that none of the sheets holds."""
        best_total, best = -1.0, (0, 0, False)
        count = np.array(self.counts, dtype=np.float64)
        mirrored_too = self.may_turn.any() and any(self.sheets[place].square for place in present)
        for mirrored in (False, True) if mirrored_too else (False,):
            worth = np.minimum.reduce([_weighted(self.sheets[p].table(mirrored), weights[p]) for p in present])
            totals = np.where(np.isinf(worth), 0.0, worth) @ count
            first, second = np.unravel_index(int(np.argmax(totals)), totals.shape)
            if totals[first, second] > best_total:
                best_total, best = float(totals[first, second]), (int(first), int(second), mirrored)
        return self._exact_values(present, weights, *best)

    def plain_values(self, present: Present, weights: list[int]) -> Values:
        """The worth of each kind by its area alone."""
        return self._exact_values(present, weights, 0, 0, False)

    def _exact_values(self, present: Present, weights: list[int], first: int, second: int, mirrored: bool) -> Values:
        exact = [(weights[place], *self.sheets[place].exact(first, second, mirrored)) for place in present]
        denominator = lcm(*(whole for _, _, whole in exact))
        least: list[int | None] = [None] * len(self.counts)
        for weight, shares, whole in exact:
            factor = weight * (denominator // whole)
            for number, share in enumerate(shares):
                if share is not None:
                    known = least[number]
                    least[number] = share * factor if known is None else min(known, share * factor)
        return Values([value or 0 for value in least], denominator)


class _SheetShares:
    """The share of one sheet that each kind takes.

    A piece counts with the lesser of its positions. On a square sheet every packing may also be seen in the mirror,
    where each piece lies the other way: `mirrored` counts it with the mean of the two instead.
    """

    def __init__(
        self,
        *,
        upright: NDArray[np.bool_],
        turned: NDArray[np.bool_],
        square: bool,
        lying: tuple[Sizes, Sizes],
        standing: tuple[Sizes, Sizes],
        lying_turned: Sizes,
        standing_turned: Sizes,
    ) -> None:
        self.upright, self.turned, self.square = upright, turned, square
        self.lying, self.lying_whole = lying
        self.standing, self.standing_whole = standing
        self.lying_turned, self.standing_turned = lying_turned, standing_turned
        self.tables: dict[bool, NDArray[np.float64]] = {}

    def table(self, mirrored: bool) -> NDArray[np.float64]:
        """For each pair of functions the share of each kind, near enough to choose a pair; infinite if it can't lie."""
        mean = mirrored and self.square
        if mean not in self.tables:
            wholes = self.lying_whole[:, None].astype(np.float64)
            along = (self.lying / wholes)[:, None, :]
            along_turned = (self.lying_turned / wholes)[:, None, :]
            wholes = self.standing_whole[:, None].astype(np.float64)
            as_is = along * (self.standing / wholes)[None, :, :]
            other = along_turned * (self.standing_turned / wholes)[None, :, :]
            if mean:
                self.tables[mean] = np.where(self.upright, (as_is + other) / 2, np.inf)
            else:
                as_is[:, :, ~self.upright] = np.inf
                other[:, :, ~self.turned] = np.inf
                self.tables[mean] = np.minimum(as_is, other)
        return self.tables[mean]

    def exact(self, first: int, second: int, mirrored: bool) -> tuple[list[int | None], int]:
        """The share of each kind under one pair of functions, over a whole; None where it can't lie."""
        whole = int(self.lying_whole[first]) * int(self.standing_whole[second])
        mean = mirrored and self.square
        shares: list[int | None] = []
        for upright, turned, along, across, along_turned, across_turned in zip(
            self.upright.tolist(),
            self.turned.tolist(),
            self.lying[first].tolist(),
            self.standing[second].tolist(),
            self.lying_turned[first].tolist(),
            self.standing_turned[second].tolist(),
            strict=True,
        ):
            as_is, other = along * across, along_turned * across_turned
            if mean:
                shares.append(as_is + other if upright else None)
            elif upright and turned:
                shares.append(min(as_is, other))
            elif upright or turned:
                shares.append(as_is if upright else other)
            else:
                shares.append(None)
        return shares, 2 * whole if mean else whole


def _weighted(table: NDArray[np.float64], weight: int) -> NDArray[np.float64]:
    """The table times the weight; a free sheet makes nothing worth anything, save what it can't hold."""
    return table * weight if weight else np.where(np.isinf(table), np.inf, 0.0)
