"""A backup: one file with everything the shop keeps, alike from either database and at any revision of the schema.

It is a zip file: a marker, one member of JSON lines for each table, and a manifest with the count and the SHA-256 of
every member. Its archive comment ends in the SHA-256 of all bytes before it, so that not one of them can change unseen.
"""

from __future__ import annotations

import hashlib
import json
import os
from base64 import b64decode, b64encode
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, dataclass
from datetime import UTC, date, datetime
from importlib.metadata import version
from pathlib import Path
from typing import Any, BinaryIO, Final
from uuid import UUID
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

from sqlalchemy import (
    CHAR,
    BigInteger,
    Boolean,
    Column,
    Connection,
    Date,
    DateTime,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Uuid,
    select,
)
from sqlalchemy.types import TypeEngine

from webapp.persistence.foundation.column_types import Instant
from webapp.persistence.foundation.errors import StoreError
from webapp.persistence.foundation.kept_files import new_file

FORM: Final = 1
PROGRAM: Final = f"Shop Reckoner {version('shop-reckoner')}"
MARKER: Final = "shop-reckoner-backup"
MANIFEST: Final = "manifest.json"
COMMENT: Final = b"shop-reckoner-backup sha256 "
DIGEST_LENGTH: Final = 64
#: Sign-ins end with the store they were made in; the copy of a shop lets nobody in who hasn't the password. Questions
#: that are being looked into are asked again when their job is opened, and a sweep is made again from its design. What
#: somebody typed and has not saved is theirs alone, and a backup is read by others.
LEFT_OUT: Final = frozenset(
    {
        "alembic_version", "sign_in_sessions", "missed_passwords", "plan_tasks", "plan_wishes", "sweeps", "sent_forms",
        "drafts", "makings", "making_steps",
    }
)
AT_ONCE: Final = 200

#: How a value of each kind is kept in a backup, and how its column is read and written on both databases.
KINDS: Final[Mapping[str, tuple[Callable[[Any], Any], Callable[[Any], Any], TypeEngine[Any]]]] = {
    "whole": (int, lambda held: _exactly(int, held), BigInteger()),
    "text": (str, lambda held: _exactly(str, held), String()),
    "yes_no": (bool, lambda held: _exactly(bool, held), Boolean()),
    "id": (str, lambda held: UUID(_exactly(str, held)), Uuid()),
    "moment": (datetime.isoformat, lambda held: datetime.fromisoformat(_exactly(str, held)).astimezone(UTC), Instant()),
    "day": (date.isoformat, lambda held: date.fromisoformat(_exactly(str, held)), Date()),
    "bytes": (lambda held: b64encode(held).decode(), lambda held: b64decode(held, validate=True), LargeBinary()),
}


def _exactly(kind: type, held: Any) -> Any:
    """A value as it must be; bool is no whole number here. Raises TypeError."""
    if type(held) is not kind:
        raise TypeError(f"{held!r} is not kept as {kind.__name__}")
    return held


@dataclass(frozen=True, slots=True)
class TableKept:
    """One table in a backup: its columns as (name, kind), how many rows, and the digest of its member."""

    name: str
    columns: tuple[tuple[str, str], ...]
    rows: int
    sha256: str

    @property
    def member(self) -> str:
        """The member's name."""
        return f"tables/{self.name}.jsonl"


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a backup says of itself: its form, who wrote it and when, the schema's revision, and its tables."""

    form: int
    program: str
    revision: str
    made_at: str
    tables: tuple[TableKept, ...]

    @property
    def rows(self) -> int:
        """How many rows it holds in all."""
        return sum(table.rows for table in self.tables)


def tables_of(connection: Connection) -> dict[str, Table]:
    """The tables of a store as they stand there, whatever its revision, in an order that respects foreign keys.

    Raises StoreError for a column of a kind that no backup holds.
    """
    found = MetaData()
    found.reflect(connection)
    plain = MetaData()
    return {
        table.name: Table(
            table.name,
            plain,
            *(
                Column(column.name, KINDS[_kind_of(table.name, column)][2], primary_key=column.primary_key)
                for column in table.columns
            ),
        )
        for table in found.sorted_tables
        if table.name not in LEFT_OUT
    }


