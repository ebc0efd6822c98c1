"""Pointing at the columns of a sheet: its first rows, with a choice over each column."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.costing.tables.sheets import Headed
from webapp.costing.tables.table import plain_cell

#: So many rows are shown beneath the headings, and so many signs of a cell.
SHOWN_ROWS: Final = 8
SHOWN_SIGNS: Final = 40


@dataclass(frozen=True, slots=True)
class ColumnShown:
    """One column: its heading, what it is pointed at as, and its first cells."""

    at: int
    heading: str
    role: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ColumnsShown:
    """The first rows of a sheet by their columns; `roles` are what one may point at them as, with words."""

    columns: tuple[ColumnShown, ...]
    rows: tuple[int, ...]
    roles: tuple[tuple[str, str], ...]


def columns_shown(headed: Headed, pointed: Sequence[str], roles: Sequence[tuple[str, str]]) -> ColumnsShown:
    """A table's columns as they are pointed at now."""
    rows = headed.beneath[:SHOWN_ROWS]
    columns = tuple(
        ColumnShown(
            at, head or f"column {at + 1}", role,
            tuple(plain_cell(row.cells[at])[:SHOWN_SIGNS] if at < len(row.cells) else "" for row in rows),
        )
        for at, (head, role) in enumerate(zip(headed.headings, pointed, strict=True))
    )  # fmt: skip
    return ColumnsShown(columns, tuple(row.number for row in rows), (("", "not used"), *roles))


def columns_pointed(headed: Headed, fields: Mapping[str, str]) -> tuple[str, ...]:
    """What somebody pointed at, as a form sent it."""
    return tuple(fields.get(f"column.{at}", "") for at in range(len(headed.headings)))
