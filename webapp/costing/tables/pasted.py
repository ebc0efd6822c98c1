"""Rows pasted from a spreadsheet, each taken as an entry of a form or left with the sentence why; none is lost."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from webapp.costing.measures.manner import DecimalSign, manner
from webapp.costing.measures.typed_numbers import as_in_table, evident_decimal
from webapp.costing.tables.sheets import MOST_ABOVE, Number, Sheet
from webapp.costing.tables.table import Column, Row, Table, TableRefused, find_columns, read_rows

#: Tells of a row's number, its cells by column and the table: the entry that it makes, and what is wrong with it.
Judge = Callable[[int, dict[str, str], Table], tuple[Mapping[str, str], str]]


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
        said = [self.problem, *(row.problem for row in self.left)]
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
    text: str, columns: Sequence[Column], usual: Sequence[str], judge: Judge, room: int, most: str,
    numbers: Sequence[str] = (),
) -> Pasted:  # fmt: skip
    """Read pasted rows. `room` is how many more there may be, `most` how one says that there are too many.

    The cells under `numbers` are made plain; which sign their decimals have is decided for all of the rows at once.
    """
    try:
        rows = read_rows(text)
    except TableRefused as error:
        return Pasted((), problem=str(error))
    table = find_columns(rows, columns, usual)
    cells = [told for row in table.rows for name, told in table.cells_of(row).items() if name in numbers]
    plain = Plain(frozenset(numbers), evident_decimal(cells))
    found: list[PastedRow] = []
    for row in table.rows:
        read = _read(row, table, judge, plain)
        if not read.problem:
            room -= 1
            if room < 0:
                read = PastedRow(read.number, read.text, read.entry, f"Row {read.number}: {most}")
        found.append(read)
    return Pasted(tuple(found), rows[0].text if table.headed else "", table.unused)


def as_pasted(sheets: Sequence[Sheet], columns: Sequence[Column]) -> str:
    """The first sheet in sight that holds anything, as its rows would be pasted, from the row on whose cells head these
    columns; titles above it are left out. A number of a workbook is written as the shop writes it.

    >>> from webapp.costing.tables.sheets import Number, SheetRow
    >>> rows = (SheetRow(1, ("Our materials",)), SheetRow(2, ("Name", "Kind")), SheetRow(3, ("Oak", "board")))
    >>> as_pasted([Sheet("", rows)], (Column("name", ()), Column("kind", ())))
    'Name\\tKind\\nOak\\tboard'
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
    decimal = manner().decimal

    def written(cell: str) -> str:
        bare = " ".join(cell.split())
        return bare.replace(".", decimal) if isinstance(cell, Number) else bare

    return "\n".join("\t".join(map(written, row.cells)) for row in rows[first:])


@dataclass(frozen=True, slots=True)
class Plain:
    """Which cells hold numbers, and the sign of their decimals where the rows show it."""

    columns: frozenset[str]
    decimal: DecimalSign | None

    def of(self, name: str, cell: str) -> str:
        """A cell as an entry holds it."""
        return as_in_table(cell, self.decimal) if name in self.columns else cell


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
