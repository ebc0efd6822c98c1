"""Plans for lengths by column generation: patterns priced until none helps, then bought whole in several ways."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from math import ceil, floor
from random import Random

from webapp.costing.cutting.ask.sold import step_of_prices
from webapp.costing.cutting.bounds.bounds import Valuation
from webapp.costing.cutting.lengths.master import Master, Relaxed
from webapp.costing.cutting.lengths.patterns import (
    MOST_HEADS,
    all_patterns,
    best_patterns,
    is_quick_table,
    quick_patterns,
)
from webapp.costing.cutting.lengths.problem import Column, LengthProblem
from webapp.costing.cutting.lengths.progress import Progress
from webapp.costing.cutting.lengths.purchase import Basket, Purchase

WORTH_SCALE = 10**6
MOST_PATTERNS = 3000
ROUNDS_IN_DIVE = 8
CENTRED = 0.7
"""How far prices are drawn to those of the best bound: they swing less, and fewer rounds are needed."""

Uses = list[tuple[Column, float]]


class ColumnGeneration:
    """Prices patterns until none helps; every pattern found stays in the master for the dives that follow."""

    def __init__(self, problem: LengthProblem, progress: Progress, seed: int) -> None:
        self.problem = problem
        self.progress = progress
        self.seed = seed
        self.chance = Random(seed)
        self.step = step_of_prices(problem.bars)
        self.bound = 0
        """What the bars come to at least by the prices of one."""
        self.valuations: list[Valuation] = []
        """What all pieces are worth together at some worths of them, and the most that each bar holds of it."""
        self.master = Master(problem, seed)
        for bar, pattern in progress.best.uses:
            self.master.add(bar, pattern)

    def price_patterns(self) -> Uses:
        """Column generation on the whole demand, raising the bound; the columns that the linear optimum uses."""
        counts, limits = self.problem.counts, [bar.limit for bar in self.problem.bars]
        centre: tuple[list[float], list[float]] | None = None
        centred = CENTRED
        highest, part = 0, WORTH_SCALE * self.step
        relaxed = self.master.solve_relaxed(self.progress)
        while relaxed is not None and not self.progress.over():
            worths, savings = relaxed.worths, relaxed.savings
            if centre is not None and centred:
                worths = [centred * c + (1 - centred) * w for c, w in zip(centre[0], worths, strict=True)]
                savings = [centred * c + (1 - centred) * s for c, s in zip(centre[1], savings, strict=True)]
            bound, added = self._price(counts, limits, relaxed, worths, exact=True)
            if bound > highest:
                highest, centre = bound, (worths, savings)
                self.bound = -(-bound // part) * self.step
                self.progress.raise_bound(self.bound)
            if -(-highest // part) >= ceil((relaxed.price - 1e-6) / self.step):
                break
            if added:
                centred = CENTRED
            elif centre is None or not centred:
                break
            else:
                centred = 0.0
                continue
            relaxed = self.master.solve_relaxed(self.progress)
        return self._used(relaxed)

    def dive(self, uses: Uses, varied: bool) -> Purchase:
        """Buy the whole parts of the linear optimum, price the rest again, and so on until all is bought.

        At each turn the rest is also bought longest first; the best purchase met is returned, at once if it is down
        to the bound. A varied dive picks by chance among the columns that are used most.
        """
        basket = Basket.empty(self.problem)
        best = basket.completed()
        while any(basket.left) and uses and not self.progress.over() and not best.meets(self.progress.bound):
            for (bar, pattern), times in self._chosen(uses, varied):
                basket.buy(bar, pattern, times)
            best = min(best, basket.completed(), key=lambda purchase: purchase.rank(self.problem))
            uses = self._reprice(basket)
        self.master.demand(self.problem.counts, [bar.limit for bar in self.problem.bars])
        return best

    def _chosen(self, uses: Uses, varied: bool) -> list[tuple[Column, int]]:
        chosen = [(column, floor(use + 1e-6)) for column, use in uses if use >= 1 - 1e-6]
        if chosen:
            return chosen
        most = sorted(uses, key=lambda column_use: (column_use[1], column_use[0]), reverse=True)
        high = [(column, 1) for column, use in most if use > 0.8]
        if high:
            return high
        return [(most[self.chance.randrange(min(len(most), 5)) if varied else 0][0], 1)]

    def _reprice(self, basket: Basket) -> Uses:
        """The linear optimum for what a basket still wants, with a few rounds of new patterns."""
        self.master.demand(basket.left, basket.limits)
        relaxed = self.master.solve_relaxed(self.progress)
        for _ in range(ROUNDS_IN_DIVE):
            if relaxed is None or self.progress.over():
                break
            _, added = self._price(basket.left, basket.limits, relaxed, relaxed.worths, exact=False)
            if not added:
                break
            relaxed = self.master.solve_relaxed(self.progress)
        return self._used(relaxed)

    def _used(self, relaxed: Relaxed | None) -> Uses:
        if relaxed is None:
            return []
        priced = self.master.columns[: len(relaxed.uses)]
        return [(column, use) for column, use in zip(priced, relaxed.uses, strict=True) if use > 1e-6]

    def _price(
        self, counts: Sequence[int], limits: Sequence[int], relaxed: Relaxed, worths: list[float], *, exact: bool
    ) -> tuple[int, bool]:
        """Take in patterns that help at the linear optimum; a bound in parts of a price unit (0 where not exact)."""
        problem, effort = self.problem, self.progress.effort
        bars = [place for place in range(len(problem.bars)) if limits[place]]
        whole = [floor(worth * WORTH_SCALE) for worth in worths]
        rooms = [problem.bars[bar].size for bar in bars]
        if not bars:
            return 0, False
        by_table = is_quick_table(problem.sizes, counts, rooms)
        added = False
        if not by_table:
            for bar in bars:
                if self.progress.over():
                    break
                least = (problem.bars[bar].price + relaxed.savings[bar] + 1e-4) * WORTH_SCALE
                for pattern in quick_patterns(problem.sizes, counts, whole, problem.bars[bar].size, least):
                    added = self.master.add(bar, pattern) or added
            effort.steps += len(bars) * (1 + len(whole) * min(len(whole), MOST_HEADS) // 5000)
        if not exact and not by_table:
            return 0, added
        found = best_patterns(problem.sizes, counts, whole, rooms, effort.allowed - effort.steps)
        effort.steps += sum(answer.steps for answer in found)
        for bar, answer in zip(bars, found, strict=True):
            least = problem.bars[bar].price + relaxed.savings[bar] + 1e-4
            for pattern in (answer.pattern, *answer.others):
                if sum(relaxed.worths[kind] * number for kind, number in pattern) > least:
                    added = self.master.add(bar, pattern) or added
        most = {bar: one.at_most for bar, one in zip(bars, found, strict=True)}
        if exact and problem.costs_hang_on_number:
            # Where each costs the same, the bound by the same worths says it all.
            total = sum(worth * count for worth, count in zip(whole, problem.counts, strict=True))
            self.valuations.append((total, tuple(most.get(bar, 0) for bar in range(len(problem.bars)))))
        return self._bound_from(whole, most), added

    def buy_whole(self, columns: Sequence[Column], most_looks: int) -> tuple[Purchase | None, int]:
        """The cheapest whole purchase of these columns, and what they are proved to cost at least, else 0; no purchase
        where it is too much work."""
        master = Master(self.problem, self.seed)
        for bar, pattern in columns:
            master.add(bar, pattern)
        uses, best = master.solve_whole(self.progress, most_looks)
        if uses is None:
            return None, 0
        told = dict(zip(master.columns, uses, strict=True))
        cost = self.problem.price_of(told)
        bought = self._bought(told, faithful=False)
        if bought.price > cost:
            # A cheaper bar that was taken for a few pieces was needed for others.
            bought = self._bought(told, faithful=True)
        return bought, cost if best else 0

    def _bought(self, told: Mapping[Column, int], *, faithful: bool) -> Purchase:
        basket = Basket.empty(self.problem, faithful=faithful)
        for (bar, pattern), times in told.items():
            if times:
                basket.buy(bar, pattern, times)
        return basket.completed()

    def every_column(self) -> list[Column] | None:
        """Every full pattern of every bar, where they are few."""
        columns: list[Column] = []
        for place, bar in enumerate(self.problem.bars):
            patterns = all_patterns(self.problem.sizes, self.problem.counts, bar.size, MOST_PATTERNS - len(columns))
            if patterns is None:
                return None
            columns += [(place, pattern) for pattern in patterns]
        return columns

    def _bound_from(self, worths: list[int], most: dict[int, int]) -> int:
        """A price, in parts of a unit, below which nothing can be had if pieces are worth this much and no bar holds
        more than `most`.

        The worths are scaled so that no unlimited bar holds more than its price; what limited bars hold beyond theirs
        is given away. 'A note on bounding a class of linear programming problems', Operations Research 38
        (1990). In between two scales at which a bar holds just its price, the bound is linear: only those are tried.
        """
        total = sum(worth * count for worth, count in zip(worths, self.problem.counts, strict=True))
        whole = sum(self.problem.counts)
        bars = self.problem.bars
        scarce = [bar for bar in most if bars[bar].limit < whole]
        shares = {bar: Fraction(bars[bar].price * WORTH_SCALE, held) for bar, held in most.items() if held}
        cap = min((share for bar, share in shares.items() if bar not in scarce), default=None)
        tried = {share for share in shares.values() if cap is None or share <= cap}
        best: Fraction = max(
            share * total
            - sum(
                bars[bar].limit * max(Fraction(0), share * most[bar] - bars[bar].price * WORTH_SCALE) for bar in scarce
            )
            for share in tried | {Fraction(0)}
        )
        return ceil(best)
