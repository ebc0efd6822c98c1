"""A file that was sent with a form, and rows that were sent in a file or pasted."""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence
from typing import Final

from fastapi import Request
from starlette.datastructures import UploadFile

from webapp.costing.tables.pasted import sheet_rows
from webapp.costing.tables.table import Column, Row, TableRefused
from webapp.pages.web.posting import tidy_table
from webapp.persistence.foundation.lists import one_line
from webapp.sent_tables import LARGEST_BYTES, SentTable, read_table, read_text

#: A file's name is kept to so many signs.
LONGEST_NAME: Final = 120


async def posted_file(request: Request) -> AsyncIterator[UploadFile | None]:
    """The file that was sent, if one was."""
    form = await request.form()
    sent = form.get("file")
    yield sent if isinstance(sent, UploadFile) and sent.filename else None
    await form.close()


def table_sent(pasted: str, sent: UploadFile | None, unnamed: str) -> tuple[str, SentTable]:
    """What a file that was sent is called and holds, `unnamed` where it has no name; else what was pasted. Raises
    TableRefused where it can't be read."""
    if sent is None:
        return "pasted rows", read_text(tidy_table(pasted))
    return one_line(sent.filename or "")[:LONGEST_NAME] or unnamed, read_table(sent.file.read(LARGEST_BYTES + 1))


def rows_sent(pasted: str, sent: UploadFile | None, columns: Sequence[Column]) -> tuple[Row, ...] | str:
    """The rows of the file that was sent, else the text that was pasted. Raises TableRefused where there are none, or
    both."""
    written = tidy_table(pasted)
    if sent is None:
        if written:
            return written
        raise TableRefused("Choose a file, or paste some rows first.")
    if written:
        raise TableRefused("Choose a file or paste rows, not both at once. The rows stay here.")
    rows = sheet_rows(table_sent("", sent, "")[1].sheets, columns)
    if not rows:
        raise TableRefused("The file holds no rows.")
    return rows


def text_of(rows: tuple[Row, ...] | str) -> str:
    """The same as it stands in the box."""
    return rows if isinstance(rows, str) else "\n".join(row.text for row in rows)
