"""What the running program hands to every request: its settings, its store, its secret and its clock."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime

from starlette.requests import HTTPConnection

from webapp.persistence.database.database import Database
from webapp.settings import Settings


@dataclass(frozen=True)
class Running:
    """Made once by `create_app`."""

    settings: Settings
    database: Database
    secret_key: bytes
    now: Callable[[], datetime]


def running(connection: HTTPConnection) -> Running:
    """The running program a request came to."""
    held: Running = connection.app.state.running
    return held


def utc_now() -> datetime:
    """This moment, in UTC."""
    return datetime.now(UTC)
