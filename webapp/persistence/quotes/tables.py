"""The tables of issued quotes, what may become of a quote, and how it stands on a day."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Final, Literal
from uuid import UUID

from sqlalchemy import CheckConstraint, ForeignKey, LargeBinary, Text, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column

from webapp.persistence.foundation.base import Named, Row
from webapp.persistence.foundation.column_types import Money

QuoteState = Literal["standing", "replaced", "accepted", "declined", "withdrawn", "lapsed"]
QuoteSort = Literal["issued", "number", "lapses", "total", "customer"]
QUOTE_SORTS: Final[tuple[QuoteSort, ...]] = ("issued", "number", "lapses", "total", "customer")
QUOTE_COUNTER: Final = "quotes"

#: How each is said.
QUOTE_WORDS: Final[Mapping[QuoteState, str]] = {
    "standing": "Open", "lapsed": "Lapsed", "accepted": "Accepted", "declined": "Declined", "withdrawn": "Withdrawn",
    "replaced": "Replaced",
}  # fmt: skip
#: From each state that is kept to those a person may set. A quote lapses by its date, and is replaced by the next one;
#: to stand again is to have its acceptance taken back.
TRANSITIONS: Final[Mapping[QuoteState, tuple[QuoteState, ...]]] = {
    "standing": ("accepted", "declined", "withdrawn"),
    "lapsed": ("declined", "withdrawn"),
    "accepted": ("standing",),
    "declined": (),
    "withdrawn": (),
    "replaced": (),
}


class QuoteRow(Named, Row):
    """One issued revision of a quote. All revisions of a job share its number.

    A trigger keeps everything but the state from ever being changed, and with which of its options it was accepted:
    its id within the job, its name, and what is to be paid with it.
    """

    __tablename__ = "quotes"
    __table_args__ = (
        CheckConstraint("state IN ('standing', 'replaced', 'accepted', 'declined', 'withdrawn')", name="state"),
        UniqueConstraint("number", "revision"),
        UniqueConstraint("job_id", "revision"),
    )

    job_id: Mapped[UUID] = mapped_column(ForeignKey("jobs.id"))
    number: Mapped[int]
    revision: Mapped[int]
    state: Mapped[str] = mapped_column(index=True)
    title: Mapped[str]
    customer_name: Mapped[str]
    search: Mapped[str]
    issued_at: Mapped[datetime] = mapped_column(index=True)
    issued_on: Mapped[date]
    stands_until: Mapped[date]
    currency: Mapped[str]
    total: Mapped[Decimal] = mapped_column(Money)
    engine_version: Mapped[int]
    snapshot: Mapped[str] = mapped_column(Text)
    snapshot_digest: Mapped[str]
    estimate: Mapped[str] = mapped_column(Text)
    estimate_digest: Mapped[str]
    issued_by: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))
    option: Mapped[str] = mapped_column(server_default=text("''"))
    option_name: Mapped[str] = mapped_column(server_default=text("''"))
    option_total: Mapped[Decimal | None] = mapped_column(Money)


class QuoteDocumentRow(Named, Row):
    """A document as it was rendered when the quote was issued, byte for byte; a trigger keeps it so."""

    __tablename__ = "quote_documents"
    __table_args__ = (UniqueConstraint("quote_id", "name", "paper"),)

    quote_id: Mapped[UUID] = mapped_column(ForeignKey("quotes.id"))
    name: Mapped[str]
    paper: Mapped[str]
    content: Mapped[bytes] = mapped_column(LargeBinary)
    digest: Mapped[str]


class QuoteEventRow(Row):
    """That a quote came to a state."""

    __tablename__ = "quote_events"

    id: Mapped[int] = mapped_column(primary_key=True)
    quote_id: Mapped[UUID] = mapped_column(ForeignKey("quotes.id"), index=True)
    state: Mapped[str]
    at: Mapped[datetime]
    by: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))
    note: Mapped[str]
