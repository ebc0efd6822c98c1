"""Plans for less than the best known: buy for less, and lay what has no place again and again until all has one.

After 'A goal-driven ruin and recreate heuristic for the 2D variable-sized bin packing problem with guillotine
constraints', European Journal of Operational Research (2022), with whole sheets ruined at a time. `swift_search` does
the same in compiled code; this one serves what that does not know: groups of pieces kept together, and routers.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from typing import Final

from webapp.costing.cutting.ask.effort import Effort
from webapp.costing.cutting.bounds.purchases import Purchase
from webapp.costing.cutting.laying.again import SPLITS_TRIED, Orders, next_of
from webapp.costing.cutting.laying.guarded_packing import packer_for
from webapp.costing.cutting.laying.packing import Fit, PackedSheet
from webapp.costing.cutting.laying.problem import SheetProblem

MOST_SHEETS: Final = 3
MOST_HOMELESS: Final = 6
NOISE: Final = 0.6
LEEWAY: Final = 0.1
BY_GAP: Final = 0.7
"""How often pieces go to where they leave the least gap, and not to the least rectangle."""
LARGE_COUNTS_MORE: Final = 1.3
"""Pieces without a place weigh more than several others worth as much together: those are easier to lay."""
AREA_COUNTS: Final = 0.3
"""How much of a piece's weight is its area; the rest is what a linear optimum, or a bound, says that it is worth."""


def weights_of(problem: SheetProblem, worths: Sequence[float]) -> list[float]:
    """What a piece of each kind weighs while it has no place: one that is worth more is harder to find a place for."""
    kinds = problem.kinds
    area = sum(kind.area * kind.count for kind in kinds)
    total = sum(worth * kind.count for worth, kind in zip(worths, kinds, strict=True)) or 1.0
    return [
        (AREA_COUNTS * kind.area / area + (1 - AREA_COUNTS) * worth / total) ** LARGE_COUNTS_MORE
        for worth, kind in zip(worths, kinds, strict=True)
    ]


def kept_for(
    problem: SheetProblem, sheets: Sequence[PackedSheet], purchase: Purchase
) -> tuple[list[PackedSheet], list[int]]:
    """The sheets of a purchase, the fullest of a plan among them, the others empty; and what then has no place."""
    left = list(purchase)
    kept: list[PackedSheet] = []
    homeless: list[int] = []
    for sheet in sorted(sheets, key=lambda one: -one.used / problem.sheets[one.sheet].area):
        if left[sheet.sheet]:
            left[sheet.sheet] -= 1
            kept.append(sheet)
        else:
            homeless += [laid[0] for laid in sheet.laid]
    kept += [PackedSheet(place, [], 0, 0) for place, number in enumerate(left) for _ in range(number)]
    return kept, homeless


class GoalSearch:
    """Searches for a place for all pieces on the sheets of one purchase; what it lays goes to `keep`."""

    def __init__(
        self, problem: SheetProblem, seed: int, effort: Effort, keep: Callable[[list[PackedSheet]], None]
    ) -> None:
        self.problem = problem
        self.pack = packer_for(problem)
        self.effort = effort
        self.keep = keep
        self.random = random.Random(seed)
        self.weights: list[float] = []
        self.orders = Orders(problem, self.random)
        self.sheets: list[PackedSheet] = []
        self.homeless: list[int] = []

    def weigh(self, weights: Sequence[float]) -> None:
        """Go by these weights of the kinds from here on."""
        self.weights = list(weights)

    def aim(self, sheets: Sequence[PackedSheet], purchase: Purchase) -> None:
        """Start from a whole plan: the fullest sheets that the purchase has too are kept, the others emptied."""
        self.sheets, self.homeless = kept_for(self.problem, sheets, purchase)

    @property
    def laid(self) -> list[PackedSheet]:
        """The sheets that hold anything."""
        return [sheet for sheet in self.sheets if sheet.laid]

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
        wanted = [sheet.sheet for sheet in old]
        self.random.shuffle(wanted)
        if len(self.homeless) > MOST_HOMELESS:
            self.random.shuffle(self.homeless)
        taken, rest = self.homeless[:MOST_HOMELESS], self.homeless[MOST_HOMELESS:]
        problem = self.problem
        order = self.orders.order([*(laid[0] for sheet in old for laid in sheet.laid), *taken], NOISE)
        open_sheet = next_of(problem, wanted)
        fit = Fit.LEAST_GAP if pick() < BY_GAP else Fit.LEAST_AREA
        weights = self.weights
        others = weight - sum([weights[kind] for kind in taken])
        room = weight * (1 + LEEWAY * pick()) - others

        def give_up(kind: int) -> bool:
            nonlocal room
            room -= weights[kind]
            return room < 0

        split = SPLITS_TRIED[int(pick() * 6)]
        answer = self.pack(problem, order, open_sheet, fit, split, self.effort, give_up=give_up)
        if answer is None:
            return weight
        new, left = answer
        for place in reversed(places):
            self.sheets[place] = self.sheets[-1]
            self.sheets.pop()
        self.sheets += new
        self.sheets += [PackedSheet(place, [], 0, 0) for place in wanted]
        self.homeless = rest + left
        self.keep(new)
        return others + sum([weights[kind] for kind in left]) if self.homeless else 0.0
