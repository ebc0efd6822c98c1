"""What a line of a list brings into the shop's stock, once it is there."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.costing.buying_list.entries import GOT, read_said
from webapp.costing.buying_list.prices import bought_as
from webapp.costing.buying_list.settle import settle
from webapp.persistence.buying_lists.records import StoredList
from webapp.persistence.buying_lists.tables import ListEntryRow
from webapp.persistence.rack.brought import keep_brought


def keep_list_stock(session: Session, stored: StoredList, line: str, *, at: datetime, by: UUID | None) -> None:
    """Let a line have brought what of it is there by now, where its material is kept by the unit."""
    row = ListEntryRow
    entered = session.execute(
        select(row.received_at, row.document).where(row.list_id == stored.head.id, row.line == line)
    )
    there = [received for received, document in entered if read_said(document["said"]).state in GOT]
    if not there:
        return
    one = next(one for one in settle(stored.makings, stored.entries).lines if one.id == line)
    offered = bought_as(one)
    brought = [("bought", offered.offer, one.got)] if offered is not None and one.got else []
    whence = f"list {stored.head.number}"
    keep_brought(session, f"{whence} {line}", brought, made_at=min(there), at=at, by=by, note=whence)
