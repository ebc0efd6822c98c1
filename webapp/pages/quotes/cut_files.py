"""How the sheets of a job or of an issued quote are sawn: as a page, as a PDF, and each sheet as SVG and DXF."""

from __future__ import annotations

from typing import Annotated
from uuid import UUID

from fastapi import Depends, Request
from fastapi.responses import Response

from webapp.cut_with_others import cut_with_others, elsewhere_of
from webapp.documents.printing.pdf_worker import WORKER
from webapp.documents.workshop.cut_papers import cut_files, cut_html
from webapp.documents.workshop.pack import PackFor
from webapp.pages.plans.cuts_at import CutsAt, cuts_dxf, cuts_page, cuts_pdf, cuts_svg
from webapp.pages.quotes.papers import kept_cuts_pdf, papers_of
from webapp.pages.web.dependencies import ShopHere
from webapp.pages.web.routing import PageRouter
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.quotes.records import StoredQuote, load_quote
from webapp.persistence.settings.shop import Paper, Shop
from webapp.running import Running, running
from webapp.standing import agreed_of, estimate_to_make, missing_offcuts

router = PageRouter()



def of_job(request: Request, shop: ShopHere, number: int) -> CutsAt:
    """The plans of what was agreed of a job, else as it is kept now."""
    here = running(request)
    today = shop.today(here.now())
    links: tuple[tuple[str, str], ...] = (
        (f"/jobs/{number}", "Open the job"),
        (f"/jobs/{number}/plans", "Move pieces by hand"),
        (f"/jobs/{number}/offcuts", "After cutting: offcuts from and to the rack"),
    )
    address, name = f"/jobs/{number}/cut", f"job-{number}"
    with here.database.reading() as session:
        job = load_job_by_number(session, number)
        agreed = agreed_of(session, job.id, today)
        shared = cut_with_others(session, job)
        as_kept = agreed is not None and shared is None and not missing_offcuts(session, job, agreed)
        if not as_kept:
            inputs, found = estimate_to_make(session, job, shop, today)
    if agreed is not None and as_kept:
        return _kept(here, shop, agreed.stored, address, shop.paper, name, links)
    elsewhere = elsewhere_of(shared, found)
    if shared is not None:
        links = ((f"/lists/{shared.number}/cut", f"Cut with {shared.with_whom}: list {shared.number}"), *links)
    about = PackFor(f"job {number} as it stands", number, True, today)
    files = cut_files(inputs, found, shop, about, elsewhere.names)
    notes = tuple(said for said in (elsewhere.says, elsewhere.mind) if said)

    def pdf(paper: Paper) -> bytes:
        return WORKER.make(cut_html(files.paper(paper)))

    return CutsAt(address, files, shop.paper, name, links, about.belongs_to, pdf, notes)


def of_quote(request: Request, shop: ShopHere, quote_id: UUID) -> CutsAt:
    """The plans that an issued quote was made with, from what it keeps."""
    here = running(request)
    with here.database.reading() as session:
        stored = load_quote(session, quote_id, shop.today(here.now()))
    name = f"quote-{stored.listed.number}-revision-{stored.listed.revision}"
    links = ((f"/quotes/{quote_id}", "Open the quote"),)
    return _kept(here, shop, stored, f"/quotes/{quote_id}/cut", stored.snapshot["quote"]["paper"], name, links)


def _kept(
    here: Running, shop: Shop, stored: StoredQuote, address: str, paper: Paper, name: str,
    links: tuple[tuple[str, str], ...],
) -> CutsAt:  # fmt: skip
    files = papers_of(here, shop, stored)

    def pdf(paper: Paper) -> bytes:
        return kept_cuts_pdf(here, shop, stored, paper)

    return CutsAt(address, files, paper, name, links, files.belongs_to, pdf)


OfJob = Annotated[CutsAt, Depends(of_job)]
OfQuote = Annotated[CutsAt, Depends(of_quote)]


@router.get("/jobs/{number:int}/cut")
def show_job_cuts(request: Request, at: OfJob) -> Response:
    """Every sheet of a job with its saw sequence."""
    return cuts_page(request, at)


@router.get("/jobs/{number:int}/cut.pdf")
def send_job_cuts(at: OfJob, paper: Paper | None = None) -> Response:
    """The same as a PDF, a sheet to a page."""
    return cuts_pdf(at, paper)


@router.get("/jobs/{number:int}/cut/{material}/{plan:int}.svg")
def send_job_svg(at: OfJob, material: str, plan: int) -> Response:
    """One sheet or length of a job as a drawing."""
    return cuts_svg(at, material, plan)


@router.get("/jobs/{number:int}/cut/{material}/{plan:int}.dxf")
def send_job_dxf(at: OfJob, material: str, plan: int) -> Response:
    """One sheet of a job for another drawing program."""
    return cuts_dxf(at, material, plan)


@router.get("/jobs/{number:int}/cut/{material}/all.dxf")
def send_job_dxf_of_all(at: OfJob, material: str) -> Response:
    """All sheets of one material of a job, in one file."""
    return cuts_dxf(at, material, None)


@router.get("/quotes/{quote_id}/cut")
def show_quote_cuts(request: Request, at: OfQuote) -> Response:
    """Every sheet of what was quoted with its saw sequence."""
    return cuts_page(request, at)


@router.get("/quotes/{quote_id}/cut.pdf")
def send_quote_cuts(at: OfQuote, paper: Paper | None = None) -> Response:
    """The same as a PDF, a sheet to a page."""
    return cuts_pdf(at, paper)


@router.get("/quotes/{quote_id}/cut/{material}/{plan:int}.svg")
def send_quote_svg(at: OfQuote, material: str, plan: int) -> Response:
    """One sheet or length of what was quoted as a drawing."""
    return cuts_svg(at, material, plan)


@router.get("/quotes/{quote_id}/cut/{material}/{plan:int}.dxf")
def send_quote_dxf(at: OfQuote, material: str, plan: int) -> Response:
    """One sheet of what was quoted for another drawing program."""
    return cuts_dxf(at, material, plan)


@router.get("/quotes/{quote_id}/cut/{material}/all.dxf")
def send_quote_dxf_of_all(at: OfQuote, material: str) -> Response:
    """All sheets of one material of what was quoted, in one file."""
    return cuts_dxf(at, material, None)
