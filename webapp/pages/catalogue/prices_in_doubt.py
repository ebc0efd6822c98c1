"""Prices that are missing or stale, by the money that rides on them in open jobs, each typed in its row."""

from __future__ import annotations

from collections import Counter, OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from hashlib import sha256
from threading import Lock
from typing import Final

from fastapi import Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.catalogue.price_state import MISSING, PRICE_WORDS
from webapp.costing.estimate.basis import PriceDoubt
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.documents.printing.paper import reader_of
from webapp.estimating import Gatherer, PlanBook
from webapp.pages.catalogue.offer_view import OfferView, Shelf, offer_view
from webapp.pages.web.dependencies import ShopHere, StoreSession
from webapp.pages.web.routing import PageRouter
from webapp.persistence.catalogue.records import StoredOffer, load_catalogue
from webapp.persistence.jobs.records import StoredJob, list_jobs, load_job
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
MOST_KEPT: Final = 4_000
#: So many materials that nobody offers stand in rows of their own; more are one thing to do.
MOST_ALONE: Final = 3


class KeptDoubts:
    """What was in doubt in a job, for inputs that are wholly equal; the oldest goes first. Always disposable."""

    def __init__(self) -> None:
        self._kept: OrderedDict[str, tuple[PriceDoubt, ...]] = OrderedDict()
        self._lock = Lock()

    def get(self, key: str) -> tuple[PriceDoubt, ...] | None:
        with self._lock:
            found = self._kept.get(key)
            if found is not None:
                self._kept.move_to_end(key)
            return found

    def put(self, key: str, doubts: tuple[PriceDoubt, ...]) -> None:
        with self._lock:
            self._kept[key] = doubts
            while len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)


DOUBTS: Final = KeptDoubts()


@dataclass(frozen=True, slots=True)
class DoubtRow:
    """A material in doubt, the money that rides on it, the jobs it is in, and its offers that want a price."""

    href: str
    name: str
    state: str
    amount: str
    jobs: tuple[tuple[str, str], ...]
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
class _Riding:
    """What rides on one material over all jobs that were worked out."""

    doubt: PriceDoubt
    amount: Fraction = Fraction(0)
    jobs: list[int] = field(default_factory=list)


@router.get("/prices")
def show_doubts(request: Request, session: StoreSession, shop: ShopHere) -> Response:
    """The prices in doubt: the missing ones first, then by the money that rides on them."""
    today = shop.today(running(request).now())
    listed = list_jobs(session, state="open", size=MOST_JOBS)
    jobs = [load_job(session, one.id) for one in listed.entries]
    worked = _doubts(session, shop, today, jobs)
    riding: dict[str, _Riding] = {}
    for job, doubts in worked:
        for doubt in doubts:
            held = riding.setdefault(doubt.material, _Riding(doubt))
            held.amount += doubt.amount or Fraction(0)
            held.jobs.append(job.number)
    ordered = sorted(riding.values(), key=lambda one: (one.doubt.state != MISSING, -one.amount, one.doubt.name))
    shelf = Shelf(load_catalogue(session, today, list(riding)), current_rates(session), shop)
    rows = tuple(_row(one, shelf) for one in ordered)
    first = next((offer.id for row in rows for offer in row.offers), "")
    alone = [row for row in rows if not row.offers]
    if len(alone) > MOST_ALONE:
        rows = tuple(row for row in rows if row.offers)
    page = DoubtsPage(
        rows,
        _by_job(alone) if len(alone) > MOST_ALONE else (),
        first,
        shop.currency,
        _reckoned(len(worked), listed.total),
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
    gatherer = Gatherer(session, shop, today)
    rates = repr(gatherer.rates)
    found, anew = [], 0
    for job, inputs in zip(jobs, gatherer.gather([job.document for job in jobs]), strict=True):
        key = _key(inputs, rates)
        doubts = DOUBTS.get(key)
        if doubts is None:
            if anew == ANEW_AT_ONCE:
                continue
            anew += 1
            doubts = estimate_inputs(inputs, PlanBook(session)).basis.doubts
            DOUBTS.put(key, doubts)
        found.append((job, doubts))
    return found


def _key(inputs: Inputs, rates: str) -> str:
    """All that an estimate follows from, in a word."""
    asked = (inputs.job, inputs.designs, inputs.catalogue, inputs.system, inputs.places)
    return sha256(f"{asked!r}{rates}".encode(errors="replace")).hexdigest()


def _row(one: _Riding, shelf: Shelf) -> DoubtRow:
    code, missing = one.doubt.material, one.doubt.state == MISSING
    material = shelf.catalogue.materials.get(code)
    views = () if material is None else tuple(
        offer_view(shelf, material, StoredOffer(offer, 0), "row", "/prices")
        for offer in shelf.catalogue.offers_of(code)
    )  # fmt: skip
    return DoubtRow(
        f"/materials/{code}", one.doubt.name, PRICE_WORDS[one.doubt.state],
        "not known" if missing else reader_of(shelf.shop).money(one.amount),
        tuple((f"/jobs/{number}", str(number)) for number in one.jobs),
        tuple(view for view in views if view.price.mark),
    )  # fmt: skip


def _reckoned(worked: int, total: int) -> str:
    """From which jobs the money is reckoned."""
    which = f"all {total} open jobs" if worked == total else f"{worked} of {total} open jobs, the last touched first"
    which = "the one open job" if total == worked == 1 else which
    return f"Worked out from {which}, at today's prices: what each job is charged for the material, added up."
