"""A store given back from a backup: into an empty one, or in place of what is there, in one transaction."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import islice
from pathlib import Path
from typing import Any, Final

from alembic import command
from sqlalchemy import Connection, Table, func, inspect, select, text
from sqlalchemy.exc import OperationalError, SQLAlchemyError

from webapp.persistence.backups.backup import AT_ONCE, Manifest, columns_of, tables_of, write_backup
from webapp.persistence.backups.reading import LARGEST_UNPACKED, BackupRefused, OpenBackup, reading_backup
from webapp.persistence.database.database import (
    Database,
    migration_settings,
    newest_revision,
    open_database,
    refuse_newer,
    stray_rows,
)
from webapp.persistence.database.tables import METADATA
from webapp.persistence.foundation.errors import StoreError
from webapp.persistence.foundation.kept_files import make_folder

#: How long the store's tables may be waited for while others read or write.
_WAIT: Final = "20s"


class StoreNotEmpty(StoreError):
    """A backup is restored into an empty store, unless it is said to take the place of what is there."""

    def __init__(self, rows: int) -> None:
        super().__init__(
            f"The store is not empty: it holds {rows} rows. Say --replace to put the backup in their place; "
            "what is there now is backed up first. Nothing was changed."
        )
        self.rows = rows


@dataclass(frozen=True, slots=True)
class Restored:
    """What was restored, and where the store as it was before is kept (None where it was empty)."""

    manifest: Manifest
    before: Path | None


def make_backup(database: Database, file: Path, *, at: datetime) -> Manifest:
    """Back a store up as it stands, whatever its revision. Raises StoreError, also where there is nothing yet."""
    stored = refuse_newer(database)
    if stored is None:
        raise StoreError("The store holds nothing yet, so there is nothing to back up.")
    level = {} if database.is_sqlite else {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
    with database.engine.connect().execution_options(**level) as connection, connection.begin():
        return write_backup(connection, stored, file, at=at)


def restore_backup(
    address: str, file: Path, backups: Path, *, at: datetime, replace: bool = False,
    largest: int = LARGEST_UNPACKED,
) -> Restored:  # fmt: skip
    """Put a backup into the store at an address, which has been brought up to date; then bring its rows up to date too.

    All of it happens or nothing. Raises BackupRefused, StoreNotEmpty, and StoreError where others hold the store.
    """
    with reading_backup(file, largest=largest) as backup:
        database = open_database(address, keep_foreign_keys=False)
        try:
            with database.engine.connect().execution_options(writes=True) as connection, connection.begin():
                before = _make_room(connection, backups, at, replace)
                _rebuild(connection, backup.manifest.revision)
                _fill(connection, backup)
                _migrate(connection, "head")
                if astray := stray_rows(connection):
                    raise BackupRefused(f"A row of {astray} in the backup points at nothing. Nothing was changed.")
            return Restored(backup.manifest, before)
        except OperationalError as error:
            raise StoreError(
                "The store is in use by others and can't be taken over now. Nothing was changed; try it again."
            ) from error
        except SQLAlchemyError as error:
            raise BackupRefused(
                f"{file.name} holds rows that the store doesn't take ({str(error).splitlines()[0][:200]}). "
                "Nothing was changed."
            ) from error
        finally:
            database.close()


def _make_room(connection: Connection, backups: Path, at: datetime, replace: bool) -> Path | None:
    """See that the store is empty, or back up what is there; from here on nobody else writes to it."""
    _hold(connection)
    held = sum(
        connection.execute(select(func.count()).select_from(table)).scalar_one()
        for table in tables_of(connection).values()
    )
    if not held:
        return None
    if not replace:
        raise StoreNotEmpty(held)
    file = backup_file(backups, at, "before-restore")
    write_backup(connection, newest_revision(), file, at=at)
    return file


def backup_file(backups: Path, at: datetime, why: str) -> Path:
    """The place of a backup in the shop's folder of them, named by its moment and why it was made."""
    make_folder(backups)
    return backups / f"{at.astimezone(UTC).strftime('%Y%m%d-%H%M%S-%f')}-{why}.zip"


