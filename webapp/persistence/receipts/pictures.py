"""Photographs of receipts, kept in the store, so that backups hold them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final
from uuid import UUID, uuid4

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.errors import NotKept, StoreError
from webapp.persistence.receipts.tables import ReceiptPictureRow, ReceiptRow

#: A long receipt takes a few.
MOST: Final = 6


class TooManyPictures(StoreError):
    """A receipt has as many photographs as it may."""

    def __init__(self) -> None:
        super().__init__(f"{MOST} photographs are kept with this receipt, which is the most. Remove one first.")


@dataclass(frozen=True, slots=True)
class ReceiptPicture:
    """A photograph as it is kept, without its bytes."""

    id: UUID
    kind: str
    wide: int
    tall: int


def pictures_of(session: Session, number: int) -> tuple[ReceiptPicture, ...]:
    """The photographs of a receipt, in the order in which they came."""
    row = ReceiptPictureRow
    rows = session.execute(
        select(row.id, row.kind, row.wide, row.tall)
        .join(ReceiptRow, ReceiptRow.id == row.receipt_id)
        .where(ReceiptRow.number == number)
        .order_by(row.added_at, row.id)
    )
    return tuple(ReceiptPicture(*one) for one in rows)


def keep_picture(
    session: Session, number: int, picture: tuple[str, bytes, int, int], *, at: datetime, by: UUID | None
) -> None:
    """Keep a photograph, its kind, bytes and sides, with a receipt. Raises TooManyPictures and NotKept."""
    receipt_id = session.scalar(select(ReceiptRow.id).where(ReceiptRow.number == number).with_for_update())
    if receipt_id is None:
        raise NotKept("receipt", number)
    row = ReceiptPictureRow
    there = session.scalar(select(func.count()).select_from(row).where(row.receipt_id == receipt_id))
    if (there or 0) >= MOST:
        raise TooManyPictures
    kind, content, wide, tall = picture
    session.add(
        row(id=uuid4(), receipt_id=receipt_id, kind=kind, wide=wide, tall=tall, content=content, added_at=at,
            added_by=by)
    )  # fmt: skip
    record(session, HistoryEntry(at, by, "photographed", "receipt", str(number), {}))


def load_picture(session: Session, number: int, picture_id: UUID) -> tuple[str, bytes]:
    """The kind and the bytes of a photograph. Raises NotKept, also for one of another receipt."""
    row = _find(session, number, picture_id)
    return row.kind, row.content


def remove_picture(session: Session, number: int, picture_id: UUID, *, at: datetime, by: UUID | None) -> None:
    """Take a photograph away. Raises NotKept."""
    session.delete(_find(session, number, picture_id))
    record(session, HistoryEntry(at, by, "removed a photograph of", "receipt", str(number), {}))


def _find(session: Session, number: int, picture_id: UUID) -> ReceiptPictureRow:
    row = ReceiptPictureRow
    found = session.scalar(
        select(row)
        .join(ReceiptRow, ReceiptRow.id == row.receipt_id)
        .where(ReceiptRow.number == number, row.id == picture_id)
    )
    if found is None:
        raise NotKept("photograph of this receipt", picture_id)
    return found
