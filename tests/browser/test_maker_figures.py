"""In Chromium: a figure of a design being made is opened by key, follows what is changed, and is put away; the list of
faults leads to their rows, and what is said there keeps its place in the row."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import OpenPage
from tests.harness.made_by_hand import Maker
from tests.harness.serving import LiveServer, sign_in


def _begin(page: Page, server: LiveServer, of: str, name: str) -> Maker:
    sign_in(page, server)
    page.goto(f"{server.url}/maker")
    page.get_by_label("What it is called").fill(name)
    page.get_by_label("Begin from").select_option(of)
    page.get_by_role("button", name="Begin").click()
    page.wait_for_url("**/maker/*-*")
    return Maker(page, server)


def test_a_figure_opens_by_key_follows_a_change_and_is_put_away(live_server: LiveServer, browser_page: Page) -> None:
    maker = _begin(browser_page, live_server, "drying_rack", "Rack whose weight is asked")
    weight, working = browser_page.locator("#now-weight a"), browser_page.locator("#working")
    weight.focus()
    browser_page.keyboard.press("Enter")
    expect(working.locator("h2")).to_be_visible()
    assert working.locator("tbody tr").count() > 0
    first = working.locator(".worked").inner_text()
    assert_no_barrier(browser_page)
    before = maker.answers()
    browser_page.locator("#row-sizes-width-usual").fill("1000 mm")
    browser_page.locator("#new-row").focus()
    maker.answered(before)
    # It stays open over the change, and once nothing waits it is that of the design as it is by now.
    expect(working.locator(".worked")).not_to_have_text(first)
    browser_page.get_by_role("button", name="Put away").click()
    expect(working).to_be_empty()
    expect(weight).to_be_focused()
    before = maker.answers()
    browser_page.locator("#undo-step").click()
    maker.answered(before)
    expect(working).to_be_empty()


@pytest.mark.parametrize("width", [1280, 390])
def test_each_fault_is_led_to_and_its_list_is_in_no_ones_way(
    live_server: LiveServer, open_page: OpenPage, width: int
) -> None:
    page = open_page(width=width)
    maker = _begin(page, live_server, "bench_cabinet", f"Cabinet that overlaps at {width}")
    before = maker.answers()
    page.locator("#row-parts-bottom-length").fill("width")
    page.locator("#new-row").focus()
    maker.answered(before)
    faults = page.locator("#faults summary")
    expect(faults).to_have_text("2, each at its row")
    faults.focus()
    page.keyboard.press("Enter")
    listed = page.locator("#faults ol")
    expect(listed).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    box = listed.bounding_box()
    assert box is not None
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= width
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(listed).to_be_hidden()
    side = page.locator("#row-parts-side")
    expect(side).to_be_in_viewport()
    # What is said stands within its row, with no frame of its own laid over it.
    said = side.locator(".said").first
    assert said.evaluate("one => getComputedStyle(one).position") == "relative"
    assert said.evaluate("one => getComputedStyle(one).borderTopWidth") == "0px"
    fold = side.locator(".row-more summary")
    expect(fold).to_have_accessible_name("Rename, remove Side, its remark and the row as a line")
    words, bounds = side.locator(".sen").bounding_box(), fold.bounding_box()
    assert words is not None
    assert bounds is not None
    assert bounds["x"] >= words["x"] + words["width"] or bounds["y"] >= words["y"] + words["height"]


def test_without_script_a_figure_opens_on_a_page_of_its_own(live_server: LiveServer, open_page: OpenPage) -> None:
    page = open_page(script=False)
    _begin(page, live_server, "drying_rack", "Rack without script")
    page.locator("#now-price a").click()
    expect(page.get_by_role("heading", name="How a figure was worked out")).to_be_visible()
    page.get_by_role("link", name="Rack without script").click()
    expect(page.locator("#maker")).to_be_visible()
