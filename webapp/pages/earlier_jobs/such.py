"""What was taken before for benches like those of a job: from the sheets brought along, and from quotes accepted.

A quote is told by its total: only one of a single item says what was taken for such a bench, and for how many of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any, Final
from uuid import UUID

from fastapi import Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.earlier_jobs.alike import Known, known_by, most_alike
from webapp.costing.jobs.words import entries_of
from webapp.costing.measures.manner import whole_number
from webapp.costing.measures.quantities import System
from webapp.documents.printing.paper import day_text, reader_of
from webapp.pages.earlier_jobs.words import earlier_shown
from webapp.pages.web.dependencies import ReadingSession, ShopHere
from webapp.pages.web.errors import is_part
from webapp.pages.web.listing import address
from webapp.pages.web.routing import PageRouter
from webapp.persistence.designs.records import list_design_names
from webapp.persistence.earlier_jobs.records import StoredEarlierJob, latest_earlier_jobs
from webapp.persistence.jobs.records import load_job, load_job_by_number
from webapp.persistence.quotes.records import QuoteListed, StoredQuote, list_quotes, load_quote
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

#: So many are shown beside a price, and so many of the shop's own agreed jobs are looked through.
MOST_SHOWN: Final = 3
MOST_AGREED: Final = 200


@dataclass(frozen=True, slots=True)
class SuchRow:
    """One that is like it: what it was, for whom and when, what was taken, for how many where not for one, with tax or
    without, and the hours."""

    href: str
    name: str
    known_by: str
    when: str
    price: str
    count: str
    tax: str
    hours: str


@dataclass(frozen=True, slots=True)
class SuchPage:
    """Those likest to a job, as a part of its sheet or as a page of its own."""

    part: bool
    job_href: str
    job: str
    rows: tuple[SuchRow, ...]
    currency: str


@router.get("/jobs/{number:int}/such")
def show_such(request: Request, session: ReadingSession, shop: ShopHere, number: int) -> Response:
    """The jobs likest to this one as it is kept."""
    job = load_job_by_number(session, number)
    page = SuchPage(
        is_part(request), f"/jobs/{number}", job.title or "A job without a name",
        such_rows(request, session, shop, job.title, job.document, job.customer_name, job.id), shop.currency,
    )  # fmt: skip
    return render(request, "earlier_jobs/such.html", page)


def such_rows(
    request: Request, session: Session, shop: Shop, title: str, document: Mapping[str, Any], customer: str,
    own: UUID | None = None,
) -> tuple[SuchRow, ...]:  # fmt: skip
    """Those likest to a job's form, the likest first; `own` is the id of the job itself, where it is kept."""
    today, names = shop.today(running(request).now()), dict(list_design_names(session))
    new = _known(None, title, document, names, None, shop.length_system, customer)
    others: list[Known[StoredEarlierJob | QuoteListed]] = [
        known_by(
            one, (one.job.name, one.job.note), (one.job.size,), one.job.day, shop.length_system, one.job.customer
        )
        for one in latest_earlier_jobs(session)
    ]  # fmt: skip
    others += _agreed(session, own, names, shop, today)
    return tuple(
        _row(one, shop) if isinstance(one, StoredEarlierJob) else _row_agreed(load_quote(session, one.id, today), shop)
        for one in most_alike(new, others, MOST_SHOWN)
    )


def _agreed(
    session: Session, own: UUID | None, names: Mapping[str, str], shop: Shop, today: date
) -> Iterator[Known[StoredEarlierJob | QuoteListed]]:
    """The shop's other jobs of one item that were agreed, by what they are made from."""
    for quote in list_quotes(session, today, state="accepted", size=MOST_AGREED).entries:
        if quote.job_id != own:
            job = load_job(session, quote.job_id)
            if len(list(entries_of(job.document.get("items")))) == 1:
                yield _known(
                    quote, job.title, job.document, names, quote.issued_on, shop.length_system, quote.customer_name
                )


def _known(
    of: Any, title: str, document: Mapping[str, Any], names: Mapping[str, str], day: date | None, system: System,
    customer: str,
) -> Known[Any]:  # fmt: skip
    """What a job of the program is known by: its title, the names of its items and their designs, and its sizes."""
    texts, sizes = [title], []
    for item in entries_of(document.get("items")):
        texts += [str(item.get("label") or ""), names.get(str(item.get("design") or ""), "")]
        typed = item.get("sizes")
        sizes += [str(one) for one in typed.values()] if isinstance(typed, Mapping) else []
    return known_by(of, texts, sizes, day, system, customer)


def _row(one: StoredEarlierJob, shop: Shop) -> SuchRow:
    said = earlier_shown(one.job, reader_of(shop))
    known, found = ", ".join(filter(None, (said.customer, said.when))), {"words": one.job.name}
    return SuchRow(address("/earlier-jobs", found), said.name, known, said.when, said.price, "", said.tax, said.hours)


def _row_agreed(quote: StoredQuote, shop: Shop) -> SuchRow:
    """What a quote came to as it was issued, whatever was changed in its job since."""
    one, estimate, reader = quote.listed, quote.agreed_on.estimate, reader_of(shop)
    known = ", ".join(filter(None, (one.customer_name, f"quote {one.number}", day_text(one.issued_on))))
    count = sum((Fraction(item["quantity"]) for item in estimate["items"]), Fraction(0))
    tax = "with tax" if Fraction(estimate["totals"]["tax"]) else "without tax"
    return SuchRow(
        f"/quotes/{one.id}", one.title, known, day_text(one.issued_on), reader.amount(Fraction(one.total)),
        f"for {whole_number(int(count))}" if count > 1 else "", f"{tax}, agreed", "",
    )  # fmt: skip
