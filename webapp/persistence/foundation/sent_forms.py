"""Forms that were sent and done, so that the same form sent twice, by a double press, does nothing twice."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.clearing import A_TURN, clear_some
from webapp.persistence.foundation.errors import StoreError
from webapp.persistence.foundation.inserting import insert_into

#: A form that lies open for longer is sent again knowingly.
REMEMBERED: Final = timedelta(days=2)


class SentFormRow(Row):
    """A form that was done, under the digest of its own key and of all that was typed, and where its answer led."""

    __tablename__ = "sent_forms"

    key: Mapped[str] = mapped_column(primary_key=True)
    leads_to: Mapped[str]
    sent_at: Mapped[datetime] = mapped_column(index=True)


class SentBefore(StoreError):
    """The very same form was done before; nothing is done twice, and the answer leads to where the first one did."""

    def __init__(self, leads_to: str) -> None:
        super().__init__("This form was sent before and done then. Nothing was done twice.")
        self.leads_to = leads_to


@dataclass(slots=True)
class Sent:
    """A form that is being done, and where its answer leads; to nowhere where something stood against it."""

    leads_to: str = ""


@contextmanager
def once(session: Session, key: str | None, *, at: datetime) -> Iterator[Sent]:
    """Do a form within the transaction that does it, unless it was done before. Raises SentBefore.

    Where the same form is being done right now, this waits for that to end, well or not. One that leads nowhere may be
    sent again; one without a key is always done.
    """
    sent = Sent()
    if key is None:
        yield sent
        return
    row = SentFormRow
    made = (
        insert_into(session, row).values(key=key, leads_to="", sent_at=at).on_conflict_do_nothing().returning(row.key)
    )
    if session.execute(made).first() is None:
        refuse_done(session, key)
    yield sent
    if sent.leads_to:
        session.execute(update(row).where(row.key == key).values(leads_to=sent.leads_to))
    else:
        session.execute(delete(row).where(row.key == key))
    forget_sent_forms(session, at)


def forget_sent_forms(session: Session, at: datetime, most: int = A_TURN) -> int:
    """Forget some of the forms that were sent too long ago to be sent again by mistake, and say how many."""
    return clear_some(session, SentFormRow.key, SentFormRow.sent_at < at - REMEMBERED, most=most)


def refuse_done(session: Session, key: str) -> None:
    """See whether a form was done before, ahead of what takes long. Raises SentBefore."""
    leads_to = session.scalar(select(SentFormRow.leads_to).where(SentFormRow.key == key))
    if leads_to is not None:
        raise SentBefore(leads_to)
