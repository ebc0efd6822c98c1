"""Earlier jobs kept: brought along all at once, found by words and sizes, and let go of as they came."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final, cast
from uuid import UUID

from sqlalchemy import ColumnElement, delete, insert, or_, select
from sqlalchemy.orm import Session

from webapp.costing.earlier_jobs.earlier_job import EarlierJob, Told
from webapp.costing.jobs.words import searched_words, sizes_said
from webapp.costing.measures.quantities import System
from webapp.costing.measures.trade_words import terms_sought
from webapp.persistence.earlier_jobs.tables import EarlierJobRow, EarlierSheetRow
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.foundation.lists import PAGE_SIZE, AnyRow, Page, fold, turn_to

#: So many earlier jobs a new one is held against, the latest first.
MOST_COMPARED: Final = 3_000


@dataclass(frozen=True, slots=True)
class EarlierSheet:
    """A sheet that was brought along; `layout` is how its columns were pointed at."""

    id: UUID
    name: str
    layout: Mapping[str, Any]
    jobs: int
    brought_at: datetime


@dataclass(frozen=True, slots=True)
class StoredEarlierJob:
    """An earlier job as it is kept, and which sheet told it."""

    id: int
    sheet: UUID
    job: EarlierJob


def bring_along(
    session: Session, sheet: EarlierSheet, jobs: Sequence[EarlierJob], system: System, by: UUID | None = None
) -> None:
    """Keep a sheet and its jobs in the session's transaction. Bare sizes are in the shop's `system`."""
    session.add(
        EarlierSheetRow(
            id=sheet.id, name=sheet.name, layout=dict(sheet.layout), jobs=len(jobs), brought_at=sheet.brought_at,
            brought_by=by,
        )
    )  # fmt: skip
    session.flush()
    rows = [
        {
            "sheet_id": sheet.id, "number": job.number, "name": job.name, "size": job.size, "customer": job.customer,
            "day": job.day, "told": job.told, "price": job.price, "with_tax": job.with_tax, "minutes": job.minutes,
            "cost": job.cost, "note": job.note, "search": _search(job, system),
        }
        for job in jobs
    ]  # fmt: skip
    if rows:
        session.execute(insert(EarlierJobRow), rows)
    details = {"name": sheet.name, "jobs": len(jobs)}
    record(session, HistoryEntry(sheet.brought_at, by, "brought along", "earlier jobs", str(sheet.id), details))


def let_go(session: Session, sheet_id: UUID, *, at: datetime, by: UUID | None = None) -> EarlierSheet:
    """Take a sheet and all its jobs out of the store. Raises NotKept."""
    row = session.get(EarlierSheetRow, sheet_id)
    if row is None:
        raise NotKept("sheet of earlier jobs", sheet_id)
    sheet = _sheet(row)
    session.execute(delete(EarlierJobRow).where(EarlierJobRow.sheet_id == sheet_id))
    session.delete(row)
    session.flush()
    details = {"name": sheet.name, "jobs": sheet.jobs}
    record(session, HistoryEntry(at, by, "let go", "earlier jobs", str(sheet_id), details))
    return sheet


def list_sheets(session: Session) -> tuple[EarlierSheet, ...]:
    """The sheets that were brought along, the latest first."""
    rows = session.scalars(select(EarlierSheetRow).order_by(EarlierSheetRow.brought_at.desc(), EarlierSheetRow.id))
    return tuple(map(_sheet, rows))


def find_earlier_jobs(
    session: Session, words: str = "", number: int = 1, size: int = PAGE_SIZE
) -> Page[StoredEarlierJob]:
    """The earlier jobs that hold all the words, a size in whatever unit among them; the latest first."""
    row = EarlierJobRow
    wanted = _columns().where(*earlier_jobs_holding(words))
    ordered = wanted.order_by(row.day.is_(None), row.day.desc(), row.id.desc())
    rows, total = turn_to(session, ordered, number, size)
    return Page(tuple(map(_stored, rows)), total, number, size)


def earlier_jobs_holding(words: str) -> list[ColumnElement[bool]]:
    """That an earlier job holds each of the words somewhere; no words hold always."""
    search = EarlierJobRow.search
    return [
        or_(*(search.contains(word, autoescape=True) for word in either))
        for either in terms_sought(fold(words), searched_words)
    ]


def latest_earlier_jobs(session: Session, most: int = MOST_COMPARED) -> tuple[StoredEarlierJob, ...]:
    """The latest earlier jobs, to hold a new one against."""
    return find_earlier_jobs(session, size=most).entries


def earlier_jobs_told(session: Session) -> frozenset[EarlierJob]:
    """Every earlier job, to know those of a sheet again that is brought twice."""
    return frozenset(_stored(row).job for row in session.execute(_columns()))


def _search(job: EarlierJob, system: System) -> str:
    sizes = (*sizes_said(job.name, system), *sizes_said(job.size, system, alone=True), *sizes_said(job.note, system))
    return fold(job.words, " ".join(map(str, sizes)))


def _columns() -> Any:
    row = EarlierJobRow
    return select(
        row.id, row.sheet_id, row.name, row.customer, row.day, row.told, row.price, row.with_tax, row.minutes, row.cost,
        row.number, row.size, row.note,
    )  # fmt: skip


def _stored(row: AnyRow) -> StoredEarlierJob:
    key, sheet, name, customer, day, told, *rest = row
    return StoredEarlierJob(key, sheet, EarlierJob(name, customer, day, cast(Told, told), *rest))


def _sheet(row: EarlierSheetRow) -> EarlierSheet:
    return EarlierSheet(row.id, row.name, row.layout, row.jobs, row.brought_at)
