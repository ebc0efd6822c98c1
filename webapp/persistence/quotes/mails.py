"""The outbox: each letter under a key of its own, so that it is never sent twice, and what became of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final, Literal, cast
from uuid import UUID

from sqlalchemy import CheckConstraint, ForeignKey, Text, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.base import Named, Row
from webapp.persistence.foundation.inserting import insert_into

MailState = Literal["sending", "sent", "refused", "unknown"]
#: A letter that is still being sent after so long was left by a program that ended over it.
LEFT_LYING: Final = timedelta(minutes=3)
LEFT_WORDS: Final = "The program ended while it was sent: whether it went is not known. Ask before you send it again."


class MailRow(Named, Row):
    """A letter with a quote. Its id is its key, made with the form that asked for it."""

    __tablename__ = "mails"
    __table_args__ = (CheckConstraint("state IN ('sending', 'sent', 'refused', 'unknown')", name="state"),)

    quote_id: Mapped[UUID] = mapped_column(ForeignKey("quotes.id"), index=True)
    sent_to: Mapped[str]
    subject: Mapped[str]
    body: Mapped[str] = mapped_column(Text)
    state: Mapped[str]
    said: Mapped[str]
    begun_at: Mapped[datetime]
    begun_by: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))


@dataclass(frozen=True, slots=True)
class Mail:
    """A letter as it is kept: to whom, its words, and what became of it in a sentence."""

    key: UUID
    quote_id: UUID
    sent_to: str
    subject: str
    body: str
    state: MailState
    said: str
    begun_at: datetime


def begin_mail(session: Session, mail: Mail, *, by: UUID | None) -> bool:
    """Keep that a letter is being sent, before it is; False where one of its key was begun before."""
    row = MailRow
    made = insert_into(session, row).values(
        id=mail.key, quote_id=mail.quote_id, sent_to=mail.sent_to, subject=mail.subject, body=mail.body,
        state="sending", said="", begun_at=mail.begun_at, begun_by=by,
    )  # fmt: skip
    return session.execute(made.on_conflict_do_nothing().returning(row.id)).first() is not None


def end_mail(session: Session, key: UUID, state: MailState, said: str, *, at: datetime, by: UUID | None) -> None:
    """Keep what became of a letter."""
    row = session.get_one(MailRow, key)
    row.state, row.said = state, said
    words = {"sent": "mailed", "refused": "could not mail"}.get(state, "mailed, not known whether it went,")
    record(session, HistoryEntry(at, by, words, "quote", str(row.quote_id), {"to": row.sent_to}))
    session.flush()


def mails_of(session: Session, quote_id: UUID, now: datetime) -> tuple[Mail, ...]:
    """The letters with a quote, the last first."""
    rows = session.scalars(select(MailRow).where(MailRow.quote_id == quote_id).order_by(MailRow.begun_at.desc()))
    return tuple(_as_it_stands(_mail(row), now) for row in rows)


def _mail(row: MailRow) -> Mail:
    return Mail(
        row.id, row.quote_id, row.sent_to, row.subject, row.body, cast(MailState, row.state), row.said, row.begun_at
    )


def _as_it_stands(mail: Mail, now: datetime) -> Mail:
    if mail.state == "sending" and now - mail.begun_at > LEFT_LYING:
        return replace(mail, state="unknown", said=LEFT_WORDS)
    return mail