def _hold(connection: Connection) -> None:
    if connection.dialect.name == "postgresql":
        connection.execute(text(f"SET LOCAL lock_timeout = '{_WAIT}'"))
        names = ", ".join(f'"{name}"' for name in sorted(METADATA.tables))
        connection.execute(text(f"LOCK TABLE {names} IN ACCESS EXCLUSIVE MODE"))


def _rebuild(connection: Connection, revision: str) -> None:
    """The tables anew, as they were at a revision: a store of an older program is only understood by its migrations."""
    names = [name for name in inspect(connection).get_table_names() if name in METADATA.tables or name == _VERSION]
    if connection.dialect.name == "postgresql":
        functions = connection.execute(_FUNCTIONS_OF_TRIGGERS, {"tables": names}).scalars().all()
        connection.execute(text(f"DROP TABLE {', '.join(f'{chr(34)}{name}{chr(34)}' for name in names)}"))
        for function in functions:
            connection.execute(text(f"DROP FUNCTION {function}"))
    else:
        for name in names:
            connection.execute(text(f'DROP TABLE "{name}"'))
    _migrate(connection, revision)


_VERSION: Final = "alembic_version"
_FUNCTIONS_OF_TRIGGERS: Final = text(
    "SELECT DISTINCT pg_trigger.tgfoid::regprocedure::text FROM pg_trigger "
    "JOIN pg_class ON pg_class.oid = pg_trigger.tgrelid "
    "WHERE NOT pg_trigger.tgisinternal AND pg_class.relnamespace = current_schema()::regnamespace "
    "AND pg_class.relname = ANY(:tables)"
)


def _migrate(connection: Connection, revision: str) -> None:
    """Migrate within the transaction that is open: Alembic then begins and ends none of its own."""
    settings = migration_settings()
    settings.attributes["connection"] = connection
    command.upgrade(settings, revision)


def _fill(connection: Connection, backup: OpenBackup) -> None:
    """Every row of the backup, the tables that others point at first."""
    tables = tables_of(connection)
    kept = {table.name: table for table in backup.manifest.tables}
    if {name: set(columns_of(table)) for name, table in tables.items()} != {
        name: set(table.columns) for name, table in kept.items()
    }:
        raise BackupRefused(
            f"The tables of the backup are not those of its revision {backup.manifest.revision}. Nothing was changed."
        )
    keys = _foreign_keys(connection)
    # A job may be a copy of one that comes after it in the file: rows are checked once all are there.
    for held_by, key in keys:
        connection.execute(text(f'ALTER TABLE "{held_by}" ALTER CONSTRAINT "{key}" DEFERRABLE INITIALLY DEFERRED'))
    for name, table in tables.items():
        for rows in _batches(backup.rows(kept[name])):
            connection.execute(table.insert(), rows)
        _count_on(connection, table)
    if keys:
        connection.execute(text("SET CONSTRAINTS ALL IMMEDIATE"))
    for held_by, key in keys:
        connection.execute(text(f'ALTER TABLE "{held_by}" ALTER CONSTRAINT "{key}" NOT DEFERRABLE'))


def _foreign_keys(connection: Connection) -> list[tuple[str, str]]:
    """The foreign keys that PostgreSQL would check row by row; SQLite checks none in this connection."""
    if connection.dialect.name != "postgresql":
        return []
    seen = inspect(connection)
    return [
        (name, str(key["name"]))
        for name in sorted(seen.get_table_names())
        if name in METADATA.tables
        for key in seen.get_foreign_keys(name)
    ]


def _batches(rows: Iterable[dict[str, Any]]) -> Iterable[list[dict[str, Any]]]:
    left = iter(rows)
    while batch := list(islice(left, AT_ONCE)):
        yield batch


def _count_on(connection: Connection, table: Table) -> None:
    """PostgreSQL counts its keys apart from the rows: it goes on after the last of them."""
    if connection.dialect.name != "postgresql":
        return
    for column in table.primary_key.columns:
        sequence = connection.execute(
            text("SELECT pg_get_serial_sequence(:name, :key)"), {"name": f'"{table.name}"', "key": column.name}
        ).scalar_one()
        last = connection.execute(select(func.max(column))).scalar_one() if sequence else None
        if last is not None:
            connection.execute(text("SELECT setval(:sequence, :last)"), {"sequence": sequence, "last": last})
