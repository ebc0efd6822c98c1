"""Numbers people read out to each other: jobs and quotes are counted in rows of their own."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.inserting import insert_into


class CounterRow(Row):
    """The last number given out under a name."""

    __tablename__ = "counters"

    name: Mapped[str] = mapped_column(primary_key=True)
    last: Mapped[int]


def next_number(session: Session, name: str) -> int:
    """Take the next number of a counter, from 1. An undone transaction gives its number back."""
    statement = (
        insert_into(session, CounterRow)
        .values(name=name, last=1)
        .on_conflict_do_update(index_elements=[CounterRow.name], set_={"last": CounterRow.last + 1})
        .returning(CounterRow.last)
    )
    return session.execute(statement).scalar_one()


def last_number(session: Session, name: str) -> int:
    """The last number given out, or 0."""
    return session.scalar(select(CounterRow.last).where(CounterRow.name == name)) or 0
