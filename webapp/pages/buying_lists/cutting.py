"""What the jobs of a list cut together: its plans as a page, on paper and as files; its cut list and its labels."""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends, Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.documents.printing.pdf_worker import WORKER
from webapp.documents.workshop.cut_papers import cut_html
from webapp.documents.workshop.cut_together import CutTogether, read_together, together_html, together_paper
from webapp.pages.plans.cuts_at import CutsAt, cuts_dxf, cuts_page, cuts_pdf, cuts_svg
from webapp.pages.web.answers import pdf_answer
from webapp.pages.web.dependencies import ShopHere, StoreSession
from webapp.pages.web.routing import PageRouter
from webapp.persistence.buying_lists.records import cut_together_of
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.settings.shop import Paper
from webapp.running import running

router = PageRouter()


def _together(session: Session, number: int) -> CutTogether:
    content = cut_together_of(session, number)
    if content is None:
        raise NotKept("cut list of several jobs with list", number)
    return read_together(content, number)


def of_list(request: Request, shop: ShopHere, number: int) -> CutsAt:
    """The plans that the jobs of a list are cut by together, as they were made with it."""
    address = f"/lists/{number}/cut"
    with running(request).database.reading() as session:
        found = _together(session, number)

    def pdf(paper: Paper) -> bytes:
        return WORKER.make(cut_html(found.paper(paper)))

    jobs = tuple((f"/jobs/{one.number}/workshop", f"Workshop pack of job {one.number}") for one in found.jobs)
    links = ((f"/lists/{number}", f"Open list {number}"), *jobs)
    further = ((f"{address}-list.pdf", "Cut list and labels, PDF"),)
    return CutsAt(address, found, shop.paper, f"list-{number}", links, found.belongs_to, pdf, (), further)


OfList = Annotated[CutsAt, Depends(of_list)]


@router.get("/lists/{number:int}/cut")
def show_cuts(request: Request, at: OfList) -> Response:
    """Every sheet that the jobs of a list share, with its saw sequence."""
    return cuts_page(request, at)


@router.get("/lists/{number:int}/cut.pdf")
def send_cuts(at: OfList, paper: Paper | None = None) -> Response:
    """The same as a PDF, a sheet to a page."""
    return cuts_pdf(at, paper)


@router.get("/lists/{number:int}/cut-list.pdf")
def send_cut_list(session: StoreSession, shop: ShopHere, number: int, paper: Paper | None = None) -> Response:
    """The cut list of what is cut together, where each job's parts lie, and the labels."""
    made = together_paper(_together(session, number), paper or shop.paper)
    return pdf_answer(WORKER.make(together_html(made)), f"list-{number}-cut-list.pdf")


@router.get("/lists/{number:int}/cut/{material}/{plan:int}.svg")
def send_svg(at: OfList, material: str, plan: int) -> Response:
    """One sheet or length as a drawing."""
    return cuts_svg(at, material, plan)


@router.get("/lists/{number:int}/cut/{material}/{plan:int}.dxf")
def send_dxf(at: OfList, material: str, plan: int) -> Response:
    """One sheet for another drawing program."""
    return cuts_dxf(at, material, plan)


@router.get("/lists/{number:int}/cut/{material}/all.dxf")
def send_dxf_of_all(at: OfList, material: str) -> Response:
    """All sheets of one material, in one file."""
    return cuts_dxf(at, material, None)
