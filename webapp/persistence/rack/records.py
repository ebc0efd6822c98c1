"""The rack as kept: what stands on it, who put it there and took it, and never more taken than there is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final
from uuid import UUID

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import ON_THE_RACK, Kind
from webapp.costing.catalogue.materials import Offcut
from webapp.persistence.catalogue.rack_tables import OffcutMoveRow, OffcutRow
from webapp.persistence.catalogue.records import MaterialRow
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.errors import NotKept, StaleSave, StoreError
from webapp.persistence.foundation.lists import PAGE_SIZE, AnyRow, AnySelect, Page, fold, holds_words, turn_to
from webapp.persistence.people.users import UserRow
from webapp.persistence.rack.holds import Move, fit_to_count, lose_to_change, note_lost, note_move, use_up

#: Why a job lost a piece, where it was by no other job.
MOVED: Final = {"taken": "taken for no job", "counted": "fewer were counted", "gone": "all are gone"}


class RackShort(StoreError):
    """More was to be taken than stands on the rack."""

    def __init__(self, name: str, wanted: int, there: int) -> None:
        there_are = "none is" if there == 0 else "only 1 is" if there == 1 else f"only {there} are"
        super().__init__(f"{wanted} of {name} can't be taken: {there_are} on the rack.")
        self.there = there


@dataclass(frozen=True, slots=True)
class StoredOffcut:
    """An offcut with the name of its material, a note, when it was put there, and the version that a save names."""

    offcut: Offcut
    material_name: str
    kind: Kind
    note: str
    put_at: datetime
    version: int


@dataclass(frozen=True, slots=True)
class Moved:
    """One change of an offcut's count: who did what when, how many by it, and how many were left."""

    at: datetime
    by: str
    what: str
    moved: int
    remaining: int
    job_number: int | None
    note: str


def find_offcuts(
    session: Session, words: str = "", *, material: str = "", gone: bool = False, number: int = 1, size: int = PAGE_SIZE
) -> Page[StoredOffcut]:
    """What stands on the rack and holds all the words, by material, the newest of each first; `gone` finds what stood
    there once."""
    row = OffcutRow
    told = (
        or_(*pair) for pair in zip(holds_words(row.search, words), holds_words(MaterialRow.search, words), strict=True)
    )
    wanted = _columns().where(*told, row.count == 0 if gone else row.count > 0)
    if material:
        wanted = wanted.where(MaterialRow.code == material)
    rows, total = turn_to(session, wanted.order_by(MaterialRow.name_key, row.put_at.desc(), row.id), number, size)
    return Page(tuple(map(_stored, rows)), total, number, size)


def load_offcut(session: Session, offcut_id: UUID) -> StoredOffcut:
    """One offcut. Raises NotKept."""
    row = session.execute(_columns().where(OffcutRow.id == offcut_id)).one_or_none()
    if row is None:
        raise NotKept("offcut", offcut_id)
    return _stored(row)


def moves_of(session: Session, offcut_id: UUID) -> tuple[Moved, ...]:
    """Everything that was ever done to an offcut's count, the last first."""
    row = OffcutMoveRow
    rows = session.execute(
        select(row.at, UserRow.name, row.what, row.moved, row.remaining, row.job_number, row.note)
        .join(UserRow, row.user_id == UserRow.id, isouter=True)
        .where(row.offcut_id == offcut_id)
        .order_by(row.id.desc())
    )
    return tuple(
        Moved(at, name or "", what, moved, remaining, job, note) for at, name, what, moved, remaining, job, note in rows
    )


def moved_for_job(session: Session, job_number: int) -> tuple[tuple[str, int], ...]:
    """What was done for a job, and how many it was of: put on the rack, taken from it."""
    row = OffcutMoveRow
    moved = select(row.what, row.moved).where(row.job_number == job_number, row.moved != 0)
    rows = session.execute(moved.order_by(row.id))
    return tuple((what, abs(moved)) for what, moved in rows)


