"""The tables of the rack: what stands on it, who holds a piece of it, every change of it, and which jobs were cut."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, false
from sqlalchemy.orm import Mapped, mapped_column

from webapp.persistence.foundation.base import Named, Row, Versioned
from webapp.persistence.foundation.column_types import CanonicalJson


class OffcutRow(Named, Versioned, Row):
    """So many equal offcuts of a material, lengths in nm; a length has a width of 0.

    `search` holds its place and note as they are looked for.
    """

    __tablename__ = "offcuts"
    __table_args__ = (CheckConstraint("count >= 0", name="count"),)

    material_id: Mapped[int] = mapped_column(ForeignKey("materials.id"), index=True)
    length: Mapped[int] = mapped_column(BigInteger)
    width: Mapped[int] = mapped_column(BigInteger)
    count: Mapped[int]
    place: Mapped[str]
    whole: Mapped[bool] = mapped_column(server_default=false())
    note: Mapped[str]
    search: Mapped[str]
    put_at: Mapped[datetime] = mapped_column(index=True)


class OffcutMoveRow(Row):
    """One change of what stands on the rack; a trigger keeps it from ever being changed or taken out."""

    __tablename__ = "offcut_moves"

    id: Mapped[int] = mapped_column(primary_key=True)
    offcut_id: Mapped[UUID] = mapped_column(ForeignKey("offcuts.id"), index=True)
    at: Mapped[datetime]
    user_id: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))
    what: Mapped[str]
    moved: Mapped[int]
    remaining: Mapped[int]
    job_number: Mapped[int | None]
    note: Mapped[str]


class OffcutHoldRow(Row):
    """A job holds one of so many equal offcuts, the first of them being 1; the key lets no second job hold it.

    Without a quote it was taken for the job by hand.
    """

    __tablename__ = "offcut_holds"
    __table_args__ = (CheckConstraint("piece >= 1", name="piece"),)

    offcut_id: Mapped[UUID] = mapped_column(ForeignKey("offcuts.id"), primary_key=True)
    piece: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    job_id: Mapped[UUID] = mapped_column(ForeignKey("jobs.id"), index=True)
    quote_id: Mapped[UUID | None] = mapped_column(ForeignKey("quotes.id"))
    held_at: Mapped[datetime]
    held_by: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))


class JobCutRow(Row):
    """That a job was cut, as often as somebody said so; what was moved by that stands with the offcuts."""

    __tablename__ = "job_cuts"

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[UUID] = mapped_column(ForeignKey("jobs.id"), index=True)
    at: Mapped[datetime]
    user_id: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))


class StickerSheetRow(Row):
    """The sheet of stickers that the shop printed labels on last: one row."""

    __tablename__ = "sticker_sheets"

    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    document: Mapped[dict[str, Any]] = mapped_column(CanonicalJson)
