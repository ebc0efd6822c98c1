"""The tables of receipts: each with the jobs and lists that it names, its photographs, and the prices it tells."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import ForeignKey, LargeBinary
from sqlalchemy.orm import Mapped, mapped_column

from webapp.persistence.foundation.base import Named, Row, Versioned
from webapp.persistence.foundation.column_types import CanonicalJson, Money


class ReceiptRow(Named, Versioned, Row):
    """A receipt under the shop's own number."""

    __tablename__ = "receipts"

    number: Mapped[int] = mapped_column(unique=True)
    supplier: Mapped[str]
    day: Mapped[date] = mapped_column(index=True)
    total: Mapped[Decimal] = mapped_column(Money)
    returns: Mapped[int | None] = mapped_column(index=True)
    document: Mapped[dict[str, Any]] = mapped_column(CanonicalJson)
    made_at: Mapped[datetime]
    made_by: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))


class ReceiptJobRow(Row):
    """A job that a receipt's own lines are for."""

    __tablename__ = "receipt_jobs"

    receipt_id: Mapped[UUID] = mapped_column(ForeignKey("receipts.id"), primary_key=True)
    job_id: Mapped[UUID] = mapped_column(ForeignKey("jobs.id"), primary_key=True, index=True)


class ReceiptListRow(Row):
    """A line of a list that stands on a receipt: on one at most, or its money would be counted twice."""

    __tablename__ = "receipt_list_lines"

    list_id: Mapped[UUID] = mapped_column(ForeignKey("buying_lists.id"), primary_key=True)
    line: Mapped[str] = mapped_column(primary_key=True)
    receipt_id: Mapped[UUID] = mapped_column(ForeignKey("receipts.id"), index=True)


class ReceiptPictureRow(Named, Row):
    """A photograph of a receipt, drawn anew."""

    __tablename__ = "receipt_pictures"

    receipt_id: Mapped[UUID] = mapped_column(ForeignKey("receipts.id"), index=True)
    kind: Mapped[str]
    wide: Mapped[int]
    tall: Mapped[int]
    content: Mapped[bytes] = mapped_column(LargeBinary)
    added_at: Mapped[datetime]
    added_by: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))


class ReceiptPriceRow(Row):
    """Which line of which receipt a price seen follows from."""

    __tablename__ = "receipt_prices"

    price_id: Mapped[int] = mapped_column(ForeignKey("price_observations.id"), primary_key=True, autoincrement=False)
    receipt_id: Mapped[UUID] = mapped_column(ForeignKey("receipts.id"), index=True)
