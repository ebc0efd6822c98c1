"""Jobs as kept: the job form as typed, even where it can't be estimated yet, and what lists and searches need of it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final, Literal, cast
from uuid import UUID

from sqlalchemy import CheckConstraint, ColumnElement, ForeignKey, delete, func, select
from sqlalchemy.orm import InstrumentedAttribute, Mapped, Session, mapped_column

from webapp.costing.jobs.words import entries_of, words_of_job
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.base import Named, Row, Versioned
from webapp.persistence.foundation.column_types import CanonicalJson
from webapp.persistence.foundation.counters import next_number
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.foundation.lists import PAGE_SIZE, AnySelect, Page, fold, one_line, turn_to

#: Each state of a job is the word for it.
JobState = Literal["open", "ordered", "done", "dropped"]
JOB_STATES: Final[tuple[JobState, ...]] = ("open", "ordered", "done", "dropped")

JobSort = Literal["touched", "due", "newest", "number", "job", "customer"]
JOB_SORTS: Final[tuple[JobSort, ...]] = ("touched", "due", "newest", "number", "job", "customer")

JOB_COUNTER: Final = "jobs"


class JobRow(Named, Versioned, Row):
    """A job. `title`, `customer_name`, `due` and `search` are read out of its document at each save."""

    __tablename__ = "jobs"
    __table_args__ = (CheckConstraint("state IN ('open', 'ordered', 'done', 'dropped')", name="state"),)

    number: Mapped[int] = mapped_column(unique=True)
    title: Mapped[str]
    customer_name: Mapped[str]
    search: Mapped[str]
    due: Mapped[date | None] = mapped_column(index=True)
    customer_id: Mapped[int | None] = mapped_column(ForeignKey("customers.id"), index=True)
    state: Mapped[str] = mapped_column(index=True)
    document: Mapped[dict[str, Any]] = mapped_column(CanonicalJson)
    created_at: Mapped[datetime]
    updated_at: Mapped[datetime] = mapped_column(index=True)
    created_by: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))
    copied_from: Mapped[UUID | None] = mapped_column(ForeignKey("jobs.id"))


class JobDesignRow(Row):
    """That a job uses a design, by the design's code: a job may name a design that isn't kept."""

    __tablename__ = "job_designs"

    job_id: Mapped[UUID] = mapped_column(ForeignKey("jobs.id", ondelete="CASCADE"), primary_key=True)
    design_code: Mapped[str] = mapped_column(primary_key=True, index=True)


class JobMaterialRow(Row):
    """That a job takes a material in place of its design's own, by the material's code."""

    __tablename__ = "job_materials"

    job_id: Mapped[UUID] = mapped_column(ForeignKey("jobs.id", ondelete="CASCADE"), primary_key=True)
    material_code: Mapped[str] = mapped_column(primary_key=True, index=True)


@dataclass(frozen=True, slots=True)
class StoredJob:
    """A job with its form as a nested text document, and the version that a save names."""

    id: UUID
    number: int
    title: str
    customer_name: str
    customer_id: int | None
    state: JobState
    document: Mapping[str, Any]
    version: int
    created_at: datetime
    updated_at: datetime
    copied_from: UUID | None


@dataclass(frozen=True, slots=True)
class JobListed:
    """A job in the list."""

    id: UUID
    number: int
    title: str
    customer_name: str
    state: JobState
    updated_at: datetime
    version: int
    due: date | None = None


def create_job(
    session: Session,
    job_id: UUID,
    document: Mapping[str, Any],
    *,
    at: datetime,
    by: UUID | None = None,
    customer_id: int | None = None,
    copied_from: UUID | None = None,
) -> StoredJob:
    """Keep a new job under an id made by the caller; it is given the next number."""
    row = JobRow(
        id=job_id,
        number=next_number(session, JOB_COUNTER),
        customer_id=customer_id,
        state="open",
        created_at=at,
        created_by=by,
        copied_from=copied_from,
        version=1,
    )
    _write(row, document, at)
    session.add(row)
    session.flush()
    _note_what_it_names(session, job_id, document)
    record(session, HistoryEntry(at, by, "made", "job", str(job_id), {"number": row.number, "title": row.title}))
    return _stored(row)


def load_job(session: Session, job_id: UUID) -> StoredJob:
    """One job. Raises NotKept."""
    row = session.get(JobRow, job_id)
    if row is None:
        raise NotKept("job", job_id)
    return _stored(row)


def load_job_by_number(session: Session, number: int) -> StoredJob:
    """The job people know by a number. Raises NotKept."""
    row = session.scalar(select(JobRow).where(JobRow.number == number))
    if row is None:
        raise NotKept("job", number)
    return _stored(row)


def save_job(
    session: Session,
    job_id: UUID,
    document: Mapping[str, Any],
    version: int,
    *,
    at: datetime,
    by: UUID | None = None,
) -> StoredJob:
    """Keep a changed job. A document that says the same as the kept one makes no new version.

    Raises NotKept, and StaleSave with both documents where somebody saved something else since `version` was read.
    """
    row = _locked(session, job_id)
    if row.document == document:
        return _stored(row)
    if row.version != version:
        raise StaleSave("job", _stored(row), dict(document))
    row.version = version + 1
    _write(row, document, at)
    session.flush()
    _note_what_it_names(session, job_id, document)
    record(session, HistoryEntry(at, by, "saved", "job", str(job_id), {"version": row.version}))
    return _stored(row)


def hold_job(session: Session, job_id: UUID, version: int) -> None:
    """Let nobody else change a job until the transaction is over. Raises NotKept, and StaleSave as `save_job` does."""
    row = _locked(session, job_id)
    if row.version != version:
        raise StaleSave("job", _stored(row), version)


def copy_job(session: Session, job_id: UUID, copy_id: UUID, *, at: datetime, by: UUID | None = None) -> StoredJob:
    """Start a new open job from a past one, under an id made by the caller. Raises NotKept."""
    past = load_job(session, job_id)
    return create_job(session, copy_id, past.document, at=at, by=by, customer_id=past.customer_id, copied_from=past.id)


def set_job_state(session: Session, job_id: UUID, state: JobState, *, at: datetime, by: UUID | None = None) -> None:
    """Say how a job stands; its document and version stay as they are. Raises NotKept."""
    row = _locked(session, job_id)
    if row.state == state:
        return
    row.state, row.updated_at = state, at
    session.flush()
    record(session, HistoryEntry(at, by, state, "job", str(job_id), {}))


def titles_of_jobs(session: Session, numbers: Collection[int]) -> dict[int, str]:
    """The titles of jobs by their numbers, of those that there are."""
    rows = session.execute(select(JobRow.number, JobRow.title).where(JobRow.number.in_(numbers)))
    return {row.number: row.title for row in rows}


def list_jobs(
    session: Session,
    holding: Sequence[ColumnElement[bool]] = (),
    state: JobState | None = None,
    *,
    design: str | None = None,
    customer: int | None = None,
    sort: JobSort = "touched",
    number: int = 1,
    size: int = PAGE_SIZE,
) -> Page[JobListed]:
    """Jobs, the last touched first unless sorted otherwise; `holding` is what they have to hold (finding.jobs)."""
    row = JobRow
    statement = job_columns().where(*holding)
    if state is not None:
        statement = statement.where(row.state == state)
    if design is not None:
        statement = statement.where(row.id.in_(select(JobDesignRow.job_id).where(JobDesignRow.design_code == design)))
    if customer is not None:
        statement = statement.where(row.customer_id == customer)
    order: dict[JobSort, tuple[ColumnElement[Any] | InstrumentedAttribute[Any], ...]] = {
        "touched": (row.updated_at.desc(), row.number.desc()),
        "due": (row.due.is_(None), row.due, row.number.desc()),
        "newest": (row.number.desc(),),
        "number": (row.number.asc(),),
        "job": (func.lower(row.title), row.number.desc()),
        "customer": (func.lower(row.customer_name), row.number.desc()),
    }
    rows, total = turn_to(session, statement.order_by(*order[sort]), number, size)
    return Page(tuple(map(job_listed, rows)), total, number, size)


def job_columns() -> AnySelect:
    """What a list shows of a job."""
    row = JobRow
    return select(row.id, row.number, row.title, row.customer_name, row.state, row.updated_at, row.version, row.due)


def job_listed(row: Any) -> JobListed:
    """The job that those columns hold."""
    return JobListed(row.id, row.number, row.title, row.customer_name, row.state, row.updated_at, row.version, row.due)


def states_of(session: Session, job_ids: Collection[UUID]) -> dict[UUID, JobState]:
    """How each of the jobs stands."""
    rows = session.execute(select(JobRow.id, JobRow.state).where(JobRow.id.in_(job_ids)))
    return {row.id: cast(JobState, row.state) for row in rows}


def numbers_of(session: Session, job_ids: Collection[UUID]) -> dict[UUID, int]:
    """The number of each of the jobs."""
    rows = session.execute(select(JobRow.id, JobRow.number).where(JobRow.id.in_(job_ids)))
    return {row.id: row.number for row in rows}


def designs_named(document: Mapping[str, Any]) -> frozenset[str]:
    """The codes of the designs that a job's items name, whatever else is wrong with the form."""
    return frozenset({_text(entry, "design") for entry in entries_of(document.get("items"))} - {""})


