"""A paper that takes a while: its page says so after a second, and opens it when it is made."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from fastapi import Request
from fastapi.responses import Response

from webapp.documents.printing.pdf_worker import SECONDS_TO_WAIT, WORKER
from webapp.rendering import render

#: How long an answer waits for the paper before it says that it is being made.
PATIENCE: Final = 0.9
_KEY: Final = re.compile("[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class MakingPage:
    """A paper being made: what it is called, for how many seconds by now, where it is asked for again, and where it
    will be."""

    name: str
    seconds: int
    again: str
    href: str


def follow(request: Request, name: str, address: str, asked: str, key: str, seconds: int) -> Response:
    """Lead to the paper at `address` once it is made under `key`; until then say for how long it has been made.

    `asked` is what the address asks for (its paper); a paper without a key is kept already.
    """
    key = key if _KEY.fullmatch(key) else ""
    href = f"{address}?{asked}" + (f"&made={key}" if key else "")
    if not key or not 0 <= seconds < SECONDS_TO_WAIT or not WORKER.being_made(key, PATIENCE):
        return Response(headers={"HX-Redirect": href})
    again = f"{address}/making?{asked}&key={key}&seconds={seconds + 1}"
    return render(request, "quotes/making.html", MakingPage(name, seconds + 1, again, href))
