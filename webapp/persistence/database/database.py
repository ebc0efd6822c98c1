"""The engine for either database, sessions that read or write, and the schema brought up to date."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock
from typing import Any, Final, Literal

import psycopg
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, create_engine, event, make_url, text
from sqlalchemy.engine import ExceptionContext
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session

from webapp.paths import PROJECT_FILE
from webapp.persistence.foundation.errors import NeverKept, NewerDatabase, StoreError, StoreFull
from webapp.persistence.foundation.kept_files import has_room

THREADS: Final = 8
"""Requests worked on at once. More made SQLite slower, and each holds at most one connection."""

#: PostgreSQL's word for a disk without room.
_DISK_FULL: Final = "53100"
#: Its words for a number that is too large, and for bytes that are no text.
_NO_VALUE: Final = frozenset({"22003", "22021"})

_BUSY_MILLISECONDS: Final = 10_000
_JOURNAL_BYTES: Final = 16 * 1024**2
ALONE: Final = ("issuing", "restoring")


@dataclass(frozen=True)
class Database:
    """One database. Everything that touches it does so in a session from `reading()` or `writing()`."""

    engine: Engine
    _alone: Mapping[str, Lock] = field(default_factory=lambda: {at: Lock() for at in ALONE}, compare=False)

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that sees one state of the store; whatever would be changed in it raises RuntimeError."""
        with Session(self._reader, autoflush=False, expire_on_commit=False) as session:
            event.listen(session, "before_flush", _refuse_to_flush)
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session that is committed at the end, or wholly undone where anything raises.

        On SQLite it takes the writer's lock at once: a transaction that reads first and writes later loses to others.
        """
        with Session(self.engine, expire_on_commit=False) as session:
            session.connection(execution_options={"writes": True})
            yield session
            session.commit()

    @contextmanager
    def alone(self, at: Literal["issuing", "restoring"]) -> Iterator[None]:
        """Be the only one at what takes longer than a writer's lock may be held; others read and write on.

        A quote's number is printed on papers that take seconds to make, so that it is read and kept in one turn.
        """
        if self.is_sqlite:
            with self._alone[at]:
                yield
            return
        with self.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.execute(text("SELECT pg_advisory_lock(hashtext(:at))"), {"at": f"shop reckoner: {at}"})
            try:
                yield
            finally:
                connection.execute(text("SELECT pg_advisory_unlock(hashtext(:at))"), {"at": f"shop reckoner: {at}"})

    @property
    def _reader(self) -> Engine:
        if self.is_sqlite:
            return self.engine
        return self.engine.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)

    @property
    def is_sqlite(self) -> bool:
        """Whether the store is a SQLite file."""
        return self.engine.dialect.name == "sqlite"

    @property
    def file(self) -> Path | None:
        """The SQLite file, or None on PostgreSQL."""
        return Path(self.engine.url.database) if self.is_sqlite and self.engine.url.database else None

    @property
    def address(self) -> str:
        """The address it was opened at, password and all: not to be shown."""
        return self.engine.url.render_as_string(hide_password=False)

    def close(self) -> None:
        """Let go of every connection."""
        self.engine.dispose()


def _refuse_to_flush(session: Session, *_: Any) -> None:
    if session.new or session.dirty or session.deleted:
        raise RuntimeError("A reading session was given something to write; open a writing one.")


def open_database(address: str, *, keep_foreign_keys: bool = True) -> Database:
    """Open the database at an SQLAlchemy address; nothing is created or migrated yet.

    Foreign keys are only let go while migrating, where SQLite rebuilds tables and would cascade into their children.
    Raises StoreError for a kind of database the program doesn't keep.
    """
    url = make_url(address)
    if url.get_backend_name() == "sqlite":
        engine = create_engine(
            url,
            pool_size=THREADS,
            max_overflow=THREADS,
            connect_args={"isolation_level": None, "check_same_thread": False},
        )
        event.listen(engine, "connect", _set_up_sqlite(keep_foreign_keys))
        event.listen(engine, "begin", _begin_on_sqlite)
    elif url.drivername == "postgresql+psycopg":
        engine = create_engine(url, pool_size=THREADS, max_overflow=THREADS, pool_pre_ping=True)
    else:
        raise StoreError(
            f"The database address begins with {url.drivername}; "
            "Shop Reckoner keeps its store in sqlite or postgresql+psycopg."
        )
    event.listen(engine, "handle_error", _say_plainly)
    return Database(engine)


def _say_plainly(failed: ExceptionContext) -> None:
    """Say in the program's own words that the disk is full, or that no database holds such a value."""
    error = failed.original_exception
    if isinstance(error, OverflowError) or getattr(error, "sqlstate", "") in _NO_VALUE or _has_zero_byte(error):
        raise NeverKept from error
    file = failed.engine.url.database if failed.engine is not None else None
    if getattr(error, "sqlstate", None) == _DISK_FULL or (file and found_full(error, Path(file).parent)):
        raise StoreFull from error


