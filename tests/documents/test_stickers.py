"""Labels on sheets of stickers: each in a sticker of its own and on the page, whatever the sheet measures."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.documents.paper_case import text_of
from webapp.documents.printing.pdf import make_pdf
from webapp.documents.workshop.stickers import (
    KEPT_FREE,
    LEAST_TALL,
    LEAST_WIDE,
    PAGES,
    USUAL,
    StickerLabel,
    StickerSheet,
    faults_of,
    lay_labels,
    read_sheet,
    sticker_paper,
    write_sheet,
)
from webapp.persistence.settings.shop import Paper
from webapp.pictures.qr import qr_code

MM = 1_000_000


def label(number: int) -> StickerLabel:
    return StickerLabel("Birch plywood 18", f"{number} × 600 mm", ("Grain along the first measure", "Bay 3"), "")


@st.composite
def sheets(draw: Callable[[st.SearchStrategy[int]], int]) -> StickerSheet:
    paper: Paper = "A4" if draw(st.integers(0, 1)) else "Letter"
    sides = []
    for page, least in zip(PAGES[paper], (LEAST_WIDE, LEAST_TALL), strict=True):
        side = draw(st.integers(least, page))
        begins = draw(st.integers(0, page - side))
        pitch = side + draw(st.integers(0, 20 * MM))
        sides.append((1 + draw(st.integers(0, (page - begins - side) // pitch)), side, begins, pitch))
    (columns, width, left, across), (rows, height, top, down) = sides
    return StickerSheet(paper, columns, rows, width, height, left, top, across, down)


@given(sheets(), st.integers(1, 40), st.integers(1, 96))
def test_no_two_labels_meet_and_none_leaves_its_page(sheet: StickerSheet, number: int, first: int) -> None:
    assert faults_of(sheet, "metric") == {}
    first = min(first, sheet.on_one)
    wide, tall = (side / MM for side in PAGES[sheet.paper])
    pages = list(lay_labels([label(one) for one in range(number)], sheet, first))
    assert [one.label.size for page in pages for one in page] == [label(one).size for one in range(number)]
    assert len(pages[0]) == min(number, sheet.on_one - first + 1)
    for page in pages:
        boxes = [tuple(map(float, (one.left, one.top, one.width, one.height))) for one in page]
        for place, (x, y, w, h) in enumerate(boxes):
            assert x >= 0 <= y
            assert x + w <= wide
            assert y + h <= tall
            for x2, y2, w2, h2 in boxes[place + 1 :]:
                assert x + w <= x2 or x2 + w2 <= x or y + h <= y2 or y2 + h2 <= y


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_usual_sheets_are_sheets_that_can_be(paper: Paper) -> None:
    sheet = USUAL[paper]
    assert faults_of(sheet, "metric") == {}
    assert read_sheet(write_sheet(sheet)) == sheet
    assert min(sheet.width, sheet.height) > KEPT_FREE * 2


def test_a_sheet_that_can_not_be_is_named_by_its_fields() -> None:
    usual = USUAL["A4"]
    wrong = StickerSheet("A4", 3, 8, 80 * MM, 10 * MM, 0, 0, 70 * MM, 37 * MM)
    assert set(faults_of(wrong, "metric")) == {"height", "across", "columns"}
    tall = StickerSheet("A4", 3, 9, usual.width, usual.height, 0, 0, usual.across, usual.down)
    assert faults_of(tall, "metric")["rows"] == "9 below each other reach 333 mm; the page is 297 mm tall."


def test_labels_are_printed_one_to_a_sticker() -> None:
    coded = StickerLabel("Ash stick", "1200 mm", ("Bay 1",), qr_code("http://shop.test/rack/1", "This offcut"))
    html = sticker_paper("Labels", "A shop", "2026-11-02", [coded, label(900)], USUAL["A4"], 24)
    printed = make_pdf(html)
    said = text_of(printed)
    # The last sticker of one sheet, the first of the next.
    assert said.index("Ash stick") < said.index("Birch plywood 18")
    for words in ("Ash stick", "1200 mm", "Birch plywood 18", "Bay 3"):
        assert words in said
