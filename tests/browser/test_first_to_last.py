"""In Chromium, by the keys alone: a job of two benches from nothing to its printed quote, in few actions."""

from __future__ import annotations

import re
import time
from io import BytesIO

from playwright.sync_api import Page, expect
from pypdf import PdfReader

from tests.harness.browsing import NET, next_page
from tests.harness.hand import Hand
from tests.harness.serving import LiveServer, sign_in

#: Two benches, delivery, another material and its price, minutes of one's own and why, the quote issued and opened.
MOST_ACTIONS = 30


def test_two_benches_are_quoted_by_the_keys_alone(live_server: LiveServer, browser_page: Page) -> None:
    sign_in(browser_page, live_server)
    page, hand, began = browser_page, Hand(browser_page), time.monotonic()
    page.goto(live_server.url)
    with next_page(page):
        hand.press(page.get_by_role("link", name="Make a job").first)
    hand.choose(page.get_by_label("Design or past job"), "Bench cabinet with drawers")
    expect(page.get_by_label("Overall width")).to_be_visible()
    hand.fill(page.get_by_label("New customer"), "Kiln Yard Pottery")
    hand.press(page.get_by_role("button", name="Make the job"))
    page.wait_for_url(re.compile(r"/jobs/\d+$"))
    # A second bench.
    hand.press(page.locator("#next-item > summary"))
    hand.choose(page.locator("#new_design"), "Trestle bench")
    hand.press(page.get_by_role("button", name="Add the item"))
    expect(page.locator("#items-trestle_bench")).to_be_attached()
    # Brought there.
    hand.press(page.locator("#delivery > summary"))
    hand.fill(page.locator("#delivery-distance"), "18 km")
    hand.fill(page.locator("#delivery-travel"), "25 min")
    # A material that has no price yet, and its price.
    hand.press(page.locator("details#items-bench_cabinet > summary"))
    hand.choose(page.locator("#items-bench_cabinet-choices-top"), "solid top")
    hand.choose(page.locator("#items-bench_cabinet-materials-top_wood"), "White oak")
    expect(page.locator(".bar")).to_contain_text("incomplete")
    hand.fill(page.locator("#unpriced .typed-price input"), "9.80")
    hand.enter()
    expect(page.locator(".bar")).not_to_contain_text("incomplete")
    # Minutes of one's own, with their reason.
    hand.press(page.locator("#hours-section > summary"))
    hand.press(page.get_by_role("button", name=re.compile(r"the minutes of Glue up the top")))
    before = page.locator(NET).inner_text()
    hand.fill(page.locator("#items-bench_cabinet-minutes-glue_up_panels-likely"), "75")
    expect(page.locator(NET)).not_to_have_text(before)
    hand.fill(page.locator("#items-bench_cabinet-minutes-glue_up_panels-why"), "Oak is glued in two goes")
    # The quote, issued and opened.
    hand.press(page.locator(".bar").get_by_role("button", name="Issue quote"))
    page.wait_for_url(re.compile("/issue$"))
    hand.press(page.get_by_role("button", name="Issue quote"))
    page.wait_for_url(re.compile("/quotes/"))
    with page.expect_download() as download:
        hand.press(page.get_by_role("link", name="Quote as issued, PDF"))
    sheets = PdfReader(BytesIO(download.value.path().read_bytes())).pages
    text = " ".join(" ".join(sheet.extract_text() for sheet in sheets).split())
    print(f"{hand.actions} actions, {time.monotonic() - began:.0f} s")
    assert hand.actions <= MOST_ACTIONS
    for said in ("Kiln Yard Pottery", "Bench cabinet with drawers", "Trestle bench", "Delivery", "White oak"):
        assert said in text, text
