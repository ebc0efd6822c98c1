"""A cut plan made for one question laid on another: whether it fits there, and what it costs at the prices of there."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Final

from webapp.costing.cutting.ask.model import LengthPlan, LengthRequest, Plan, Request, SheetPlan, SheetRequest
from webapp.costing.cutting.ask.splices import with_splices
from webapp.costing.cutting.hand.judging import judge_sheet_plan
from webapp.costing.cutting.lengths.answer import answer, purchase_of
from webapp.costing.cutting.lengths.problem import pose_length_problem
from webapp.costing.plans.key import PricesAsked

#: A plan that prices took away from the least that is possible by no more than this is as near to it as it was: prices
#: raised by one share and rounded to the coin are never quite raised by one share.
AS_NEAR: Final = Fraction(1, 1000)


def laid_on(request: Request, plan: Plan) -> Plan | None:
    """The plan at this question's prices, with nothing known of how near to the least it is; None where it doesn't fit.

    Its pieces are those of the same names; what it leaves out it may leave out here.
    """
    if isinstance(request, SheetRequest):
        return _sheets_on(request, plan) if isinstance(plan, SheetPlan) else None
    return _lengths_on(request, plan) if isinstance(plan, LengthPlan) else None


def _sheets_on(request: SheetRequest, plan: SheetPlan) -> SheetPlan | None:
    # Without its sheets, so that cuts are counted anew as this question's saw makes them.
    judged = judge_sheet_plan(request, plan.sheets, replace(plan, sheets=(), bound=Fraction(0)))
    return None if judged.faults else judged.plan


def _lengths_on(request: LengthRequest, plan: LengthPlan) -> LengthPlan | None:
    left_out = {one.piece: one.count for one in plan.unplaced}
    pieces = tuple(replace(piece, count=piece.count - left_out.pop(piece.id, 0)) for piece in request.pieces)
    if left_out or any(piece.count < 0 for piece in pieces):
        return None
    asked, parts = with_splices(replace(request, pieces=pieces))
    problem, too_long = pose_length_problem(asked)
    if too_long or parts != plan.parts:
        return None
    purchase = purchase_of(problem, plan)
    if purchase is None:
        return None
    return answer(problem, purchase, plan.unplaced, parts, 0, 0)


def carried_over(plan: Plan, was: PricesAsked, now: PricesAsked) -> Plan | None:
    """A plan of the same question at other prices, all its money moved by the least share that any price moved by.

    No purchase costs less than that share of what it did, so what was known of the least possible price is known at
    that share of it. None where no price tells it.
    """
    shares = [
        after / before
        for stock, breaks in was.items()
        for (_, before), (_, after) in zip(breaks, now.get(stock, ()), strict=True)
        if before
    ]
    if not shares or plan.unplaced:
        return None
    share = min(shares)
    bound = plan.price if plan.proved else plan.bound
    return replace(plan, price=plan.price * share, bound=bound * share, proved=False)


def at_these_prices(request: Request, carried: Plan) -> tuple[Plan, bool] | None:
    """A plan that was carried over at the prices of the question, and whether it is as near to the least as it was;
    None where it doesn't fit any more."""
    laid = laid_on(request, carried)
    if laid is None:
        return None
    bound = min(laid.price, carried.bound)
    near = bound > 0 and laid.price <= carried.price * (1 + AS_NEAR)
    return replace(laid, bound=bound, proved=bound == laid.price), near