def put_on_rack(
    session: Session, offcut: Offcut, note: str, *, at: datetime, by: UUID | None = None, job: int | None = None
) -> StoredOffcut:
    """Put a new offcut on the rack; its id is a UUID made by the caller. Raises NotKept for its material, StoreError
    for one of a kind that is not cut."""
    material = session.execute(
        select(MaterialRow.id, MaterialRow.name, MaterialRow.kind).where(MaterialRow.code == offcut.material)
    ).one_or_none()
    if material is None:
        raise NotKept("material", offcut.material)
    if Kind(material.kind) not in ON_THE_RACK:
        raise StoreError(f"{material.name} is neither a sheet nor a length: the rack holds what is cut.")
    row = OffcutRow(id=UUID(offcut.id), material_id=material.id, count=offcut.count, put_at=at, version=1)
    _write(row, offcut, note)
    session.add(row)
    session.flush()
    note_move(session, row.id, "put", offcut.count, offcut.count, at, by, job, "")
    details = {"name": material.name, "count": offcut.count, "place": offcut.place, "job": job}
    record(session, HistoryEntry(at, by, "put on the rack", "offcut", offcut.id, details))
    return load_offcut(session, row.id)


def edit_offcut(
    session: Session, offcut: Offcut, note: str, version: int, *, at: datetime, by: UUID | None = None
) -> StoredOffcut:
    """Keep another size, place or note of an offcut; how many there are is only moved. Jobs that count on it as it was
    lose it where it is another piece by that. Raises NotKept, StaleSave."""
    row, stored = _held(session, UUID(offcut.id), version)
    _write(row, offcut, note)
    row.version = version + 1
    session.flush()
    if not offcut.is_alike(stored.offcut):
        lose_to_change(session, row, "it has another size by now", at, by)
    details = {"name": stored.material_name, "place": offcut.place, "version": version + 1}
    record(session, HistoryEntry(at, by, "edited", "offcut", offcut.id, details))
    return load_offcut(session, row.id)


def move_offcut(
    session: Session, offcut_id: UUID, what: Move, number: int, version: int, *, at: datetime, by: UUID | None = None,
    job: int | None = None, note: str = "", whatever: bool = False,
) -> StoredOffcut:  # fmt: skip
    """Take so many from the rack, return so many, say how many were counted, or that all are gone.

    What a job holds is used first where pieces are taken for it; with `whatever` what others hold is taken as well,
    since it was cut. Raises NotKept, RackShort where more is taken than there is, HeldByOthers where more is taken than
    is free, and StaleSave where somebody changed it since `version` was read.
    """
    row, stored = _held(session, offcut_id, version)
    after = {"taken": row.count - number, "returned": row.count + number, "counted": number, "gone": 0}[what]
    if after < 0:
        raise RackShort(stored.material_name, number, row.count)
    lost = use_up(session, row, number, job, whatever=whatever) if what == "taken" else []
    moved = after - row.count
    row.count, row.version = after, version + 1
    session.flush()
    lost += fit_to_count(session, row)
    note_move(session, offcut_id, what, moved, after, at, by, job, note)
    why = f"cut for job {job}" if what == "taken" and job else MOVED.get(what, "")
    note_lost(session, row, lost, why, at, by)
    details = {"name": stored.material_name, "moved": moved, "on the rack": after, "job": job, "note": note}
    record(session, HistoryEntry(at, by, what, "offcut", str(offcut_id), details))
    return load_offcut(session, offcut_id)


def _held(session: Session, offcut_id: UUID, version: int) -> tuple[OffcutRow, StoredOffcut]:
    row = session.get(OffcutRow, offcut_id, with_for_update=True, populate_existing=True)
    if row is None:
        raise NotKept("offcut", offcut_id)
    stored = load_offcut(session, offcut_id)
    if row.version != version:
        raise StaleSave("offcut", stored, replace(stored, version=version))
    return row, stored


def _write(row: OffcutRow, offcut: Offcut, note: str) -> None:
    row.length, row.width, row.place, row.note = offcut.length, offcut.width, offcut.place, note
    row.whole = offcut.whole
    row.search = fold(offcut.place, note)


def _columns() -> AnySelect:
    row = OffcutRow
    return select(
        row.id, MaterialRow.code, MaterialRow.name, MaterialRow.kind, row.length, row.width, row.count, row.place,
        row.whole, row.note, row.put_at, row.version,
    ).join(MaterialRow, row.material_id == MaterialRow.id)  # fmt: skip


def _stored(row: AnyRow) -> StoredOffcut:
    key, code, name, kind, length, width, count, place, whole, note, put_at, version = row
    offcut = Offcut(str(key), code, length, width, count, place, whole)
    return StoredOffcut(offcut, name, Kind(kind), note, put_at, version)
