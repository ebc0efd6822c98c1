"""The list of jobs: found by words, state, design and customer, in the order one asks for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import Annotated, Final, cast

from fastapi import Depends, Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.measures.typed_numbers import small_number
from webapp.documents.printing.paper import day_text, reader_of
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.given import TableLinks, table_links
from webapp.pages.web.listing import Turning, address, one_of, page_number, turning
from webapp.pages.web.roles import sees_money
from webapp.pages.web.routing import PageRouter
from webapp.persistence.designs.records import list_design_names
from webapp.persistence.finding.jobs import jobs_holding
from webapp.persistence.foundation.lists import PAGE_SIZE, Page
from webapp.persistence.jobs.cards import JobCard, cards_of
from webapp.persistence.jobs.customers import load_customer
from webapp.persistence.jobs.records import (
    JOB_SORTS,
    JOB_STATES,
    JobListed,
    JobSort,
    JobState,
    StoredJob,
    list_jobs,
    load_job_by_number,
)
from webapp.persistence.quotes.records import QuoteListed, latest_quotes
from webapp.persistence.quotes.tables import QUOTE_WORDS
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.standing import Stands, estimate_stored, how_jobs_stand, keep_what_it_comes_to

router = PageRouter()

SORT_WORDS: Final[dict[JobSort, str]] = {
    "touched": "the last touched first", "due": "the soonest wanted first", "newest": "the newest first",
    "number": "the oldest first", "job": "by what they are called", "customer": "by customer",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class PriceCell:
    """What a job stands at or came to, and which of these it is; `to_come` is where it is worked out now.

    With what was worked out now comes the picture of the job of that number.
    """

    amount: str
    said: str
    to_come: str = ""
    number: str = ""
    picture: str = ""


@dataclass(frozen=True, slots=True)
class JobRow:
    """A job in the list, in words."""

    href: str
    number: str
    picture: str
    to_draw: str
    title: str
    customer: str
    state: str
    quote: str
    price: PriceCell | None
    due: str
    due_note: str
    touched: str
    copy_action: str
    again: str


@dataclass(frozen=True, slots=True)
class JobsPage:
    """The list, what it was narrowed to, and where it goes on; `customer` is the id of the one it is about."""

    words: str
    state: str
    states: tuple[tuple[str, str], ...]
    design: str
    designs: tuple[tuple[str, str], ...]
    sort: str
    sorts: tuple[tuple[str, str], ...]
    customer: str
    customer_name: str
    everyone: str
    caption: str
    rows: tuple[JobRow, ...]
    turning: Turning
    narrowed: bool
    columns: tuple[tuple[str, str], ...]
    table: TableLinks


@dataclass(frozen=True, slots=True)
class AskedJobs:
    """Which jobs were asked for, and in which order; `customer` is the id of the one they are for."""

    words: str
    state: str
    design: str
    customer: int | None
    sort: JobSort

    @property
    def query(self) -> dict[str, str]:
        """The same as it stands in an address."""
        return {
            "words": self.words, "state": self.state, "design": self.design, "customer": str(self.customer or ""),
            "sort": "" if self.sort == JOB_SORTS[0] else self.sort,
        }  # fmt: skip

    def among(self, designs: Iterable[tuple[str, str]]) -> AskedJobs:
        """The same where the design is one of these, else of any."""
        return replace(self, design=one_of(self.design, (code for code, _ in designs)))

    def found(self, session: Session, number: int, size: int = PAGE_SIZE) -> Page[JobListed]:
        """One page of them."""
        return list_jobs(
            session, jobs_holding(self.words), cast(JobState, self.state) if self.state else None,
            design=self.design or None, customer=self.customer, sort=self.sort, number=number, size=size,
        )  # fmt: skip


def asked_jobs(
    words: str = "", state: str = "", design: str = "", customer: str = "", sort: str = ""
) -> AskedJobs:  # fmt: skip
    """What an address asks for, so far as it is known."""
    return AskedJobs(
        words, one_of(state, JOB_STATES), design, small_number(customer),
        cast(JobSort, one_of(sort, JOB_SORTS, JOB_SORTS[0])),
    )  # fmt: skip


@router.get("/jobs")
def show_jobs(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn,
    asked: Annotated[AskedJobs, Depends(asked_jobs)], page: int = 1,
) -> Response:  # fmt: skip
    """The jobs, the last touched first where no other order is asked for."""
    designs = list_design_names(session)
    asked = asked.among(designs)
    found = asked.found(session, page_number(page))
    ids, today = [one.id for one in found.entries], shop.today(running(request).now())
    quotes, stands = latest_quotes(session, ids, today), how_jobs_stand(session, ids, today)
    cards, query = cards_of(session, ids), asked.query
    return render(
        request,
        "jobs/list.html",
        JobsPage(
            words=asked.words,
            state=asked.state,
            states=(("", "any status"), *((one, one) for one in JOB_STATES)),
            design=asked.design,
            designs=(("", "any design"), *designs),
            sort=asked.sort,
            sorts=tuple(SORT_WORDS.items()),
            customer=query["customer"],
            customer_name=load_customer(session, asked.customer).customer.name if asked.customer else "",
            everyone=address("/jobs", {**query, "customer": ""}),
            caption=f"Jobs, {SORT_WORDS[asked.sort]}",
            rows=tuple(
                _row(one, quotes.get(one.id), stands[one.id], cards.get(one.id), shop, today, money=sees_money(user))
                for one in found.entries
            ),
            turning=turning("/jobs", query, found, "job"),
            narrowed=bool(asked.words or asked.state or asked.design or asked.customer or page > 1),
            columns=_columns(shop.currency if sees_money(user) else ""),
            table=table_links("These jobs", "/jobs", query),
        ),
    )


def _columns(currency: str) -> tuple[tuple[str, str], ...]:
    money = ((f"To pay, {currency}", "number"),) if currency else ()
    words = (("Drawn", "No.", "Job", "For", "Status"), ("Wanted by", "Quote", "Last touched", "Again"))
    first, last = (tuple((word, "words") for word in some) for some in words)
    return (*first, *money, *last)


@router.get("/jobs/{number:int}/comes-to")
def show_what_it_comes_to(request: Request, session: StoreSession, shop: ShopHere, number: int) -> Response:
    """The price of one row, worked out and kept for the next time."""
    return render(request, "jobs/price_cell.html", _worked_out(request, session, shop, number))


@router.get("/jobs/{number:int}/drawn")
def show_drawn(request: Request, session: StoreSession, shop: ShopHere, number: int) -> Response:
    """The bench of one row, where its price needs no working out."""
    cell = replace(_worked_out(request, session, shop, number), amount="", said="")
    return render(request, "jobs/stamp.html", cell)


def _worked_out(request: Request, session: Session, shop: Shop, number: int) -> PriceCell:
    """What a job comes to with its picture, worked out now and kept for the list."""
    here = running(request)
    today, job = shop.today(here.now()), load_job_by_number(session, number)
    worked = estimate_stored(session, job, job.document, shop, today)
    card = keep_what_it_comes_to(here.database, session, job, worked.estimate, worked.inputs, today)
    return replace(_price(job, worked.stands, card, shop, today), number=str(number), picture=card.picture)


def _row(
    job: JobListed, quote: QuoteListed | None, stands: Stands, card: JobCard | None, shop: Shop, today: date, *,
    money: bool,
) -> JobRow:  # fmt: skip
    said = [] if quote is None else [quote_words(quote)]
    if stands.accepted is not None and stands.accepted != quote:
        said.append(quote_words(stands.accepted))
    price = _price(job, stands, card, shop, today) if money else None
    late = job.due is not None and job.due < today and job.state in ("open", "ordered")
    return JobRow(
        f"/jobs/{job.number}",
        str(job.number),
        card.picture if card is not None else "",
        "" if card is not None or (price is not None and price.to_come) else f"/jobs/{job.number}/drawn",
        job.title or "A job without a name",
        job.customer_name,
        job.state,
        "; ".join(said),
        price,
        day_text(job.due) if job.due else "",
        "past" if late else "",
        day_text(shop.today(job.updated_at)),
        f"/jobs/{job.id}/copy",
        f"/jobs/new?start=job:{job.number}",
    )


def _price(job: JobListed | StoredJob, stands: Stands, card: JobCard | None, shop: Shop, today: date) -> PriceCell:
    """What a job stands at, else what it came to when it was last worked out; and which of these it is."""
    reader = reader_of(shop)
    behind = card is None or card.version != job.version
    to_come = f"/jobs/{job.number}/comes-to" if behind else ""
    if stands.at is not None:
        return PriceCell(reader.amount(Fraction(stands.at.total)), "agreed" if stands.accepted else "quoted", to_come)
    if card is None or behind:
        return PriceCell("", "not worked out yet", to_come)
    when = "" if card.worked_on == today else f"on {day_text(card.worked_on)}"
    parts = [part for part in ("" if card.complete else "incomplete", when) if part]
    return PriceCell(reader.amount(Fraction(card.total)), ", ".join(parts))


def quote_words(quote: QuoteListed) -> str:
    return f"{quote.number}, revision {quote.revision}: {QUOTE_WORDS[quote.state].lower()}"
