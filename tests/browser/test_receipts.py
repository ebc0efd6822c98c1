"""In Chromium: bought for two jobs, paid otherwise, the receipt kept with its photograph, and what each job cost."""

from __future__ import annotations

import re
import time
from io import BytesIO
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import OpenPage, next_page
from tests.harness.hand import Hand
from tests.harness.serving import LiveServer, sign_in

#: Five lines of a receipt with their codes, its total and its seller.
MOST_TYPED = 20
#: A list made for two jobs, two lines taken along, one paid otherwise; its receipt with a photograph.
MOST_FROM_THE_LIST = 14


def photograph(folder: Path) -> Path:
    """A receipt as a telephone's camera takes it."""
    content = BytesIO()
    Image.new("RGB", (900, 1600), "white").save(content, "JPEG")
    file = folder / "receipt.jpg"
    file.write_bytes(content.getvalue())
    return file


def test_a_receipt_of_five_lines_is_typed_in_a_minute(live_server: LiveServer, browser_page: Page) -> None:
    sign_in(browser_page, live_server)
    page, hand, began = browser_page, Hand(browser_page), time.monotonic()
    page.goto(f"{live_server.url}/receipts/new?job=2")
    hand.fill(page.get_by_label("Paid to"), "Brasslow Hardware")
    hand.fill(page.get_by_label("Total"), "49.80")
    # The seller's codes come as soon as the seller is known.
    expect(page.locator("#offers option[value='BR-440']")).to_have_count(1)
    for number, (code, count, paid) in enumerate(
        (("BR-440", "1", "9.40"), ("BR-425", "2", "12.80"), ("BR-450", "1", "11.20"), ("BR-435", "1", "7.90")), 1
    ):
        hand.fill(page.locator(f"[name='line.{number}.what']"), code)
        hand.fill(page.locator(f"[name='line.{number}.count']"), count)
        hand.fill(page.locator(f"[name='line.{number}.paid']"), paid)
    hand.fill(page.locator("[name='line.5.what']"), "Rags")
    hand.fill(page.locator("[name='line.5.paid']"), "7.40")
    expect(page.locator("#reckoned")).to_contain_text("1.10 USD more than its lines")
    hand.fill(page.locator("[name='line.5.paid']"), "8.50")
    expect(page.locator("#reckoned")).to_contain_text("Lines and total agree.")
    assert_no_barrier(page)
    with next_page(page):
        hand.press(page.get_by_role("button", name="Keep the receipt"))
    print(f"{hand.actions} actions, {time.monotonic() - began:.0f} s")
    assert hand.actions <= MOST_TYPED
    expect(page.get_by_role("heading", name="Receipt 1")).to_be_visible()
    expect(page.locator("[name='line.1.what']")).to_have_value("Screw 4 x 40 mm, pack of 100")
    assert_no_barrier(page)


def test_two_jobs_are_bought_for_and_each_knows_what_it_paid(
    live_server: LiveServer, open_page: OpenPage, tmp_path: Path
) -> None:
    page = open_page(width=390, height=844)
    sign_in(page, live_server)
    hand, began = Hand(page), time.monotonic()
    page.goto(f"{live_server.url}/lists/for?job=2&job=4")
    with next_page(page):
        hand.click(page.get_by_role("button", name=re.compile("Make")))
    # The first line that two jobs share is paid otherwise, the next as expected.
    stop = page.locator("#docket-body section").filter(has=page.locator(".ln")).first
    name = stop.locator("h2 span").first.inner_text()
    lines = stop.locator(".ln")
    hand.click(lines.nth(0).locator("summary").first)
    hand.fill(lines.nth(0).get_by_label("Paid in all"), "99.90")
    hand.click(lines.nth(0).get_by_role("button", name="Loaded"))
    expect(lines.nth(0).locator(".stands")).to_have_text("loaded")
    hand.click(lines.nth(1).locator("summary").first)
    hand.click(lines.nth(1).get_by_role("button", name="Loaded"))
    expect(lines.nth(1).locator(".stands")).to_have_text("loaded")
    expect(page.locator("#waiting, #to-send").first).to_contain_text("nothing")
    with next_page(page):
        hand.click(page.get_by_role("link", name=f"Its receipt of {name}"))
    expect(page.get_by_label("Paid to")).to_have_value(name)
    assert_no_barrier(page)
    hand.fill(page.get_by_label("Total"), "99.90")
    with next_page(page):
        hand.click(page.get_by_role("button", name="Keep the receipt"))
    page.get_by_label("A photograph of it").set_input_files(photograph(tmp_path))
    hand.actions += 1
    with next_page(page):
        hand.click(page.get_by_role("button", name="Keep the photograph"))
    expect(page.get_by_alt_text("Photograph 1 of receipt 1")).to_be_visible()
    print(f"{hand.actions} actions, {time.monotonic() - began:.0f} s")
    assert hand.actions <= MOST_FROM_THE_LIST
    shares = page.locator("#reckoned a[href$='/bought']")
    expect(shares.first).to_be_visible()
    for href in [one.get_attribute("href") for one in shares.all()]:
        page.goto(f"{live_server.url}{href}")
        expect(page.get_by_role("link", name="Receipt 1")).to_be_visible()
