"""The cut plan that an estimate waits for: the one door from the estimate to the solvers."""

from __future__ import annotations

from webapp.costing.cutting.ask.effort import LENGTH_STEPS, SHEET_STEPS
from webapp.costing.cutting.ask.model import Plan, Request, SheetRequest
from webapp.costing.cutting.lengths.plan import plan_lengths
from webapp.costing.cutting.sheets.plan import plan_sheets


def first_plan(request: Request) -> Plan:
    """The plan that an estimate waits for; steps end it, so that it is alike everywhere.

    Raises `CutRequestError` where the question makes no sense.
    """
    if isinstance(request, SheetRequest):
        return plan_sheets(request, steps=SHEET_STEPS, seed=0)
    return plan_lengths(request, steps=LENGTH_STEPS, seed=0)
