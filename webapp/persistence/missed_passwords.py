"""How often a wrong password was given for a name from an address, and how long the next try from there waits.

Names that nobody has are counted like those that somebody has, so that waiting tells nothing about who is in the shop.
"""

from __future__ import annotations

import hashlib
from datetime import datetime, timedelta
from typing import Any, Final

from sqlalchemy import delete
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.base import Row
from webapp.persistence.column_types import CanonicalJson
from webapp.persistence.users import name_key

FREE_TRIES: Final = 5
WITHIN: Final = timedelta(minutes=15)
FIRST_WAIT: Final = timedelta(minutes=1)
LONGEST_WAIT: Final = timedelta(hours=1)
FORGOTTEN_AFTER: Final = timedelta(days=1)


class MissedRow(Row):
    """The misses of one name from one address. Of both only a digest is kept: people type passwords as names."""

    __tablename__ = "missed_passwords"

    who_digest: Mapped[str] = mapped_column(primary_key=True)
    recent: Mapped[list[Any]] = mapped_column(CanonicalJson)
    waits: Mapped[int]
    wait_until: Mapped[datetime | None]
    last_at: Mapped[datetime] = mapped_column(index=True)


def waits_until(session: Session, name: str, address: str, now: datetime) -> datetime | None:
    """Until when nobody may try the name from the address, or None where anybody may now."""
    row = session.get(MissedRow, _digest(name, address))
    return row.wait_until if row is not None and row.wait_until is not None and row.wait_until > now else None


def note_missed_password(session: Session, name: str, address: str, now: datetime) -> datetime | None:
    """Count a wrong password, and say until when the next try waits.

    Five within fifteen minutes are a wait of one minute; each further one doubles it, up to an hour, until fifteen
    minutes have passed without a wait.
    """
    session.execute(delete(MissedRow).where(MissedRow.last_at < now - FORGOTTEN_AFTER))
    key = _digest(name, address)
    row = session.get(MissedRow, key, with_for_update=True)
    if row is None:
        row = MissedRow(who_digest=key, recent=[], waits=0, wait_until=None, last_at=now)
        session.add(row)
    if row.wait_until is not None and now - row.wait_until > WITHIN:
        row.waits, row.recent = 0, []
    still = [moment for moment in row.recent if now - datetime.fromisoformat(moment) <= WITHIN]
    row.recent = [*still, now.isoformat()][-FREE_TRIES:]
    row.last_at = now
    row.wait_until = None
    if row.waits or len(row.recent) >= FREE_TRIES:
        row.waits += 1
        row.wait_until = now + min(FIRST_WAIT * 2 ** min(row.waits - 1, 10), LONGEST_WAIT)
    session.flush()
    return row.wait_until


def forget_missed_passwords(session: Session, name: str, address: str) -> None:
    """The right password was given: begin counting anew."""
    session.execute(delete(MissedRow).where(MissedRow.who_digest == _digest(name, address)))


def _digest(name: str, address: str) -> str:
    return hashlib.sha256(f"{name_key(name)}\n{address}".encode("utf-8", "replace")).hexdigest()
