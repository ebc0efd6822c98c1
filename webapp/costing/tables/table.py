"""Text -> rows of cells, each with its line and the text it was written as; and which column is which."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.costing.errors import CostingError
from webapp.costing.measures.quantities import QUANTITIES

LONGEST_CELL: Final = 200
#: A file that is sent has so many lines at most, and further columns of it are not read: price lists have some dozen.
MOST_LINES: Final = 50_000
MOST_COLUMNS: Final = 100
TOO_WIDE: Final = f"What stands behind its column {MOST_COLUMNS} was not read."
_LOOKED_AT: Final = 200

#: How a cell begins that a spreadsheet would work out.
_SIGNS_OF_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r", "\n")
#: An amount written to the whole is ended by strokes: 12,- or 12.--
_WHOLE: Final = re.compile(r"(?<=[0-9])[.,][-\u2013\u2014]{1,2}")
_GAPS: Final = re.compile(r"(?<=[0-9])[ \u00a0\u202f\u2009'\u2019](?=[0-9]{3}(?![0-9]))")
_IN_BRACKETS: Final = re.compile(r"(?P<words>.+?)\s*[\[(](?P<unit>[^\[\]()]+)[\])]")
#: The units that a heading may name, as they are printed, by how headings are compared.
_SYMBOLS: Final = {
    unit.symbol.casefold(): unit.symbol for quantity in QUANTITIES.values() for unit in quantity.units if unit.symbol
}
_UNIT: Final = re.compile(r"(?P<words>.*?)(?:\s+in)?[\s,]*[\[(]?\s*\b(?P<unit>mm|cm|m|in|inch|inches|ft|feet)\s*[\])]?")


class TableRefused(CostingError):
    """A text that can't be read as a table, with the sentence why."""


class Number(str):
    """A cell that the file itself holds as a number: a point for decimals, nothing between thousands."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Row:
    """One row: the line on which it ends, its text as it was written, and its cells as they were."""

    number: int
    text: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A column that is asked for: its name, and the words by which people head it."""

    name: str
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """The rows beneath a heading. `columns` name what stands in each place, '' where nothing of it is used; `units` are
    those that the heading gives, by column; `unused` are headings that nobody knows."""

    rows: tuple[Row, ...]
    columns: tuple[str, ...]
    units: Mapping[str, str]
    unused: tuple[str, ...]
    headed: bool

    def cells_of(self, row: Row) -> dict[str, str]:
        """The plain cells of a row by their column."""
        return {
            name: cell if isinstance(cell, Number) else plain_cell(cell)
            for name, cell in zip(self.columns, row.cells, strict=False)
            if name
        }

    def too_many(self, row: Row) -> bool:
        """Whether a row has something in cells that stand under no column."""
        return any(cell.strip() for cell in row.cells[len(self.columns) :])


def read_rows(text: str, columns: int | None = None) -> list[Row]:
    """The rows of a table that hold anything, parted by tabs, else by semicolons, else by bars, as half of them are at
    least, else by commas; of each row so many `columns` at most. Raises TableRefused where quotes leave the text
    unreadable.

    >>> [row.cells for row in read_rows("Shelf;800,5;300")]
    [('Shelf', '800,5', '300')]
    """
    lines = text.removeprefix("\ufeff").splitlines(keepends=True)
    place = next((at for at, line in enumerate(lines) if line.strip()), None)
    if place is None:
        return []
    delimiter = _parting(lines[place : place + _LOOKED_AT])
    # Inches are marked by quotes too: where those don't pair, they are signs like any other.
    quoted = text.count('"') % 2 == 0
    reader = csv.reader(
        lines[place:], delimiter=delimiter, quoting=csv.QUOTE_MINIMAL if quoted else csv.QUOTE_NONE
    )  # fmt: skip
    try:
        return list(_rows(reader, lines, place, columns))
    except csv.Error as error:
        raise TableRefused(f"Line {place + reader.line_num} can't be read as a table: {error}.") from error


