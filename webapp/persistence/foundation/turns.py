"""Taking turns: what two transactions could both find missing at once, and both add."""

from __future__ import annotations

from typing import Literal

from sqlalchemy import text
from sqlalchemy.orm import Session

Turn = Literal["shop", "people", "materials", "suppliers", "designs", "prices", "plan tasks", "earlier jobs"]


def take_turn(session: Session, at: Turn) -> None:
    """Let one transaction after the other see to something: the next one waits here until this one is over.

    On SQLite whoever writes is alone in any case.
    """
    if session.get_bind().dialect.name == "postgresql":
        session.execute(text("SELECT pg_advisory_xact_lock(hashtext(:at))"), {"at": f"shop reckoner: {at}"})
