"""A list made from what jobs buy: of one job as it buys for itself, of several as the pool buys for them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from fastapi import Request
from sqlalchemy.orm import Session

from webapp.costing.buying_list.lines import Line, Making, Need, Terms
from webapp.costing.buying_list.settle import settle
from webapp.costing.estimate.pooling import JobPooled
from webapp.costing.settings.rates import Rates
from webapp.documents.buying.list_lines import lines_of_job, lines_of_pool, terms_of_lists
from webapp.documents.buying.stock_lines import FOR_STOCK, lines_for_stock
from webapp.documents.printing.paper import reader_of
from webapp.documents.workshop.cut_together import CutTogether, cut_together, write_together
from webapp.pages.buying.pool import jobs_ticked, pooled_from, what_they_buy
from webapp.persistence.buying_lists.records import lists_that_say
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.jobs.records import StoredJob
from webapp.persistence.rack.stock import stock_of
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop
from webapp.running import running
from webapp.showing import Reader
from webapp.standing import ToBuy

LONGEST_TITLE = 120


@dataclass(frozen=True, slots=True)
class ReadyList:
    """A list as it would be made now: for which jobs, under which title, what is not in it, and how what it buys for
    several of them is cut together."""

    jobs: tuple[StoredJob, ...]
    title: str
    making: Making
    notes: tuple[str, ...]
    cut_together: CutTogether | None = None

    @property
    def kept_cut(self) -> bytes | None:
        """How it is cut together, as it is kept."""
        return None if self.cut_together is None else write_together(self.cut_together)


def ready_list(
    request: Request, session: Session, shop: Shop, numbers: Sequence[int], of_list: int | None = None
) -> ReadyList:
    """Work a list out at today's prices. Without a job that still buys it has no lines. What the shop itself is short
    of stands on it too, unless another list than `of_list` has it."""
    jobs, notes = jobs_ticked(session, numbers)
    today, reader = shop.today(running(request).now()), reader_of(shop)
    rates = current_rates(session)
    terms = terms_of_lists(rates, shop.currency, shop.currency_places)
    to_buy = what_they_buy(request, session, shop, jobs, of_list)
    by_number = [(job.number, each) for job, each in zip(jobs, to_buy, strict=True)]
    codes = {code for one in to_buy for code in one.inputs.catalogue.materials}
    catalogue, together = load_catalogue(session, today, codes), None
    if len(jobs) > 1:
        pool = pooled_from(request, session, shop, jobs, to_buy)
        notes += tuple(f"Job {number} is not in it: it {why}." for number, why in pool.apart)
        kept = {one.number for one in pool.jobs}
        jobs = [one for one in jobs if one.number in kept]
        lines = lines_of_pool(pool, catalogue, terms, reader)
        together = cut_together(pool, rates, shop, today)
    elif jobs:
        (bought,) = to_buy
        job = JobPooled(jobs[0].number, bought.inputs.read_job(bought.document)[0], bought.estimate)
        lines = lines_of_job(job, catalogue, terms, reader)
    else:
        lines = ()
    if jobs:
        lines = (*lines, *_for_stock(session, today, rates, terms, reader, of_list))
    made = Making(1, today, lines, terms, _needs(session, jobs, by_number))
    return ReadyList(tuple(jobs), _title(jobs), made, notes, together)


def _needs(session: Session, jobs: Sequence[StoredJob], to_buy: Sequence[tuple[int, ToBuy]]) -> tuple[Need, ...]:
    """What each of the jobs uses of what the shop keeps by the unit."""
    kept, buying = stock_of(session), {one.number for one in jobs}
    return tuple(
        Need(number, one.material.code, one.required.value)
        for number, each in to_buy for one in each.estimate.bought
        if number in buying and one.material.code in kept and one.required.value
    )  # fmt: skip


def _for_stock(
    session: Session, today: date, rates: Rates, terms: Terms, reader: Reader, of_list: int | None
) -> tuple[Line, ...]:  # fmt: skip
    """What the shop keeps by the unit and is short of, as lines of its own."""
    short = [one for one in stock_of(session).values() if one.missing]
    if not short:
        return ()
    waiting = {
        one.id
        for stored in lists_that_say(session, f'"id":"{FOR_STOCK}')
        if stored.head.number != of_list
        for one in settle(stored.makings, stored.entries).on_it
        if one.id.startswith(FOR_STOCK) and one.to_get
    }
    catalogue = load_catalogue(session, today, {one.material for one in short})
    return lines_for_stock(short, catalogue, rates, terms, reader, waiting)


def _title(jobs: Sequence[StoredJob]) -> str:
    if len(jobs) == 1:
        return (jobs[0].title or "A job without a name")[:LONGEST_TITLE]
    return f"Jobs {', '.join(str(one.number) for one in jobs)} together"[:LONGEST_TITLE]
