"""The prices that follow from a list, kept among all others: what its entries no longer say is withdrawn, what they say
is added.

Of two prices of one day that holds which was kept later. So those of one offer and day are kept in the order of their
entries, whatever order these came in.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import TypeAlias
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.costing.buying_list.prices import prices_paid
from webapp.costing.buying_list.settle import settle
from webapp.costing.catalogue.materials import PriceSeen
from webapp.persistence.buying_lists.records import StoredList
from webapp.persistence.buying_lists.tables import ListPriceRow
from webapp.persistence.catalogue.changes import PriceRefused, add_price, withdraw_price
from webapp.persistence.catalogue.records import COUNTS, PRICE_COLUMNS, PriceRow, price_of

#: A price as it stands in a list: its line, its entry, and what was seen.
Told: TypeAlias = tuple[str, str, PriceSeen]


def keep_list_prices(session: Session, stored: StoredList, *, at: datetime, by: UUID | None) -> None:
    """Let exactly the prices that follow from a list count, as far as they can be kept: nothing here stops an entry."""
    list_id, settled = stored.head.id, settle(stored.makings, stored.entries)
    wanted: dict[tuple[str, int, date], list[Told]] = {}
    for one in prices_paid(settled, f"list {stored.head.number}"):
        if one.counts:
            wanted.setdefault(_place(one.seen), []).append((one.line, one.entry, one.seen))
    held: dict[tuple[str, int, date], list[tuple[int, Told]]] = {}
    rows = session.execute(
        select(ListPriceRow.price_id, ListPriceRow.line, ListPriceRow.entry_id, *PRICE_COLUMNS)
        .join(PriceRow, ListPriceRow.price_id == PriceRow.id)
        .where(ListPriceRow.list_id == list_id, COUNTS)
        .order_by(PriceRow.id)
    )
    for row in rows.all():
        seen = price_of(row)
        held.setdefault(_place(seen), []).append((row.price_id, (row.line, str(row.entry_id), seen)))
    for place in sorted({*wanted, *held}):
        told, kept = wanted.get(place, []), held.get(place, [])
        same = 0
        while same < min(len(told), len(kept)) and told[same] == kept[same][1]:
            same += 1
        for price_id, _ in kept[same:]:
            withdraw_price(session, price_id, "the list says something else by now", at=at)
        for line, entry, seen in told[same:]:
            try:
                price_id = add_price(session, seen, at=at, by=by)
            except PriceRefused:
                # What no store of prices takes (a million for a thousandth of one) was paid all the same.
                continue
            session.add(ListPriceRow(price_id=price_id, list_id=list_id, line=line, entry_id=UUID(entry)))
    session.flush()


def _place(seen: PriceSeen) -> tuple[str, int, date]:
    return seen.offer, seen.from_quantity, seen.seen_on
