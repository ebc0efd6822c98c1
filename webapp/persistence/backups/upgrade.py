"""The database brought up to date, after what it holds is kept beside it."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from alembic import command

from webapp.persistence.backups.backup import write_backup
from webapp.persistence.database.database import (
    Database,
    found_full,
    migration_settings,
    newest_revision,
    open_database,
    refuse_newer,
    stray_rows,
)
from webapp.persistence.foundation.errors import StoreError, StoreFull
from webapp.persistence.foundation.kept_files import make_folder, new_file


def migrate(address: str, backups: Path | None = None, revision: str = "head") -> Path | None:
    """Bring the schema up to the revision, each step in a transaction of its own, and return the backup made.

    What is kept is put into `backups` first, whole even while others write to it: a SQLite file as a copy, PostgreSQL
    as a backup such as is restored. Raises NewerDatabase, and StoreError where a step leaves a row that points at
    nothing.
    """
    database = open_database(address, keep_foreign_keys=False)
    try:
        stored = refuse_newer(database)
        if stored == (newest_revision() if revision == "head" else revision):
            return None
        backup = keep_before_migrating(database, stored, backups) if stored and backups else None
        settings = migration_settings()
        with database.engine.connect().execution_options(writes=True) as connection:
            settings.attributes["connection"] = connection
            command.upgrade(settings, revision)
        _check_foreign_keys(database)
        return backup
    finally:
        database.close()


def keep_before_migrating(database: Database, stored: str, backups: Path) -> Path:
    """Keep the store as it stands, in a file named by the moment and the revision it holds."""
    make_folder(backups)
    at = datetime.now(UTC)
    copy = backups / f"{at.strftime('%Y%m%d-%H%M%S-%f')}-before-migration-from-{stored}"
    if database.file is None:
        copy = copy.with_suffix(".zip")
        level = {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
        with database.engine.connect().execution_options(**level) as connection, connection.begin():
            write_backup(connection, stored, copy, at=at)
        return copy
    copy = copy.with_suffix(".sqlite")
    with new_file(copy) as held, closing(sqlite3.connect(database.file)) as source:
        try:
            with closing(sqlite3.connect(held.name)) as target:
                source.backup(target)
        except sqlite3.Error as error:
            if found_full(error, backups):
                raise StoreFull from error
            raise
    return copy


def _check_foreign_keys(database: Database) -> None:
    with database.engine.connect() as connection:
        if astray := stray_rows(connection):
            raise StoreError(f"After migrating, a row of {astray} points at nothing.")
