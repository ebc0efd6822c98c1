"""Buying: what the chosen jobs need, by supplier, and the suppliers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Final
from urllib.parse import urlencode

from fastapi import Query, Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.catalogue.materials import Comes
from webapp.documents.buying.shopping_list import asked_of_orders
from webapp.documents.printing.paper import reader_of
from webapp.pages.buying import pool, trip
from webapp.pages.buying.sums import JobToBuy, ToBuy, add_up
from webapp.pages.catalogue import suppliers
from webapp.pages.catalogue.supplier_form import COMES_WORDS
from webapp.pages.shown.moves import MoveRow, row_of
from webapp.pages.shown.standing import bought_move
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.roles import job_seen_by
from webapp.pages.web.routing import PageRouter
from webapp.persistence.buying_lists.free_stock import free_stock
from webapp.persistence.buying_lists.records import last_list_for
from webapp.persistence.catalogue.records import Supplier, list_suppliers
from webapp.persistence.jobs.records import JobListed, JobState, list_jobs, load_job
from webapp.persistence.people.users import User
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.standing import estimate_to_buy

router = PageRouter()
router.include_router(suppliers.router)
router.include_router(pool.router)
router.include_router(trip.router)

#: Jobs that still buy: what is done or dropped does not.
BUYING_STATES: Final[tuple[JobState, ...]] = ("ordered", "open")
#: Each is estimated anew, so that somebody waits for all of them.
MOST_AT_ONCE: Final = 20


@dataclass(frozen=True, slots=True)
class JobTick:
    """A job that can be ticked."""

    number: int
    title: str
    customer: str
    state: str
    ticked: bool
    incomplete: bool


@dataclass(frozen=True, slots=True)
class BuyingPage:
    """The jobs to tick, what the ticked ones need, and the suppliers with what they ask of an order. `left_out` jobs
    were too many at once; of `agreed` ones it is said what was counted for their materials and what these come to.

    `together_href` leads to the ticked ones bought for together; `list_made` is the list that they have already.
    """

    jobs: tuple[JobTick, ...]
    further_jobs: int
    chosen: int
    left_out: int
    to_buy: ToBuy
    agreed: tuple[MoveRow, ...]
    currency: str
    suppliers: tuple[tuple[Supplier, str], ...]
    ways: Mapping[Comes, str]
    together_href: str
    list_made: int | None


@router.get("/buying")
def show_buying(
    request: Request,
    session: StoreSession,
    shop: ShopHere,
    user: SignedIn,
    job: Annotated[list[int] | None, Query()] = None,
    chosen: str = "",
) -> Response:
    """What the ticked jobs need to buy; before anybody ticked one, what is ordered, or else what is open."""
    pages = [list_jobs(session, state=state) for state in BUYING_STATES]
    listed = [one for page in pages for one in page.entries]
    ticked = set(job or ()) if job or chosen else _usual(listed)
    wanted = [one for one in listed if one.number in ticked]
    worked, agreed = _estimate(session, wanted[:MOST_AT_ONCE], shop, user, request)
    incomplete = {one.number for one in worked if not one.estimate.complete}
    page = BuyingPage(
        jobs=tuple(
            JobTick(
                one.number, one.title or "A job without a name", one.customer_name, one.state, one.number in ticked,
                one.number in incomplete,
            )
            for one in listed
        ),
        further_jobs=sum(page.total for page in pages) - len(listed),
        chosen=len(worked),
        left_out=len(wanted) - len(worked),
        to_buy=add_up(worked, reader_of(shop)),
        agreed=agreed,
        currency=shop.currency,
        suppliers=tuple(
            (one, asked_of_orders(one.carriage, one.terms, reader_of(shop))) for one in list_suppliers(session)
        ),
        ways=COMES_WORDS,
        together_href=f"/pool?{urlencode([('job', one.number) for one in wanted])}",
        list_made=last_list_for(session, [one.id for one in wanted]),
    )  # fmt: skip
    return render(request, "buying/show.html", page)


def _usual(listed: Sequence[JobListed]) -> set[int]:
    """The jobs that are ordered; where none is, those that are open."""
    ordered = {one.number for one in listed if one.state == "ordered"}
    return ordered or {one.number for one in listed[:MOST_AT_ONCE]}


def _estimate(
    session: Session, wanted: Sequence[JobListed], shop: Shop, user: User, request: Request
) -> tuple[list[JobToBuy], tuple[MoveRow, ...]]:
    """The jobs with what they buy, and of agreed ones what was counted for it."""
    today, reader = shop.today(running(request).now()), reader_of(shop)
    worked, agreed = [], []
    free = free_stock(session, [one.id for one in wanted], today)
    for listed in sorted(wanted, key=lambda one: one.number):
        to_buy = estimate_to_buy(session, load_job(session, listed.id), shop, today, free)
        for one in to_buy.estimate.bought:
            # Each by itself: what one takes of the shop's own is not there for the next.
            if one.from_stock:
                free[one.material.code] -= one.from_stock
        job, _ = to_buy.inputs.read_job(to_buy.document)
        worked.append(JobToBuy(listed.number, job_seen_by(user, job), to_buy.estimate))
        move = bought_move(f"{listed.number} {listed.title}", to_buy)
        if move is not None:
            agreed.append(row_of(move, reader.money))
    return worked, tuple(agreed)
