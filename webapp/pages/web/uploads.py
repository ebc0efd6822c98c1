"""A file that was sent with a form."""

from __future__ import annotations

from collections.abc import AsyncIterator

from fastapi import Request
from starlette.datastructures import UploadFile


async def posted_file(request: Request) -> AsyncIterator[UploadFile | None]:
    """The file that was sent, if one was."""
    form = await request.form()
    sent = form.get("file")
    yield sent if isinstance(sent, UploadFile) and sent.filename else None
    await form.close()
