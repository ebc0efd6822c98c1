"""In Chromium, as a new user would: a past bench priced again, one kept as a design, and the way to a first quote."""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from playwright.sync_api import Page, Route, expect
from pypdf import PdfReader

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import NET, OpenPage, next_page, wait_until
from tests.harness.hand import Hand
from tests.harness.serving import LiveServer, sign_in

#: What a past bench in three other sizes may cost, from the start page to its price.
MOST_ACTIONS = 8
#: From an empty store to a first quote whose rates are the shop's own.
MOST_FROM_NOTHING = 26


def test_a_past_bench_in_three_other_sizes_has_its_price_in_few_actions(
    live_server: LiveServer, browser_page: Page
) -> None:
    sign_in(browser_page, live_server)
    browser_page.goto(live_server.url)
    hand = Hand(browser_page)
    hand.click(browser_page.get_by_role("link", name="Price on the telephone"))
    hand.fill(browser_page.locator("#words"), "cabinets 850")
    hand.enter()
    expect(browser_page.get_by_label("Overall width")).to_be_focused()
    before = browser_page.locator("#spoken-price").inner_text()
    for text in ("1100 mm", "700 mm"):
        hand.type(text)
        hand.enter()
    hand.type("900 mm")
    expect(browser_page.locator("#spoken-price")).not_to_have_text(before)
    expect(browser_page.get_by_text("Price, as charged")).to_be_visible()
    print(f"{hand.actions} actions")
    assert hand.actions <= MOST_ACTIONS
    # And as a job of its own, with the sizes that were typed.
    hand.click(browser_page.get_by_role("button", name="Keep as a job"))
    browser_page.wait_for_url(re.compile(r"/jobs/\d+$"))
    expect(browser_page.locator("#items-bench-sizes-height")).to_have_value("900 mm")


def test_a_job_is_kept_as_a_design_and_used(live_server: LiveServer, browser_page: Page) -> None:
    sign_in(browser_page, live_server)
    browser_page.goto(f"{live_server.url}/jobs/2")
    browser_page.locator("#items-cabinets-sizes-width").fill("780 mm")
    browser_page.get_by_role("button", name="Keep as a design").click()
    browser_page.wait_for_url(re.compile("/items/cabinets/design$"))
    expect(browser_page.locator(".text-lines ins").filter(has_text="width: Overall width; 780 mm")).to_have_count(1)
    assert_no_barrier(browser_page)
    browser_page.get_by_label("Name").fill("Glaze-room cabinet")
    browser_page.get_by_label("Code of a new design").fill("glaze_cabinet")
    browser_page.get_by_role("button", name="Keep the design").click()
    browser_page.wait_for_url(re.compile("/designs/glaze_cabinet$"))
    expect(browser_page.get_by_role("heading", name="Glaze-room cabinet").first).to_be_visible()
    with next_page(browser_page):
        browser_page.get_by_role("link", name="Make a job from it").click()
    expect(browser_page.get_by_label("Overall width")).to_have_value("780 mm")
    # Another start brings its own sizes, and the title typed meanwhile stays.
    browser_page.get_by_label("What the job is called").fill("Two more")
    browser_page.get_by_label("Design or past job").select_option(label="Trestle bench")
    expect(browser_page.get_by_label("Overall length")).to_have_value("1800 mm")
    browser_page.get_by_label("Design or past job").select_option(label="Glaze-room cabinet")
    expect(browser_page.get_by_label("Overall width")).to_have_value("780 mm")
    assert_no_barrier(browser_page)
    browser_page.get_by_role("button", name="Make the job").click()
    browser_page.wait_for_url(re.compile(r"/jobs/\d+$"))
    expect(browser_page.locator("h1:visible")).to_contain_text("Two more")
    expect(browser_page.locator("#items-glaze_cabinet-sizes-width")).to_have_value("780 mm")


def test_what_is_chosen_before_the_script_is_there_is_heard(live_server: LiveServer, browser_page: Page) -> None:
    """On a slow line a page can be seen, and used, before its script has come."""
    sign_in(browser_page, live_server)
    held = list[Route]()
    browser_page.route("**/htmx.min.js*", lambda route: held.append(route))
    browser_page.goto(f"{live_server.url}/jobs/new", wait_until="commit")
    browser_page.get_by_label("What the job is called").fill("For the kiln room")
    browser_page.get_by_label("Design or past job").select_option(label="Trestle bench")
    expect(browser_page.get_by_label("Overall length")).to_have_count(0)
    wait_until(browser_page, lambda: len(held) == 1)
    held[0].continue_()
    expect(browser_page.get_by_label("Overall length")).to_have_value("1800 mm")
    expect(browser_page.get_by_label("What the job is called")).to_have_value("For the kiln room")

    # So do the sums of a job follow what was typed meanwhile.
    browser_page.goto(f"{live_server.url}/jobs/2", wait_until="commit")
    price = browser_page.locator(NET)
    before = price.inner_text()
    expect(price).to_have_text(before)
    browser_page.locator("#items-cabinets-sizes-width").fill("780 mm")
    wait_until(browser_page, lambda: len(held) == 2)
    held[1].continue_()
    expect(price).not_to_have_text(before)


