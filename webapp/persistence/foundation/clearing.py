"""Clearing away rows that nobody needs any more: so many at a time, so that no lock is held for long."""

from __future__ import annotations

from typing import Any, Final

from sqlalchemy import ColumnElement, delete, select
from sqlalchemy.orm import InstrumentedAttribute, Session

#: So many rows go in one transaction, unless said otherwise.
A_TURN: Final = 200


def clear_some(session: Session, key: InstrumentedAttribute[Any], *old: ColumnElement[bool], most: int = A_TURN) -> int:
    """Delete rows that are old, by their key, and say how many went: `most` where more may be left.

    What another transaction holds just now is left to it, since two that wait for each other end in nothing.
    """
    found = session.scalars(select(key).where(*old).limit(most).with_for_update(skip_locked=True)).all()
    if found:
        session.execute(delete(key.class_).where(key.in_(found)).execution_options(synchronize_session=False))
    return len(found)
