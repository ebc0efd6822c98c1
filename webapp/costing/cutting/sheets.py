"""The cheapest sheets for a list of pieces, found step by step, with a bound that says how good the plan is."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import replace
from fractions import Fraction
from typing import Final

from webapp.costing.cutting.checking import check_sheet_request
from webapp.costing.cutting.effort import Effort
from webapp.costing.cutting.model import CutSheet, Placement, SheetPlan, SheetRequest, Unplaced
from webapp.costing.cutting.packing import PackedSheet
from webapp.costing.cutting.placing import placements_of, share_out
from webapp.costing.cutting.sheet_bounds import SheetBound
from webapp.costing.cutting.sheet_cuts import count_cuts
from webapp.costing.cutting.sheet_problem import SheetProblem, pose_sheet_problem
from webapp.costing.cutting.sheet_search import Improvement, Packing, enlarge_offcut, first_packing, simple_packings

DEFAULT_STEPS: Final = 2400
"""Enough for a good plan of one material of a bench; the estimate plans a handful of materials with it."""


def plan_sheets(
    request: SheetRequest, *, steps: int = DEFAULT_STEPS, seed: int = 0, seconds: float | None = None
) -> SheetPlan:
    """Plan the sheets for the least price; equal prices go to the larger single offcut, then to fewer cuts.

    The plan depends on `steps` (pieces tried for a place) and `seed` alone; `seconds` only stops the work, and a plan
    is given even where it allows none. Stops as soon as the plan is proved. Pieces that no sheet holds, and those for
    which limited stock runs out, are returned unplaced with the reason; the bound is then for the pieces that could
    be placed, or not above the price. With the router the saw's plan is made first and bettered by as many steps
    again, in half of the time each. Raises `CutRequestError` naming everything wrong with the request.
    """
    check_sheet_request(request)
    effort = Effort.of(steps, seconds)
    problem, left_out = pose_sheet_problem(request)
    if not problem.kinds:
        return _finished(problem, Packing([], [], 0), left_out, 0, effort)
    sawn = replace(problem, by_router=False)
    sawing = Effort.of(steps, None if seconds is None else seconds / 2) if problem.by_router else effort
    packing = first_packing(sawn, sawing)
    apart = pose_sheet_problem(request, grouped=False)[0] if problem.has_groups else problem
    bound = SheetBound(apart).least_price(packing.price)
    packing = _improved(sawn, packing, bound, seed, sawing)
    if problem.by_router:
        packing = _improved(problem, packing, bound, seed, effort)
        effort.steps += sawing.steps
    packing = enlarge_offcut(problem, packing, effort)
    return _finished(problem, packing, left_out, bound, effort)


def _improved(problem: SheetProblem, packing: Packing, bound: int, seed: int, effort: Effort) -> Packing:
    if packing.price <= bound and not packing.homeless and problem.by_router:
        return packing
    packing = simple_packings(problem, packing, effort)
    improvement = Improvement(problem, packing, seed, effort)
    improvement.run(bound)
    return improvement.packing()


def _finished(
    problem: SheetProblem, packing: Packing, left_out: tuple[Unplaced, ...], bound: int, effort: Effort
) -> SheetPlan:
    unplaced, waiting = share_out(problem, packing.homeless)
    ordered = sorted(packing.sheets, key=lambda sheet: (sheet.sheet, -sheet.used))
    alike: Counter[tuple[str, tuple[Placement, ...]]] = Counter()
    cuts = cut_length = 0
    for sheet in ordered:
        alike[(problem.sheets[sheet.sheet].stock.id, placements_of(problem, sheet, waiting))] += 1
        sheet_cuts, sheet_cut_length = count_cuts(problem, sheet)
        cuts += sheet_cuts
        cut_length += sheet_cut_length
    return SheetPlan(
        sheets=tuple(CutSheet(stock, count, placements) for (stock, placements), count in alike.items()),
        unplaced=left_out + unplaced,
        price=packing.price * problem.price_unit,
        bound=min(bound, packing.price) * problem.price_unit,
        proved=not packing.homeless and bound >= packing.price,
        steps=effort.steps,
        cuts=cuts,
        cut_length=cut_length,
        fill=_fill(problem, packing.sheets),
    )


def _fill(problem: SheetProblem, sheets: list[PackedSheet]) -> tuple[tuple[str, Fraction], ...]:
    covered: defaultdict[int, int] = defaultdict(int)
    number: Counter[int] = Counter()
    for sheet in sheets:
        number[sheet.sheet] += 1
        covered[sheet.sheet] += sum(problem.piece_area(laid[0]) for laid in sheet.laid)
    return tuple(
        (stock.id, Fraction(covered[place], stock.length * stock.width * number[place]))
        for place, stock in ((place, problem.sheets[place].stock) for place in sorted(number))
    )