@pytest.mark.parametrize("late", ["page.js", "htmx.min.js"])
def test_enter_takes_the_first_bench_before_the_script_is_there(
    live_server: LiveServer, browser_page: Page, late: str
) -> None:
    sign_in(browser_page, live_server)
    held = list[Route]()
    browser_page.route(f"**/{late}*", lambda route: route.continue_() if held else held.append(route))
    browser_page.goto(f"{live_server.url}/price", wait_until="commit")
    browser_page.locator("#words").fill("cabinets 850")
    browser_page.locator("#words").press("Enter")
    expect(browser_page.get_by_label("Overall width")).to_be_focused()


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without script"])
def test_from_nothing_to_a_printed_quote(live_empty_server: LiveServer, open_page: OpenPage, script: bool) -> None:
    """A shop and rates of one's own, prices of one's own, one of the starters; with script as wide as a telephone."""
    page = open_page(script=script, width=390 if script else 1280)
    hand = Hand(page)
    page.goto(live_empty_server.url)
    expect(page.get_by_label("Start with our designs and a list of common materials")).to_be_checked()
    if script:
        assert_no_barrier(page)
    hand.fill(page.get_by_label("Name of the shop"), "Beam and Bolt")
    hand.fill(page.get_by_label("An hour of work costs"), "39.50")
    hand.fill(page.get_by_label("Overhead for each hour"), "17")
    hand.fill(page.get_by_label("Tax on what you charge"), "8.25")
    hand.fill(page.get_by_label("Margin, of the price"), "24")
    hand.fill(page.get_by_label("Name to sign in with"), "Ines")
    hand.fill(page.get_by_label("Password", exact=False).first, "long enough for this")
    hand.fill(page.get_by_label("Password again"), "long enough for this")
    hand.click(page.get_by_role("button", name="Set up the shop"))
    page.wait_for_url(f"{live_empty_server.url}/")
    if script:
        assert_no_barrier(page)
    expect(page.locator(".state-done")).to_have_count(2)
    with next_page(page):
        hand.click(page.get_by_role("link", name="Prices for Wall storage on a rail"))
    if script:
        assert_no_barrier(page)
    hand.fill(page.get_by_label("Sold by", exact=True).first, "Millside Timber")
    prices = page.locator("table").first.locator("input[name^='offer.'][name$='.price']")
    for place in range(prices.count()):
        hand.fill(prices.nth(place), f"{8 + place}.40")
    with next_page(page):
        hand.enter()
    # Every price is there, so a job comes next, of what was priced.
    hand.fill(page.get_by_label("New customer"), "Kiln Yard Pottery")
    hand.click(page.get_by_role("button", name="Make the job"))
    page.wait_for_url(re.compile(r"/jobs/1$"))
    expect(page.locator(".bar")).not_to_contain_text("incomplete")
    hand.click(page.get_by_role("button", name="Issue quote").first)
    page.wait_for_url(re.compile("/jobs/1/issue$"))
    expect(page.get_by_role("checkbox")).to_have_count(0)
    hand.click(page.get_by_role("button", name="Issue quote"))
    page.wait_for_url(re.compile("/quotes/"))
    assert hand.actions <= MOST_FROM_NOTHING
    with page.expect_download() as download:
        page.get_by_role("link", name="Quote as issued, PDF").click()
    text = " ".join(sheet.extract_text() for sheet in PdfReader(BytesIO(download.value.path().read_bytes())).pages)
    assert "Beam and Bolt" in text
    assert "Kiln Yard Pottery" in text
    assert "Total to pay" in text
    assert "8.25 %" in text
    page.goto(live_empty_server.url)
    expect(page.locator(".first-steps")).to_have_count(0)
    # The rates are the shop's own, and what is not is said to be the program's.
    page.goto(f"{live_empty_server.url}/jobs/1/working/setting/labour_maker")
    expect(page.locator("#working")).to_contain_text("39.50")
    expect(page.locator("#working")).to_contain_text("set by Ines")
