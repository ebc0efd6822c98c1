"""What the trail's jobs and quotes are called, since the trail itself keeps only their ids."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.persistence.foundation.audit import HistoryEntry
from webapp.persistence.jobs.customers import CustomerRow
from webapp.persistence.jobs.records import JobRow
from webapp.persistence.quotes.tables import QuoteRow


def jobs_named(session: Session, entries: Iterable[HistoryEntry]) -> dict[str, tuple[int, str]]:
    """Number and title of the jobs that entries tell of, by their ids as the trail has them."""
    wanted = _ids(entries, "job")
    rows = session.execute(select(JobRow.id, JobRow.number, JobRow.title).where(JobRow.id.in_(wanted)))
    return {str(row.id): (row.number, row.title) for row in rows}


def quotes_named(session: Session, entries: Iterable[HistoryEntry]) -> dict[str, tuple[int, int]]:
    """Number and revision of the quotes that entries tell of, by their ids as the trail has them."""
    wanted = _ids(entries, "quote")
    rows = session.execute(select(QuoteRow.id, QuoteRow.number, QuoteRow.revision).where(QuoteRow.id.in_(wanted)))
    return {str(row.id): (row.number, row.revision) for row in rows}


def customers_kept(session: Session, entries: Iterable[HistoryEntry]) -> set[str]:
    """Which of the customers that entries tell of are still kept: one may have been merged into another."""
    wanted = {
        int(entry.subject_id) for entry in entries if entry.subject_kind == "customer" and entry.subject_id.isdecimal()
    }
    return {str(one) for one in session.scalars(select(CustomerRow.id).where(CustomerRow.id.in_(wanted)))}


def _ids(entries: Iterable[HistoryEntry], kind: str) -> set[UUID]:
    found = set()
    for entry in entries:
        if entry.subject_kind == kind:
            with suppress(ValueError):
                found.add(UUID(entry.subject_id))
    return found
