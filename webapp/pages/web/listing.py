"""What every list has: its filters and its order in the address, and the pages before and after."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlencode

from webapp.costing.measures.manner import whole_number
from webapp.persistence.foundation.lists import Page
from webapp.showing import counted

#: No shop's list goes on so far, and a database counts no further than its whole numbers reach.
FURTHEST_PAGE: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class Turning:
    """Where one is in a list, and the addresses of the pages before and after it."""

    where: str
    earlier: str | None
    further: str | None


def address(path: str, query: Mapping[str, str]) -> str:
    """A list as it was asked for, to be reloaded, kept or sent on; what is empty is left out."""
    written = urlencode({name: text for name, text in query.items() if text})
    return f"{path}?{written}" if written else path


def page_number(page: int) -> int:
    """A page number within bounds."""
    return min(max(1, page), FURTHEST_PAGE)


def turning(path: str, query: Mapping[str, str], listed: Page[Any], noun: str) -> Turning:
    """The pager of a list; `noun` is what one entry is called."""

    def turned(number: int) -> str | None:
        if not 1 <= number <= listed.pages:
            return None
        return address(path, {**query, "page": "" if number == 1 else str(number)})

    count = counted(whole_number(listed.total), noun)
    beyond = min(listed.number - 1, listed.pages)
    return Turning(f"Page {listed.number} of {listed.pages}; {count}", turned(beyond), turned(listed.number + 1))


def one_of(text: str, known: Iterable[str], usual: str = "") -> str:
    """What was asked for where it is known, else what is usual: an old address may name what is no more."""
    return text if text in set(known) else usual
