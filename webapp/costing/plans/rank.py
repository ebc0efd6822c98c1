"""Which of two plans for the same question is the better: more pieces placed, then less money for what is bought and
for sawing it, a larger offcut, fewer cuts."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from webapp.costing.cutting.ask.model import CutSheet, Plan, Request, SheetPlan, SheetRequest, SheetStock
from webapp.costing.cutting.saw.money import sawing_money


def better_plan(kept_plan: Plan, found_plan: Plan, request: Request | None = None) -> Plan:
    """The better of two plans for one question, with what either of them knows of the least possible price.

    Sawing and offcuts of sheets are compared where the question is given; of plans that are alike in all this, the one
    that is kept stays. What is known of the least price is known of what is bought: a plan that is bought dearer, to be
    sawn for less, is not proved.
    """
    best = found_plan if is_better(found_plan, kept_plan, request) else kept_plan
    if kept_plan.unplaced != found_plan.unplaced:
        return best
    bound = min(best.price, max(kept_plan.bound, found_plan.bound))
    proved = best.proved or (bound == best.price and not best.unplaced) or _proved_alike(kept_plan, found_plan)
    return best if (bound, proved) == (best.bound, best.proved) else replace(best, bound=bound, proved=proved)


def is_better(plan: Plan, other: Plan, request: Request | None = None) -> bool:
    """Whether a plan goes before another of the same question."""
    return _rank(plan, request) < _rank(other, request)


def saved_by(known: Plan, used: Plan, request: Request) -> Fraction:
    """How much less one plan costs than another of the same question, bought and sawn; 0 where it is no better."""
    if _rank(known, request)[0] != _rank(used, request)[0]:
        return Fraction(0)
    costs = [plan.price + sawing_money(request, plan) for plan in (used, known)]
    return max(Fraction(0), costs[0] - costs[1])


def _proved_alike(kept_plan: Plan, found_plan: Plan) -> bool:
    return kept_plan.price == found_plan.price and (kept_plan.proved or found_plan.proved)


def _rank(plan: Plan, request: Request | None) -> tuple[object, ...]:
    offcut = 0
    if isinstance(plan, SheetPlan) and isinstance(request, SheetRequest):
        offcut = _largest_offcut(plan, request)
    return sum(one.count for one in plan.unplaced), plan.price + sawing_money(request, plan), -offcut, plan.cuts


def _largest_offcut(plan: SheetPlan, request: SheetRequest) -> int:
    """The area of the largest rest that one cut over the whole of a sheet leaves beside all its pieces."""
    stocks = {stock.id: stock for stock in request.stocks}
    sizes = {piece.id: (piece.length, piece.width) for piece in request.pieces}
    return max((_beside(sheet, stocks[sheet.stock], sizes, request.kerf) for sheet in plan.sheets), default=0)


def _beside(sheet: CutSheet, stock: SheetStock, sizes: dict[str, tuple[int, int]], kerf: int) -> int:
    right = upper = 0
    for put in sheet.placements:
        along, across = sizes[put.piece][::-1] if put.turned else sizes[put.piece]
        right, upper = max(right, put.x + along + kerf), max(upper, put.y + across + kerf)
    far, top = stock.length - stock.trim.end, stock.width - stock.trim.high
    whole_length, whole_width = far - stock.trim.start, top - stock.trim.low
    return max(0, (far - right) * whole_width, (top - upper) * whole_length)
