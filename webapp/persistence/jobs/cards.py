"""What a list shows of a job's sums, kept when its sheet was last worked out: no list has to work them out."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import ForeignKey, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.column_types import CanonicalJson, Money
from webapp.persistence.foundation.inserting import insert_into


class JobCardRow(Row):
    """What a job came to when it was last worked out; `short` is that in the few figures that prices move."""

    __tablename__ = "job_cards"

    job_id: Mapped[UUID] = mapped_column(ForeignKey("jobs.id", ondelete="CASCADE"), primary_key=True)
    version: Mapped[int]
    worked_on: Mapped[date]
    total: Mapped[Decimal] = mapped_column(Money)
    complete: Mapped[bool]
    ready_days: Mapped[int]
    picture: Mapped[str | None]
    short: Mapped[dict[str, Any] | None] = mapped_column(CanonicalJson)


@dataclass(frozen=True, slots=True)
class JobCard:
    """What a version of a job came to on a day: the total to pay, whether nothing was left out of it, and in how many
    working days it could be ready; and the small `picture` of its first bench, '' where it has none."""

    version: int
    worked_on: date
    total: Decimal
    complete: bool
    ready_days: int
    picture: str = ""


def cards_of(session: Session, job_ids: Collection[UUID]) -> Mapping[UUID, JobCard]:
    """The cards of jobs that have one."""
    row = JobCardRow
    columns = select(row.job_id, row.version, row.worked_on, row.total, row.complete, row.ready_days, row.picture)
    return {
        found.job_id: JobCard(
            found.version, found.worked_on, found.total, found.complete, found.ready_days, found.picture or ""
        )
        for found in session.execute(columns.where(row.job_id.in_(job_ids)))
    }


def shorts_of(session: Session, job_ids: Collection[UUID]) -> Mapping[UUID, tuple[int, Mapping[str, Any]]]:
    """What jobs came to in few figures, each with the version of the job, of those that were worked out."""
    row = JobCardRow
    columns = select(row.job_id, row.version, row.short).where(row.job_id.in_(job_ids), row.short.is_not(None))
    return {found.job_id: (found.version, found.short) for found in session.execute(columns)}


def keep_card(session: Session, job_id: UUID, card: JobCard, short: Mapping[str, Any]) -> None:
    """Keep what a job came to, whole and in few figures, in place of what was kept before."""
    told = {
        "version": card.version, "worked_on": card.worked_on, "total": card.total, "complete": card.complete,
        "ready_days": card.ready_days, "picture": card.picture,
        "short": dict(short),
    }  # fmt: skip
    # Two who open the same job for the first time keep its card at once: the later one stands.
    kept = insert_into(session, JobCardRow).values(job_id=job_id, **told)
    session.execute(kept.on_conflict_do_update(index_elements=[JobCardRow.job_id], set_=told))