def materials_named(document: Mapping[str, Any]) -> frozenset[str]:
    """The codes of the materials that a job's items name, whatever else is wrong with the form."""
    chosen = [entry.get("materials") for entry in entries_of(document.get("items"))]
    named = {
        one_line(code)
        for held in chosen
        if isinstance(held, Mapping)
        for code in held.values()
        if isinstance(code, str)
    }
    return frozenset(named - {""})


def _locked(session: Session, job_id: UUID) -> JobRow:
    row = session.get(JobRow, job_id, with_for_update=True)
    if row is None:
        raise NotKept("job", job_id)
    return row


def _write(row: JobRow, document: Mapping[str, Any], at: datetime) -> None:
    customer = document.get("customer")
    row.document = dict(document)
    row.title = _text(document, "job")
    row.customer_name = _text(customer, "name") if isinstance(customer, Mapping) else ""
    row.search = words_sought(row.number, document)
    row.due = _day(_text(document, "due"))
    row.updated_at = at


def _text(document: Mapping[str, Any], name: str) -> str:
    held = document.get(name)
    return one_line(held) if isinstance(held, str) else ""


def words_sought(number: int, document: Mapping[str, Any]) -> str:
    """What a job is found by in its own words, its number first."""
    customer = document.get("customer")
    name = _text(customer, "name") if isinstance(customer, Mapping) else ""
    return fold(str(number), _text(document, "job"), name, _text(document, "site"), words_of_job(document))


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _note_what_it_names(session: Session, job_id: UUID, document: Mapping[str, Any]) -> None:
    session.execute(delete(JobDesignRow).where(JobDesignRow.job_id == job_id))
    session.execute(delete(JobMaterialRow).where(JobMaterialRow.job_id == job_id))
    session.add_all(JobDesignRow(job_id=job_id, design_code=code) for code in sorted(designs_named(document)))
    session.add_all(JobMaterialRow(job_id=job_id, material_code=code) for code in sorted(materials_named(document)))
    session.flush()


def _stored(row: JobRow) -> StoredJob:
    return StoredJob(
        row.id, row.number, row.title, row.customer_name, row.customer_id, cast(JobState, row.state), row.document,
        row.version, row.created_at, row.updated_at, row.copied_from,
    )  # fmt: skip
