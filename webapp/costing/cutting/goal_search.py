"""Plans for less than the best known: take a sheet away, and lay the rest again and again until all have a place.

After the goal-driven ruin and recreate of Gardeyn and Wauters, European Journal of Operational Research (2022), with
whole sheets ruined at a time.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Final

from webapp.costing.cutting.effort import Effort
from webapp.costing.cutting.guarded_packing import packer_for
from webapp.costing.cutting.packing import Fit, PackedSheet, Split
from webapp.costing.cutting.sheet_problem import SheetProblem

SPLITS_TRIED: Final = (Split.LARGER, Split.LARGER, Split.LARGER, Split.ACROSS, Split.ALONG, Split.SMALLER)
MOST_SHEETS: Final = 3
MOST_HOMELESS: Final = 6
NOISE: Final = 0.6
LEEWAY: Final = 0.05
LARGE_COUNTS_MORE: Final = 1.3
"""Large pieces without a place weigh more than small ones of the same area: those are easier to lay."""
FEWEST_ROUNDS: Final = 3000


class GoalSearch:
    """Searches for all pieces on sheets for less than a price; what it lays goes to `keep`."""

    def __init__(
        self, problem: SheetProblem, seed: int, effort: Effort, keep: Callable[[list[PackedSheet]], None]
    ) -> None:
        self.problem = problem
        self.pack = packer_for(problem)
        self.effort = effort
        self.keep = keep
        self.random = random.Random(seed)
        self.weights = [float(kind.area) ** LARGE_COUNTS_MORE for kind in problem.kinds]
        self.bases = [
            (
                float(kind.area),
                float(max(kind.along, kind.across)) ** 2,
                float(min(kind.along, kind.across)) ** 2,
                float(kind.along + kind.across) ** 2,
            )
            for kind in problem.kinds
        ]
        self.sheets: list[PackedSheet] = []
        self.homeless: list[int] = []
        self.price = 0
        self.goal = 0

    def aim(self, sheets: list[PackedSheet]) -> None:
        """Start from a whole plan: its weakest sheets are taken away until it costs less than it did."""
        prices = [sheet.price for sheet in self.problem.sheets]
        self.sheets = list(sheets)
        self.homeless = []
        self.price = sum(prices[sheet.sheet] for sheet in sheets)
        self.goal = self.price - 1
        while self.price > self.goal and self.sheets:
            weakest = min(range(len(self.sheets)), key=lambda place: self._worth_keeping(self.sheets[place]))
            gone = self.sheets.pop(weakest)
            self.homeless += [laid[0] for laid in gone.laid]
            self.price -= prices[gone.sheet]

    def _worth_keeping(self, sheet: PackedSheet) -> float:
        price = self.problem.sheets[sheet.sheet].price
        return sheet.used / price if price else float("inf")

    def run(self, until: int) -> bool:
        """Search until every piece has a place or the effort reaches `until` steps; whether every piece has one."""
        weight = sum(self.weights[kind] for kind in self.homeless)
        while self.homeless and self.effort.steps < until and not self.effort.over():
            weight = self._round(weight)
        return not self.homeless

    def _round(self, weight: float) -> float:
        pick = self.random.random
        self.effort.steps += 2
        count = len(self.sheets)
        most = min(1 + int(pick() * MOST_SHEETS), count)
        chosen: set[int] = set()
        while len(chosen) < most:
            chosen.add(int(pick() * count))
        places = sorted(chosen)
        old = [self.sheets[place] for place in places]
        wanted = self._sheets_for(old)
        if len(self.homeless) > MOST_HOMELESS:
            self.random.shuffle(self.homeless)
        taken, rest = self.homeless[:MOST_HOMELESS], self.homeless[MOST_HOMELESS:]
        base, noise = int(pick() * 4), pick() * NOISE
        bases = self.bases
        keyed = [(bases[laid[0]][base] * (1 + noise * pick()), laid[0]) for sheet in old for laid in sheet.laid]
        keyed += [(bases[kind][base] * (1 + noise * pick()), kind) for kind in taken]
        keyed.sort(reverse=True)
        problem = self.problem

        def open_sheet(kind: int) -> int | None:
            for place in range(len(wanted) - 1, -1, -1):
                sheet = problem.sheets[wanted[place]]
                if problem.kinds[kind].fits(sheet.along, sheet.across):
                    return wanted.pop(place)
            return None

        fit = Fit.LEAST_GAP if pick() < 0.7 else Fit.LEAST_AREA
        order = [kind for _, kind in keyed]
        answer = self.pack(problem, order, open_sheet, fit, SPLITS_TRIED[int(pick() * 6)], self.effort)
        if answer is None:
            return weight
        new, left = answer
        weights = self.weights
        after = weight - sum(weights[kind] for kind in taken) + sum(weights[kind] for kind in left)
        if after > weight * (1 + LEEWAY * pick()):
            return weight
        for place in reversed(places):
            self.sheets[place] = self.sheets[-1]
            self.sheets.pop()
        prices = [sheet.price for sheet in problem.sheets]
        self.price += sum(prices[one.sheet] for one in new) - sum(prices[one.sheet] for one in old)
        self.sheets += new
        self.homeless = rest + left
        self.keep(new)
        return after if self.homeless else 0.0

    def _sheets_for(self, old: list[PackedSheet]) -> list[int]:
        """Which sheets the pieces are laid on again: the same, or others that the goal has money for."""
        same = [sheet.sheet for sheet in old]
        sheets = self.problem.sheets
        money = self.goal - self.price
        pick = self.random.random
        if len(sheets) == 1 or (pick() < 0.5 and money < self._cheapest):
            self._add_affordable(same, money)
            return same
        money += sum(sheets[place].price for place in same)
        left = [sheet.limit for sheet in sheets]
        for sheet in self.sheets:
            left[sheet.sheet] -= 1
        for place in same:
            left[place] += 1
        need = sum(sheet.used for sheet in old) * (1 + 0.3 * pick())
        wanted: list[int] = []
        area = 0
        while area < need:
            affordable = [place for place in range(len(sheets)) if left[place] > 0 and sheets[place].price <= money]
            if not affordable:
                break
            chosen = affordable[int(pick() * len(affordable))]
            left[chosen] -= 1
            wanted.append(chosen)
            money -= sheets[chosen].price
            area += sheets[chosen].area
        return wanted or same

    @property
    def _cheapest(self) -> int:
        return min(sheet.price for sheet in self.problem.sheets)

    def _add_affordable(self, wanted: list[int], money: int) -> None:
        sheets = self.problem.sheets
        if len(sheets) == 1 and 0 < sheets[0].price <= money and len(self.sheets) < sheets[0].limit:
            wanted.insert(0, 0)
