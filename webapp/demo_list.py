"""The demo's list to buy from, half bought from and all invented: for the school's benches, with a line paid otherwise,
one put on the next stop and one ordered."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Final
from uuid import UUID, uuid5

from sqlalchemy.orm import Session

from webapp.costing.buying_list.entries import LATER, LOADED, ORDERED, Entry, Said
from webapp.costing.buying_list.lines import Line, Making
from webapp.costing.estimate.pooling import JobPooled
from webapp.documents.buying.list_lines import lines_of_job, terms_of_lists
from webapp.documents.printing.paper import reader_of
from webapp.persistence.buying_lists.prices import keep_list_prices
from webapp.persistence.buying_lists.records import keep_entry, load_list, make_list
from webapp.persistence.jobs.records import StoredJob
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop
from webapp.standing import estimate_to_buy

#: The ids of the demo's entries follow from this and their places.
_ENTRY_IDS: Final = UUID("5a1d0b8e-7c42-5f5e-9b61-2f4c9e0a7d13")
#: What stands in the lines of these places; the others of the first half were loaded as expected.
_OTHERWISE: Final = {1: "dearer", 3: LATER, 5: ORDERED}
_DEARER: Final = Decimal("1.40")


def keep_demo_list(session: Session, job: StoredJob, shop: Shop, today: date, now: datetime) -> None:
    """Make the list of a job three days ago, and enter at half of it two days later, all invented."""
    to_buy = estimate_to_buy(session, job, shop, today)
    one = JobPooled(job.number, to_buy.inputs.read_job(to_buy.document)[0], to_buy.estimate)
    terms = terms_of_lists(current_rates(session), shop.currency, shop.currency_places)
    lines = lines_of_job(one, to_buy.inputs.catalogue, terms, reader_of(shop))
    made_on, bought_on = today - timedelta(days=3), today - timedelta(days=1)
    making = Making(1, made_on, lines, terms)
    number = make_list(session, job.title, [job.id], making, at=now - timedelta(days=3), by=None)
    for place, line in enumerate(lines[: len(lines) // 2]):
        entry_id, said = str(uuid5(_ENTRY_IDS, str(place))), _said(place, line, bought_on)
        entry = Entry(entry_id, line.id, place + 1, frozenset(), said, bought_on, making=1)
        keep_entry(session, number, entry, at=now - timedelta(days=1), by=None)
    stored = load_list(session, number)
    keep_list_prices(session, stored, at=now - timedelta(days=1), by=None)


def _said(place: int, line: Line, day: date) -> Said:
    """What somebody entered at a line.

    The demo's prices are to be as old as its catalogue says: what was paid is told only where a later price is known,
    or as one for once.
    """
    state = _OTHERWISE.get(place, LOADED)
    if state in (LATER, ORDERED):
        return Said(state)
    if state == "dearer" and line.till is not None:
        return Said(LOADED, line.count, line.till + _DEARER, one_off=True)
    known = line.offered is not None and bool(line.offered.seen) and min(s.seen_on for s in line.offered.seen) > day
    return Said(LOADED, line.count, line.till if known or line.taken else None)
