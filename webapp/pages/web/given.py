"""Tables that leave the house from the page that shows them: as CSV or as a workbook, as filtered there."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import chain
from typing import Any, Final, Literal, TypeVar

from fastapi.responses import Response

from webapp.costing.tables.given import Given, as_csv
from webapp.given_workbook import as_workbook
from webapp.pages.web.listing import address
from webapp.persistence.foundation.lists import Page

Form = Literal["csv", "xlsx"]
FORMS: Final[tuple[Form, ...]] = ("csv", "xlsx")
#: So many entries are asked for at a time.
AT_ONCE: Final = 500

Entry = TypeVar("Entry")


@dataclass(frozen=True, slots=True)
class TableLinks:
    """Where a table is to be had, by form: CSV, XLSX; `name` says what it is of."""

    name: str
    links: tuple[tuple[str, str], ...]


def table_links(name: str, path: str, asked: Mapping[str, str]) -> TableLinks:
    """Where the table of a page is to be had as it is filtered there."""
    return TableLinks(name, tuple((form.upper(), address(f"{path}.{form}", asked)) for form in FORMS))


def every_page(turn_to: Callable[[int, int], Page[Entry]]) -> Iterator[tuple[Entry, ...]]:
    """The pages of a list, each as its entries; `turn_to` is told the number of a page and how many entries it has."""
    number = 1
    while True:
        page = turn_to(number, AT_ONCE)
        yield page.entries
        if number >= page.pages:
            return
        number += 1


def every_entry(turn_to: Callable[[int, int], Page[Entry]]) -> Iterator[Entry]:
    """The entries of all pages of a list."""
    return chain.from_iterable(every_page(turn_to))


def table_answer(given: Given, form: Form, file_name: str) -> Response:
    """The table as a file to keep."""
    if form == "xlsx":
        content: Any = as_workbook(given)
        kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    else:
        # Spreadsheets take a file for UTF-8 only where it says so in its first bytes.
        content, kind = "".join(as_csv(given)).encode("utf-8-sig"), "text/csv; charset=utf-8"
    headers = {"Content-Disposition": f'attachment; filename="{file_name}.{form}"'}
    return Response(content, media_type=kind, headers=headers)
