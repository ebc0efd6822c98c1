"""Files that outlast a power cut and are read by their owner alone: written beside, synced, and put in place whole."""

from __future__ import annotations

import errno
import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from secrets import token_hex
from tempfile import TemporaryFile
from typing import BinaryIO, Final

from webapp.persistence.foundation.errors import StoreFull

OWNERS_FILE: Final = 0o600
OWNERS_FOLDER: Final = 0o700
FOR_OTHERS: Final = 0o077

#: No room is left on the disk, within what its owner was given of it, or within the longest file that may be written.
NO_ROOM: Final = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})

#: What a file is called until it is whole. Whoever writes one holds a lock on it, so that what was left can be told.
_UNFINISHED: Final = ".unfinished-"
#: What earlier programs called such files.
_UNFINISHED_BEFORE: Final = (".*.zip-*", "*.part", ".secret-key-*")
_TRIED: Final = 256 * 1024


def sync_folder(folder: Path) -> None:
    """Make sure of a folder's entries: a file that was renamed or made there is still so after a power cut."""
    opened = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)


@contextmanager
def _in_words() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        if error.errno in NO_ROOM:
            raise StoreFull from error
        raise


def make_folder(folder: Path) -> None:
    """Make a folder for its owner alone, with those above it, where it isn't there."""
    if folder.is_dir():
        return
    make_folder(folder.parent)
    with _in_words():
        folder.mkdir(exist_ok=True, mode=OWNERS_FOLDER)
        sync_folder(folder.parent)


def has_room(folder: Path) -> bool:
    """Whether a file of some size can still be written in a folder."""
    try:
        with TemporaryFile(dir=folder) as tried:
            tried.write(b" " * _TRIED)
            tried.flush()
            os.fsync(tried.fileno())
    except OSError as error:
        return error.errno not in NO_ROOM
    return True


def _for_its_owner(path: str, flags: int) -> int:
    return os.open(path, flags, OWNERS_FILE)


@contextmanager
def new_file(file: Path) -> Iterator[BinaryIO]:
    """Write a file that appears whole or not at all, in place of one that is there.

    Raises StoreFull where the disk is full, and OSError as it comes.
    """
    part = file.with_name(f"{_UNFINISHED}{token_hex(8)}-{file.name}")
    try:
        with _in_words(), open(part, "x+b", opener=_for_its_owner) as target:
            fcntl.flock(target, fcntl.LOCK_EX)
            yield target
            target.flush()
            os.fsync(target.fileno())
            part.replace(file)
            sync_folder(file.parent)
    finally:
        part.unlink(missing_ok=True)


def clear_left_overs(folder: Path) -> None:
    """Take away what a program that was killed left unfinished in a folder; what somebody still writes stays."""
    for sign in (f"{_UNFINISHED}*", *_UNFINISHED_BEFORE):
        for left in folder.glob(sign):
            with suppress(OSError), left.open("rb") as opened:
                fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)
                left.unlink()


def keep_private(file: Path, *endings: str) -> None:
    """Let nobody but its owner read a file, made empty where it isn't there, and those beside it with these endings."""
    with _in_words():
        if not file.exists():
            with suppress(FileExistsError):
                os.close(os.open(file, os.O_RDWR | os.O_CREAT | os.O_EXCL, OWNERS_FILE))
            sync_folder(file.parent)
        for one in (file, *(file.with_name(f"{file.name}{ending}") for ending in endings)):
            # A file of somebody else's is as private as they keep it, and one beside it may go at any moment.
            with suppress(PermissionError, FileNotFoundError):
                one.chmod(OWNERS_FILE)
