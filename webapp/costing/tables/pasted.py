"""Rows pasted from a spreadsheet, each taken as an entry of a form or left with the sentence why; none is lost."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.costing.measures.manner import DecimalSign, manner
from webapp.costing.measures.typed_numbers import as_in_table, evident_decimal
from webapp.costing.tables.sheets import MOST_ABOVE, Sheet
from webapp.costing.tables.table import (
    MOST_LINES,
    Column,
    Number,
    Row,
    Table,
    TableRefused,
    find_columns,
    read_rows,
)

#: Tells of a row's number, its cells by column and the table: the entry that it makes, and what is wrong with it.
Judge = Callable[[int, dict[str, str], Table], tuple[Mapping[str, str], str]]


#: Of so many rows it is said why they stay; of further ones that they do.
MOST_SAID: Final = 60


@dataclass(frozen=True, slots=True)
class PastedRow:
    """One row: its line, as it was written, as an entry of a form, and why it is left, if it is."""

    number: int
    text: str
    entry: Mapping[str, str]
    problem: str = ""


@dataclass(frozen=True, slots=True)
class Pasted:
    """What was pasted, read. `problem` is of all of it, `unused` are headings that nobody knows."""

    rows: tuple[PastedRow, ...]
    heading: str = ""
    unused: tuple[str, ...] = ()
    problem: str = ""

    @property
    def taken(self) -> tuple[PastedRow, ...]:
        """The rows that are entries."""
        return tuple(row for row in self.rows if not row.problem)

    @property
    def left(self) -> tuple[PastedRow, ...]:
        """The rows that are not, each with its sentence."""
        return tuple(row for row in self.rows if row.problem)

    @property
    def sentences(self) -> tuple[str, ...]:
        """What is to be said beside the box."""
        left = self.left
        said = [self.problem, *(row.problem for row in left[:MOST_SAID])]
        if len(left) > MOST_SAID:
            said.append(f"{len(left) - MOST_SAID} further rows stay as well.")
        if self.unused and self.rows:
            said.append(f"Not used of the heading: {', '.join(self.unused)}.")
        return tuple(filter(None, said))

    def left_text(self, text: str) -> str:
        """What stays in the box of the text that was pasted: the rows left, beneath their heading."""
        if self.problem:
            return text
        left = [row.text for row in self.left]
        return "\n".join([self.heading, *left] if left and self.heading else left)


def read_pasted(
    pasted: str | Sequence[Row], columns: Sequence[Column], usual: Sequence[str], judge: Judge, room: int, most: str,
    numbers: Sequence[str] = (),
) -> Pasted:  # fmt: skip
    """Read pasted rows, or those of a sheet. `room` is how many more there may be, `most` how one says that there are
    too many: no row beyond that is judged.

    The cells under `numbers` are made plain; which sign their decimals have is decided for all of the rows at once.
    """
    try:
        rows = read_rows(pasted) if isinstance(pasted, str) else pasted
    except TableRefused as error:
        return Pasted((), problem=str(error))
    if len(rows) > MOST_LINES:
        return Pasted((), problem=f"There are {len(rows)} rows; at most {MOST_LINES} are read at once.")
    table = find_columns(rows, columns, usual)
    cells = [
        told
        for row in table.rows
        for name, told in table.cells_of(row).items()
        if name in numbers and not isinstance(told, Number)
    ]
    plain = Plain(frozenset(numbers), evident_decimal(cells))
    found: list[PastedRow] = []
    for row in table.rows:
        if room > 0:
            found.append(_read(row, table, judge, plain))
            room -= not found[-1].problem
        else:
            found.append(PastedRow(row.number, row.text, {}, f"Row {row.number}: {most}"))
    return Pasted(tuple(found), rows[0].text if table.headed else "", table.unused)


def sheet_rows(sheets: Sequence[Sheet], columns: Sequence[Column]) -> tuple[Row, ...]:
    """The rows of the first sheet in sight that holds anything, from the one on whose cells head these columns; titles
    above it are left out. The text of each is as it would be pasted, a number of a workbook as the shop writes it.

    >>> from webapp.costing.tables.sheets import SheetRow
    >>> rows = (SheetRow(1, ("Our materials",)), SheetRow(2, ("Name", "Kind")), SheetRow(3, ("Oak", "board")))
    >>> [row.text for row in sheet_rows([Sheet("", rows)], (Column("name", ()), Column("kind", ())))]
    ['Name\\tKind', 'Oak\\tboard']
    """
    rows = next((sheet.rows for sheet in sheets if sheet.rows), ())
    first = next(
        (
            place
            for place, row in enumerate(rows[:MOST_ABOVE])
            if find_columns([Row(row.number, "", row.cells)], columns, ()).headed
        ),
        0,
    )
    return tuple(Row(row.number, "\t".join(map(_as_pasted, row.cells)), row.cells) for row in rows[first:])


def _as_pasted(cell: str) -> str:
    if isinstance(cell, Number):
        return cell.replace(".", manner().decimal)
    bare = " ".join(cell.split())
    doubled = bare.replace('"', '""')
    return f'"{doubled}"' if '"' in bare else bare


@dataclass(frozen=True, slots=True)
class Plain:
    """Which cells hold numbers, and the sign of their decimals where the rows show it."""

    columns: frozenset[str]
    decimal: DecimalSign | None

    def of(self, name: str, cell: str) -> str:
        """A cell as an entry holds it."""
        return as_in_table(cell, self.decimal) if name in self.columns and not isinstance(cell, Number) else str(cell)


def _read(row: Row, table: Table, judge: Judge, plain: Plain) -> PastedRow:
    entry = {name: plain.of(name, cell) for name, cell in table.cells_of(row).items() if cell}
    problem = ""
    if len(row.cells) < 2:
        problem = "nothing parts its cells; tabs, semicolons or commas do."
    elif table.too_many(row):
        problem = (
            f"it has {len(row.cells)} cells for {len(table.columns)} columns. A comma within a number parts it in two: "
            "paste from the spreadsheet itself, or part the cells by semicolons."
        )
    if problem:
        return PastedRow(row.number, row.text, entry, f"Row {row.number}, “{row.text[:60].strip()}”: {problem}")
    made, wrong = judge(row.number, entry, table)
    return PastedRow(row.number, row.text, made, wrong)