def columns_of(table: Table) -> tuple[tuple[str, str], ...]:
    """A table's columns as a backup names them."""
    return tuple((column.name, _kind_of(table.name, column)) for column in table.columns)


def _kind_of(table: str, column: Column[Any]) -> str:
    held = column.type
    # SQLite has no type of its own for ids: they stand there as their 32 signs.
    if isinstance(held, Uuid) or (isinstance(held, CHAR) and held.length == 32):
        return "id"
    for kind, types in (
        ("yes_no", Boolean), ("moment", (DateTime, Instant)), ("day", Date), ("bytes", LargeBinary), ("whole", Integer),
        ("text", String),
    ):  # fmt: skip
        if isinstance(held, types):
            return kind
    raise StoreError(f"The column {column.name} of {table} is of a kind that no backup holds ({held}).")


def write_backup(connection: Connection, revision: str, file: Path, *, at: datetime) -> Manifest:
    """Write everything a connection sees into a new file, row by row. The file appears whole or not at all.

    The connection's transaction has to see one state of the store. Raises StoreError where the file is there already or
    can't be written.
    """
    if file.exists():
        raise StoreError(f"{file} is there already. Name another file, or take that one away.")
    try:
        with new_file(file) as target:
            return _write(connection, revision, target, at)
    except OSError as error:
        raise StoreError(f"The backup can't be written to {file}: {error.strerror}.") from error


def _write(connection: Connection, revision: str, target: BinaryIO, at: datetime) -> Manifest:
    with ZipFile(target, "w", ZIP_DEFLATED) as archive:
        archive.writestr(_member(MARKER, at), f"{FORM}\n", ZIP_STORED)
        kept = []
        for table in tables_of(connection).values():
            digest, rows = hashlib.sha256(), 0
            member = TableKept(table.name, columns_of(table), 0, "").member
            with archive.open(_member(member, at), "w", force_zip64=True) as lines:
                for line in _lines(connection, table):
                    digest.update(line)
                    lines.write(line)
                    rows += 1
            kept.append(TableKept(table.name, columns_of(table), rows, digest.hexdigest()))
        manifest = Manifest(FORM, PROGRAM, revision, at.astimezone(UTC).isoformat(), tuple(kept))
        archive.writestr(_member(MANIFEST, at), json.dumps(asdict(manifest), indent=1), ZIP_DEFLATED)
        archive.comment = COMMENT + b"0" * DIGEST_LENGTH
    target.seek(-DIGEST_LENGTH, os.SEEK_END)
    end = target.tell()
    seal = digest_before(target, end)
    target.seek(end)
    target.write(seal.encode())
    return manifest


def _member(name: str, at: datetime) -> ZipInfo:
    member = ZipInfo(name, at.astimezone(UTC).timetuple()[:6])
    member.compress_type = ZIP_DEFLATED
    member.external_attr = 0o600 << 16
    return member


def _lines(connection: Connection, table: Table) -> Iterator[bytes]:
    """A table's rows by their key, each a line."""
    ways = [KINDS[kind][0] for _, kind in columns_of(table)]
    statement = select(*table.columns).order_by(*table.primary_key.columns)
    with connection.execute(statement.execution_options(stream_results=True, yield_per=AT_ONCE)) as found:
        for row in found:
            held = [None if value is None else way(value) for way, value in zip(ways, row, strict=True)]
            yield json.dumps(held, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"


def digest_before(file: BinaryIO, end: int) -> str:
    """The SHA-256 of a file's bytes up to a place."""
    digest = hashlib.sha256()
    file.seek(0)
    left = end
    while left > 0 and (piece := file.read(min(left, 1 << 20))):
        digest.update(piece)
        left -= len(piece)
    return digest.hexdigest()
