"""Inserting a row that may be there already: what SQLite and PostgreSQL both know, by the word that each has for it."""

from __future__ import annotations

from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from webapp.persistence.foundation.base import Row


def insert_into(session: Session, row: type[Row]) -> postgresql.Insert | sqlite.Insert:
    """An insertion into the table of a row, to be told what is done where the row is there (`on_conflict_do_...`)."""
    return postgresql.insert(row) if session.get_bind().dialect.name == "postgresql" else sqlite.insert(row)
