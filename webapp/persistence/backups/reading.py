"""A backup read: checked wholly, to the last value, before anything is done with it."""

from __future__ import annotations

import json
import os
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Any, BinaryIO, Final
from zipfile import BadZipFile, ZipFile

from alembic.script import ScriptDirectory

from webapp.persistence.backups.backup import (
    COMMENT,
    DIGEST_LENGTH,
    FORM,
    KINDS,
    LEFT_OUT,
    MANIFEST,
    MARKER,
    Manifest,
    TableKept,
    digest_before,
)
from webapp.persistence.database.database import migration_settings
from webapp.persistence.foundation.errors import StoreError

#: A member's first bytes stand before its name; ours is the first of the file.
_NAME_AT: Final = 30
LONGEST_LINE: Final = 256 * 1024 * 1024
LARGEST_MANIFEST: Final = 1024 * 1024
#: All members together, unpacked: no shop's store comes near it, and no small file may unfold into more.
LARGEST_UNPACKED: Final = 16 * 1024**3


class BackupRefused(StoreError):
    """A file that is not restored, with the sentence why."""


@dataclass(frozen=True)
class OpenBackup:
    """A backup that was checked and is still open."""

    manifest: Manifest
    archive: ZipFile

    def rows(self, table: TableKept) -> Iterator[dict[str, Any]]:
        """The rows of a table, by column. Raises BackupRefused where one isn't as the manifest says."""
        names = [name for name, _ in table.columns]
        ways = [KINDS[kind][1] for _, kind in table.columns]
        with self.archive.open(table.member) as lines:
            for number, line in enumerate(iter(lambda: lines.readline(LONGEST_LINE), b""), 1):
                try:
                    held = json.loads(line)
                    values = [None if value is None else way(value) for way, value in zip(ways, held, strict=True)]
                except (ValueError, TypeError, RecursionError) as error:
                    raise BackupRefused(f"Row {number} of {table.name} in the backup can't be read.") from error
                yield dict(zip(names, values, strict=True))


@contextmanager
def reading_backup(file: Path, *, largest: int = LARGEST_UNPACKED) -> Iterator[OpenBackup]:
    """Open a backup and check all of it. Raises BackupRefused with the sentence why it is not taken."""
    try:
        opened = file.open("rb")
    except OSError as error:
        raise BackupRefused(f"{file} can't be opened: {error.strerror}.") from error
    with opened:
        _check_seal(opened, file.name)
        try:
            archive = ZipFile(opened)
            manifest = _manifest(archive, file.name, largest)
        except (BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError) as error:
            raise _altered(file.name) from error
        with archive:
            backup = OpenBackup(manifest, archive)
            for table in manifest.tables:
                _check_member(backup, table, file.name)
            yield backup


def _altered(name: str) -> BackupRefused:
    return BackupRefused(
        f"{name} was altered or damaged since it was made: its contents don't fit its digest. Nothing was changed. "
        "Take another copy of it."
    )


def _check_seal(file: BinaryIO, name: str) -> None:
    """That the file is a backup of ours, whole, and not altered by a single byte."""
    start = file.read(_NAME_AT + len(MARKER))
    if not start.startswith(b"PK\x03\x04") or start[_NAME_AT:] != MARKER.encode():
        raise BackupRefused(f"{name} is no backup of Shop Reckoner, or its beginning is lost. Nothing was changed.")
    file.seek(0, os.SEEK_END)
    end = file.tell() - DIGEST_LENGTH
    file.seek(max(0, end - len(COMMENT)))
    tail = file.read()
    if tail[: len(COMMENT)] != COMMENT:
        raise BackupRefused(
            f"{name} is cut short, or was altered at its end: the digest that closes a backup is missing. "
            "Nothing was changed. Take another copy of it."
        )
    if digest_before(file, end).encode() != tail[len(COMMENT) :]:
        raise _altered(name)


def _manifest(archive: ZipFile, name: str, largest: int) -> Manifest:
    members = archive.infolist()
    if sum(member.file_size for member in members) > largest:
        raise BackupRefused(
            f"{name} would unfold into more than {largest // 1024**2} MB; no backup is so large. Nothing was changed."
        )
    stated = {member.filename: member.file_size for member in members}
    if stated.get(MANIFEST, LARGEST_MANIFEST + 1) > LARGEST_MANIFEST or len(stated) != len(members):
        raise _altered(name)
    try:
        told = json.loads(archive.read(MANIFEST))
        form = told["form"]
        if type(form) is int and form > FORM:
            raise BackupRefused(
                f"{name} was made by a newer Shop Reckoner (its form is {form}). Bring the program up to date first; "
                "nothing was changed."
            )
        manifest = Manifest(
            form, str(told["program"]), str(told["revision"]),
            datetime.fromisoformat(told["made_at"]).isoformat(),
            tuple(
                TableKept(
                    str(table["name"]), tuple((str(column), str(kind)) for column, kind in table["columns"]),
                    int(table["rows"]), str(table["sha256"]),
                )
                for table in told["tables"]
            ),
        )  # fmt: skip
    except (ValueError, TypeError, KeyError, RecursionError) as error:
        raise BackupRefused(f"The manifest of {name} can't be read. Nothing was changed.") from error
    _check_manifest(manifest, name, set(stated))
    return manifest


def _check_manifest(manifest: Manifest, name: str, members: set[str]) -> None:
    known = {script.revision for script in ScriptDirectory.from_config(migration_settings()).walk_revisions()}
    if manifest.revision not in known:
        raise BackupRefused(
            f"{name} was made by a newer Shop Reckoner (its revision is {manifest.revision}). "
            "Bring the program up to date first; nothing was changed."
        )
    kinds = {kind for table in manifest.tables for _, kind in table.columns}
    if (
        manifest.form != FORM
        or members != {MARKER, MANIFEST, *(table.member for table in manifest.tables)}
        or len({table.name for table in manifest.tables}) != len(manifest.tables)
        or LEFT_OUT & {table.name for table in manifest.tables}
        or kinds - set(KINDS)
    ):
        raise BackupRefused(f"{name} doesn't hold what its manifest says. Nothing was changed.")


def _check_member(backup: OpenBackup, table: TableKept, name: str) -> None:
    """That a table's member has the digest and the rows that the manifest says, each of them readable."""
    digest = sha256()
    try:
        with backup.archive.open(table.member) as member:
            while piece := member.read(1 << 20):
                digest.update(piece)
        if digest.hexdigest() != table.sha256:
            raise _altered(name)
        rows = sum(1 for _ in backup.rows(table))
    except (BadZipFile, zlib.error, EOFError) as error:
        raise _altered(name) from error
    if rows != table.rows:
        raise BackupRefused(
            f"{name} has {rows} rows of {table.name}, but its manifest says {table.rows}. Nothing was changed."
        )
