"""A file that was sent with a form, and rows that were sent in a file or pasted."""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence

from fastapi import Request
from starlette.datastructures import UploadFile

from webapp.costing.tables.pasted import sheet_rows
from webapp.costing.tables.table import Column, Row, TableRefused
from webapp.pages.web.posting import tidy_table
from webapp.sent_tables import LARGEST_BYTES, read_table


async def posted_file(request: Request) -> AsyncIterator[UploadFile | None]:
    """The file that was sent, if one was."""
    form = await request.form()
    sent = form.get("file")
    yield sent if isinstance(sent, UploadFile) and sent.filename else None
    await form.close()


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
    rows = sheet_rows(read_table(sent.file.read(LARGEST_BYTES + 1)).sheets, columns)
    if not rows:
        raise TableRefused("The file holds no rows.")
    return rows


def text_of(rows: tuple[Row, ...] | str) -> str:
    """The same as it stands in the box."""
    return rows if isinstance(rows, str) else "\n".join(row.text for row in rows)
