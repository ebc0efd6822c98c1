"""The prices that a design needs, in one table: typed in their rows, with who sells it and in what size."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Final

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.designs.reader import read_design
from webapp.documents.printing.paper import reader_of
from webapp.pages.prices.typed_price import Keeper
from webapp.pages.sheet.page import Worked, work_out
from webapp.pages.start.price_table import PricesKept, PriceTable, build_price_table, keep_price_table
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter
from webapp.persistence.designs.records import StoredDesign, load_design
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.starters import take_starters

router = PageRouter()

ITEM: Final = "one"


@dataclass(frozen=True, slots=True)
class FirstPricesPage:
    """The rows that the usual answers need, those that other answers need, and what the shop does not know at all."""

    action: str
    name: str
    design_href: str
    job_href: str
    currency: str
    table: PriceTable
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
    here = running(request)
    stored = load_design(session, code)
    asked = _page(request, session, shop, stored).table
    with here.database.writing() as writing:
        keeper = Keeper(writing, shop, user, here.now(), shop.today(here.now()), f"typed for {stored.name}")
        kept = keep_price_table(posted, asked, lambda: keeper)
    with here.database.reading() as afterwards:
        page = _page(request, afterwards, shop, stored, kept)
    if ("then", "job") in posted and not kept.problems and not page.table.missing:
        return RedirectResponse(page.job_href, 303)
    return render(request, "start/prices.html", page, 422 if kept.problems else 200)


def _page(
    request: Request, session: Session, shop: Shop, stored: StoredDesign, kept: PricesKept | None = None
) -> FirstPricesPage:
    worked = _one_of(session, shop, stored, shop.today(running(request).now()))
    design, _ = read_design(stored.document)
    usual = dict.fromkeys(role.usual for role in design.roles.values()) if design is not None else {}
    return FirstPricesPage(
        action=f"/designs/{stored.code}/prices",
        name=stored.name,
        design_href=f"/designs/{stored.code}",
        job_href=f"/jobs/new?start=design:{stored.code}",
        currency=shop.currency,
        table=build_price_table(session, worked, reader_of(shop), usual, kept),
        unknown=tuple(code for code in usual if code not in worked.inputs.catalogue.materials),
        said=kept.said if kept is not None else "",
        problems=tuple((name.replace(".", "-"), said) for name, said in kept.problems.items()) if kept else (),
    )


def _one_of(session: Session, shop: Shop, stored: StoredDesign, today: date) -> Worked:
    """One of the design at its usual sizes, worked out as a job would be."""
    item = {"id": ITEM, "design": stored.code, "version": str(stored.version), "quantity": "1"}
    return work_out(session, {"form": "1", "job": stored.name, "items": [item]}, shop, today, None)
