"""In Chromium as the demo's helper: the work is there and follows the keys; nothing of the owner's is."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import next_page
from tests.harness.serving import LiveServer
from webapp.opening import DEMO_HELPER_NAME, DEMO_HELPER_PASSWORD


def test_a_helper_does_the_work_and_sees_no_more(live_server: LiveServer, browser_page: Page) -> None:
    page = browser_page
    page.goto(f"{live_server.url}/sign-in")
    expect(page.locator("#margin")).to_contain_text(DEMO_HELPER_PASSWORD)
    page.get_by_label("Name").fill(DEMO_HELPER_NAME)
    page.get_by_label("Password").fill(DEMO_HELPER_PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{live_server.url}/")
    rooms = page.get_by_role("navigation", name="Rooms")
    expect(rooms.get_by_role("link", name="Jobs")).to_be_visible()
    for owners in ("Quotes", "Settings", "People"):
        expect(rooms.get_by_role("link", name=owners)).to_have_count(0)
    page.goto(f"{live_server.url}/jobs/2")
    expect(page.locator("#strip")).to_contain_text("Materials as bought")
    expect(page.locator("#now-net")).to_have_count(0)
    expect(page.get_by_role("button", name="Issue quote")).to_have_count(0)
    hours = page.locator("#now-hours").inner_text()
    page.get_by_label("How many", exact=True).first.fill("5")
    expect(page.locator("#now-hours")).not_to_have_text(hours)
    expect(page.locator("#result")).not_to_contain_text("Lines of the price")
    page.locator("#now-hours a").click()
    expect(page.locator("#working")).to_contain_text("sum")
    with next_page(page):
        page.get_by_role("button", name="Save").first.click()
    expect(page.get_by_label("How many", exact=True).first).to_have_value("5")
    assert_no_barrier(page)
    refused = page.goto(f"{live_server.url}/quotes")
    assert refused is not None
    assert refused.status == 403
    expect(page.locator("#sheet")).to_contain_text("This is the owner's")
    with next_page(page):
        page.get_by_role("link", name="Go to the start page").click()
    with next_page(page):
        page.get_by_role("link", name=re.compile("your sign-in")).click()
    expect(page.get_by_role("heading", name="Where you are signed in")).to_be_visible()
    assert_no_barrier(page)
    page.get_by_role("button", name="Sign out everywhere").click()
    page.wait_for_url(f"{live_server.url}/sign-in")
