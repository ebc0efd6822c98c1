"""What a form sends: its fields in their order, and texts without signs that can't be printed."""

from __future__ import annotations

import re
from typing import Annotated, Any, Final

from fastapi import Depends, HTTPException, Request
from starlette.requests import ClientDisconnect

from webapp.costing.measures.typed_numbers import small_number

_UNPRINTABLE: Final = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")

Document = dict[str, Any]
Posted = tuple[tuple[str, str], ...]


async def posted_fields(request: Request) -> Posted:
    """The fields of the form that was sent, in its order."""
    try:
        form = await request.form()
        request.state.posted = form.multi_items()
    except ClientDisconnect:
        # With every key the page gives up what it asked for before; there is nobody to answer then.
        raise HTTPException(400, "The page gave up this request before all of it had come.") from None
    return tuple((name, text) for name, text in form.multi_items() if isinstance(text, str))


PostedFields = Annotated[Posted, Depends(posted_fields)]


def version_to_show(typed: str, held: int, *, stale: bool) -> int:
    """The version that a form goes out with again: the one it was opened at, so that a save in between is noticed; the
    held one where that is what is to be decided on, or where none was sent."""
    opened_at = small_number(typed)
    return held if stale or opened_at is None else opened_at


def tidy_text(text: str) -> str:
    """A typed text without signs that can't be printed, its lines ended alike."""
    return tidy_table(text).strip()


def tidy_table(text: str) -> str:
    """The same of a pasted table, in which a tab at the beginning or the end is an empty cell."""
    return _UNPRINTABLE.sub("", text.replace("\r\n", "\n").replace("\r", "\n")).strip("\n ")
