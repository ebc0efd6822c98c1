"""The tables of earlier jobs: the sheets that were brought along, and the jobs that each told."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any
from uuid import UUID

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from webapp.persistence.foundation.base import Named, Row
from webapp.persistence.foundation.column_types import CanonicalJson, Exact, Money


class EarlierSheetRow(Named, Row):
    """A sheet that was brought along: what it was called, how its columns were pointed at, how many jobs it told."""

    __tablename__ = "earlier_sheets"

    name: Mapped[str]
    layout: Mapped[dict[str, Any]] = mapped_column(CanonicalJson)
    jobs: Mapped[int]
    brought_at: Mapped[datetime]
    brought_by: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))


class EarlierJobRow(Row):
    """A job of such a sheet. `search` holds its words and its sizes in mm."""

    __tablename__ = "earlier_jobs"

    id: Mapped[int] = mapped_column(primary_key=True)
    sheet_id: Mapped[UUID] = mapped_column(ForeignKey("earlier_sheets.id"), index=True)
    number: Mapped[str]
    name: Mapped[str]
    size: Mapped[str]
    customer: Mapped[str]
    day: Mapped[date | None] = mapped_column(index=True)
    told: Mapped[str]
    price: Mapped[Decimal] = mapped_column(Money)
    with_tax: Mapped[bool]
    minutes: Mapped[Fraction | None] = mapped_column(Exact)
    cost: Mapped[Decimal | None] = mapped_column(Money)
    note: Mapped[str]
    search: Mapped[str]
