"""Sheets of plain cells as somebody sent them, and where in one the table begins: beneath titles, blank rows and a
heading of one row or two."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.costing.tables.table import Number as Number
from webapp.costing.tables.table import plain_heading

#: So many rows are looked through for a heading; what stands above it are titles and addresses.
MOST_ABOVE: Final = 60
#: So many rows beneath tell what a column holds.
LOOKED_AT: Final = 200
#: What stands for a formula whose value the file doesn't say.
VALUELESS: Final = "="
#: A heading is told by its words; a cell with more signs is a sentence.
LONGEST_HEADING: Final = 80

_NUMBER: Final = re.compile(
    r"(?:[A-Z]{3}|[^\w\s]{1,2}|kr\.?|zł)?\s*[-+]?[0-9][0-9.,'\u2019\u00a0\u202f\u2009 ]*(?:[-\u2013]{1,2})?"
    r"\s*(?:%|[A-Z]{3}|[^\w\s]{1,2}|kr\.?|zł)?(?:\s*/.*)?"
)


@dataclass(frozen=True, slots=True)
class SheetRow:
    """A row that holds anything: its place in the file, and its cells."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet; of a hidden one no rows are read. `valueless` are formulas whose value the file doesn't say."""

    name: str
    rows: tuple[SheetRow, ...]
    hidden: bool = False
    valueless: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Headed:
    """A sheet with its heading: the words over each column, the rows above it, and those beneath."""

    headings: tuple[str, ...]
    above: tuple[SheetRow, ...]
    beneath: tuple[SheetRow, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The headings as columns are told by them."""
        return tuple(map(plain_heading, self.headings))


def is_number(cell: str) -> bool:
    """Whether a cell holds a number, as people and programs write them.

    >>> [is_number(one) for one in ("12,50 €", "1'250.-", "M6 x 40", "EUR 3.10", "")]
    [True, True, False, True, False]
    """
    if isinstance(cell, Number) or cell == VALUELESS:
        return True
    # Many spaces in a row could be parted among the parts of a number in as many ways as there are of them, cubed.
    return len(cell) <= LONGEST_HEADING and bool(_NUMBER.fullmatch(" ".join(cell.split())))


def headed_at(rows: Sequence[SheetRow], place: int) -> Headed:
    """The table whose heading is the row at a place; -1 where there is none, and nobody named the columns."""
    if place < 0:
        wide = max((len(row.cells) for row in rows), default=0)
        return Headed(("",) * wide, (), tuple(rows))
    heading, first = list(rows[place].cells), place
    if place and _heads_groups(rows[place - 1], rows[place]):
        heading, first = _joined(rows[place - 1].cells, rows[place].cells), place - 1
    wide = max(len(heading), max((len(row.cells) for row in rows[place + 1 : place + LOOKED_AT]), default=0))
    heading += [""] * (wide - len(heading))
    return Headed(tuple(heading), tuple(rows[:first]), tuple(rows[place + 1 :]))


def find_heading(rows: Sequence[SheetRow]) -> int:
    """The place of the row that heads the table, or -1 where no row does.

    It is the last row of words above the first row that has a number in a column of numbers.
    """
    looked = rows[: MOST_ABOVE + LOOKED_AT]
    several = [row for row in looked if _filled(row) > 1]
    numeric = {at for at in range(max((len(row.cells) for row in several), default=0)) if _is_numeric(several, at)}
    first = next(
        (
            place
            for place, row in enumerate(looked)
            if _filled(row) > 1 and any(at in numeric and is_number(cell) for at, cell in enumerate(row.cells))
        ),
        len(looked),
    )
    for place in range(min(first, len(looked)) - 1, -1, -1):
        if _filled(looked[place]) > 1 and _is_words(looked[place]):
            return place
    return -1


def find_named(rows: Sequence[SheetRow], wanted: Iterable[str]) -> int:
    """The place of the first row among whose headings all the wanted ones stand, or -1."""
    names = set(wanted)
    for place in range(min(len(rows), MOST_ABOVE)):
        if names <= set(map(plain_heading, rows[place].cells)):
            return place
        if place and _heads_groups(rows[place - 1], rows[place]):
            joined = map(plain_heading, _joined(rows[place - 1].cells, rows[place].cells))
            if names <= set(joined):
                return place
    return -1


def _filled(row: SheetRow) -> int:
    return sum(1 for cell in row.cells if cell.strip())


def _is_numeric(rows: Sequence[SheetRow], at: int) -> bool:
    held = [row.cells[at] for row in rows if at < len(row.cells) and row.cells[at].strip()]
    # The first may head the others.
    beneath = held if held and is_number(held[0]) else held[1:]
    return len(beneath) > 0 and sum(map(is_number, beneath)) * 2 >= len(beneath)


def _is_words(row: SheetRow) -> bool:
    return all(len(cell) <= LONGEST_HEADING and not is_number(cell) for cell in row.cells if cell.strip())


def _heads_groups(upper: SheetRow, lower: SheetRow) -> bool:
    """Whether a row of words over a heading belongs to it: it fills what the heading leaves empty, or spans parts."""
    words = _filled(upper) > 1 and _is_words(upper) and _is_words(lower) and upper.number == lower.number - 1
    # A title with its year or day is none of the heading.
    return words and not any(sign.isdigit() for cell in upper.cells for sign in cell)


def _joined(upper: Sequence[str], lower: Sequence[str]) -> list[str]:
    """Two rows of a heading as one: what heads a group stands before the words of each of its columns."""
    heading: list[str] = []
    over = ""
    for at in range(max(len(upper), len(lower))):
        above = upper[at].strip() if at < len(upper) else ""
        below = lower[at].strip() if at < len(lower) else ""
        if above or not below:
            over = above
        heading.append(" ".join(filter(None, (over, below))))
    return heading
