"""The cut list as a table: by hand, in both units, and opened again by a program that had no part in writing it."""

from __future__ import annotations

from decimal import Decimal
from io import BytesIO

import pytest
from openpyxl import load_workbook

from tests.costing.short_form.rack import RACK
from tests.documents.bench.bench_case import document_of, work_of
from webapp.costing.measures.quantities import System
from webapp.documents.bench.cut_table import cut_table
from webapp.given_workbook import as_workbook


def test_the_rows_of_a_rack_by_hand() -> None:
    """Two racks: sides of 800 x 300, a bottom and a shelf of 500 x 300, all of 17.8 and without a band."""
    given = cut_table(work_of(document_of(RACK), 2), "Cut list")
    assert given.headings == (
        "No.", "Part", "Item", "Pieces", "Length, mm", "Width, mm", "Thickness, mm", "Blank length, mm",
        "Blank width, mm", "Material", "Grain", "Edges banded", "Shape",
    )  # fmt: skip
    rows = list(given.rows)
    long, wide, thick = Decimal(800), Decimal(300), Decimal("17.8")
    assert rows[0][:9] == (1, "Side", "", 4, long, wide, thick, long, wide)
    assert [(row[1], row[3], row[4]) for row in rows[1:]] == [("Bottom", 2, Decimal(500)), ("Shelf", 2, Decimal(500))]
    assert {row[9] for row in rows} == {"Birch-faced plywood 18 mm"}


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize("name", ["hollow_core_top", "tool_cart", "trestle_bench", "tube_frame_bench"])
def test_the_workbook_opens_again_equal_with_sizes_as_numbers(name: str, system: System) -> None:
    given = cut_table(work_of(name, 3, system), "Cut list of job 7")
    rows = list(given.rows)
    sheet = load_workbook(BytesIO(as_workbook(cut_table(work_of(name, 3, system), "Cut list of job 7")))).worksheets[0]
    read = [[cell.value for cell in row] for row in sheet.iter_rows()]
    assert tuple(read[0]) == given.headings
    assert ("Length, in" in given.headings) == (system == "inch")
    assert len(read) == len(rows) + 1
    for back, row in zip(read[1:], rows, strict=True):
        for cell, sent in zip(back, row, strict=True):
            if isinstance(sent, Decimal):
                assert isinstance(cell, int | float)
                assert Decimal(str(cell)) == sent
            else:
                assert (cell or "") == (sent or "")


def test_inches_are_whole_sixty_fourths() -> None:
    for row in cut_table(work_of("trestle_bench", 1, "inch"), "Cut list").rows:
        for size in row[4:6]:
            assert isinstance(size, Decimal)
            assert (size * 64) % 1 == 0