def _parting(lines: Sequence[str]) -> str:
    """What parts the cells: titles and notes above or beneath a table needn't hold it."""
    held = [line for line in lines if line.strip()]
    return next((sign for sign in "\t;|" if sum(sign in line for line in held) * 2 >= len(held)), ",")


def _rows(reader: Iterator[list[str]], lines: Sequence[str], place: int, columns: int | None) -> Iterator[Row]:
    read = 0
    for cells in reader:
        end: int = reader.line_num  # type: ignore[attr-defined]
        written, read = "".join(lines[place + read : place + end]), end
        if any(cell.strip() for cell in cells):
            yield Row(place + end, written.rstrip("\r\n"), tuple(cells[:columns]))


def find_columns(rows: Sequence[Row], known: Sequence[Column], usual: Sequence[str]) -> Table:
    """Which column is which: by the first row where two of its cells or more are words that columns are headed by,
    in any order and with their unit in brackets or behind; else in the `usual` order."""
    if not rows:
        return Table((), tuple(usual), {}, (), False)
    heads = [plain_heading(cell) for cell in rows[0].cells]
    parted = [_head(head, known) for head in heads]
    if sum(name != "" for name, *_ in parted) < min(2, len(known)):
        return Table(tuple(rows), tuple(usual), {}, (), False)
    best: dict[str, int] = {}
    for name, _, rank in parted:
        # Of two columns of one name, as No. and Quantity, it is the one that is said more plainly.
        best[name] = min(rank, best.get(name, rank))
    columns: list[str] = []
    units: dict[str, str] = {}
    for name, unit, rank in parted:
        columns.append(name if name not in columns and rank == best[name] else "")
        if unit and columns[-1]:
            units[name] = unit
    unused = tuple(head for head, name in zip(heads, columns, strict=True) if head and not name)
    return Table(tuple(rows[1:]), tuple(columns), units, unused, True)


def _head(head: str, known: Sequence[Column]) -> tuple[str, str, int]:
    """The column that a heading names, the unit beside its words, and how plainly it names it, the lowest first."""
    for words, unit in ((head, ""), *_parted(head)):
        for column in known:
            said = (column.name, *column.words)
            if (word := words.strip(" .:#")) in said:
                return column.name, unit, said.index(word)
    return "", "", 0


def _parted(head: str) -> Iterator[tuple[str, str]]:
    """A heading parted into its words and the unit beside them: a length's in brackets or behind them, any other in
    brackets alone."""
    if found := _UNIT.fullmatch(head):
        yield found["words"], found["unit"]
    if (found := _IN_BRACKETS.fullmatch(head)) and found["unit"] in _SYMBOLS:
        yield found["words"], _SYMBOLS[found["unit"]]


def plain_heading(cell: str) -> str:
    """A heading as columns are told by it."""
    return " ".join(cell.replace("_", " ").casefold().split())


def plain_cell(cell: str) -> str:
    """What a cell says, in one line and in printable signs."""
    # A sheet sent out marks what would be taken for a formula; coming back, the mark goes.
    bare = cell.strip()
    cell = bare[1:] if bare.startswith("'") and bare[1:].startswith(_SIGNS_OF_FORMULA) else cell
    printable = cell if cell.isprintable() else "".join(sign if sign.isprintable() else " " for sign in cell)
    return " ".join(printable.split())


def amount_cell(cell: str) -> str:
    """What a cell says that holds an amount, without the strokes that end a whole one and the gaps between thousands.

    >>> amount_cell("12,-"), amount_cell("1 250.00")
    ('12', '1250.00')
    """
    return without_gaps(_WHOLE.sub("", plain_cell(cell)))


def without_gaps(number: str) -> str:
    """A number without the gaps between its thousands."""
    return _GAPS.sub("", number)


def safe_cell(text: str) -> str:
    """A text that no spreadsheet takes for a formula.

    >>> safe_cell("=1+1"), plain_cell(safe_cell("-5")), safe_cell("5")
    ("'=1+1", '-5', '5')
    """
    return f"'{text}" if text.startswith(_SIGNS_OF_FORMULA) else text
