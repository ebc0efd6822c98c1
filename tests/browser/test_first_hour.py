"""In Chromium, the first hour of an empty shop: a bench that was made, its prices, a rate put right, a cut drawing."""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from playwright.sync_api import Locator, Page, expect
from pypdf import PdfReader

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import OpenPage, next_page
from tests.harness.serving import LiveServer, sign_in

#: From an empty store to a cut drawing on the wall: set-up, a bench of ten materials, and a rate put right.
MOST_ACTIONS = 30


class Hand:
    """Does what a person does at a page, and counts it."""

    def __init__(self, page: Page) -> None:
        self.page, self.actions = page, 0

    def click(self, one: Locator) -> None:
        self.actions += 1
        with next_page(self.page):
            one.click()

    def fill(self, one: Locator, text: str) -> None:
        self.actions += 1
        one.fill(text)

    def enter(self) -> None:
        self.actions += 1
        with next_page(self.page):
            self.page.keyboard.press("Enter")


@pytest.mark.parametrize("script", [True, False], ids=["with script, on a phone", "without script"])
def test_from_an_empty_shop_to_a_cut_drawing_on_the_wall(
    live_empty_server: LiveServer, open_page: OpenPage, capsys: pytest.CaptureFixture[str], script: bool
) -> None:
    page = open_page(script=script, width=390 if script else 1280)
    hand = Hand(page)

    def assert_open_to_all() -> None:
        if script:
            assert_no_barrier(page)
            assert page.evaluate("document.documentElement.scrollWidth") <= 390

    page.goto(live_empty_server.url)
    for label, text in (
        ("Name of the shop", "Beam and Bolt"), ("An hour of work costs", "40"), ("Overhead for each hour", "18"),
        ("Tax on what you charge", "8"), ("Margin, of the price", "22"), ("Name to sign in with", "Ines"),
        ("Password again", "long enough for this"),
    ):  # fmt: skip
        hand.fill(page.get_by_label(label), text)
    hand.fill(page.get_by_label("Password", exact=False).first, "long enough for this")
    hand.click(page.get_by_role("button", name="Set up the shop"))
    assert_open_to_all()
    steps = page.locator(".first-steps > li")
    expect(page.locator(".state-done")).to_have_count(2)
    hand.click(steps.get_by_role("button", name="They are right"))
    expect(page.locator(".state-done")).to_have_count(3)
    hand.click(steps.get_by_role("link", name="Price a bench that you have made"))

    hand.actions += 1
    page.locator("#start").select_option(label="Wall storage on a rail")
    if script:
        expect(page.get_by_text("as it was made").first).to_be_visible()
    assert_open_to_all()
    hand.fill(page.locator("#took"), "1,150")
    hand.click(page.get_by_role("button", name="Hold it against the estimate"))
    expect(page).to_have_url(re.compile(r"/jobs/1/made-before$"))

    # Its prices come first, and no others, in one table.
    expect(page.get_by_role("heading", name="First its prices")).to_be_visible()
    assert_open_to_all()
    hand.fill(page.get_by_label("Sold by", exact=True).first, "Millside Timber")
    prices = page.locator("table input[name^='offer.'][name$='.price']")
    count = prices.count()
    for place in range(count):
        hand.fill(prices.nth(place), f"{7 + 2 * place}.40")
    hand.enter()

    # Three lines, one of which is kept.
    expect(page.locator("#difference")).to_contain_text("you took")
    expect(page.locator(".explains > li")).to_have_count(3)
    assert_open_to_all()
    kept = page.locator(".explains button").first
    verb = kept.inner_text()
    hand.click(kept)
    expect(page.locator("#difference")).to_contain_text("give what you took")
    expect(page.get_by_role("status").first).to_contain_text("Kept.")
    assert verb.startswith("Keep ")
    assert_open_to_all()

    # And up on the wall: it opens in the browser, from where it is printed.
    hand.actions += 1
    with page.expect_response(lambda answer: answer.url.endswith("/jobs/1/cut.pdf")) as opened:
        page.get_by_role("link", name="Cut drawing, PDF").click()
    assert opened.value.status == 200
    paper = PdfReader(BytesIO(page.context.request.get(f"{live_empty_server.url}/jobs/1/cut.pdf").body()))
    text = " ".join(sheet.extract_text() for sheet in paper.pages)
    assert "Beam and Bolt" in text
    assert "job 1" in text.casefold()
    with capsys.disabled():
        print(f"\nthe first hour: {hand.actions} actions, {count} prices among them")
    assert hand.actions <= MOST_ACTIONS
    page.goto(live_empty_server.url)
    expect(page.locator(".state-done")).to_have_count(5)
    hand.click(page.get_by_role("button", name="Put this list away"))
    expect(page.locator(".first-steps")).to_have_count(0)
    assert_open_to_all()


def test_a_bench_is_told_by_keyboard_alone(live_server: LiveServer, browser_page: Page) -> None:
    """Tab and Enter alone; what explains it is opened and kept from the keyboard."""
    sign_in(browser_page, live_server)
    browser_page.goto(f"{live_server.url}/made-before?start=design:trestle_bench")
    browser_page.locator("#took").focus()
    browser_page.keyboard.type("2100")
    button = browser_page.get_by_role("button", name="Hold it against the estimate")
    for _ in range(8):
        browser_page.keyboard.press("Tab")
        if button.evaluate("(one) => one === document.activeElement"):
            break
    with next_page(browser_page):
        browser_page.keyboard.press("Enter")
    expect(browser_page.locator(".explains > li")).to_have_count(3)
    opened = browser_page.locator(".instead a").first
    opened.focus()
    browser_page.keyboard.press("Enter")
    expect(browser_page.locator("#working")).to_contain_text("Source")
    browser_page.locator(".explains button").first.focus()
    with next_page(browser_page):
        browser_page.keyboard.press("Enter")
    expect(browser_page.locator("#difference")).to_contain_text("give what you took")
