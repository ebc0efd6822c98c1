"""A table that leaves the house: its heading and cells as plain values, and as CSV in the shop's manner of writing."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TypeAlias

from webapp.costing.measures.manner import manner
from webapp.costing.tables.table import safe_cell

#: Words, a number, a day, or nothing. Amounts are of the currency that their heading names.
Cell: TypeAlias = str | int | Decimal | date | None


@dataclass(frozen=True, slots=True)
class Given:
    """A table by its name; `rows` are read once, so that a long one needn't be held."""

    name: str
    headings: tuple[str, ...]
    rows: Iterable[tuple[Cell, ...]]


def as_csv(given: Given) -> Iterator[str]:
    """The table as CSV, some hundred rows at a time: numbers with the shop's decimal sign and nothing between
    thousands, days as 2026-11-30, no cell a formula. Cells are parted by semicolons where decimals have a comma.

    >>> list(as_csv(Given("", ("What", "Price"), [("=1", Decimal("-2.50"))])))
    ["What,Price\\r\\n'=1,-2.50\\r\\n"]
    """
    decimal = manner().decimal
    written = _Lines()
    table = csv.writer(written, delimiter=";" if decimal == "," else ",", lineterminator="\r\n")
    table.writerow(map(safe_cell, given.headings))
    for place, row in enumerate(given.rows, 1):
        table.writerow(_text(cell, decimal) for cell in row)
        if place % 200 == 0:
            yield written.taken()
    yield written.taken()


class _Lines:
    """What a writer of CSV writes to: its lines, until they are taken."""

    def __init__(self) -> None:
        self._held: list[str] = []

    def write(self, text: str) -> None:
        """Hold a further line."""
        self._held.append(text)

    def taken(self) -> str:
        """The lines held, which are held no longer."""
        text = "".join(self._held)
        self._held.clear()
        return text


def _text(cell: Cell, decimal: str) -> str:
    if cell is None:
        return ""
    if isinstance(cell, Decimal):
        return f"{cell:f}".replace(".", decimal)
    return safe_cell(cell) if isinstance(cell, str) else str(cell)
