"""Bought together: several jobs' materials as one purchase, what each job saves, and the one list to buy by."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Annotated, Final, cast
from urllib.parse import urlencode

from fastapi import Query, Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.estimate.pooling import JobPooled, Pool, pool_jobs
from webapp.documents.buying.shopping_list import pooled_shopping_paper
from webapp.documents.printing.paper import reader_of
from webapp.documents.printing.pdf_worker import WORKER
from webapp.documents.quotes.issue import shopping_list_html
from webapp.estimating import PlanBook, keep_plans_of
from webapp.pages.buying.pool_view import PoolShown, show_pool
from webapp.pages.buying.trip import wishes_words
from webapp.pages.shown.moves import MoveRow, row_of
from webapp.pages.shown.standing import bought_move
from webapp.pages.web.answers import pdf_answer
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.listing import one_of
from webapp.pages.web.reached import address_for_telephones, list_of
from webapp.pages.web.roles import job_seen_by, sees_money
from webapp.pages.web.routing import PageRouter
from webapp.persistence.buying_lists.free_stock import free_stock
from webapp.persistence.catalogue.records import list_suppliers, load_catalogue
from webapp.persistence.finding.jobs import jobs_holding
from webapp.persistence.foundation.errors import NotKept, StoreFull
from webapp.persistence.jobs.records import JobListed, JobState, StoredJob, list_jobs, load_job_by_number
from webapp.persistence.plans.tasks import Question, ask_too, wishes_of
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Paper, Shop
from webapp.rendering import render
from webapp.running import running
from webapp.showing import Reader
from webapp.standing import ToBuy, estimate_to_buy

router = PageRouter()

#: Jobs that still buy, in the order in which they are offered.
STATES: Final[tuple[JobState, ...]] = ("ordered", "open")
#: Each is estimated anew, so that somebody waits for all of them.
MOST_AT_ONCE: Final = 20

#: The columns of the table of materials: those for everybody, and those of money.
COUNTS: Final = tuple((word, "words") for word in ("What", "Jobs", "Each by itself", "Together", "The plan"))
COSTS: Final = ("By itself", "Together", "Saved")


@dataclass(frozen=True, slots=True)
class JobTick:
    """A job that can be ticked; `state` is in words."""

    number: int
    title: str
    customer: str
    state: str
    ticked: bool


@dataclass(frozen=True, slots=True)
class PoolPage:
    """The jobs to tick, what was looked for, and what the ticked ones come to together (None below two of them).

    `notes` say what of the ticked ones is not in it. `money` tells whether costs and shares are shown,
    `agreed` what was counted for the materials of agreed jobs and what each would pay for them by itself.
    """

    words: str
    state: str
    states: tuple[tuple[str, str], ...]
    jobs: tuple[JobTick, ...]
    further_jobs: int
    chosen: int
    notes: tuple[str, ...]
    pool: PoolShown | None
    money: bool
    agreed: tuple[MoveRow, ...]
    columns: tuple[tuple[str, str], ...]
    currency: str
    list_href: str


@router.get("/pool")
def show_jobs_together(
    request: Request,
    session: StoreSession,
    shop: ShopHere,
    user: SignedIn,
    job: Annotated[list[int] | None, Query()] = None,
    words: str = "",
    state: str = "",
) -> Response:
    """The ticked jobs bought for together, beneath the jobs that can be ticked."""
    state = one_of(state, STATES)
    pages = [list_jobs(session, jobs_holding(words), one) for one in ((cast(JobState, state),) if state else STATES)]
    listed = [one for page in pages for one in page.entries]
    ticked, notes = jobs_ticked(session, job or ())
    to_buy = what_they_buy(request, session, shop, ticked)
    pooled = pooled_from(request, session, shop, ticked, to_buy) if ticked else None
    if pooled is not None:
        notes += tuple(f"Job {number} stays apart: it {why}." for number, why in pooled.apart)
        names = {one.code: one.name for one in list_suppliers(session)}
        notes += tuple(
            f"Bought as job {one.number} wishes: {words}."
            for one in pooled.jobs if (words := wishes_words(one.job.buying, names))
        )
        _look_for_better(request, session, ticked, pooled)
    numbers = [one.number for one in ticked]
    others = [one for one in listed if one.number not in numbers]
    page = PoolPage(
        words=words,
        state=state,
        states=(("", "ordered or open"), *((one, one) for one in STATES)),
        jobs=(*(_tick(one, True) for one in ticked), *(_tick(one, False) for one in others)),
        further_jobs=sum(page.total for page in pages) - len(listed),
        chosen=len(pooled.jobs) if pooled is not None else 0,
        notes=notes,
        pool=show_pool(pooled, current_rates(session), reader_of(shop))
        if pooled is not None and len(pooled.jobs) > 1
        else None,
        money=sees_money(user),
        agreed=_agreed(ticked, to_buy, reader_of(shop)) if sees_money(user) else (),
        columns=(*COUNTS, *((f"{word}, {shop.currency}", "number") for word in COSTS if sees_money(user))),
        currency=shop.currency,
        list_href=f"/pool/shopping-list.pdf?{urlencode([('job', number) for number in numbers])}",
    )  # fmt: skip
    return render(request, "buying/pool.html", page)


@router.get("/pool/shopping-list.pdf")
def send_pooled_list(
    request: Request,
    session: StoreSession,
    shop: ShopHere,
    user: SignedIn,
    job: Annotated[list[int] | None, Query()] = None,
    paper: Paper | None = None,
) -> Response:
    """The shopping list of the named jobs together, at today's prices."""
    ticked, _ = jobs_ticked(session, job or ())
    pooled = pooled_from(request, session, shop, ticked, what_they_buy(request, session, shop, ticked))
    if not pooled.jobs:
        raise NotKept("job", ", ".join(map(str, job or ())) or "without a number")
    seen = replace(pooled, jobs=tuple(replace(one, job=job_seen_by(user, one.job)) for one in pooled.jobs))
    made = pooled_shopping_paper(seen, shop, shop.today(running(request).now()), paper or shop.paper)
    opens = address_for_telephones(request, list_of(one.number for one in pooled.jobs))
    return pdf_answer(WORKER.make(shopping_list_html(made, opens=opens)), "jobs-together-shopping-list.pdf")


