"""A file that was sent with a form, and rows that were sent in a file or pasted."""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence

from fastapi import Request
from starlette.datastructures import UploadFile

from webapp.costing.tables.pasted import as_pasted
from webapp.costing.tables.table import Column, TableRefused
from webapp.pages.web.posting import tidy_table
from webapp.sent_tables import LARGEST_BYTES, read_table


async def posted_file(request: Request) -> AsyncIterator[UploadFile | None]:
    """The file that was sent, if one was."""
    form = await request.form()
    sent = form.get("file")
    yield sent if isinstance(sent, UploadFile) and sent.filename else None
    await form.close()


def rows_sent(pasted: str, sent: UploadFile | None, columns: Sequence[Column]) -> str:
    """The rows of the file that was sent, else those that were pasted. Raises TableRefused where there are none."""
    if sent is None:
        if written := tidy_table(pasted):
            return written
        raise TableRefused("Choose a file, or paste some rows first.")
    if written := tidy_table(as_pasted(read_table(sent.file.read(LARGEST_BYTES + 1)).sheets, columns)):
        return written
    raise TableRefused("The file holds no rows.")
