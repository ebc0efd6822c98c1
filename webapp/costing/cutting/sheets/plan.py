"""The cheapest sheets for a list of pieces, found step by step, with a bound that says how good the plan is."""

from __future__ import annotations

import time
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from webapp.costing.cutting.ask.checking import check_sheet_request
from webapp.costing.cutting.ask.effort import SHEET_STEPS, Effort
from webapp.costing.cutting.ask.model import CutSheet, Placement, SheetPlan, SheetRequest, Unplaced
from webapp.costing.cutting.laying.problem import SheetProblem, pose_sheet_problem
from webapp.costing.cutting.saw.arranging import arranged
from webapp.costing.cutting.saw.money import sawing_money
from webapp.costing.cutting.saw.sequence import sequence_totals
from webapp.costing.cutting.sheets.placing import laid_again, placements_of, share_out
from webapp.costing.cutting.sheets.saw_choice import sawn_for_less
from webapp.costing.cutting.sheets.search import Packing, enlarge_offcut, first_packing, simple_packings
from webapp.costing.cutting.sheets.solver import SheetSolver

BETWEEN_REPORTS: Final = 0.08
ARRANGED_AT_MOST: Final = 50
"""Different sheets up to which pieces are moved for the saw: beyond, the first plan of a very large job would wait."""


def plan_sheets(
    request: SheetRequest,
    *,
    steps: int = SHEET_STEPS,
    seed: int = 0,
    seconds: float | None = None,
    start: SheetPlan | None = None,
    watch: Callable[[SheetPlan], bool] | None = None,
) -> SheetPlan:
    """Plan the sheets for the least price; equal prices go to the larger single offcut, then to fewer cuts.

    Where the request says what sawing costs, the plan is then chosen for the least of both among that one, the same
    sheets laid again for fewer cuts, and simple packings that may be bought dearer.

    Pieces are moved on their sheets so that few fence settings saw them, and the cuts counted are those of the sequence
    in which the plan is sawn.
    The plan depends on `steps` (pieces tried for a place), `seed` and `start` alone; `seconds` only stops the work, and
    a plan is given even where it allows none. Stops as soon as the plan is proved. `start` is a plan known before: it
    is taken where it still answers the request. `watch` is given the plan whenever it gets better and some ten times a
    second, and stops the work by answering False. Pieces that no sheet holds, and those for which limited stock runs
    out, are returned unplaced with the reason; the bound is then for the pieces that could be placed, or not above the
    price. With the router the saw's plan is made first and bettered by as many steps again, in half of the time each.
    Raises `CutRequestError` naming everything wrong with the request.
    """
    check_sheet_request(request)
    effort = Effort.of(steps, seconds)
    problem, left_out = pose_sheet_problem(request)
    if not problem.kinds:
        return _finished(request, problem, Packing([], [], 0), left_out, 0, effort)
    apart = pose_sheet_problem(request, grouped=False)[0] if problem.has_groups else problem
    known = laid_again(problem, start) if start is not None else None
    report = _Report(request, problem, left_out, effort, watch)
    sawn, sawing = problem, effort
    if problem.by_router:
        sawn, sawing = replace(problem, by_router=False), Effort.of(steps, None if seconds is None else seconds / 2)
    packing = first_packing(sawn, sawing)
    packing = simple_packings(sawn, packing, sawing)
    # A bound from all cuts from edge to edge says nothing of what the router can do.
    solver = SheetSolver(sawn, apart, packing, seed, sawing, report, bounds_by_cuts=not problem.by_router)
    if known is not None and not problem.by_router and known.rank(problem) < packing.rank(problem):
        solver.packing = known
    solver.run()
    packing, bound = solver.packing, solver.bound
    if problem.by_router:
        effort.steps += sawing.steps
        effort.allowed += sawing.steps
        packing = simple_packings(problem, packing, effort)
        if known is not None and known.rank(problem) < packing.rank(problem):
            packing = known
        solver = SheetSolver(problem, apart, packing, seed, effort, report, bounds_by_cuts=False)
        if not report.stopped:
            solver.run()
        packing, bound = solver.packing, solver.bound
    packing = enlarge_offcut(problem, packing, effort)
    if request.sawing is None or problem.by_router or packing.homeless:
        return _finished(request, problem, packing, left_out, bound, effort)
    weighed = [
        _finished(request, problem, one, left_out, bound, effort)
        for one in sawn_for_less(problem, packing, request.sawing, effort)
    ]
    # Of equal sums the first stays, whose offcut was enlarged.
    return min(weighed, key=lambda plan: plan.price + sawing_money(request, plan))