def _look_for_better(request: Request, session: Session, jobs: Sequence[StoredJob], pooled: Pool) -> None:
    """Keep the plans for all jobs together, and have better ones looked for where they are not proved.

    Nothing is written where it was asked for before. A plan of which the jobs stay apart may yet become the cheaper.
    """
    here = running(request)
    cut = [one.pooled for one in pooled.materials if one.pooled is not None and one.pooled.request is not None]
    keep_plans_of(here.database, session, cut, here.now())
    numbers = {one.number for one in pooled.jobs}
    ids = [one.id for one in jobs if one.number in numbers]
    questions = [
        Question(one.plan_key, one.request, one.found_plan)
        for one in cut if one.request is not None and one.found_plan is not None and not one.found_plan.proved
    ]  # fmt: skip
    asked = set[str]().union(*(wishes_of(session, one) for one in ids))
    if any(one.key not in asked for one in questions):
        # On a full disk the pool is still shown; its plans are looked for once there is room.
        with suppress(StoreFull), here.database.writing() as writing:
            wanted = here.settings.plan_seconds * 1000
            ask_too(writing, ids, questions, wanted_ms=wanted, at=here.now())


def jobs_ticked(session: Session, numbers: Sequence[int]) -> tuple[list[StoredJob], tuple[str, ...]]:
    """The ticked jobs that can be bought for, by number, and what is to be said of the others."""
    found: list[StoredJob] = []
    notes: list[str] = []
    for number in sorted(set(numbers)):
        try:
            one = load_job_by_number(session, number)
        except NotKept:
            notes.append(f"There is no job {number}.")
            continue
        if one.state not in STATES:
            notes.append(f"Job {number} is {one.state}, so it buys nothing more.")
        elif len(found) == MOST_AT_ONCE:
            notes.append(f"At most {MOST_AT_ONCE} jobs are planned at once; job {number} is left out.")
        else:
            found.append(one)
    return found, tuple(notes)


def what_they_buy(
    request: Request, session: Session, shop: Shop, jobs: Sequence[StoredJob], of_list: int | None = None
) -> list[ToBuy]:
    """What each of the jobs buys by itself, at today's prices, with all that is free of what the shop has."""
    today = shop.today(running(request).now())
    free = free_stock(session, [one.id for one in jobs], today, of_list)
    return [estimate_to_buy(session, one, shop, today, free) for one in jobs]


def pooled_from(
    request: Request, session: Session, shop: Shop, jobs: Sequence[StoredJob], to_buy: Sequence[ToBuy]
) -> Pool:
    """The jobs bought for together, at today's prices and the shop's own rates."""
    today = shop.today(running(request).now())
    asked = [
        JobPooled(one.number, bought.inputs.read_job(bought.document)[0], bought.estimate)
        for one, bought in zip(jobs, to_buy, strict=True)
    ]
    codes = {code for one in to_buy for code in one.inputs.catalogue.materials}
    catalogue = load_catalogue(session, today, codes, [one.id for one in jobs])
    free = {code: amount for one in to_buy for code, amount in one.inputs.catalogue.on_hand.items()}
    catalogue, rates = replace(catalogue, on_hand=free), current_rates(session)
    return pool_jobs(asked, catalogue, rates, PlanBook(session), shop.length_system, shop.currency_places)


def _agreed(jobs: Sequence[StoredJob], to_buy: Sequence[ToBuy], reader: Reader) -> tuple[MoveRow, ...]:
    moves = (bought_move(f"{job.number} {job.title}", one) for job, one in zip(jobs, to_buy, strict=True))
    return tuple(row_of(one, reader.money) for one in moves if one is not None)


def _tick(one: StoredJob | JobListed, ticked: bool) -> JobTick:
    title = one.title or "A job without a name"
    return JobTick(one.number, title, one.customer_name, one.state, ticked)
