"""The tables of what the shop keeps by the unit, opened boxes and tins: how much there is, and every change of it."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from webapp.persistence.foundation.base import Row, Versioned


class StockRow(Versioned, Row):
    """So much of a material, in thousandths of the unit it is needed in; the store itself lets it fall no lower than
    nothing. Below `least` it is to be bought again; None where nobody said."""

    __tablename__ = "stock"
    __table_args__ = (CheckConstraint("amount >= 0", name="amount"), CheckConstraint("least > 0", name="least"))

    material_id: Mapped[int] = mapped_column(ForeignKey("materials.id"), primary_key=True, autoincrement=False)
    amount: Mapped[int] = mapped_column(BigInteger)
    least: Mapped[int | None] = mapped_column(BigInteger)
    place: Mapped[str]


class StockMoveRow(Row):
    """One change of it, in thousandths; a trigger keeps it from ever being changed or taken out. `source` names the
    line of a list or receipt that it follows from."""

    __tablename__ = "stock_moves"
    __table_args__ = (Index(None, "material_id", "source"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    material_id: Mapped[int] = mapped_column(ForeignKey("stock.material_id"))
    at: Mapped[datetime]
    user_id: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))
    what: Mapped[str]
    moved: Mapped[int] = mapped_column(BigInteger)
    remaining: Mapped[int] = mapped_column(BigInteger)
    job_number: Mapped[int | None]
    note: Mapped[str]
    source: Mapped[str]
