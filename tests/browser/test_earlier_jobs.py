"""In Chromium, as a new user: a sheet of thirty past jobs comes along, and one is found by a word and a size."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Final

from playwright.sync_api import expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import OpenPage, next_page
from tests.harness.hand import Hand
from tests.harness.serving import LiveServer, sign_in
from tests.harness.workbooks import Cell, workbook

#: The list of jobs, jobs from before, bring a sheet, its file, show, keep; then the word and the size.
MOST: Final = 8
WHAT: Final = ("Glaze table", "Tool chest", "Kiln cart", "Book shelf", "Pot rack", "Stool")


def order_book(folder: Path) -> Path:
    rows: list[list[Cell]] = [["Our order book"], [], ["No.", "When", "What", "Size", "For", "Net", "Hours"]]
    for at in range(30):
        size = f"{900 + 50 * at} x {400 + 10 * at} mm"
        when, whom, price = (44_900.0 + 20 * at, "day"), f"Customer {at % 7}", 300.0 + 40 * at
        rows.append([float(at + 1), when, WHAT[at % 6], size, whom, price, 4.5 + at])
    rows.append([None, None, "Total", None, None, 26_400.0, None])
    path = folder / "order book.xlsx"
    path.write_bytes(workbook({"2023": rows}))
    return path


def test_thirty_past_jobs_come_along_and_one_is_found(
    live_server: LiveServer, open_page: OpenPage, tmp_path: Path
) -> None:
    page = open_page()
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/jobs")
    hand, began = Hand(page), time.monotonic()
    with next_page(page):
        hand.click(page.get_by_role("link", name="Jobs from before"))
    with next_page(page):
        hand.click(page.get_by_role("link", name="Bring a sheet along"))
    page.get_by_label("The sheet").set_input_files(order_book(tmp_path))
    hand.actions += 1
    with next_page(page):
        hand.click(page.get_by_role("button", name="Show what would come along"))
    expect(page.get_by_role("heading", name="What would be kept 30 jobs")).to_be_visible()
    expect(page.locator("#aside + ol")).to_contain_text("It adds up the others.")
    assert_no_barrier(page)
    with next_page(page):
        hand.click(page.get_by_role("button", name="Keep 30 jobs"))
    expect(page.get_by_text("30 jobs of order book.xlsx came along.")).to_be_visible()
    hand.fill(page.get_by_label("What, for whom or size"), "cart 1.9 m")
    rows = page.locator("#found tbody tr")
    expect(rows).to_have_count(1)
    expect(rows).to_contain_text("Kiln cart 1900 x 600 mm")
    expect(rows).to_contain_text("1,100.00")
    print(f"{hand.actions} actions, {time.monotonic() - began:.0f} s")
    assert hand.actions <= MOST
    assert_no_barrier(page)


def test_what_was_taken_for_such_benches_comes_beside_the_price(live_server: LiveServer, open_page: OpenPage) -> None:
    page = open_page(width=390, height=844)
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/jobs/4")
    such = page.locator("#such")
    expect(such).to_contain_text("What we took for such benches")
    expect(such.locator("li").first).to_contain_text("Bench cabinet")
    assert_no_barrier(page)
