"""In Chromium: the demo's sign-in, and a shop of one's own set up from nothing, with script and without."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import OpenPage, next_page
from tests.harness.serving import LiveServer, sign_in_by_hand


def test_the_demo_opens_and_closes(live_server: LiveServer, browser_page: Page) -> None:
    browser_page.goto(live_server.url)
    expect(browser_page).to_have_url(f"{live_server.url}/sign-in")
    assert_no_barrier(browser_page)
    sign_in_by_hand(browser_page, live_server)
    with next_page(browser_page):
        browser_page.get_by_role("button", name="Sign out").click()
    expect(browser_page).to_have_url(f"{live_server.url}/sign-in")


@pytest.mark.parametrize("script", [True, False])
def test_an_empty_store_becomes_a_shop(live_empty_server: LiveServer, open_page: OpenPage, script: bool) -> None:
    page = open_page(script=script)
    page.goto(live_empty_server.url)
    if script:
        assert_no_barrier(page)
    page.get_by_label("Name of the shop").fill("Beam and Bolt")
    page.get_by_label("Name to sign in with").fill("Ines")
    page.get_by_label("Password", exact=False).first.fill("too short")
    page.get_by_label("Password again").fill("too short")
    with next_page(page):
        page.get_by_role("button", name="Set up the shop").click()
    expect(page.get_by_text("it needs at least 12").first).to_be_visible()
    expect(page.get_by_label("Name of the shop")).to_have_value("Beam and Bolt")
    if script:
        assert_no_barrier(page)
    page.get_by_label("Password", exact=False).first.fill("long enough for a shop")
    page.get_by_label("Password again").fill("long enough for a shop")
    with next_page(page):
        page.get_by_role("button", name="Set up the shop").click()
    expect(page).to_have_url(f"{live_empty_server.url}/")
    expect(page.get_by_text("Beam and Bolt").first).to_be_visible()
