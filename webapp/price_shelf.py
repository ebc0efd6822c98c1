"""Files of prices as they were sent, kept beside the store: while they are looked at, and the last of each supplier.

A file lies there under the digest of what it holds, whole or not at all, so that the store may name it before it is
taken and nothing has to be moved once it is. They are no part of a backup: what was kept of them is, and whoever sent
one can send it again.
"""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Collection, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from sqlalchemy.orm import Session

from webapp.costing.tables.sheets import Number, Sheet, SheetRow
from webapp.persistence.catalogue.price_imports import last_files
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.foundation.kept_files import clear_left_overs, make_folder, new_file

FOLDER: Final = "price_files"
#: A file that was looked at and not taken goes after so many days.
STAYS_DAYS: Final = 14
KEY_LENGTH: Final = 40
_ENDING: Final = ".jsonl"


class FileGone(NotKept):
    """A file that is no longer there, with the sentence what to do."""

    def __init__(self, key: str) -> None:
        super().__init__("price file", key)
        self.args = ("This file is no longer kept here. Send it in once more.",)


@dataclass(frozen=True, slots=True)
class ShelvedFile:
    """A file as it was sent: its name, what is to be said of how it was read, and its sheets. `whole` says that it may
    be all that its supplier sells; `reckoned` that nobody sent it."""

    name: str
    sheets: tuple[Sheet, ...]
    said: tuple[str, ...] = ()
    whole: bool = False
    reckoned: bool = False


def shelve(data_folder: Path, file: ShelvedFile) -> str:
    """Keep a file beside the store and give the key it is found by. Raises StoreFull."""
    folder = data_folder / FOLDER
    make_folder(folder)
    # Its lines are made twice, for its name and for itself: as one text it may be larger than the file that was sent.
    digest = hashlib.sha256()
    for line in _lines(file):
        digest.update(line)
    key = digest.hexdigest()[:KEY_LENGTH]
    with new_file(folder / f"{key}{_ENDING}") as target:
        target.writelines(_lines(file))
    return key


def take_down(data_folder: Path, key: str) -> ShelvedFile:
    """The file of a key. Raises FileGone."""
    if len(key) != KEY_LENGTH or not set(key) <= set("0123456789abcdef"):
        raise FileGone(key)
    try:
        with (data_folder / FOLDER / f"{key}{_ENDING}").open(encoding="utf-8") as opened:
            head = json.loads(next(opened))
            sheets = tuple(_sheet(json.loads(next(opened)), opened) for _ in range(head["sheets"]))
    except (OSError, ValueError, StopIteration) as error:
        raise FileGone(key) from error
    return ShelvedFile(head["name"], sheets, tuple(head["said"]), head["whole"], head["reckoned"])


def put_up(session: Session, data_folder: Path, file: ShelvedFile) -> str:
    """The same, and let go of what nobody took for some time; each supplier's last file stays. Raises StoreFull."""
    key = shelve(data_folder, file)
    clear_shelf(data_folder, {key, *(one.file for one in last_files(session).values())})
    return key


def clear_shelf(data_folder: Path, stay: Collection[str]) -> None:
    """Let go of files that nobody took for some time; those named stay."""
    folder = data_folder / FOLDER
    clear_left_overs(folder)
    for file in folder.glob(f"*{_ENDING}"):
        with suppress(OSError):
            if file.stem not in stay and file.stat().st_mtime < time.time() - STAYS_DAYS * 86_400:
                file.unlink()


def _lines(file: ShelvedFile) -> Iterator[bytes]:
    yield _line(json.dumps({
        "name": file.name, "sheets": len(file.sheets), "said": file.said, "whole": file.whole,
        "reckoned": file.reckoned,
    }))  # fmt: skip
    for sheet in file.sheets:
        yield _line(json.dumps({
            "name": sheet.name, "rows": len(sheet.rows), "hidden": sheet.hidden, "valueless": sheet.valueless,
        }))  # fmt: skip
        for row in sheet.rows:
            cells = (cell if isinstance(cell, Number) else json.dumps(cell) for cell in row.cells)
            yield _line(f"[{','.join((str(row.number), *cells))}]")


def _line(text: str) -> bytes:
    return f"{text}\n".encode()


def _sheet(head: dict[str, object], lines: Iterator[str]) -> Sheet:
    rows = []
    for _ in range(int(str(head["rows"]))):
        number, *cells = json.loads(next(lines), parse_float=Number, parse_int=Number)
        rows.append(SheetRow(int(number), tuple(cells)))
    valueless = head["valueless"]
    return Sheet(
        str(head["name"]), tuple(rows), bool(head["hidden"]), tuple(valueless) if isinstance(valueless, list) else ()
    )
