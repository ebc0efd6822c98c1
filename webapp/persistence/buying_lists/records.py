"""Lists made, read and entered at."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid4

from sqlalchemy import Text, func, select, type_coerce
from sqlalchemy.orm import Session

from webapp.costing.buying_list.entries import Entry, read_said, write_said
from webapp.costing.buying_list.lines import Making, read_making, write_making
from webapp.persistence.buying_lists.tables import BuyingListJobRow, BuyingListRow, ListEntryRow, ListMakingRow
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.counters import next_number
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.foundation.inserting import insert_into
from webapp.persistence.foundation.lists import PAGE_SIZE, Page, turn_to
from webapp.persistence.jobs.records import JobRow
from webapp.persistence.people.users import UserRow


@dataclass(frozen=True, slots=True)
class ListHead:
    """A list as others name it: its number, what it is called, when it was first made, the numbers of its jobs."""

    id: UUID
    number: int
    title: str
    made_at: datetime
    jobs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class StoredList:
    """A list whole: all its makings, the first one first, and all its entries."""

    head: ListHead
    makings: tuple[Making, ...]
    entries: tuple[Entry, ...]


def make_list(
    session: Session, title: str, job_ids: Collection[UUID], making: Making, *, at: datetime, by: UUID | None,
    cut_together: bytes | None = None,
) -> int:  # fmt: skip
    """Keep a new list for these jobs, with how they are cut together, and say its number."""
    row = BuyingListRow(id=uuid4(), number=next_number(session, "buying list"), title=title, made_at=at)
    session.add(row)
    session.flush()
    session.add_all(BuyingListJobRow(list_id=row.id, job_id=one) for one in sorted(set(job_ids)))
    _keep_making(session, row, making, cut_together, at, by)
    return row.number


def make_anew(
    session: Session, number: int, making: Making, *, at: datetime, by: UUID | None, cut_together: bytes | None = None
) -> None:
    """Keep further lines of a list, which stand in place of those before; what was entered stays. Raises NotKept."""
    _keep_making(session, lock_list(session, number), making, cut_together, at, by)


def _keep_making(
    session: Session, row: BuyingListRow, making: Making, cut_together: bytes | None, at: datetime, by: UUID | None
) -> None:
    last = session.scalar(select(func.max(ListMakingRow.number)).where(ListMakingRow.list_id == row.id)) or 0
    document = write_making(making)
    session.add(
        ListMakingRow(
            list_id=row.id, number=last + 1, document=document, made_at=at, made_by=by, cut_together=cut_together
        )
    )
    session.flush()
    details = {"title": row.title, "lines": len(making.lines)}
    record(session, HistoryEntry(at, by, "made anew" if last else "made", "list", str(row.number), details))


def load_list(session: Session, number: int) -> StoredList:
    """A list under its number. Raises NotKept."""
    row = session.scalar(select(BuyingListRow).where(BuyingListRow.number == number))
    if row is None:
        raise NotKept("list", number)
    return _stored(session, row)


def lists_of_job(session: Session, job_id: UUID) -> tuple[StoredList, ...]:
    """The lists that are for a job, the oldest first."""
    of_job = select(BuyingListJobRow.list_id).where(BuyingListJobRow.job_id == job_id)
    rows = session.scalars(select(BuyingListRow).where(BuyingListRow.id.in_(of_job)).order_by(BuyingListRow.number))
    return tuple(_stored(session, row) for row in rows.all())


def jobs_with_lists(session: Session, job_ids: Collection[UUID]) -> set[UUID]:
    """Those of the jobs that any list is for."""
    return set(session.scalars(select(BuyingListJobRow.job_id).where(BuyingListJobRow.job_id.in_(job_ids))))


def cut_together_of(session: Session, number: int) -> bytes | None:
    """How the jobs of a list are cut together, by the last making of it; None where they aren't. Raises NotKept."""
    list_id = session.scalar(select(BuyingListRow.id).where(BuyingListRow.number == number))
    if list_id is None:
        raise NotKept("list", number)
    row = ListMakingRow
    return session.scalar(select(row.cut_together).where(row.list_id == list_id).order_by(row.number.desc()).limit(1))


def is_cut_together(session: Session, number: int) -> bool:
    """Whether the last making of a list says how its jobs are cut together."""
    row = ListMakingRow
    has_cut = select(row.cut_together.is_not(None)).join(BuyingListRow, BuyingListRow.id == row.list_id)
    last = has_cut.where(BuyingListRow.number == number).order_by(row.number.desc()).limit(1)
    return bool(session.scalar(last))


