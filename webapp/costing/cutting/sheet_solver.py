"""From a first packing to the best that the effort allows: search, column generation and covering in turn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from webapp.costing.cutting.effort import Effort
from webapp.costing.cutting.goal_search import GoalSearch
from webapp.costing.cutting.packing import PackedSheet
from webapp.costing.cutting.sheet_bounds import SheetBound
from webapp.costing.cutting.sheet_columns import SheetColumns
from webapp.costing.cutting.sheet_problem import SheetProblem
from webapp.costing.cutting.sheet_rounding import named_again, rest_of, whole_part
from webapp.costing.cutting.sheet_search import Improvement, Packing, first_packing, simple_packings

FIRST_STEPS: Final = 20_000
"""Steps of the first round of search; each round takes twice as many as the one before."""
LONGEST_ROUND: Final = 1_000_000
MANY_SHEETS: Final = 40
"""From so many sheets on it pays to make them tight everywhere before aiming at one less."""
MOST_KEPT: Final = 6_000
FIRST_NODES: Final = 40
"""Nodes of the first whole-number programme; as many times more as a round has more steps."""
MANY_ALIKE: Final = 6
"""Pieces to a kind from which on patterns are priced before anything else."""
STEPS_FOR_REST: Final = 200_000

Report = Callable[[Packing, int], bool]
"""Takes the best packing and bound so far; False stops the work."""


class SheetSolver:
    """The state of one solve: the best packing, the bound, and all sheets ever laid."""

    def __init__(
        self, problem: SheetProblem, apart: SheetProblem, packing: Packing, seed: int, effort: Effort, report: Report
    ) -> None:
        self.problem, self.effort, self.report, self.seed = problem, effort, report, seed
        self.packing = packing
        self.bounds = SheetBound(apart)
        self.bound = self.bounds.least_price(packing.price)
        self.columns = SheetColumns(problem, seed, effort)
        # Groups may lie apart where only a bound is sought; then their columns hold other kinds than the sheets do.
        self.priced = self.columns if apart is problem else SheetColumns(apart, seed, effort)
        self.stopped = False
        self.bounds_by_cuts = not problem.by_router

    @property
    def over(self) -> bool:
        """Whether the plan is proved, the effort is over, or somebody asked to stop."""
        return self.stopped or self.proved or self.effort.over()

    @property
    def proved(self) -> bool:
        """Whether every piece has a place and the price is down to the bound."""
        return not self.packing.homeless and self.packing.price <= self.bound

    def run(self) -> None:
        """Better the packing and the bound until there is nothing to gain or the effort is over."""
        self._keep(self.packing.sheets)
        if self.over:
            return
        if self.bounds_by_cuts and self.many_alike and not self.packing.homeless:
            self._price(self.effort.steps + LONGEST_ROUND)
            self._round()
            self.columns.diversify(self.effort.steps + FIRST_STEPS)
            self._cover(FIRST_NODES)
        else:
            self._tighten()
        search = GoalSearch(self.problem, self.seed, self.effort, self._keep)
        aimed: Packing | None = None
        steps = FIRST_STEPS
        while not self.over and not self.packing.homeless:
            until = self.effort.steps + steps
            while not self.over and self.effort.steps < until:
                if aimed is not self.packing:
                    search.aim(self.packing.sheets)
                    aimed = self.packing
                if search.run(min(until, self.effort.steps + steps // 8)):
                    self._take(Packing(search.sheets, [], search.price))
                self._tell()
            if not self.over:
                self._price(self.effort.steps + steps)
            if not self.over and self.many_alike:
                self._round()
                self.columns.diversify(self.effort.steps + steps // 2)
            self._cover(FIRST_NODES * steps // FIRST_STEPS)
            steps = min(2 * steps, LONGEST_ROUND)

    @property
    def many_alike(self) -> bool:
        """Whether patterns can be used many times over, so that the linear optimum says nearly all."""
        return self.problem.count >= MANY_ALIKE * len(self.problem.kinds)

    def _cover(self, nodes: int) -> None:
        if self.over:
            return
        covered = self.columns.cover(self.packing.price, nodes)
        if covered is not None:
            self._take(Packing(covered, [], self._price_of(covered)))
        self._tell()

    def _round(self) -> None:
        """Buy the whole parts of the linear optimum, and solve what they leave over as a problem of its own."""
        relaxed = self.columns.relaxed
        if relaxed is None or self.over:
            return
        for at_least in (1 - 1e-6, 0.7, 0.5):
            bought = whole_part(self.columns, relaxed, at_least)
            rest, numbers = rest_of(self.problem, bought)
            if not bought or self.over:
                return
            sheets = list(bought)
            if rest.kinds:
                effort = self.effort.part(STEPS_FOR_REST)
                packing = simple_packings(rest, first_packing(rest, effort), effort)
                solver = SheetSolver(rest, rest, packing, self.seed, effort, lambda packing, bound: True)
                solver.run()
                self.effort.steps += effort.steps
                if solver.packing.homeless:
                    continue
                sheets += named_again(solver.packing.sheets, numbers)
            self._keep(sheets)
            self._take(Packing(sheets, [], self._price_of(sheets)))
            self._tell()

    def _tighten(self) -> None:
        """Give all pieces a place, and of many sheets make the fullest fuller, so that a weak one can be spared."""
        if not self.packing.homeless and len(self.packing.sheets) < MANY_SHEETS:
            return
        improvement = Improvement(self.problem, self.packing, self.seed, self.effort)
        lasting = 0
        while not self.over and (self.packing.homeless or lasting < 3):
            before = self.packing.price, len(self.packing.homeless)
            improvement.run(self.bound, self.effort.steps + FIRST_STEPS)
            self.packing = improvement.packing()
            lasting = lasting + 1 if (self.packing.price, len(self.packing.homeless)) == before else 0
            self._keep(self.packing.sheets)
            self._tell()

    def _price(self, until: int) -> None:
        if not self.bounds_by_cuts:
            return
        known = self.priced.bound
        while not self.over and not self.priced.finished and self.effort.steps < until:
            started = self.effort.steps
            self.priced.generate(self.packing.price, min(until, started + FIRST_STEPS))
            if self.effort.steps == started:
                break
            if self.priced.bound > known:
                known = self.priced.bound
                bound = self.bounds.least_price(self.packing.price, at_least=self.priced.least)
                self.bound = max(self.bound, bound)
            self._tell()

    def _take(self, packing: Packing) -> None:
        if packing.price < self.packing.price:
            self.packing = packing

    def _keep(self, sheets: list[PackedSheet]) -> None:
        if len(self.columns.pool) < MOST_KEPT:
            self.columns.keep(sheets)

    def _tell(self) -> None:
        if not self.report(replace(self.packing), min(self.bound, self.packing.price)):
            self.stopped = True

    def _price_of(self, sheets: list[PackedSheet]) -> int:
        return sum(self.problem.sheets[sheet.sheet].price for sheet in sheets)
