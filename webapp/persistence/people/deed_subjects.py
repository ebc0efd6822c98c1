"""What the trail's jobs and quotes are called, since the trail itself keeps only their ids."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.persistence.jobs.customers import CustomerRow
from webapp.persistence.jobs.records import JobRow
from webapp.persistence.quotes.tables import QuoteRow
from webapp.persistence.store.audit import Deed


def jobs_named(session: Session, deeds: Iterable[Deed]) -> dict[str, tuple[int, str]]:
    """Number and title of the jobs that deeds were done to, by their ids as the trail has them."""
    wanted = _ids(deeds, "job")
    rows = session.execute(select(JobRow.id, JobRow.number, JobRow.title).where(JobRow.id.in_(wanted)))
    return {str(row.id): (row.number, row.title) for row in rows}


def quotes_named(session: Session, deeds: Iterable[Deed]) -> dict[str, tuple[int, int]]:
    """Number and revision of the quotes that deeds were done to, by their ids as the trail has them."""
    wanted = _ids(deeds, "quote")
    rows = session.execute(select(QuoteRow.id, QuoteRow.number, QuoteRow.revision).where(QuoteRow.id.in_(wanted)))
    return {str(row.id): (row.number, row.revision) for row in rows}


def customers_kept(session: Session, deeds: Iterable[Deed]) -> set[str]:
    """Which of the customers that deeds were done to are still kept: one may have been merged into another."""
    wanted = {int(deed.subject_id) for deed in deeds if deed.subject_kind == "customer" and deed.subject_id.isdecimal()}
    return {str(one) for one in session.scalars(select(CustomerRow.id).where(CustomerRow.id.in_(wanted)))}


def _ids(deeds: Iterable[Deed], kind: str) -> set[UUID]:
    found = set()
    for deed in deeds:
        if deed.subject_kind == kind:
            with suppress(ValueError):
                found.add(UUID(deed.subject_id))
    return found