def _has_zero_byte(error: BaseException) -> bool:
    """Whether a text was given that PostgreSQL's driver doesn't even send."""
    return isinstance(error, psycopg.DataError) and error.sqlstate is None and "NUL" in str(error)


def found_full(error: BaseException, folder: Path) -> bool:
    """Whether SQLite found its disk full; where what it keeps beside its file has no room, it has no word for that."""
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_OK)
    unclear = code & 0xFF in {sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN}
    return code == sqlite3.SQLITE_FULL or (unclear and folder.is_dir() and not has_room(folder))


def _set_up_sqlite(keep_foreign_keys: bool) -> Any:
    def set_up(connection: sqlite3.Connection, _record: Any) -> None:
        with closing(connection.cursor()) as cursor:
            cursor.execute(f"PRAGMA busy_timeout = {_BUSY_MILLISECONDS}")
            cursor.execute("PRAGMA journal_mode = WAL")
            # Each commit is on the disk before it is answered: a power cut takes back nothing that was told.
            cursor.execute("PRAGMA synchronous = FULL")
            # A restore that was killed leaves a long journal; it is cut when it is next begun anew.
            cursor.execute(f"PRAGMA journal_size_limit = {_JOURNAL_BYTES}")
            cursor.execute(f"PRAGMA foreign_keys = {'ON' if keep_foreign_keys else 'OFF'}")

    return set_up


def _begin_on_sqlite(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def migration_settings() -> Config:
    """Alembic's settings, from the project file."""
    return Config(toml_file=str(PROJECT_FILE))


def newest_revision() -> str:
    """The revision of the schema this program works with."""
    revision = ScriptDirectory.from_config(migration_settings()).get_current_head()
    if revision is None:
        raise StoreError("The program's migrations are missing from its folder.")
    return revision


def stored_revision(database: Database) -> str | None:
    """The revision the database stands at, or None where it is empty."""
    with database.engine.connect() as connection:
        return MigrationContext.configure(connection).get_current_revision()


def refuse_newer(database: Database) -> str | None:
    """The stored revision, where this program knows it. Raises NewerDatabase where it doesn't."""
    stored = stored_revision(database)
    if stored is not None:
        known = {script.revision for script in ScriptDirectory.from_config(migration_settings()).walk_revisions()}
        if stored not in known:
            raise NewerDatabase(stored)
    return stored


def stray_rows(connection: Connection) -> str:
    """The first table with a row that points at nothing, or nothing; PostgreSQL lets none come about."""
    if connection.dialect.name != "sqlite":
        return ""
    astray = connection.execute(text("PRAGMA foreign_key_check")).first()
    return str(astray[0]) if astray else ""


def answers(database: Database) -> bool:
    """Whether the database can be reached at all."""
    try:
        with database.engine.connect() as connection:
            connection.execute(text("SELECT 1"))
    except OperationalError:
        return False
    return True
