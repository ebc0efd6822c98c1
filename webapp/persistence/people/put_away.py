"""What somebody has put away from a page, for themselves alone: it stays away until they fetch it back."""

from __future__ import annotations

from datetime import datetime
from typing import Final
from uuid import UUID

from sqlalchemy import ForeignKey, delete
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.inserting import insert_into

#: The first steps of a new shop, on the start page.
FIRST_STEPS: Final = "first steps"


class PutAwayRow(Row):
    """One thing that a person has put away."""

    __tablename__ = "put_away"

    user_id: Mapped[UUID] = mapped_column(ForeignKey("users.id", ondelete="CASCADE"), primary_key=True)
    what: Mapped[str] = mapped_column(primary_key=True)
    put_away_at: Mapped[datetime]


def put_away(session: Session, user_id: UUID, what: str, *, at: datetime) -> None:
    """Put something away for a person; twice is once."""
    away = insert_into(session, PutAwayRow).values(user_id=user_id, what=what, put_away_at=at)
    session.execute(away.on_conflict_do_nothing())


def fetch_back(session: Session, user_id: UUID, what: str) -> None:
    """Let it stand on its page again."""
    session.execute(delete(PutAwayRow).where(PutAwayRow.user_id == user_id, PutAwayRow.what == what))


def is_put_away(session: Session, user_id: UUID, what: str) -> bool:
    """Whether a person has put it away."""
    return session.get(PutAwayRow, (user_id, what)) is not None
