"""A count kept: everything that was counted in one go, and what it found otherwise, to be read again."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.costing.buying.counting import CountedThing
from webapp.costing.buying.stock import of_parts
from webapp.persistence.catalogue.rack_tables import OffcutMoveRow
from webapp.persistence.catalogue.records import MaterialRow
from webapp.persistence.catalogue.stock_tables import StockMoveRow
from webapp.persistence.rack.records import load_offcut, move_offcut
from webapp.persistence.rack.stock import move_stock

#: What a count writes beside each thing, so that the count is found again.
BY_A_COUNT = "counted on a walk"


@dataclass(frozen=True, slots=True)
class ToKeep:
    """One thing as it was counted, and the version of it that the count sheet showed."""

    key: str
    found: Fraction
    version: int


def keep_count(
    session: Session, rack: Collection[ToKeep], stock: Collection[ToKeep], *, at: datetime, by: UUID | None
) -> None:
    """Keep all that was counted, or nothing. Raises StaleSave where something was moved since the sheet was made, and
    NotKept."""
    # In the order of their keys, so that two who keep a count wait for each other and not in a ring.
    for one in sorted(rack, key=lambda each: UUID(each.key)):
        move_offcut(session, UUID(one.key), "counted", int(one.found), one.version, at=at, by=by, note=BY_A_COUNT)
    for one in sorted(stock, key=lambda each: each.key):
        move_stock(session, one.key, "counted", one.found, version=one.version, at=at, by=by, note=BY_A_COUNT)


def counted_at(session: Session, at: datetime) -> tuple[CountedThing, ...]:
    """What was counted at one moment, whether it differed or not."""
    offcuts = select(OffcutMoveRow.offcut_id, OffcutMoveRow.moved, OffcutMoveRow.remaining).where(
        OffcutMoveRow.at == at, OffcutMoveRow.note == BY_A_COUNT
    )
    found = []
    for key, moved, remaining in session.execute(offcuts.order_by(OffcutMoveRow.id)).all():
        offcut = load_offcut(session, key).offcut
        found.append(
            CountedThing(str(key), offcut.material, Fraction(remaining - moved), Fraction(remaining), offcut)
        )  # fmt: skip
    stock = (
        select(MaterialRow.code, StockMoveRow.moved, StockMoveRow.remaining)
        .join(MaterialRow, MaterialRow.id == StockMoveRow.material_id)
        .where(StockMoveRow.at == at, StockMoveRow.note == BY_A_COUNT).order_by(StockMoveRow.id)
    )  # fmt: skip
    for code, moved, remaining in session.execute(stock):
        found.append(CountedThing(code, code, of_parts(remaining - moved), of_parts(remaining)))
    return tuple(found)
