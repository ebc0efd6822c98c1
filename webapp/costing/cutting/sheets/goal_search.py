"""Plans for less than the best known: buy for less, and lay what has no place again and again until all has one.

After 'A goal-driven ruin and recreate heuristic for the 2D variable-sized bin packing problem with guillotine
constraints', European Journal of Operational Research (2022), with whole sheets ruined at a time. One search for saw
and router, with grain groups and without; its rounds are compiled.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

import numpy as np

from webapp.costing.cutting.ask.effort import Effort
from webapp.costing.cutting.bounds.purchases import Purchase
from webapp.costing.cutting.laying.packing import PackedSheet, as_packed, mean_fill
from webapp.costing.cutting.laying.problem import SheetProblem
from webapp.costing.cutting.laying.rounds import ROUNDS_TOLD, SEEN, STILL, WORK, rounds
from webapp.costing.cutting.laying.rows import FIRST, HELD, KIND, LAID_COLUMNS, NEXT, NONE, ON, SHEET_COLUMNS

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
TRIED_A_STEP: Final = 16
TRIED_A_STEP_BY_ROUTER: Final = 4
"""So many pieces are tried for a place in the time of one step."""
MOST_SEEN: Final = 48
"""So many good sheets are kept of those that one run laid, fewer where they hold very many pieces."""
MOST_PLACES_SEEN: Final = 200_000


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
    for sheet in sorted(sheets, key=lambda packed: -packed.used / problem.sheets[packed.sheet].area):
        if left[sheet.sheet]:
            left[sheet.sheet] -= 1
            kept.append(sheet)
        else:
            homeless += [laid[0] for laid in sheet.laid]
    kept += [PackedSheet(place, [], 0, 0) for place, number in enumerate(left) for _ in range(number)]
    return kept, homeless


def most_on_a_sheet(problem: SheetProblem) -> int:
    """No sheet holds more pieces than this: so many of the smallest have the area of the largest sheet."""
    left = max(sheet.area for sheet in problem.sheets)
    most = 0
    for kind in sorted(problem.kinds, key=lambda one: one.area):
        number = min(kind.count, left // kind.area)
        most, left = most + number, left - number * kind.area
        if number < kind.count:
            break
    return max(1, most)


class GoalSearch:
    """Searches for a place for all pieces on the sheets of one purchase; good sheets that it lays go to `keep`."""

    def __init__(
        self,
        problem: SheetProblem,
        seed: int,
        effort: Effort,
        keep: Callable[[list[PackedSheet]], None],
        *,
        leeway: float = LEEWAY,
    ) -> None:
        """A search; with no `leeway` what is left out never weighs more than it did before."""
        self.problem = problem
        self.effort = effort
        self.keep = keep
        # A generator of this kind must not begin at nothing, and begins poorly at small numbers.
        self.state = np.array([(seed + 1) * 0x9E3779B97F4A7C15 % 2**64 or 1], dtype=np.uint64)
        self.manner = np.array([NOISE, leeway, BY_GAP])
        self.tried_a_step = TRIED_A_STEP_BY_ROUTER if problem.by_router else TRIED_A_STEP
        self.weights = np.zeros(len(problem.kinds))
        self.told = np.zeros(ROUNDS_TOLD, dtype=np.int64)
        room = most_on_a_sheet(problem)
        self.seen = np.zeros((max(1, min(MOST_SEEN, MOST_PLACES_SEEN // room)), SHEET_COLUMNS), dtype=np.int64)
        self.seen_laid = np.zeros((len(self.seen), room, LAID_COLUMNS), dtype=np.int64)
        self.sheets = np.zeros((0, SHEET_COLUMNS), dtype=np.int64)
        self.laid_on = np.zeros((problem.count, LAID_COLUMNS), dtype=np.int64)
        self.homeless = np.zeros(problem.count, dtype=np.int64)
        self.good = np.zeros(len(problem.sheets))

    def weigh(self, weights: Sequence[float]) -> None:
        """Go by these weights of the kinds from here on."""
        self.weights = np.array(weights, dtype=np.float64)

    def aim(self, sheets: Sequence[PackedSheet], purchase: Purchase, homeless: Sequence[int] = ()) -> None:
        """Start from a plan, with what has no place in it: the fullest sheets that the purchase has too are kept."""
        kept, left_out = kept_for(self.problem, sheets, purchase)
        left_out += homeless
        shortened = self.problem.tables.shortened
        rows: list[tuple[int, ...]] = []
        table = []
        for place, sheet in enumerate(kept):
            first = len(rows)
            rows += [(*laid, place, first + number + 1) for number, laid in enumerate(sheet.laid)]
            if sheet.laid:
                rows[-1] = (*rows[-1][:NEXT], NONE)
            table.append((
                sheet.sheet, len(sheet.laid), sheet.used >> 2 * shortened, sheet.spare >> 2 * shortened,
                first if sheet.laid else NONE, len(rows) - 1 if sheet.laid else NONE,
            ))  # fmt: skip
        self.sheets = np.array(table, dtype=np.int64)
        self.laid_on[: len(rows)] = np.array(rows, dtype=np.int64).reshape(-1, LAID_COLUMNS)
        without = np.arange(len(rows), self.problem.count)
        self.laid_on[without, KIND], self.laid_on[without, ON] = left_out, NONE
        self.homeless[: len(without)] = without
        self.told[STILL] = len(without)
        mean = mean_fill(self.problem, sheets)
        self.good = np.array([mean * (sheet.area >> 2 * shortened) for sheet in self.problem.sheets])

    @property
    def laid(self) -> list[PackedSheet]:
        """The sheets that hold anything."""
        return as_packed(self.problem, self.sheets, self.laid_on)

    @property
    def without_place(self) -> list[int]:
        """The kinds of the pieces that have no place, one for each."""
        return [int(kind) for kind in self.laid_on[self.homeless[: self.told[STILL]], KIND]]

    def run(self, until: int) -> bool:
        """Search until every piece has a place or the effort reaches `until` steps; whether every piece has one."""
        if self.told[STILL] and self.effort.steps < until:
            self.told[SEEN] = 0
            tables = self.problem.tables
            rounds(
                tables.kinds,
                tables.shapes,
                tables.senses,
                self.weights,
                tables.stocks,
                self.good,
                tables.rules,
                self.laid_on,
                self.sheets,
                self.homeless,
                self.state,
                self.manner,
                MOST_SHEETS,
                MOST_HOMELESS,
                self.tried_a_step * (until - self.effort.steps),
                self.seen_laid,
                self.seen,
                self.told,
            )
            self.effort.steps += 1 + int(self.told[WORK]) // self.tried_a_step
            self.keep(self._good_sheets())
        return not self.told[STILL]

    def _good_sheets(self) -> list[PackedSheet]:
        """The good sheets that the last run laid; each stands in rows of its own, one after another."""
        packed = []
        for place in range(min(len(self.seen), int(self.told[SEEN]))):
            held = int(self.seen[place, HELD])
            laid = self.seen_laid[place, :held]
            laid[:, NEXT] = [*range(1, held), NONE]
            sheet = self.seen[place : place + 1]
            sheet[0, FIRST] = 0
            packed += as_packed(self.problem, sheet, laid)
        return packed
