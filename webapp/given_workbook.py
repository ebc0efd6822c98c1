"""A table that leaves the house as an XLSX workbook: numbers as numbers, days as days, no cell a formula."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from io import BytesIO
from typing import Any, Final

from xlsxwriter import Workbook

from webapp.costing.tables.given import Cell, Given

#: So wide, in signs, is a column at least and at most.
_NARROW, _WIDE = 8, 60
#: The longest text that a cell holds (ECMA-376, Office Open XML, 2016).
LONGEST_CELL: Final = 32_767
#: The name of a sheet holds no more signs than these, and none of those (the same).
_LONGEST_NAME: Final = 31
_NOT_IN_NAMES: Final = str.maketrans(dict.fromkeys("[]:*?/\\", " "))
#: A workbook says when it was made; ours say the same day always, so that one table is one file.
_MADE: Final = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)


def as_workbook(given: Given) -> bytes:
    """The table as a workbook; its heading stays in sight."""
    packed = BytesIO()
    # Row by row, so that a long table is not held as cells.
    with Workbook(packed, {"constant_memory": True}) as book:
        book.set_properties({"created": _MADE})
        sheet = book.add_worksheet(given.name.translate(_NOT_IN_NAMES)[:_LONGEST_NAME].strip("' ") or "Table")
        bold, day = book.add_format({"bold": True}), book.add_format({"num_format": "yyyy-mm-dd"})
        sheet.freeze_panes(1, 0)
        for at, heading in enumerate(given.headings):
            sheet.set_column(at, at, min(_WIDE, max(_NARROW, len(heading) + 2)))
            sheet.write_string(0, at, heading[:LONGEST_CELL], bold)
        for row, cells in enumerate(given.rows, 1):
            for at, cell in enumerate(cells):
                if isinstance(cell, date):
                    sheet.write_datetime(row, at, datetime(cell.year, cell.month, cell.day), day)
                else:
                    _write(sheet, row, at, cell)
    return packed.getvalue()


def _write(sheet: Any, row: int, at: int, cell: Cell) -> None:
    if isinstance(cell, (int, Decimal)):
        sheet.write_number(row, at, cell)
    elif isinstance(cell, str) and cell:
        sheet.write_string(row, at, cell[:LONGEST_CELL])
