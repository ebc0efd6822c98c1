"""A cut plan made for one question laid on another: whether it fits there, and what it costs at the prices of there."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from webapp.costing.cutting.ask.model import LengthPlan, LengthRequest, Plan, Request, SheetPlan, SheetRequest
from webapp.costing.cutting.ask.splices import with_splices
from webapp.costing.cutting.hand.judging import judge_sheet_plan
from webapp.costing.cutting.lengths.answer import answer, purchase_of
from webapp.costing.cutting.lengths.problem import pose_length_problem


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
