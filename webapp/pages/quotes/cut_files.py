"""How the sheets of a job or of an issued quote are sawn: as a page, as a PDF, and each sheet as SVG and DXF."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Final
from urllib.parse import quote
from uuid import UUID

from fastapi import Depends, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from webapp.documents.printing.pdf_worker import WORKER
from webapp.documents.quotes.kept_workshop_papers import KeptPapers
from webapp.documents.workshop.cut_papers import CutFiles, CutPaper, MaterialCut, SheetCut, cut_html
from webapp.documents.workshop.pack import PackFor
from webapp.pages.quotes.papers import cuts_pdf, papers_of
from webapp.pages.web.answers import pdf_answer
from webapp.pages.web.dependencies import ShopHere
from webapp.pages.web.routing import PageRouter
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.quotes.records import StoredQuote, load_quote
from webapp.persistence.settings.shop import Paper, Shop
from webapp.rendering import render
from webapp.running import Running, running
from webapp.standing import agreed_of, estimate_to_make, missing_offcuts

router = PageRouter()

DXF: Final = "image/vnd.dxf"
SVG: Final = "image/svg+xml"


@dataclass(frozen=True, slots=True)
class SheetFiles:
    """A sheet and the addresses of its drawing as files."""

    sheet: SheetCut
    svg_href: str
    dxf_href: str


@dataclass(frozen=True, slots=True)
class MaterialFiles:
    """A material with its sheets; one file of all its sheets where there are several."""

    cut: MaterialCut
    sheets: tuple[SheetFiles, ...]
    dxf_href: str
    lengths: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class SawingPage:
    """The sheets on the screen. `papers` are the PDFs: (address, words); `links` lead back: (address, words)."""

    paper: CutPaper
    says: str
    materials: tuple[MaterialFiles, ...]
    papers: tuple[tuple[str, str], ...]
    links: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class CutsAt:
    """The cut plans that an address is about, whose paper they come on, what a file of them is called and what they
    belong to; `pdf` prints them on a paper."""

    address: str
    files: CutFiles | KeptPapers
    paper: Paper
    name: str
    links: tuple[tuple[str, str], ...]
    belongs_to: str
    pdf: Callable[[Paper], bytes]


def of_job(request: Request, shop: ShopHere, number: int) -> CutsAt:
    """The plans of what was agreed of a job, else as it is kept now."""
    here = running(request)
    today = shop.today(here.now())
    links = (
        (f"/jobs/{number}", "Open the job"),
        (f"/jobs/{number}/plans", "Move pieces by hand"),
        (f"/jobs/{number}/offcuts", "After cutting: offcuts from and to the rack"),
    )
    address, name = f"/jobs/{number}/cut", f"job-{number}"
    with here.database.reading() as session:
        job = load_job_by_number(session, number)
        agreed = agreed_of(session, job.id, today)
        as_kept = agreed is not None and not missing_offcuts(session, job, agreed)
        if not as_kept:
            inputs, found = estimate_to_make(session, job, shop, today)
    if agreed is not None and as_kept:
        return _kept(here, shop, agreed.stored, address, shop.paper, name, links)
    about = PackFor(f"job {number} as it stands", number, True, today)
    files = CutFiles(inputs, found, shop, about)

    def pdf(paper: Paper) -> bytes:
        return WORKER.make(cut_html(files.paper(paper)))

    return CutsAt(address, files, shop.paper, name, links, about.belongs_to, pdf)


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
        return cuts_pdf(here, shop, stored, paper)

    return CutsAt(address, files, paper, name, links, files.belongs_to, pdf)


OfJob = Annotated[CutsAt, Depends(of_job)]
OfQuote = Annotated[CutsAt, Depends(of_quote)]


@router.get("/jobs/{number:int}/cut")
def show_job_cuts(request: Request, at: OfJob) -> Response:
    """Every sheet of a job with its saw sequence."""
    return _page(request, at)


@router.get("/jobs/{number:int}/cut.pdf")
def send_job_cuts(at: OfJob, paper: Paper | None = None) -> Response:
    """The same as a PDF, a sheet to a page."""
    return _pdf(at, paper)


@router.get("/jobs/{number:int}/cut/{material}/{plan:int}.svg")
def send_job_svg(at: OfJob, material: str, plan: int) -> Response:
    """One sheet or length of a job as a drawing."""
    return _svg(at, material, plan)


@router.get("/jobs/{number:int}/cut/{material}/{plan:int}.dxf")
def send_job_dxf(at: OfJob, material: str, plan: int) -> Response:
    """One sheet of a job for another drawing program."""
    return _dxf(at, material, plan)


@router.get("/jobs/{number:int}/cut/{material}/all.dxf")
def send_job_dxf_of_all(at: OfJob, material: str) -> Response:
    """All sheets of one material of a job, in one file."""
    return _dxf(at, material, None)


@router.get("/quotes/{quote_id}/cut")
def show_quote_cuts(request: Request, at: OfQuote) -> Response:
    """Every sheet of what was quoted with its saw sequence."""
    return _page(request, at)


@router.get("/quotes/{quote_id}/cut.pdf")
def send_quote_cuts(at: OfQuote, paper: Paper | None = None) -> Response:
    """The same as a PDF, a sheet to a page."""
    return _pdf(at, paper)


@router.get("/quotes/{quote_id}/cut/{material}/{plan:int}.svg")
def send_quote_svg(at: OfQuote, material: str, plan: int) -> Response:
    """One sheet or length of what was quoted as a drawing."""
    return _svg(at, material, plan)


@router.get("/quotes/{quote_id}/cut/{material}/{plan:int}.dxf")
def send_quote_dxf(at: OfQuote, material: str, plan: int) -> Response:
    """One sheet of what was quoted for another drawing program."""
    return _dxf(at, material, plan)


@router.get("/quotes/{quote_id}/cut/{material}/all.dxf")
def send_quote_dxf_of_all(at: OfQuote, material: str) -> Response:
    """All sheets of one material of what was quoted, in one file."""
    return _dxf(at, material, None)


def _page(request: Request, at: CutsAt) -> Response:
    paper = at.files.paper(at.paper)
    own: tuple[Paper, ...] = ("A4", "Letter") if at.paper == "A4" else ("Letter", "A4")
    papers = tuple((f"{at.address}.pdf?paper={size}", f"PDF on {size}") for size in own)
    materials = tuple(_material(at.address, one) for one in paper.materials)
    page = SawingPage(paper, at.belongs_to, materials, papers, at.links)
    return render(request, "plans/sawing.html", page)


def _material(address: str, one: MaterialCut) -> MaterialFiles:
    below = f"{address}/{quote(one.code, safe='')}"
    sheets = tuple(
        SheetFiles(sheet, f"{below}/{sheet.number}.svg", f"{below}/{sheet.number}.dxf") for sheet in one.sheets
    )
    lengths = tuple(
        (drawing.svg, drawing.words, f"{below}/{number}.svg") for number, drawing in enumerate(one.lengths, 1)
    )
    return MaterialFiles(one, sheets, f"{below}/all.dxf" if len(sheets) > 1 else "", lengths)


def _pdf(at: CutsAt, paper: Paper | None) -> Response:
    return pdf_answer(at.pdf(paper or at.paper), f"{at.name}-cut-plans.pdf")


def _svg(at: CutsAt, material: str, plan: int) -> Response:
    return _file(at, at.files.svg(material, plan), SVG, material, str(plan), "svg")


def _dxf(at: CutsAt, material: str, plan: int | None) -> Response:
    return _file(at, at.files.dxf(material, plan), DXF, material, "all" if plan is None else str(plan), "dxf")


def _file(at: CutsAt, content: str | bytes | None, kind: str, material: str, plan: str, ending: str) -> Response:
    """A file to keep, under a name of plain letters whatever the material is called."""
    if content is None:
        raise HTTPException(404, "There is no such sheet to cut: the plan may have changed since.")
    plain = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in material)
    name = f"{at.name}-{plain}-{plan}.{ending}"
    return Response(content, media_type=kind, headers={"Content-Disposition": f'attachment; filename="{name}"'})
