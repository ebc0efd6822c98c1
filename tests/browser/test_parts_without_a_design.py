"""In Chromium: a list of parts typed and pasted on the job sheet, priced, saved, quoted, and in the workshop pack."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import NET, next_page, unfold
from tests.harness.serving import LiveServer, sign_in

BIRCH = "Birch-faced plywood 18 mm"
#: Five rows as they are copied from a spreadsheet, its heading with them; the third can't be taken.
PASTED = "\n".join(
    "\t".join(row)
    for row in (
        ("Part", "Qty", "Length", "Width", "Material", "Banded edges"),
        ("Side", "4", "1800", "300", BIRCH, "one long"),
        ("Plinth", "2", "764", "80", BIRCH, ""),
        ("Back", "2", "1800", "8oo", "Hardboard 3 mm", ""),
        ("Leg", "8", "120", "", "Square steel tube 40 x 40 x 2 mm", ""),
        ("Divider", "2", "1700", "300", "birch_plywood_18", "two long"),
    )
)


@pytest.fixture
def sheet(live_server: LiveServer, browser_page: Page) -> Page:
    """A new job of nothing yet, opened."""
    sign_in(browser_page, live_server)
    browser_page.goto(f"{live_server.url}/jobs/4")
    return browser_page


def fill_row(sheet: Page, row: str, *texts: str) -> None:
    for key, text in zip(("name", "count", "length", "width", "material"), texts, strict=True):
        sheet.locator(f"#items-parts_1-parts-{row}-{key}").fill(text)


def test_two_rows_typed_and_five_pasted_are_priced_saved_issued_and_packed(sheet: Page) -> None:
    sheet.locator("#items-cabinet").get_by_role("button", name="Remove").click()
    expect(sheet.locator("#items-cabinet")).to_have_count(0)
    sheet.get_by_role("button", name="Add parts without a design").click()
    fill_row(sheet, "new", "Shelf", "12", "800 mm", "300 mm", BIRCH)
    sheet.locator("#items-parts_1-parts-new-edges").select_option("two long")
    sheet.locator("#items-parts_1-parts-new-material").press("Enter")
    expect(sheet.locator("#items-parts_1-parts-1-name")).to_have_value("Shelf")
    before = sheet.locator(NET).inner_text()
    fill_row(sheet, "new", "Door", "2", "1780 mm", "396 mm", BIRCH)
    expect(sheet.locator(NET)).not_to_have_text(before)
    sheet.get_by_label("Edge band of the list").fill("Birch edge band 22 x 1 mm")
    sheet.get_by_label("Paste rows", exact=True).fill(PASTED)
    sheet.get_by_role("button", name="Take the rows").click()
    expect(sheet.locator("#items-parts_1-parts-6-name")).to_have_value("Divider")
    left = sheet.locator("#items-parts_1-left")
    for wide, tall in ((390, 844), (1280, 900)):
        sheet.set_viewport_size({"width": wide, "height": tall})
        assert_no_barrier(sheet, "#items-parts_1")
    expect(left).to_contain_text("“Back”: the width “8oo” can't be read as a length")
    expect(sheet.get_by_label("Paste rows", exact=True)).to_have_value(
        re.compile(r"^Part\tQty.*\nBack\t2\t1800\t8oo", re.DOTALL)
    )
    sheet.get_by_label("Paste rows", exact=True).fill(
        PASTED.replace("8oo", "800").split("\n")[0] + "\nBack\t2\t1800\t800\tHardboard 3 mm"
    )
    sheet.get_by_role("button", name="Take the rows").click()
    expect(sheet.locator("#items-parts_1-parts-7-name")).to_have_value("Back")
    expect(left).to_have_count(0)
    priced = sheet.locator(NET).inner_text()
    with next_page(sheet):
        sheet.get_by_role("button", name="Save").first.click()
    expect(sheet.locator(NET)).to_have_text(priced)
    expect(sheet.locator("#hours")).to_be_visible()
    with next_page(sheet):
        unfold(sheet, "#papers-menu")
        sheet.get_by_role("button", name="Workshop pack").click()
    expect(sheet.locator("main")).to_contain_text("Divider")
    sheet.go_back()
    with next_page(sheet):
        sheet.get_by_role("button", name="Issue quote").first.click()
    with next_page(sheet):
        sheet.get_by_role("button", name="Issue quote").click()
    expect(sheet.get_by_role("link", name="Quote as issued, PDF")).to_be_visible()
    expect(sheet.locator("main")).to_contain_text(priced)
