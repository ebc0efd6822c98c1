"""What one took for a bench that was made: kept beside the job that it is, so that telling it makes that no newer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from typing import Final
from uuid import UUID

from sqlalchemy import ForeignKey, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.column_types import Exact, Money
from webapp.persistence.jobs.records import JobRow

#: So many are listed, those told last first.
MOST_LISTED: Final = 20


class MadeBeforeRow(Row):
    """What was told of a job that was made: its price, and the minutes and the materials where one knows them."""

    __tablename__ = "made_before"

    job_id: Mapped[UUID] = mapped_column(ForeignKey("jobs.id", ondelete="CASCADE"), primary_key=True)
    price: Mapped[Decimal] = mapped_column(Money)
    with_tax: Mapped[bool]
    minutes: Mapped[Fraction | None] = mapped_column(Exact)
    materials: Mapped[Decimal | None] = mapped_column(Money)
    told_at: Mapped[datetime] = mapped_column(index=True)
    told_by: Mapped[UUID | None] = mapped_column(ForeignKey("users.id", ondelete="SET NULL"))


@dataclass(frozen=True, slots=True)
class MadeBefore:
    """What one took for a job: its price with or without tax, the minutes of all people, the materials as bought."""

    price: Decimal
    with_tax: bool
    minutes: Fraction | None = None
    materials: Decimal | None = None


@dataclass(frozen=True, slots=True)
class MadeListed:
    """A bench that something was told of, by the number and the title of its job."""

    number: int
    title: str
    told: MadeBefore


def tell_made(session: Session, job_id: UUID, told: MadeBefore, *, at: datetime, by: UUID | None = None) -> None:
    """Keep what one took for a job, in place of what was told before."""
    row = session.get(MadeBeforeRow, job_id) or MadeBeforeRow(job_id=job_id)
    row.price, row.with_tax, row.minutes, row.materials = told.price, told.with_tax, told.minutes, told.materials
    row.told_at, row.told_by = at, by
    session.add(row)
    session.flush()
    said = {"took": str(told.price.normalize()), "with_tax": "yes" if told.with_tax else "no"}
    record(session, HistoryEntry(at, by, "told what was taken for", "job", str(job_id), said))


def made_of(session: Session, job_id: UUID) -> MadeBefore | None:
    """What was told of a job; None where nothing was."""
    row = session.get(MadeBeforeRow, job_id)
    return None if row is None else _made(row)


def list_made(session: Session, *, size: int = MOST_LISTED) -> Sequence[MadeListed]:
    """The benches that something was told of, the last told first."""
    rows = session.execute(
        select(MadeBeforeRow, JobRow.number, JobRow.title)
        .join(JobRow, JobRow.id == MadeBeforeRow.job_id)
        .where(JobRow.state != "dropped")
        .order_by(MadeBeforeRow.told_at.desc(), JobRow.number.desc())
        .limit(size)
    )
    return tuple(MadeListed(number, title, _made(row)) for row, number, title in rows)


def _made(row: MadeBeforeRow) -> MadeBefore:
    return MadeBefore(row.price, row.with_tax, row.minutes, row.materials)
