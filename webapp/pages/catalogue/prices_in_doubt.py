"""Prices that are missing or stale, by the money that rides on them in open jobs and quotes, each typed in its row."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Final

from fastapi import Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.catalogue.price_state import MISSING, PRICE_WORDS
from webapp.costing.estimate.basis import PriceDoubt
from webapp.costing.in_hand.riding import Riding, in_doubt
from webapp.documents.printing.paper import reader_of
from webapp.estimating import Gatherer
from webapp.in_short import Reckoner, issued_in_short
from webapp.pages.catalogue.offer_view import OfferView, Shelf, offer_view
from webapp.pages.web.dependencies import ShopHere, StoreSession
from webapp.pages.web.routing import PageRouter
from webapp.persistence.catalogue.records import StoredOffer, load_catalogue
from webapp.persistence.jobs.records import StoredJob, list_jobs, load_job
from webapp.persistence.quotes.records import QuoteListed, standing_quotes
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.showing import counted

router = PageRouter()

#: So many open jobs are looked at, the last touched first.
MOST_JOBS: Final = 200
#: So many jobs are worked out anew for one page; the others are known from before, or said not to be in it yet.
ANEW_AT_ONCE: Final = 12
#: So many materials that nobody offers stand in rows of their own; more are one thing to do.
MOST_ALONE: Final = 3


@dataclass(frozen=True, slots=True)
class DoubtRow:
    """A material in doubt, the money that rides on it, the jobs and open quotes it is in, and its offers that want a
    price."""

    href: str
    name: str
    state: str
    amount: str
    jobs: tuple[tuple[str, str], ...]
    quotes: tuple[tuple[str, str], ...]
    offers: tuple[OfferView, ...]


@dataclass(frozen=True, slots=True)
class DoubtsPage:
    """The page; `first` is the offer whose field is ready for typing. Of many materials that nobody offers, `unoffered`
    counts those of each job, which are typed in one table of its own: (address, number, how many)."""

    rows: tuple[DoubtRow, ...]
    unoffered: tuple[tuple[str, str, str], ...]
    first: str
    currency: str
    reckoned: str
    further: bool


@dataclass(slots=True)
class _InDoubt:
    """A material in doubt with the jobs and the quotes that it is in."""

    name: str
    riding: Riding
    jobs: list[int] = field(default_factory=list)
    quotes: list[QuoteListed] = field(default_factory=list)


@router.get("/prices")
def show_doubts(request: Request, session: StoreSession, shop: ShopHere) -> Response:
    """The prices in doubt: the missing ones first, then by the money that rides on them."""
    today = shop.today(running(request).now())
    listed = list_jobs(session, state="open", size=MOST_JOBS)
    jobs = [load_job(session, one.id) for one in listed.entries]
    worked = _doubts(session, shop, today, jobs)
    quotes = standing_quotes(session, today)
    found: dict[str, _InDoubt] = {}
    for job, doubts in worked:
        for doubt in doubts:
            held = found.setdefault(doubt.material, _InDoubt(doubt.name, Riding(doubt.state)))
            # A job may buy one material for several needs apart.
            needs = [one.amount or Fraction(0) for one in doubts if one.material == doubt.material]
            held.riding.add(str(job.id), doubt.state, sum(needs, Fraction(0)))
            held.jobs.append(job.number) if job.number not in held.jobs else None
    _add_quotes(session, today, quotes, found)
    ordered = sorted(
        found.items(), key=lambda one: (one[1].riding.state != MISSING, -one[1].riding.amount, one[1].name)
    )
    shelf = Shelf(load_catalogue(session, today, list(found)), current_rates(session), shop)
    rows = tuple(_row(code, one, shelf) for code, one in ordered)
    first = next((offer.id for row in rows for offer in row.offers), "")
    alone = [row for row in rows if not row.offers]
    if len(alone) > MOST_ALONE:
        rows = tuple(row for row in rows if row.offers)
    page = DoubtsPage(
        rows,
        _by_job(alone) if len(alone) > MOST_ALONE else (),
        first,
        shop.currency,
        _reckoned(len(worked), listed.total, len(quotes)),
        len(worked) < len(jobs),
    )
    return render(request, "catalogue/doubts.html", page)


def _by_job(rows: Sequence[DoubtRow]) -> tuple[tuple[str, str, str], ...]:
    """How many of the rows each job is in, the one with the most first."""
    counts = Counter(job for row in rows for job in row.jobs)
    return tuple(
        (f"{href}/prices", number, counted(str(count), "material")) for (href, number), count in counts.most_common()
    )


def _doubts(
    session: Session, shop: Shop, today: date, jobs: Sequence[StoredJob]
) -> list[tuple[StoredJob, tuple[PriceDoubt, ...]]]:
    """What is in doubt in each job, for as many as are known from before or can be worked out at once."""
    gatherer, reckoner = Gatherer(session, shop, today), Reckoner(session)
    found, anew = [], 0
    gathered = gatherer.gather([job.document for job in jobs], [job.id for job in jobs])
    for job, inputs in zip(jobs, gathered, strict=True):
        known = reckoner.known(inputs)
        if known is None:
            if anew == ANEW_AT_ONCE:
                continue
            anew += 1
            known, _ = reckoner.work_out(inputs)
        found.append((job, known.doubts))
    return found


def _add_quotes(
    session: Session, today: date, quotes: Sequence[QuoteListed], found: dict[str, _InDoubt]
) -> None:
    """What is in doubt of what open quotes were issued for: their price holds, whatever that comes to."""
    rates = current_rates(session)
    shorts = issued_in_short(session, quotes, rates)
    codes = {one.material for short in shorts.values() for one in short.purchases}
    catalogue = load_catalogue(session, today, codes)
    for quote in quotes:
        for code, (state, amount) in in_doubt(shorts[quote.id], catalogue, rates).items():
            held = found.setdefault(code, _InDoubt(catalogue.materials[code].name, Riding(state)))
            held.riding.add(str(quote.job_id), state, amount)
            held.quotes.append(quote)


def _row(code: str, one: _InDoubt, shelf: Shelf) -> DoubtRow:
    state = one.riding.state
    material = shelf.catalogue.materials.get(code)
    views = () if material is None else tuple(
        offer_view(shelf, material, StoredOffer(offer, 0), "row", "/prices")
        for offer in shelf.catalogue.offers_of(code)
    )  # fmt: skip
    return DoubtRow(
        f"/materials/{code}", one.name, PRICE_WORDS[state],
        "not known" if state == MISSING else reader_of(shelf.shop).money(one.riding.amount),
        tuple((f"/jobs/{number}", str(number)) for number in one.jobs),
        tuple((f"/quotes/{quote.id}", str(quote.number)) for quote in one.quotes),
        tuple(view for view in views if view.price.mark),
    )  # fmt: skip


def _reckoned(worked: int, total: int, quotes: int) -> str:
    """From which jobs and quotes the money is reckoned."""
    which = f"all {total} open jobs" if worked == total else f"{worked} of {total} open jobs, the last touched first"
    which = "the one open job" if total == worked == 1 else which
    was = "was" if quotes == 1 else "were"
    also = f", and from what {counted(quotes, 'open quote')} {was} issued for" if quotes else ""
    return (
        f"Worked out from {which}, at today's prices{also}: what each is charged for the material, added up, a job and "
        "its quote once."
    )
