"""What the bench gets of a job, and of a design at its usual sizes: their pages and files."""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from webapp.costing.design_form.reader import read_design
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.ledger.working import Working
from webapp.documents.bench.work import bench_work
from webapp.documents.plans.drawings import CutsOf
from webapp.documents.workshop.stickers import read_sheet
from webapp.pages.bench.bench_at import (
    BenchAt,
    bench_page,
    send_cut_list,
    send_labels,
    send_part,
    send_parts,
    send_router,
    send_templates,
)
from webapp.pages.designs.view import usual_stock, work_out
from webapp.pages.web.dependencies import ShopHere
from webapp.pages.web.given import Form
from webapp.pages.web.routing import PageRouter
from webapp.persistence.designs.records import load_design
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.rack.cuts import kept_sticker_sheet
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Paper
from webapp.running import running
from webapp.standing import estimate_to_make

router = PageRouter()


def of_job(request: Request, shop: ShopHere, number: int) -> BenchAt:
    """What was agreed of a job, else as it is kept now."""
    here = running(request)
    today = shop.today(here.now())
    with here.database.reading() as session:
        inputs, found = estimate_to_make(session, load_job_by_number(session, number), shop, today)
        kept = kept_sticker_sheet(session)
    job, _ = inputs.read_job(inputs.job)
    work = bench_work(found, inputs.catalogue.materials, f"job {number}", job.title, number)
    links = (
        (f"/jobs/{number}", "Open the job"), (f"/jobs/{number}/workshop", "Workshop pack"),
        (f"/jobs/{number}/cut", "How it is cut"),
    )  # fmt: skip
    own = read_sheet(kept) if kept else None
    return BenchAt(f"/jobs/{number}/bench", f"job-{number}", work, shop, today, links, {}, own)


def of_design(request: Request, shop: ShopHere, code: str, version: int | None = None) -> BenchAt:
    """One finished thing of a design at its usual sizes, answers and materials."""
    here = running(request)
    today = shop.today(here.now())
    with here.database.reading() as session:
        stored = load_design(session, code, version)
        design, _ = read_design(stored.document)
        if design is None:
            raise HTTPException(404)
        stock, rates = usual_stock(session, design, today), current_rates(session)
    taken, _ = work_out(design, shop, stock, rates)
    if taken is None:
        raise HTTPException(404)
    one = Working().given("design/quantity", "Finished things", 1, "", "")
    cuts = CutsOf((ItemTaken("design", design.name, one, taken),), (), shop.length_system)
    belongs_to = f"version {stored.version} of {design.name}, at its usual sizes"
    work = bench_work(cuts, stock.materials, belongs_to, design.name)
    asked = {} if version is None else {"version": str(version)}
    back = f"/designs/{code}{f'?version={version}' if version is not None else ''}"
    name = f"{code}-version-{stored.version}"
    return BenchAt(f"/designs/{code}/bench", name, work, shop, today, ((back, "Open the design"),), asked)


OfJob = Annotated[BenchAt, Depends(of_job)]
OfDesign = Annotated[BenchAt, Depends(of_design)]


@router.get("/jobs/{number:int}/bench")
def show_job(request: Request, at: OfJob) -> Response:
    """What there is for the bench of a job."""
    return bench_page(request, at)


@router.get("/jobs/{number:int}/bench/parts.zip")
def send_job_parts(at: OfJob) -> Response:
    """All parts of a job as DXF files, with a list."""
    return send_parts(at)


@router.get("/jobs/{number:int}/bench/parts/{part:int}.dxf")
def send_job_part(at: OfJob, part: int) -> Response:
    """One part of a job as a DXF file."""
    return send_part(at, part)


@router.get("/jobs/{number:int}/bench/cut-list.{form}")
def send_job_cut_list(at: OfJob, form: Form) -> Response:
    """The cut list of a job as a table."""
    return send_cut_list(at, form)


@router.get("/jobs/{number:int}/bench/labels.pdf")
def send_job_labels(at: OfJob, sheet: str = "", first: int = 1) -> Response:
    """A label for each piece of a job."""
    return send_labels(at, sheet, first)


@router.get("/jobs/{number:int}/bench/templates.pdf")
def send_job_templates(at: OfJob, paper: Paper | None = None) -> Response:
    """All full-size templates of a job."""
    return send_templates(at, None, paper or at.shop.paper)


@router.get("/jobs/{number:int}/bench/templates/{place:int}.pdf")
def send_job_template(at: OfJob, place: int, paper: Paper | None = None) -> Response:
    """One full-size template of a job."""
    return send_templates(at, place, paper or at.shop.paper)


@router.get("/jobs/{number:int}/bench/router.pdf")
def send_job_router(
    request: Request, at: OfJob, which: str = "", bush: str = "", cutter: str = "", paper: Paper | None = None
) -> Response:
    """A router template of a job, for this bush and cutter."""
    return send_router(request, at, {"which": which, "bush": bush, "cutter": cutter}, paper or at.shop.paper)


@router.get("/designs/{code}/bench")
def show_design(request: Request, at: OfDesign) -> Response:
    """What there is for the bench of a design."""
    return bench_page(request, at)


@router.get("/designs/{code}/bench/parts.zip")
def send_design_parts(at: OfDesign) -> Response:
    """All parts of a design as DXF files, with a list."""
    return send_parts(at)


@router.get("/designs/{code}/bench/parts/{part:int}.dxf")
def send_design_part(at: OfDesign, part: int) -> Response:
    """One part of a design as a DXF file."""
    return send_part(at, part)


@router.get("/designs/{code}/bench/cut-list.{form}")
def send_design_cut_list(at: OfDesign, form: Form) -> Response:
    """The cut list of a design as a table."""
    return send_cut_list(at, form)


@router.get("/designs/{code}/bench/templates.pdf")
def send_design_templates(at: OfDesign, paper: Paper | None = None) -> Response:
    """All full-size templates of a design."""
    return send_templates(at, None, paper or at.shop.paper)


@router.get("/designs/{code}/bench/templates/{place:int}.pdf")
def send_design_template(at: OfDesign, place: int, paper: Paper | None = None) -> Response:
    """One full-size template of a design."""
    return send_templates(at, place, paper or at.shop.paper)


@router.get("/designs/{code}/bench/router.pdf")
def send_design_router(
    request: Request, at: OfDesign, which: str = "", bush: str = "", cutter: str = "", paper: Paper | None = None
) -> Response:
    """A router template of a design, for this bush and cutter."""
    return send_router(request, at, {"which": which, "bush": bush, "cutter": cutter}, paper or at.shop.paper)