def last_list_of(session: Session, job_id: UUID) -> int | None:
    """The number of the list that was last made for a job, with others or without; None where none was."""
    row = BuyingListRow
    return session.scalar(
        select(func.max(row.number))
        .join(BuyingListJobRow, BuyingListJobRow.list_id == row.id)
        .where(BuyingListJobRow.job_id == job_id)
    )


def last_list_for(session: Session, job_ids: Collection[UUID]) -> int | None:
    """The number of the list that was last made for these jobs and no others; None where none was."""
    wanted = set(job_ids)
    if not wanted:
        return None
    of_one = select(BuyingListJobRow.list_id).where(BuyingListJobRow.job_id == next(iter(wanted)))
    rows = session.execute(
        select(BuyingListRow.number, BuyingListJobRow.job_id)
        .join(BuyingListJobRow, BuyingListJobRow.list_id == BuyingListRow.id)
        .where(BuyingListRow.id.in_(of_one))
    )
    jobs: dict[int, set[UUID]] = {}
    for number, job_id in rows:
        jobs.setdefault(number, set()).add(job_id)
    return max((number for number, held in jobs.items() if held == wanted), default=None)


def page_of_lists(session: Session, number: int = 1, size: int = PAGE_SIZE) -> Page[StoredList]:
    """The lists, the last made first."""
    rows, total = turn_to(session, select(BuyingListRow.number).order_by(BuyingListRow.number.desc()), number, size)
    return Page(tuple(load_list(session, row.number) for row in rows), total, number, size)


def lists_that_say(session: Session, words: str) -> tuple[StoredList, ...]:
    """The lists of which any making says these words, the oldest first; whether it still does is for whoever asks."""
    row = ListMakingRow
    said = select(row.list_id).where(type_coerce(row.document, Text).contains(words, autoescape=True))
    rows = session.scalars(select(BuyingListRow).where(BuyingListRow.id.in_(said)).order_by(BuyingListRow.number))
    return tuple(_stored(session, row) for row in rows.all())


def keep_entry(session: Session, number: int, entry: Entry, *, at: datetime, by: UUID | None) -> StoredList:
    """Keep an entry, unless it is kept already, and give the list with it; others wait meanwhile. Raises NotKept."""
    row = lock_list(session, number)
    document: dict[str, Any] = {
        "said": write_said(entry.said), "replaces": sorted(entry.replaces), "day": entry.day.isoformat(),
        "told_at": entry.told_at, **({"making": entry.making} if entry.making else {}),
    }  # fmt: skip
    kept = insert_into(session, ListEntryRow).values(
        id=UUID(entry.id), list_id=row.id, line=entry.line, counter=entry.counter, document=document, received_at=at,
        user_id=by,
    )  # fmt: skip
    session.execute(kept.on_conflict_do_nothing())
    return _stored(session, row)


def lock_list(session: Session, number: int) -> BuyingListRow:
    """The row of a list, which nobody else enters at until this is kept. Raises NotKept."""
    row = session.scalar(select(BuyingListRow).where(BuyingListRow.number == number).with_for_update())
    if row is None:
        raise NotKept("list", number)
    return row


def _stored(session: Session, row: BuyingListRow) -> StoredList:
    jobs = session.scalars(
        select(JobRow.number)
        .join(BuyingListJobRow, BuyingListJobRow.job_id == JobRow.id)
        .where(BuyingListJobRow.list_id == row.id)
        .order_by(JobRow.number)
    )
    makings = session.scalars(
        select(ListMakingRow).where(ListMakingRow.list_id == row.id).order_by(ListMakingRow.number)
    )
    entries = session.execute(
        select(ListEntryRow.id, ListEntryRow.line, ListEntryRow.counter, ListEntryRow.document, UserRow.name)
        .outerjoin(UserRow, ListEntryRow.user_id == UserRow.id)
        .where(ListEntryRow.list_id == row.id)
        .order_by(ListEntryRow.counter, ListEntryRow.id)
    )
    return StoredList(
        ListHead(row.id, row.number, row.title, row.made_at, tuple(jobs)),
        tuple(read_making(one.number, one.document) for one in makings),
        tuple(_entry(*one) for one in entries),
    )


def _entry(entry_id: UUID, line: str, counter: int, document: dict[str, Any], by: str | None) -> Entry:
    return Entry(
        str(entry_id), line, counter, frozenset(document["replaces"]), read_said(document["said"]),
        date.fromisoformat(document["day"]), document["told_at"], by or "", document.get("making", 0),
    )  # fmt: skip
