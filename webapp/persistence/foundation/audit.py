"""Who did what and when, in rows that are only ever added."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from sqlalchemy import ForeignKey, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.foundation.base import Named, Row
from webapp.persistence.foundation.column_types import CanonicalJson
from webapp.persistence.foundation.lists import PAGE_SIZE, Page, turn_to


class HistoryRow(Named, Row):
    """One thing done by a person to something the shop keeps."""

    __tablename__ = "deeds"

    at: Mapped[datetime] = mapped_column(index=True)
    user_id: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"), index=True)
    what: Mapped[str]
    subject_kind: Mapped[str]
    subject_id: Mapped[str] = mapped_column(index=True)
    details: Mapped[dict[str, Any]] = mapped_column(CanonicalJson)


@dataclass(frozen=True, slots=True)
class HistoryEntry:
    """One entry of the trail. `what` is a verb in the past ('issued'), the subject a kind and an id."""

    at: datetime
    user_id: UUID | None
    what: str
    subject_kind: str
    subject_id: str
    details: Mapping[str, Any]


def record(session: Session, entry: HistoryEntry) -> None:
    """Add an entry to the trail, in the same transaction as what it tells of."""
    session.add(
        HistoryRow(
            id=uuid4(),
            at=entry.at,
            user_id=entry.user_id,
            what=entry.what,
            subject_kind=entry.subject_kind,
            subject_id=entry.subject_id,
            details=dict(entry.details),
        )
    )


def history_of(session: Session, subject_kind: str, subject_id: str) -> tuple[HistoryEntry, ...]:
    """What was done to one thing, oldest first."""
    rows = session.scalars(
        select(HistoryRow)
        .where(HistoryRow.subject_kind == subject_kind, HistoryRow.subject_id == subject_id)
        .order_by(HistoryRow.at, HistoryRow.id)
    )
    return tuple(
        HistoryEntry(row.at, row.user_id, row.what, row.subject_kind, row.subject_id, row.details) for row in rows
    )


def list_history(
    session: Session, *, by: UUID | None = None, kind: str = "", on: date | None = None, zone: str = "UTC",
    number: int = 1, size: int = PAGE_SIZE,
) -> Page[HistoryEntry]:  # fmt: skip
    """What was done, the last first: by one person, to one kind of thing, on one day as the zone counts days."""
    wanted = select(
        HistoryRow.at,
        HistoryRow.user_id,
        HistoryRow.what,
        HistoryRow.subject_kind,
        HistoryRow.subject_id,
        HistoryRow.details,
    ).order_by(HistoryRow.at.desc(), HistoryRow.id)
    if by is not None:
        wanted = wanted.where(HistoryRow.user_id == by)
    if kind:
        wanted = wanted.where(HistoryRow.subject_kind == kind)
    if on is not None:
        begins = datetime.combine(on, time.min, ZoneInfo(zone))
        ends = datetime.combine(on + timedelta(days=1), time.min, ZoneInfo(zone))
        wanted = wanted.where(HistoryRow.at >= begins, HistoryRow.at < ends)
    rows, total = turn_to(session, wanted, number, size)
    return Page(tuple(HistoryEntry(*row) for row in rows), total, max(1, number), size)


def kinds_in_history(session: Session) -> tuple[str, ...]:
    """The kinds of things that something was done to."""
    return tuple(session.scalars(select(HistoryRow.subject_kind).distinct().order_by(HistoryRow.subject_kind)))
