"""The tables of lists: each with its makings, the jobs it is for, its entries, and the prices that follow from them."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from webapp.persistence.foundation.base import Named, Row
from webapp.persistence.foundation.column_types import CanonicalJson


class BuyingListRow(Named, Row):
    """A list under its number."""

    __tablename__ = "buying_lists"

    number: Mapped[int] = mapped_column(unique=True)
    title: Mapped[str]
    made_at: Mapped[datetime] = mapped_column(index=True)


class BuyingListJobRow(Row):
    """A job that a list is for."""

    __tablename__ = "buying_list_jobs"

    list_id: Mapped[UUID] = mapped_column(ForeignKey("buying_lists.id"), primary_key=True)
    job_id: Mapped[UUID] = mapped_column(ForeignKey("jobs.id"), primary_key=True, index=True)


class ListMakingRow(Row):
    """The lines of a list as they were made at one time, and how its jobs' parts are cut together where they are; a
    trigger keeps them from ever being changed."""

    __tablename__ = "buying_list_makings"

    list_id: Mapped[UUID] = mapped_column(ForeignKey("buying_lists.id"), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True)
    document: Mapped[dict[str, Any]] = mapped_column(CanonicalJson)
    made_at: Mapped[datetime]
    made_by: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))
    # Large, and wanted by few who read a list.
    cut_together: Mapped[bytes | None] = mapped_column(deferred=True)


class ListEntryRow(Named, Row):
    """What was entered at a line, under the id it was given where it was made; a trigger keeps it as it came."""

    __tablename__ = "buying_list_entries"

    list_id: Mapped[UUID] = mapped_column(ForeignKey("buying_lists.id"), index=True)
    line: Mapped[str]
    counter: Mapped[int]
    document: Mapped[dict[str, Any]] = mapped_column(CanonicalJson)
    received_at: Mapped[datetime]
    user_id: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))


class ListPriceRow(Row):
    """Which entry of which line a price seen follows from."""

    __tablename__ = "buying_list_prices"

    price_id: Mapped[int] = mapped_column(ForeignKey("price_observations.id"), primary_key=True, autoincrement=False)
    list_id: Mapped[UUID] = mapped_column(ForeignKey("buying_lists.id"), index=True)
    line: Mapped[str]
    entry_id: Mapped[UUID] = mapped_column(ForeignKey("buying_list_entries.id"))
