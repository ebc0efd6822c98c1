"""What the shop keeps by the unit, as kept: a level that follows from its moves, never below nothing."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction
from typing import Final, Literal
from uuid import UUID

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.costing.buying.stock import StockOnHand, in_parts, may_be_stock, of_parts
from webapp.persistence.catalogue.records import MaterialRow, load_material
from webapp.persistence.catalogue.stock_tables import StockMoveRow, StockRow
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.errors import NotKept, StaleSave, StoreError
from webapp.persistence.people.users import UserRow

StockMove = Literal["bought", "used", "returned", "counted"]

#: What a level is raised by where nobody counted: it can't fall below nothing.
MORE_USED_THAN_KNOWN: Final = "more was used than was known of"
MORE_USED_THAN_BOUGHT: Final = "less was bought than was used"


class StockShort(StoreError):
    """More was to be taken than is there."""

    def __init__(self, name: str) -> None:
        super().__init__(f"So much of {name} can't be taken: there is less of it. Count it first.")


@dataclass(frozen=True, slots=True)
class StockMoved:
    """One change of how much there is: who did what when, by how much, and how much was left."""

    at: datetime
    by: str
    what: str
    moved: Fraction
    remaining: Fraction
    job_number: int | None
    note: str


def stock_of(session: Session, codes: Collection[str] | None = None) -> dict[str, StockOnHand]:
    """What the shop keeps by the unit of these materials, or of all, by code."""
    row = StockRow
    wanted = select(MaterialRow.code, row.amount, row.least, row.place, row.version).join(
        MaterialRow, row.material_id == MaterialRow.id
    )
    if codes is not None:
        wanted = wanted.where(MaterialRow.code.in_(codes))
    return {
        code: StockOnHand(code, of_parts(amount), None if least is None else of_parts(least), place, version)
        for code, amount, least, place, version in session.execute(wanted.order_by(MaterialRow.name_key))
    }


def keep_in_stock(
    session: Session, stock: StockOnHand, *, at: datetime, by: UUID | None = None
) -> StockOnHand:  # fmt: skip
    """Begin to keep a material by the unit, with so much of it counted. Raises NotKept, StaleSave where somebody did,
    and StoreError for one that no opened pack is kept of."""
    material = load_material(session, stock.material).material
    if not may_be_stock(material):
        raise StoreError(f"{material.name} is cut, or work: whole pieces of it stand on the rack.")
    key = _key(session, stock.material)
    held = session.get(StockRow, key, with_for_update=True)
    if held is not None:
        raise StaleSave("stock", stock_of(session, [stock.material])[stock.material], stock)
    amount = in_parts(stock.amount)
    least = None if stock.least is None else in_parts(stock.least)
    session.add(StockRow(material_id=key, amount=amount, least=least, place=stock.place, version=1))
    session.flush()
    _note(session, key, "counted", amount, amount, at, by, None, "", "")
    details = {"name": material.name, "amount": str(stock.amount), "least": str(stock.least or "")}
    record(session, HistoryEntry(at, by, "kept in stock", "stock", stock.material, details))
    return replace(stock, amount=of_parts(amount), version=1)


def edit_stock(
    session: Session, stock: StockOnHand, *, at: datetime, by: UUID | None = None
) -> None:  # fmt: skip
    """Keep another least or place; how much there is is only moved. Raises NotKept, StaleSave."""
    row = _held(session, stock.material, stock.version)
    row.least, row.place = None if stock.least is None else in_parts(stock.least), stock.place
    row.version = stock.version + 1
    session.flush()
    details = {"least": str(stock.least or ""), "place": stock.place}
    record(session, HistoryEntry(at, by, "edited", "stock", stock.material, details))


def move_stock(
    session: Session, code: str, what: StockMove, number: Fraction, *, at: datetime, by: UUID | None = None,
    version: int | None = None, job: int | None = None, note: str = "", whatever: bool = False,
) -> Fraction:  # fmt: skip
    """Take so much, put so much there, or say how much was counted; how much there is then.

    What a job used is true, `whatever` was known of: then what was not is written down first as found. Raises NotKept,
    StaleSave where it was changed since `version` was read, and StockShort.
    """
    row, parts = _held(session, code, version), in_parts(number)
    if what == "used" and parts > row.amount:
        if not whatever:
            raise StockShort(load_material(session, code).material.name)
        _move(session, row, code, "counted", parts - row.amount, at, by, None, MORE_USED_THAN_KNOWN, "")
    moved = {"used": -parts, "counted": parts - row.amount}.get(what, parts)
    _move(session, row, code, what, moved, at, by, job, note, "")
    return of_parts(row.amount)


def bought_by(
    session: Session, code: str, whence: str, brought: Mapping[str, Fraction], *, at: datetime, by: UUID | None,
    made_at: datetime | None = None, note: str = "",
) -> None:  # fmt: skip
    """Let each of these sources, lines of the list or receipt `whence`, have brought so much, whatever it said before.

    All of them count at once, so that what only moved from line to line changes nothing. Where less was brought than
    was used since, what is missing is written down as found, since no level falls below nothing; what is brought later
    from there pays that back, unless somebody counted in between. Nothing of what isn't kept, or was `made_at` a time
    before it was: its first count has that already.
    """
    row = session.get(StockRow, _key(session, code), with_for_update=True, populate_existing=True)
    if row is None:
        return
    begun = session.scalar(select(func.min(StockMoveRow.at)).where(StockMoveRow.material_id == row.material_id))
    if begun is not None and made_at is not None and begun > made_at:
        return
    said = select(StockMoveRow.source, func.sum(StockMoveRow.moved)).where(
        StockMoveRow.material_id == row.material_id, StockMoveRow.source.in_(brought)
    )
    before = {source: int(moved) for source, moved in session.execute(said.group_by(StockMoveRow.source))}
    changes = {source: in_parts(number) - before.get(source, 0) for source, number in brought.items()}
    more = sum(changes.values())
    if more < -row.amount:
        _move(session, row, code, "counted", -more - row.amount, at, by, None, MORE_USED_THAN_BOUGHT, whence)
    # What comes goes first, so that the level falls below nothing at no moment.
    for source, moved in sorted(changes.items(), key=lambda one: (-one[1], one[0])):
        if moved:
            _move(session, row, code, "bought", moved, at, by, None, note, source)
    back = min(more, _found_for(session, row.material_id, whence)) if more > 0 else 0
    if back > 0:
        _move(session, row, code, "counted", -back, at, by, None, "what was found was bought", whence)


def _found_for(session: Session, key: int, whence: str) -> int:
    """How much was written down as found because a list or receipt brought less than was used, since the last count."""
    row = StockMoveRow
    counted = select(func.coalesce(func.max(row.id), 0)).where(
        row.material_id == key, row.what == "counted", row.source == "", row.note != MORE_USED_THAN_KNOWN
    )
    found = select(func.coalesce(func.sum(row.moved), 0)).where(
        row.material_id == key, row.what == "counted", row.source == whence, row.id > counted.scalar_subquery()
    )
    return int(session.scalar(found) or 0)


def sources_of(session: Session, beginning: str) -> frozenset[tuple[str, str]]:
    """The materials that lines of a list or receipt brought, each with its source, by how those begin."""
    rows = session.execute(
        select(MaterialRow.code, StockMoveRow.source)
        .join(MaterialRow, MaterialRow.id == StockMoveRow.material_id)
        .where(StockMoveRow.source.startswith(beginning, autoescape=True))
    )
    return frozenset((code, source) for code, source in rows)


def brought_from(session: Session, code: str, beginning: str) -> Fraction:
    """How much of a material the lines of a list or receipt brought, by how their sources begin."""
    row = StockMoveRow
    moved = session.scalar(
        select(func.sum(row.moved)).where(
            row.material_id == _key(session, code), row.source.startswith(beginning, autoescape=True)
        )
    )
    return of_parts(int(moved or 0))


def moves_of_stock(session: Session, code: str) -> tuple[StockMoved, ...]:
    """Everything that ever changed how much there is of a material, the last first."""
    row = StockMoveRow
    rows = session.execute(
        select(row.at, UserRow.name, row.what, row.moved, row.remaining, row.job_number, row.note)
        .join(UserRow, row.user_id == UserRow.id, isouter=True)
        .where(row.material_id == _key(session, code)).order_by(row.id.desc())
    )  # fmt: skip
    return tuple(
        StockMoved(at, name or "", what, of_parts(moved), of_parts(remaining), job, note)
        for at, name, what, moved, remaining, job, note in rows
    )


def _key(session: Session, code: str) -> int:
    key = session.scalar(select(MaterialRow.id).where(MaterialRow.code == code))
    if key is None:
        raise NotKept("material", code)
    return key


def _held(session: Session, code: str, version: int | None) -> StockRow:
    row = session.get(StockRow, _key(session, code), with_for_update=True, populate_existing=True)
    if row is None:
        raise NotKept("stock", code)
    if version is not None and row.version != version:
        raise StaleSave("stock", row.version, version)
    return row


def _move(
    session: Session, row: StockRow, code: str, what: StockMove, moved: int, at: datetime, by: UUID | None,
    job: int | None, note: str, source: str,
) -> None:  # fmt: skip
    row.amount, row.version = row.amount + moved, row.version + 1
    session.flush()
    _note(session, row.material_id, what, moved, row.amount, at, by, job, note, source)
    details = {"moved": str(of_parts(moved)), "in stock": str(of_parts(row.amount)), "job": job, "note": note}
    record(session, HistoryEntry(at, by, what, "stock", code, details))


def _note(
    session: Session, key: int, what: StockMove, moved: int, remaining: int, at: datetime, by: UUID | None,
    job: int | None, note: str, source: str,
) -> None:  # fmt: skip
    session.add(
        StockMoveRow(
            material_id=key, at=at, user_id=by, what=what, moved=moved, remaining=remaining, job_number=job, note=note,
            source=source,
        )
    )  # fmt: skip
    session.flush()
