"""A legal plan that any search betters at once: every piece on a sheet of its own, and nothing known of the least."""

from __future__ import annotations

from fractions import Fraction

from webapp.costing.cutting.ask.model import CutSheet, Placement, SheetPlan, SheetRequest


def poor_plan(request: SheetRequest) -> SheetPlan:
    """Every piece in the corner of a sheet of the first stock that holds it."""
    sheets, price = list[CutSheet](), Fraction(0)
    for piece in request.pieces:
        stock = next(
            one
            for one in request.stocks
            if piece.length <= one.length - one.trim.start - one.trim.end
            and piece.width <= one.width - one.trim.low - one.trim.high
        )
        placed = Placement(piece.id, stock.trim.start, stock.trim.low, False)
        sheets.append(CutSheet(stock.id, piece.count, (placed,)))
        price += piece.count * stock.price
    return SheetPlan(tuple(sheets), (), price, Fraction(0), False, 0, 6 * len(sheets), 0, ())
