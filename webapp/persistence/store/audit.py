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

from webapp.persistence.store.base import Named, Row
from webapp.persistence.store.column_types import CanonicalJson
from webapp.persistence.store.lists import PAGE_SIZE, Page, turn_to


class DeedRow(Named, Row):
    """One thing done by a person to something the shop keeps."""

    __tablename__ = "deeds"

    at: Mapped[datetime] = mapped_column(index=True)
    user_id: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"), index=True)
    what: Mapped[str]
    subject_kind: Mapped[str]
    subject_id: Mapped[str] = mapped_column(index=True)
    details: Mapped[dict[str, Any]] = mapped_column(CanonicalJson)


@dataclass(frozen=True, slots=True)
class Deed:
    """One entry of the trail. `what` is a verb in the past ('issued'), the subject a kind and an id."""

    at: datetime
    user_id: UUID | None
    what: str
    subject_kind: str
    subject_id: str
    details: Mapping[str, Any]


def record(session: Session, deed: Deed) -> None:
    """Add an entry to the trail, in the same transaction as the deed itself."""
    session.add(
        DeedRow(
            id=uuid4(),
            at=deed.at,
            user_id=deed.user_id,
            what=deed.what,
            subject_kind=deed.subject_kind,
            subject_id=deed.subject_id,
            details=dict(deed.details),
        )
    )


def deeds_on(session: Session, subject_kind: str, subject_id: str) -> tuple[Deed, ...]:
    """What was done to one thing, oldest first."""
    rows = session.scalars(
        select(DeedRow)
        .where(DeedRow.subject_kind == subject_kind, DeedRow.subject_id == subject_id)
        .order_by(DeedRow.at, DeedRow.id)
    )
    return tuple(Deed(row.at, row.user_id, row.what, row.subject_kind, row.subject_id, row.details) for row in rows)


def list_deeds(
    session: Session, *, by: UUID | None = None, kind: str = "", on: date | None = None, zone: str = "UTC",
    number: int = 1, size: int = PAGE_SIZE,
) -> Page[Deed]:  # fmt: skip
    """What was done, the last first: by one person, to one kind of thing, on one day as the zone counts days."""
    wanted = select(
        DeedRow.at, DeedRow.user_id, DeedRow.what, DeedRow.subject_kind, DeedRow.subject_id, DeedRow.details
    ).order_by(DeedRow.at.desc(), DeedRow.id)
    if by is not None:
        wanted = wanted.where(DeedRow.user_id == by)
    if kind:
        wanted = wanted.where(DeedRow.subject_kind == kind)
    if on is not None:
        begins = datetime.combine(on, time.min, ZoneInfo(zone))
        ends = datetime.combine(on + timedelta(days=1), time.min, ZoneInfo(zone))
        wanted = wanted.where(DeedRow.at >= begins, DeedRow.at < ends)
    rows, total = turn_to(session, wanted, number, size)
    return Page(tuple(Deed(*row) for row in rows), total, max(1, number), size)


def deed_kinds(session: Session) -> tuple[str, ...]:
    """The kinds of things that something was done to."""
    return tuple(session.scalars(select(DeedRow.subject_kind).distinct().order_by(DeedRow.subject_kind)))
