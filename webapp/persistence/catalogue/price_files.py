"""Prices kept many at once, and what is known of those kept before: a file of prices is kept whole or not at all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from webapp.costing.catalogue.materials import PriceSeen
from webapp.persistence.catalogue.records import COUNTS, PRICE_COLUMNS, PriceRow, price_of
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.settings.shop import fix_currency, load_shop


def last_price(session: Session) -> int:
    """The place of the price kept last, to tell later ones by; 0 where none is kept."""
    return session.scalar(select(func.max(PriceRow.id))) or 0


def priced_since(session: Session, last: int) -> frozenset[tuple[str, int]]:
    """The offers, each with its break, that were given a price after a place."""
    rows = session.execute(select(PriceRow.offer_id, PriceRow.from_quantity).where(PriceRow.id > last))
    return frozenset((str(row.offer_id), row.from_quantity) for row in rows)


def every_price(session: Session) -> frozenset[PriceSeen]:
    """Every price ever seen that counts; wherefrom and by whom are left out, since the same price may be told twice."""
    rows = session.execute(select(*PRICE_COLUMNS).where(COUNTS))
    return frozenset(price_of(row).unsigned for row in rows)


def add_prices(
    session: Session, prices: Sequence[PriceSeen], details: Mapping[str, Any], *, at: datetime, by: UUID | None = None,
    came_in: UUID | None = None,
) -> None:  # fmt: skip
    """Keep checked prices beside all earlier ones, with one entry in the trail for all of them; `came_in` is the file
    that they can be undone with.

    Raises NotKept where there is no shop yet. The caller has checked currency and amounts.
    """
    if not prices:
        return
    if not load_shop(session).currency_fixed:
        fix_currency(session)
    session.execute(
        insert(PriceRow),
        [
            {
                "offer_id": UUID(seen.offer), "amount": seen.amount, "currency": seen.currency,
                "seen_on": seen.seen_on, "where_seen": seen.where, "seen_by": seen.by,
                "from_quantity": seen.from_quantity, "with_tax": seen.with_tax, "delivered": seen.delivered,
                "one_off": seen.one_off, "entered_at": at, "import_id": came_in,
            }
            for seen in prices
        ],
    )  # fmt: skip
    session.flush()
    record(session, HistoryEntry(at, by, "took", "prices", "price file", {**details, "prices": len(prices)}))
