"""In Chromium: a piece is pressed in the drawing, moved where it cannot lie, taken back, moved on and pinned."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import next_page, open_section, unfold
from tests.harness.serving import LiveServer, sign_in


def test_a_piece_is_moved_by_hand_and_the_price_follows_the_pin(live_server: LiveServer, browser_page: Page) -> None:
    page = browser_page
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/jobs/2")
    price = page.locator("#now-net").inner_text()
    with next_page(page):
        unfold(page, "#papers-menu")
        page.get_by_role("button", name="Cut plans").click()
    with next_page(page):
        page.get_by_role("link", name="Birch-faced plywood 15 mm").click()
    page.locator(".hand-plan .on-drawing").first.click()
    expect(page.locator("#in-hand")).to_be_focused()
    page.get_by_label("Push it by").fill("50 mm")
    page.get_by_role("button", name="Down", exact=True).click()
    expect(page.locator("#faults")).to_contain_text("on sheet 1 overlap by")
    expect(page.get_by_role("button", name="Pin this plan")).to_have_count(0)
    assert_no_barrier(page)
    page.get_by_role("button", name="Take back the last move").click()
    expect(page.locator("#faults")).to_have_count(0)
    # The mark in the corner of a sheet is pressed like the line in the list.
    page.locator(".hand-plan .place .on-drawing").first.click()
    expect(page.locator("#legal")).to_contain_text("It can be cut as it lies.")
    page.get_by_role("button", name=re.compile("^a new sheet, 2440 × 1220 mm")).click()
    expect(page.locator(".plan-facts")).to_contain_text(re.compile(r"Against the plan in use\s*[\d.,]+\sUSD\smore"))
    page.get_by_role("button", name="Pin this plan").click()
    expect(page.locator("#trial")).to_contain_text("The plan is pinned.")
    expect(page.locator(".plan-facts")).to_contain_text("pinned by hand, within")
    page.set_viewport_size({"width": 390, "height": 844})
    page.wait_for_function("() => window.innerWidth === 390 && document.documentElement.scrollWidth === 390")
    assert_no_barrier(page)
    page.set_viewport_size({"width": 1280, "height": 900})
    with next_page(page):
        page.get_by_role("link", name="Open the job").click()
    expect(page.locator("#now-net")).not_to_have_text(price)
    open_section(page, "materials")
    expect(page.locator("#material-birch_plywood_15")).to_contain_text("pinned by hand")
