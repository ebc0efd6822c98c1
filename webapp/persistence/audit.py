"""Who did what and when, in rows that are only ever added."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

from sqlalchemy import ForeignKey, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.base import Named, Row
from webapp.persistence.column_types import CanonicalJson


class DeedRow(Named, Row):
    """One thing done by a person to something the shop keeps."""

    __tablename__ = "deeds"

    at: Mapped[datetime] = mapped_column(index=True)
    user_id: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))
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
