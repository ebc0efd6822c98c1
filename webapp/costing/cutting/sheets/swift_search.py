"""The search of `goal_search` in compiled code: the same manner of search, twenty times as many rounds in a second."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

import numpy as np

from webapp.costing.cutting.ask.effort import Effort
from webapp.costing.cutting.bounds.purchases import Purchase
from webapp.costing.cutting.laying.again import senses_of
from webapp.costing.cutting.laying.kernel import (
    LAID_COLUMNS,
    ROUNDS_TOLD,
    SEEN,
    SHEET_COLUMNS,
    STILL,
    WORK,
    Whole,
    rounds,
)
from webapp.costing.cutting.laying.packing import PackedSheet, mean_fill
from webapp.costing.cutting.laying.problem import SheetProblem
from webapp.costing.cutting.sheets.goal_search import (
    BY_GAP,
    LEEWAY,
    MOST_HOMELESS,
    MOST_SHEETS,
    NOISE,
    GoalSearch,
    kept_for,
)

TRIED_A_STEP: Final = 16
"""So many pieces are tried for a place in the time in which a slower search tries one."""
MOST_AREA: Final = 2**61
"""Of a sheet, in the problem's unit: sizes typed to the nanometre can be too much for 64 bits."""
MOST_PLACES: Final = 700_000
"""So many places for pieces, on all sheets together, take some 40 MB."""
MOST_SEEN: Final = 48
"""So many good sheets are kept of those that one run laid."""


def is_swift(problem: SheetProblem) -> bool:
    """Whether the compiled code knows all that a problem asks, and no sum in it outgrows its whole numbers."""
    return (
        not problem.by_router
        and not problem.has_groups
        and all(sheet.along * sheet.across <= MOST_AREA for sheet in problem.sheets)
    )


def search_for(
    problem: SheetProblem, goal: Purchase, seed: int, effort: Effort, keep: Callable[[list[PackedSheet]], None]
) -> SwiftGoalSearch | GoalSearch:
    """The quickest search that knows what is asked and has room for it."""
    if is_swift(problem) and sum(goal) * most_on_a_sheet(problem) <= MOST_PLACES:
        return SwiftGoalSearch(problem, seed, effort, keep)
    return GoalSearch(problem, seed, effort, keep)


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


class SwiftGoalSearch:
    """Searches for a place for all pieces on the sheets of one purchase; good sheets that it lays go to `keep`."""

    def __init__(
        self, problem: SheetProblem, seed: int, effort: Effort, keep: Callable[[list[PackedSheet]], None]
    ) -> None:
        self.problem = problem
        self.effort = effort
        self.keep = keep
        rules = problem.rules
        measured = zip(problem.measures, problem.least_sides, strict=True)
        self.kinds = np.array([(*measures, least) for measures, least in measured], dtype=np.int64)
        self.senses = np.array(senses_of(problem), dtype=np.float64)
        self.stocks = np.array([(sheet.along, sheet.across) for sheet in problem.sheets], dtype=np.int64)
        self.rules = np.array([rules.bind(), rules.least, rules.most_turns], dtype=np.int64)
        # A generator of this kind must not begin at nothing, and begins poorly at small numbers.
        self.state = np.array([(seed + 1) * 0x9E3779B97F4A7C15 % 2**64 or 1], dtype=np.uint64)
        self.manner = np.array([NOISE, LEEWAY, BY_GAP])
        self.room = most_on_a_sheet(problem)
        self.weights = np.zeros(len(problem.kinds))
        self.told = np.zeros(ROUNDS_TOLD, dtype=np.int64)
        self.seen = np.zeros((MOST_SEEN, SHEET_COLUMNS), dtype=np.int64)
        self.seen_laid = np.zeros((MOST_SEEN, self.room, LAID_COLUMNS), dtype=np.int64)
        self.sheets = np.zeros((0, SHEET_COLUMNS), dtype=np.int64)
        self.laid_on = np.zeros((0, self.room, LAID_COLUMNS), dtype=np.int64)
        self.homeless = np.zeros(problem.count, dtype=np.int64)
        self.good = np.zeros(len(problem.sheets))

    def weigh(self, weights: Sequence[float]) -> None:
        """Go by these weights of the kinds from here on."""
        self.weights = np.array(weights, dtype=np.float64)

    def aim(self, sheets: Sequence[PackedSheet], purchase: Purchase) -> None:
        """Start from a whole plan: the fullest sheets that the purchase has too are kept, the others emptied."""
        kept, homeless = kept_for(self.problem, sheets, purchase)
        self.sheets = np.array([(one.sheet, len(one.laid), one.used, one.spare) for one in kept], dtype=np.int64)
        self.laid_on = np.zeros((len(kept), self.room, LAID_COLUMNS), dtype=np.int64)
        for place, sheet in enumerate(kept):
            if sheet.laid:
                self.laid_on[place, : len(sheet.laid)] = sheet.laid
        self.homeless[: len(homeless)] = homeless
        self.told[STILL] = len(homeless)
        mean = mean_fill(self.problem, sheets)
        self.good = np.array([mean * sheet.area for sheet in self.problem.sheets])

    @property
    def laid(self) -> list[PackedSheet]:
        """The sheets that hold anything."""
        return as_packed(self.sheets, self.laid_on)

    @property
    def without_place(self) -> list[int]:
        """The kinds of the pieces that have no place, one for each."""
        return [int(kind) for kind in self.homeless[: self.told[STILL]]]

    def run(self, until: int) -> bool:
        """Search until every piece has a place or the effort reaches `until` steps; whether every piece has one."""
        if self.told[STILL] and self.effort.steps < until:
            self.told[SEEN] = 0
            rounds(
                self.kinds,
                self.senses,
                self.weights,
                self.stocks,
                self.good,
                self.rules,
                self.laid_on,
                self.sheets,
                self.homeless,
                self.state,
                self.manner,
                MOST_SHEETS,
                MOST_HOMELESS,
                TRIED_A_STEP * (until - self.effort.steps),
                self.seen_laid,
                self.seen,
                self.told,
            )
            self.effort.steps += 1 + int(self.told[WORK]) // TRIED_A_STEP
            seen = min(MOST_SEEN, int(self.told[SEEN]))
            self.keep(as_packed(self.seen[:seen], self.seen_laid))
        return not self.told[STILL]


def as_packed(sheets: Whole, laid: Whole) -> list[PackedSheet]:
    """Sheets out of arrays, those that hold anything."""
    packed = []
    for place, (stock, held, used, spare) in enumerate(sheets.tolist()):
        if held:
            rows = laid[place, :held].tolist()
            packed.append(PackedSheet(stock, [(*row[:6], bool(row[6])) for row in rows], used, spare))
    return packed
