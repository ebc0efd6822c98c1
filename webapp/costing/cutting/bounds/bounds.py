"""A price below which the pieces can't be had: by area, by dual feasible functions, by pieces that can't share a sheet.

All sums that decide are exact; floating point only chooses which functions to use.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from fractions import Fraction
from itertools import chain
from math import ceil

import numpy as np

from webapp.costing.cutting.bounds.piece_worth import PieceWorth
from webapp.costing.cutting.bounds.reachable import raise_bound
from webapp.costing.cutting.laying.problem import Kind, Sheet, SheetProblem

Valuation = tuple[int, tuple[int, ...]]
"""What all pieces are worth together in some valuation of them, and the most that each sheet can hold of it."""

MOST_KINDS_COMPARED = 160
MOST_SETS_OF_STOCKS = 24


class SheetBound:
    """The bound of one packing problem; what a set of stocks can hold is worked out once for each set."""

    def __init__(self, problem: SheetProblem) -> None:
        self.problem = problem
        self.worth = PieceWorth(problem) if problem.kinds else None
        self.valuations: Collection[Valuation] = ()
        """What can't hold all pieces by one of these is ruled out."""
        self.own_valuations = list(_by_where_they_fit(problem)) if problem.costs_hang_on_number else []
        self.needs: dict[tuple[int, ...], tuple[Fraction, int, int]] = {}
        self.at_least = 0
        """What a purchase comes to at least by the prices of one."""

    def least_price(self, ceiling: int, at_least: int = 0, known: int = 0) -> int:
        """A valid bound in the problem's price units, not above `ceiling` (a price at which the pieces can be had).

        `at_least` is a bound of the sum of so many times the prices of one, `known` one of the true cost, both from
        elsewhere. The greatest is raised to the next true cost of a purchase that is not ruled out.
        """
        if self.worth is None:
            return 0
        sheets = self.problem.sheets
        prices = [sheet.price for sheet in sheets]
        everything = tuple(range(len(sheets)))
        self.at_least = max(
            self.at_least,
            at_least,
            ceil(self.worth.demand(everything, prices)),
            ceil(self._demand_with_credit(self.worth, prices)),
        )
        dearest = max(min(s.single for s in sheets if kind.fits(s.along, s.across)) for kind in self.problem.kinds)
        return raise_bound(max(self.at_least, known, dearest), ceiling, sheets, self.rules_out)

    def worths(self) -> list[float]:
        """What a piece of each kind is worth in money under the best pair of functions: a start for better worths."""
        if self.worth is None:
            return []
        prices = [sheet.price for sheet in self.problem.sheets]
        values = self.worth.values(tuple(range(len(prices))), prices)
        return [value / values.denominator for value in values.numerators]

    def rules_out(self, counts: tuple[int, ...]) -> bool:
        """Whether it is known that no plan can place every piece on this many of each sheet."""
        worth = self.worth
        if worth is None:
            return False
        if sum(count * sheet.price for count, sheet in zip(counts, self.problem.sheets, strict=True)) < self.at_least:
            return True
        for needed, held in chain(self.own_valuations, self.valuations):
            if sum(count * most for count, most in zip(counts, held, strict=True)) < needed:
                return True
        present = tuple(place for place, count in enumerate(counts) if count)
        sheets = self.problem.sheets
        here = [sheets[place] for place in present]
        if present not in self.needs:
            if len(self.needs) >= MOST_SETS_OF_STOCKS:
                return False
            if not all(any(kind.fits(s.along, s.across) for s in here) for kind in self.problem.kinds):
                self.needs[present] = (Fraction(0), self.problem.count + 1, 0)
            else:
                self.needs[present] = (
                    worth.demand(present, [sheet.area for sheet in sheets]),
                    ceil(worth.demand(present, [1] * len(sheets))),
                    pieces_apart(self.problem.kinds, here),
                )
        area, number, apart = self.needs[present]
        together = sum(counts)
        return together < max(number, apart) or sum(counts[place] * sheets[place].area for place in present) < area

    def _demand_with_credit(self, worth: PieceWorth, prices: list[int]) -> Fraction:
        """The worth in money by the unlimited sheets alone, less the most that the limited ones can save.

        A limited sheet saves at most what its area is worth beyond its price. Any share of the worth may be taken
        instead of the whole: the best share is where one of the limited sheets stops saving.
        """
        sheets, kinds = self.problem.sheets, self.problem.kinds
        unlimited = tuple(place for place, sheet in enumerate(sheets) if sheet.limit >= self.problem.count)
        limited = [sheet for sheet in sheets if sheet.limit < self.problem.count]
        if not unlimited or not limited:
            return Fraction(0)
        best = Fraction(0)
        for values in (worth.plain_values(unlimited, prices), worth.values(unlimited, prices)):
            total = values.total([kind.count for kind in kinds])
            density = values.densest([kind.area for kind in kinds])
            if not density:
                continue
            shares = {Fraction(1)} | {min(Fraction(1), s.price / (density * s.area)) for s in limited}
            for share in shares:
                savings = [s.limit * max(Fraction(0), share * density * s.area - s.price) for s in limited]
                best = max(best, share * total - sum(savings))
        return best


def _by_where_they_fit(problem: SheetProblem) -> Iterator[Valuation]:
    """Of the pieces that fit on some sheets alone: how many need one each, and how much area.

    Where each costs the same, the prices say as much; of packs, more of a sheet may be paid for than is of use.
    """
    fitting = {
        kind: frozenset(place for place, s in enumerate(problem.sheets) if kind.fits(s.along, s.across))
        for kind in problem.kinds
    }
    for places in set(fitting.values()):
        kinds = tuple(kind for kind, where in fitting.items() if where <= places)
        sheets = [problem.sheets[place] for place in sorted(places)]
        everywhere = range(len(problem.sheets))
        yield pieces_apart(kinds, sheets), tuple(int(place in places) for place in everywhere)
        area = sum(kind.area * kind.count for kind in kinds)
        yield area, tuple(problem.sheets[place].area * (place in places) for place in everywhere)


def pieces_apart(kinds: tuple[Kind, ...], sheets: list[Sheet]) -> int:
    """How many pieces are found of which no two can lie on one of the sheets: each needs a sheet of its own."""
    large = sorted(range(len(kinds)), key=lambda kind: (-kinds[kind].area, kind))[:MOST_KINDS_COMPARED]
    along = np.array([kinds[kind].along for kind in large], dtype=np.int64)
    across = np.array([kinds[kind].across for kind in large], dtype=np.int64)
    may_turn = np.array([kinds[kind].may_turn for kind in large], dtype=np.bool_)
    together = np.zeros((len(large), len(large)), dtype=np.bool_)
    positions = [(along, across, np.ones(len(large), dtype=np.bool_)), (across, along, may_turn)]
    for sheet in sheets:
        for one_along, one_across, one_may in positions:
            one = one_may & (one_along <= sheet.along) & (one_across <= sheet.across)
            for other_along, other_across, other_may in positions:
                other = other_may & (other_along <= sheet.along) & (other_across <= sheet.across)
                beside = one_along[:, None] + other_along[None, :] <= sheet.along
                above = one_across[:, None] + other_across[None, :] <= sheet.across
                together |= one[:, None] & other[None, :] & (beside | above)
    most = 0
    least_side = np.minimum(along, across)
    for order in (range(len(large)), np.argsort(-least_side, kind="stable").tolist()):
        chosen: list[int] = []
        number = 0
        for place in order:
            if not together[place, chosen].any():
                chosen.append(place)
                number += 1 if together[place, place] else kinds[large[place]].count
        most = max(most, number)
    return most
