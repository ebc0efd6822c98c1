"""The prices that a design needs, or that a job lacks, in one table: typed in their rows, and kept in one go."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Final

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.design_form.reader import read_design
from webapp.documents.printing.paper import reader_of
from webapp.pages.sheet.form import with_ids
from webapp.pages.sheet.page import Worked, work_out
from webapp.pages.start.price_table import PriceRow, PricesKept, PriceTable, build_price_table, keep_price_table
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter
from webapp.persistence.designs.records import StoredDesign, load_design
from webapp.persistence.jobs.records import StoredJob, load_job_by_number
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.starters import take_starters

router = PageRouter()

ITEM: Final = "one"


@dataclass(frozen=True, slots=True)
class FirstPricesPage:
    """The rows that are needed, those that other answers need, and what the shop does not know at all.

    `what`, `name` and `at` say for what, with its page at `href`; what comes after the prices is at `next_href`.
    """

    action: str
    what: str
    name: str
    at: str
    href: str
    next_href: str
    next_words: str
    then_words: str
    currency: str
    table: PriceTable
    rows: tuple[PriceRow, ...]
    unknown: tuple[str, ...]
    said: str
    problems: tuple[tuple[str, str], ...]


@router.post("/starters")
def take_over(request: Request, session: StoreSession, user: SignedIn) -> Response:
    """Take over the starter designs and the common materials that the shop does not have yet."""
    take_starters(session, at=running(request).now(), by=user.id)
    return RedirectResponse("/", 303)


@router.get("/designs/{code}/prices")
def show_prices(request: Request, session: StoreSession, shop: ShopHere, code: str) -> Response:
    """The materials that one of a design needs, with their prices or the fields for them."""
    stored = load_design(session, code)
    return render(request, "start/prices.html", _page(request, session, shop, stored))


@router.post("/designs/{code}/prices")
def keep_prices(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, code: str, posted: PostedFields
) -> Response:
    """Keep every price that is typed and right, and go on to a job if all are there; what is wrong stays typed, with
    its sentence."""
    stored = load_design(session, code)

    def page(at: Session, kept: PricesKept | None = None) -> FirstPricesPage:
        return _page(request, at, shop, stored, kept)

    kept = keep_price_table(request, shop, user, posted, page(session).table, f"typed for {stored.name}")
    return _answer(request, kept, page, goes_on=("then", "job") in posted)


@router.get("/jobs/{number:int}/prices")
def show_job_prices(request: Request, session: StoreSession, shop: ShopHere, number: int) -> Response:
    """The prices that a job lacks, with the fields for them."""
    return render(request, "start/prices.html", _job_page(request, session, shop, load_job_by_number(session, number)))


@router.post("/jobs/{number:int}/prices")
def keep_job_prices(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:
    """Keep every price that is typed and right, and go back to the job once it lacks none."""
    job = load_job_by_number(session, number)

    def page(at: Session, kept: PricesKept | None = None) -> FirstPricesPage:
        return _job_page(request, at, shop, job, kept)

    kept = keep_price_table(request, shop, user, posted, page(session).table, f"typed for job {number}")
    return _answer(request, kept, page, goes_on=True)


def _answer(
    request: Request, kept: PricesKept, page_at: Callable[[Session, PricesKept], FirstPricesPage], *, goes_on: bool
) -> Response:
    """The table with what is left to be typed; once nothing is, what comes next where it `goes_on`."""
    with running(request).database.reading() as afterwards:
        page = page_at(afterwards, kept)
    if goes_on and not kept.problems and not page.table.missing:
        return RedirectResponse(page.next_href, 303)
    return render(request, "start/prices.html", page, 422 if kept.problems else 200)


def _page(
    request: Request, session: Session, shop: Shop, stored: StoredDesign, kept: PricesKept | None = None
) -> FirstPricesPage:
    worked = _one_of(session, shop, stored, shop.today(running(request).now()))
    design, _ = read_design(stored.document)
    usual = dict.fromkeys(role.usual for role in design.roles.values()) if design is not None else {}
    table = build_price_table(session, worked, reader_of(shop), usual, kept)
    return FirstPricesPage(
        action=f"/designs/{stored.code}/prices",
        what="one ",
        name=stored.name,
        at=" at its usual sizes",
        href=f"/designs/{stored.code}",
        next_href=f"/jobs/new?start=design:{stored.code}",
        next_words="Make a job from it",
        then_words="Keep the prices, then make a job",
        currency=shop.currency,
        table=table,
        rows=table.rows,
        unknown=tuple(code for code in usual if code not in worked.inputs.catalogue.materials),
        said=kept.said if kept is not None else "",
        problems=_listed(kept),
    )


def _job_page(
    request: Request, session: Session, shop: Shop, job: StoredJob, kept: PricesKept | None = None
) -> FirstPricesPage:
    worked = work_out(session, with_ids(job.document), shop, shop.today(running(request).now()), None)
    table = build_price_table(session, worked, reader_of(shop), (), kept)
    return FirstPricesPage(
        action=f"/jobs/{job.number}/prices",
        what="",
        name=f"job {job.number}, {job.title}".rstrip(", "),
        at=" and has no price",
        href=f"/jobs/{job.number}",
        next_href=f"/jobs/{job.number}",
        next_words="Open the job",
        then_words="",
        currency=shop.currency,
        table=table,
        rows=table.lacking,
        unknown=(),
        said=kept.said if kept is not None else "",
        problems=_listed(kept),
    )


def _listed(kept: PricesKept | None) -> tuple[tuple[str, str], ...]:
    return tuple((name.replace(".", "-"), said) for name, said in kept.problems.items()) if kept is not None else ()


def _one_of(session: Session, shop: Shop, stored: StoredDesign, today: date) -> Worked:
    """One of the design at its usual sizes, worked out as a job would be."""
    item = {"id": ITEM, "design": stored.code, "version": str(stored.version), "quantity": "1"}
    return work_out(session, {"form": "1", "job": stored.name, "items": [item]}, shop, today, None)
