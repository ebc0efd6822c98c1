"""From a first packing to the best that the effort allows: search, column generation and covering in turn."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from typing import Final

from webapp.costing.cutting.ask.effort import Effort
from webapp.costing.cutting.bounds.bounds import SheetBound
from webapp.costing.cutting.bounds.purchases import Purchase, purchases_below
from webapp.costing.cutting.laying.packing import PackedSheet, mean_fill
from webapp.costing.cutting.laying.problem import SheetProblem
from webapp.costing.cutting.sheets.columns import SheetColumns
from webapp.costing.cutting.sheets.dive import dive
from webapp.costing.cutting.sheets.goal_search import GoalSearch, weights_of
from webapp.costing.cutting.sheets.master import STEPS_A_LOOK
from webapp.costing.cutting.sheets.rounding import named_again, rest_of, whole_part
from webapp.costing.cutting.sheets.search import Packing, first_packing, simple_packings

FIRST_STEPS: Final = 40_000
"""Steps of the first round of search; each round takes twice as many as the one before."""
LONGEST_ROUND: Final = 1_000_000
MOST_KEPT: Final = 6_000
ENDLESS: Final = 2**62
FIRST_LOOKS: Final = 12
"""How often the first whole-number programme may look up; later ones take a fifth of the steps of a round."""
MANY_ALIKE: Final = 6
"""Pieces to a kind from which on patterns are priced before anything else."""
MOST_GOALS: Final = 6
"""So many purchases for less are aimed at in turn, the roomiest first."""
PRICING_SHARE: Final = 3
DIVING_SHARE: Final = 5
"""Of a round: so many times the steps of its search go to the linear optimum, and to the dives from it."""
STEPS_BETWEEN_LOOKS: Final = 10_000
SHARE_WORTH_RAISING: Final = 1.08
"""A grid whose bound is further below the one known by other means is not worth its time."""
LOOSER_ROUNDINGS: Final = 3
MOST_LOOSENED: Final = 12
"""So many whole sheets of the linear optimum may be left unbought, so that the rest has more to choose from."""
STEPS_FOR_REST: Final = 200_000
STEPS_FOR_LAST_SHEETS: Final = 20_000

Report = Callable[[Packing, int], bool]
"""Takes the best packing and bound so far; False stops the work."""


class SheetSolver:
    """The state of one solve: the best packing, the bound, and all sheets ever laid."""

    def __init__(
        self,
        problem: SheetProblem,
        apart: SheetProblem,
        packing: Packing,
        seed: int,
        effort: Effort,
        report: Report,
        *,
        bounds_by_cuts: bool,
        ceiling: int | None = None,
    ) -> None:
        """A solve from a first packing; nothing that costs as much as the `ceiling` is worth looking for.

        `bounds_by_cuts` says whether a bound over all cuts from edge to edge holds: not for what a router will lay.
        """
        self.problem, self.effort, self.report, self.seed = problem, effort, report, seed
        self.packing = packing
        self.bounds = SheetBound(apart)
        self.bound = self.bounds.least_price(packing.price)
        self.columns = SheetColumns(problem, seed, effort, {}, "up")
        # Groups may lie apart where only a bound is sought; then their columns hold other kinds than the sheets do.
        self.priced = SheetColumns(apart, seed, effort, self.columns.pool if apart is problem else {}, "down")
        self.priced.center = self.bounds.worths()
        self.worths = self.priced.center if apart is problem else [float(kind.area) for kind in problem.kinds]
        self.bounds.valuations = self.priced.valuations
        self.random = random.Random(seed)
        self.apart = apart is not problem
        self.noted = 0
        self.saved = 0
        self.dive_steps = FIRST_STEPS // 20
        self.searches: dict[Purchase, GoalSearch] = {}
        self.completed = 0
        self.ceiling = ENDLESS if ceiling is None else ceiling
        self.stopped = False
        self.bounds_by_cuts = bounds_by_cuts

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
        self.columns.keep(self.packing.sheets)
        if self.over:
            return
        if self.bounds_by_cuts and self.many_alike and not self.packing.homeless:
            self._price(self.effort.steps + LONGEST_ROUND)
            self._round()
            self.columns.diversify(self.effort.steps + FIRST_STEPS)
            self._cover(FIRST_LOOKS)
        if self.packing.homeless:
            self._place_all()
        steps = FIRST_STEPS
        while not self.over and not self.packing.homeless:
            before = self.effort.steps
            self._one_round(steps)
            if self.effort.steps == before:
                # Nothing to aim at and no bound to raise: more rounds would do no more.
                return
            steps = min(2 * steps, LONGEST_ROUND)

    def _one_round(self, steps: int) -> None:
        """Every method in turn, each with its share of the steps: what helps depends on how many sheets there are."""
        self._aim(self.effort.steps + steps)
        if not self.over:
            self._price(self.effort.steps + PRICING_SHARE * steps)
        if not self.over and self.many_alike:
            self._round()
            self.columns.diversify(self.effort.steps + steps // 2)
        exact = self.columns is self.priced
        if exact:
            self.columns.converge(self.effort.steps + PRICING_SHARE * steps)
        self._dive(DIVING_SHARE * steps)
        if exact and steps > FIRST_STEPS:
            self._cover(max(FIRST_LOOKS, steps // (4 * STEPS_A_LOOK)))

    def _aim(self, until: int) -> None:
        """Search for all pieces on what less money buys; the searches go on where they were left."""
        while not self.over and self.effort.steps < until:
            price = min(self.packing.price, self.ceiling)
            goals = purchases_below(self.problem, price, MOST_GOALS, self.bounds.rules_out)
            if not goals:
                return
            found = False
            weights = weights_of(self.problem, self._worths())
            # Where costs hang on number many purchases differ: each has its turn, however few the steps.
            end = min(until, self.effort.allowed) if self.problem.costs_hang_on_number else until
            turn = max(1, (end - self.effort.steps) // len(goals))
            for goal in goals:
                if goal not in self.searches:
                    self.searches[goal] = GoalSearch(self.problem, self.seed, self.effort, self._keep)
                    self.searches[goal].aim(self.packing.sheets, goal)
                self.searches[goal].weigh(weights)
                stop = self.effort.steps + turn
                while not found and not self.over and self.effort.steps < stop:
                    found = self.searches[goal].run(min(stop, self.effort.steps + STEPS_BETWEEN_LOOKS))
                    self._tell()
                if found:
                    laid = self.searches[goal].laid
                    self._take(Packing(laid, [], self._price_of(laid)))
                    self.searches.clear()
                    break
            if not found:
                return

    def _worths(self) -> list[float]:
        """What each kind is worth by the linear optimum; before there is one, by the bound."""
        relaxed = self.columns.relaxed if self.columns.converged else None
        return relaxed.worths if relaxed is not None else self.worths

    @property
    def many_alike(self) -> bool:
        """Whether patterns can be used many times over, so that the linear optimum says nearly all."""
        return self.problem.count >= MANY_ALIKE * len(self.problem.kinds)

    def _cover(self, looks: int) -> None:
        if self.over:
            return
        covered = self.columns.cover(self.packing.price, looks)
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
            if not bought or self.over:
                return
            self._complete(bought, STEPS_FOR_REST)
        if self.columns.exact:
            # Little is left to gain there but by leaving more over than the optimum does, some other sheets each time.
            bought = whole_part(self.columns, relaxed, 1 - 1e-6)
            for _ in range(LOOSER_ROUNDINGS):
                if self.over:
                    return
                self.random.shuffle(bought)
                kept = bought[int(self.random.random() * MOST_LOOSENED) + 1 :]
                # With nothing bought the rest is the whole: at true costs its bound may stay below for good.
                if kept or not self.problem.costs_hang_on_number:
                    self._complete(kept, STEPS_FOR_REST)

    def _dive(self, steps: int) -> None:
        """Dive from the linear optimum, a little differently each time; what is not enough for a dive is saved up."""
        self.saved += steps
        if self.columns.relaxed is None or not self.columns.real:
            return
        while not self.over and self.saved >= self.dive_steps * len(self.packing.sheets):
            started = self.effort.steps
            bought = dive(self.columns, self.random)
            taken = self.effort.steps - started
            self.dive_steps = max(1, taken // max(1, len(self.packing.sheets)))
            if bought and not self.over:
                self._complete(bought, STEPS_FOR_LAST_SHEETS)
            self.saved -= max(1, self.effort.steps - started)

    def _complete(self, bought: list[PackedSheet], steps: int) -> None:
        """Solve what some bought sheets leave over as a problem of its own, and take the whole if it is better."""
        rest, numbers = rest_of(self.problem, bought)
        sheets = list(bought)
        self.completed += 1
        if rest.kinds:
            effort = self.effort.part(steps)
            packing = simple_packings(rest, first_packing(rest, effort), effort)
            solver = SheetSolver(
                rest,
                rest,
                packing,
                self.seed + self.completed,
                effort,
                lambda packing, bound: True,
                bounds_by_cuts=self.bounds_by_cuts,
                # Only a rest that makes the whole cheaper is of any use.
                ceiling=self.packing.price - self._price_of(bought),
            )
            if solver.bound < solver.ceiling:
                solver.run()
            self.effort.steps += effort.steps
            if solver.packing.homeless:
                return
            sheets += named_again(solver.packing.sheets, numbers)
        self._keep(sheets)
        self._take(Packing(sheets, [], self._price_of(sheets)))
        self._tell()

    def _place_all(self) -> None:
        """Look for a place for what has none, on all the sheets there are; what is left out only ever grows less."""
        used = Counter(sheet.sheet for sheet in self.packing.sheets)
        spare = len(self.packing.homeless)
        purchase = tuple(min(sheet.limit, used[place] + spare) for place, sheet in enumerate(self.problem.sheets))
        search = GoalSearch(self.problem, self.seed, self.effort, self._keep, leeway=0.0)
        search.weigh([float(self.problem.piece_area(kind)) for kind in range(len(self.problem.kinds))])
        search.aim(self.packing.sheets, purchase, self.packing.homeless)
        while not self.over and not search.run(self.effort.steps + STEPS_BETWEEN_LOOKS):
            self._take_placed(search)
        self._take_placed(search)

    def _take_placed(self, search: GoalSearch) -> None:
        laid = search.laid
        reached = Packing(laid, search.without_place, self._price_of(laid))
        if reached.rank(self.problem) < self.packing.rank(self.problem):
            self.packing = reached
        self._tell()

    def _price(self, until: int) -> None:
        """Lay what the linear optimum asks for, and raise the bound with the worths that it gives the pieces."""
        if not self.bounds_by_cuts or not self.priced.begin():
            return
        if self.priced.exact and not self.apart:
            # No grid comes between: the same columns bound the price and can be laid.
            self.columns = self.priced
            self._raise_bound(until)
            return
        half = (until - self.effort.steps) // 2
        generated = self.effort.steps + half
        while not self.over and not self.columns.finished and self.effort.steps < generated:
            started = self.effort.steps
            self.columns.generate(ENDLESS, min(generated, started + FIRST_STEPS))
            self._tell()
            if self.effort.steps == started:
                break
        if self.columns.relaxed is not None and self.columns.converged and not self.apart:
            self.priced.look_at(self.columns.relaxed.worths)
            self._note_bound()
            if self.priced.least * SHARE_WORTH_RAISING < self.bound:
                return
        self._raise_bound(self.effort.steps + half)

    def _raise_bound(self, until: int) -> None:
        while not self.over and not self.priced.finished and self.effort.steps < until:
            started = self.effort.steps
            self.priced.generate(self.packing.price, min(until, started + FIRST_STEPS))
            self._note_bound()
            self._tell()
            if self.effort.steps == started:
                break
        self._note_bound()
        if len(self.problem.sheets) > 1:
            self._rule_out()

    def _note_bound(self) -> None:
        if self.priced.least > self.noted:
            self.noted = self.priced.least
            self._rule_out()

    def _rule_out(self) -> None:
        """Raise the bound to the cheapest purchase that nothing known by now rules out."""
        self.bound = max(self.bound, self.bounds.least_price(self.packing.price, at_least=self.noted))

    def _take(self, packing: Packing) -> None:
        if packing.price < self.packing.price:
            self.packing = packing

    def _keep(self, sheets: list[PackedSheet]) -> None:
        """Remember sheets that are filled better than those of the plan for the programmes over whole sheets."""
        if len(self.columns.pool) < MOST_KEPT:
            whole, mean = self.problem.sheets, mean_fill(self.problem, self.packing.sheets)
            self.columns.keep([one for one in sheets if one.used >= mean * whole[one.sheet].area])

    def _tell(self) -> None:
        if not self.report(replace(self.packing), min(self.bound, self.packing.price)):
            self.stopped = True

    def _price_of(self, sheets: list[PackedSheet]) -> int:
        return self.problem.price_of(sheet.sheet for sheet in sheets)
