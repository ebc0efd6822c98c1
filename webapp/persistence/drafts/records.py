"""Drafts: the fields of a form as they were last typed, each of one person, one page and one sitting at it.

A draft whose form was saved stays as an empty row for as long: what a browser still holds of it, and brings once the
line is back, is then known to be saved already.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final
from uuid import UUID

from sqlalchemy import ColumnElement, ForeignKey, Index, delete, func, select, update
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.clearing import A_TURN, clear_some
from webapp.persistence.foundation.column_types import OrderedJson
from webapp.persistence.foundation.inserting import insert_into

#: So long a draft waits for its person, and a browser may bring what it holds of one.
KEPT_FOR: Final = timedelta(days=60)
#: So many a person has at most; of more the oldest go.
MOST: Final = 100
#: The largest that is kept, in characters of its names and texts.
LARGEST: Final = 262_144

Fields = tuple[tuple[str, str], ...]
#: What was typed otherwise than it stood: the field in words, what stood there, what was typed.
Typed = tuple[tuple[str, str, str], ...]


class DraftRow(Row):
    """A draft. `place` is the path of its page, `asks` names the fields that belong into the page's address."""

    __tablename__ = "drafts"
    __table_args__ = (Index(None, "user_id", "place"),)

    id: Mapped[str] = mapped_column(primary_key=True)
    user_id: Mapped[UUID] = mapped_column(ForeignKey("users.id", ondelete="CASCADE"))
    place: Mapped[str]
    words: Mapped[str]
    asks: Mapped[str]
    fields: Mapped[list[Any]] = mapped_column(OrderedJson)
    typed: Mapped[list[Any]] = mapped_column(OrderedJson)
    typed_at: Mapped[datetime] = mapped_column(index=True)
    saved_at: Mapped[datetime | None]


@dataclass(frozen=True, slots=True)
class Draft:
    """What was typed in a form: `words` say which form it is."""

    id: str
    place: str
    words: str
    asks: str
    fields: Fields
    typed: Typed
    typed_at: datetime


def is_too_large(fields: Fields) -> bool:
    """Whether a form holds more than is kept of one."""
    return sum(len(name) + len(text) for name, text in fields) > LARGEST


def keep_draft(session: Session, user_id: UUID, draft: Draft, *, instead_of: Collection[str] = ()) -> bool:
    """Keep what was typed last, and let go of the drafts that it was taken up from.

    False where the form was saved meanwhile, or the id is another person's; nothing is changed then.
    """
    row = DraftRow
    values = {
        "id": draft.id,
        "user_id": user_id,
        "place": draft.place,
        "words": draft.words,
        "asks": draft.asks,
        "fields": [list(field) for field in draft.fields],
        "typed": [list(one) for one in draft.typed],
        "typed_at": draft.typed_at,
        "saved_at": None,
    }
    made = insert_into(session, row).values(values)
    # A form that came back refused says nothing anew of what was typed otherwise: what it said before still holds.
    told = ("words", "asks", "fields", "typed_at", *(("typed",) if draft.typed else ()))
    kept = made.on_conflict_do_update(
        index_elements=[row.id],
        set_={name: made.excluded[name] for name in told},
        where=(row.user_id == user_id) & row.saved_at.is_(None),
    ).returning(row.id)
    if session.execute(kept).first() is None:
        return False
    throw_away(session, user_id, [one for one in instead_of if one != draft.id])
    _keep_within(session, user_id)
    return True


def note_saved(session: Session, user_id: UUID, place: str, ids: Collection[str], *, at: datetime) -> None:
    """Remember that what these drafts hold was saved; they are offered no more, and brought again by no browser."""
    row = DraftRow
    for one in sorted(ids):
        made = insert_into(session, row).values(
            id=one, user_id=user_id, place=place, words="", asks="", fields=[], typed=[], typed_at=at, saved_at=at
        )
        session.execute(
            made.on_conflict_do_update(
                index_elements=[row.id],
                set_={name: made.excluded[name] for name in ("fields", "typed", "typed_at", "saved_at")},
                where=row.user_id == user_id,
            )
        )


def throw_away(session: Session, user_id: UUID, ids: Collection[str]) -> None:
    """Let go of a person's drafts without saving them; what a browser holds of them comes back no more."""
    if ids:
        session.execute(
            update(DraftRow)
            .where(DraftRow.user_id == user_id, DraftRow.id.in_(ids), DraftRow.saved_at.is_(None))
            .values(fields=[], typed=[], saved_at=DraftRow.typed_at)
        )


def load_draft(session: Session, user_id: UUID, draft_id: str) -> Draft | None:
    """A draft of this person, or None where it was saved, thrown away, or is not theirs."""
    row = session.scalar(select(DraftRow).where(DraftRow.id == draft_id, *_waiting(user_id)))
    return None if row is None else _draft(row)


def drafts_at(session: Session, user_id: UUID, place: str) -> tuple[Draft, ...]:
    """What this person typed at a page and has not saved, the last first."""
    rows = session.scalars(
        select(DraftRow).where(DraftRow.place == place, *_waiting(user_id)).order_by(DraftRow.typed_at.desc())
    )
    return tuple(map(_draft, rows))


def list_drafts(session: Session, user_id: UUID) -> tuple[Draft, ...]:
    """Everything that this person typed and has not saved, the last first."""
    rows = session.scalars(select(DraftRow).where(*_waiting(user_id)).order_by(DraftRow.typed_at.desc()))
    return tuple(map(_draft, rows))


def count_drafts(session: Session, user_id: UUID) -> int:
    """In how many places this person typed and has not saved."""
    return session.scalar(select(func.count()).select_from(DraftRow).where(*_waiting(user_id))) or 0


def forget_drafts(session: Session, at: datetime, most: int = A_TURN) -> int:
    """Forget some of the drafts that waited too long, and say how many."""
    return clear_some(session, DraftRow.id, DraftRow.typed_at < at - KEPT_FOR, most=most)


def _waiting(user_id: UUID) -> tuple[ColumnElement[bool], ...]:
    return (DraftRow.user_id == user_id, DraftRow.saved_at.is_(None))


def _keep_within(session: Session, user_id: UUID) -> None:
    if count_drafts(session, user_id) > MOST:
        newest = select(DraftRow.id).where(*_waiting(user_id)).order_by(DraftRow.typed_at.desc()).limit(MOST)
        session.execute(
            delete(DraftRow)
            .where(*_waiting(user_id), DraftRow.id.not_in(newest))
            .execution_options(synchronize_session=False)
        )


def _draft(row: DraftRow) -> Draft:
    return Draft(
        row.id,
        row.place,
        row.words,
        row.asks,
        tuple((name, text) for name, text in row.fields),
        tuple((words, stood, typed) for words, stood, typed in row.typed),
        row.typed_at,
    )