@dataclass(slots=True)
class _Report:
    """Tells the one who watches of a better plan at once, else of the last one some ten times a second."""

    request: SheetRequest
    problem: SheetProblem
    left_out: tuple[Unplaced, ...]
    effort: Effort
    watch: Callable[[SheetPlan], bool] | None
    told: float = 0.0
    last: tuple[int, int, int] = (0, 0, 0)
    plan: SheetPlan | None = None
    stopped: bool = False

    def __call__(self, packing: Packing, bound: int) -> bool:
        if self.watch is None or self.stopped:
            return not self.stopped
        now = len(packing.homeless), packing.price, bound
        if self.plan is not None and now[:2] == self.last[:2] and bound != self.last[2]:
            at_least = min(bound, packing.price) * self.problem.price_unit
            proved = not packing.homeless and bound >= packing.price
            self.plan = replace(self.plan, bound=at_least, proved=proved)
        elif now != self.last or self.plan is None:
            self.plan = _finished(self.request, self.problem, packing, self.left_out, bound, self.effort)
        elif time.monotonic() - self.told < BETWEEN_REPORTS:
            return True
        self.last, self.told = now, time.monotonic()
        self.stopped = not self.watch(replace(self.plan, steps=self.effort.steps))
        return not self.stopped


def _finished(
    request: SheetRequest,
    problem: SheetProblem,
    packing: Packing,
    left_out: tuple[Unplaced, ...],
    bound: int,
    effort: Effort,
) -> SheetPlan:
    unplaced, waiting = share_out(problem, packing.homeless)
    ordered = sorted(packing.sheets, key=lambda sheet: (sheet.sheet, -sheet.used))
    laid: Counter[tuple[str, tuple[Placement, ...]]] = Counter()
    bought = Counter(sheet.sheet for sheet in ordered)
    names = {place: iter(problem.sheets[place].offered.named(number)) for place, number in bought.items()}
    filled: defaultdict[str, list[int]] = defaultdict(list)
    for sheet in ordered:
        name = next(names[sheet.sheet])
        laid[(name, placements_of(problem, sheet, waiting))] += 1
        filled[name].append(sum(problem.piece_area(one[0]) for one in sheet.laid))
    sheets = _as_sawn(request, laid)
    totals = sequence_totals(request, sheets)
    return SheetPlan(
        sheets=sheets,
        unplaced=left_out + unplaced,
        price=packing.price * problem.price_unit,
        bound=min(bound, packing.price) * problem.price_unit,
        proved=not packing.homeless and bound >= packing.price,
        steps=effort.steps,
        cuts=totals.cuts,
        cut_length=totals.length,
        fill=_fill(problem, filled),
    )


def _as_sawn(request: SheetRequest, laid: Counter[tuple[str, tuple[Placement, ...]]]) -> tuple[CutSheet, ...]:
    """The sheets with their pieces moved for the saw where there are not too many, those then alike put together."""
    alike = laid
    if len(laid) <= ARRANGED_AT_MOST:
        alike = Counter()
        for (stock, placements), count in laid.items():
            alike[stock, arranged(request, CutSheet(stock, 1, placements)).placements] += count
    return tuple(CutSheet(stock, count, placements) for (stock, placements), count in alike.items())


def _fill(problem: SheetProblem, filled: Mapping[str, list[int]]) -> tuple[tuple[str, Fraction], ...]:
    return tuple(
        (stock.id, Fraction(sum(filled[stock.id]), stock.length * stock.width * len(filled[stock.id])))
        for sheet in problem.sheets
        for stock in sheet.offered.stocks
        if stock.id in filled
    )
