"""How a figure of a design being made was reached: opened beside it, or as a page of its own, once it is asked for."""

from __future__ import annotations

from uuid import UUID

from fastapi import Request
from fastapi.responses import Response

from webapp.costing.estimate.helper_view import open_figures
from webapp.costing.ledger.working import Figure
from webapp.documents.printing.paper import reader_of
from webapp.pages.maker.view import making_address
from webapp.pages.maker.worked import price_of, work_out_document
from webapp.pages.sheet.working import working_page
from webapp.pages.shown.figures import Shower, all_figures
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn
from webapp.pages.web.errors import is_part
from webapp.pages.web.roles import sees_money
from webapp.pages.web.routing import PageRouter
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.maker.records import load_making
from webapp.rendering import render
from webapp.running import running

router = PageRouter()


@router.get("/maker/{making_id}/working/{figure_id:path}")
def show_making_working(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, making_id: UUID, figure_id: str
) -> Response:
    """The working of a figure of the design as it stands: of its take-off, else of what one of it comes to as a job."""
    making, today = load_making(session, user.id, making_id), shop.today(running(request).now())
    worked = work_out_document(session, making.document, shop, today)
    figures: dict[str, Figure] = dict(worked.figures)
    opened: set[str] | None = None
    if not sees_money(user):
        opened = open_figures(figures)
    elif figure_id not in figures and (estimate := price_of(session, worked, shop, today)) is not None:
        figures = all_figures(estimate, figure_id)
    if figure_id not in (figures if opened is None else opened):
        raise NotKept("figure in this design as it stands now", figure_id)
    shower = Shower(making_address(making_id), reader_of(shop), opened)
    page = working_page(
        figures[figure_id], figures, shower, is_part(request), "Design", making.name, "as it stands, being made"
    )
    return render(request, "sheet/working.html", page)
