"""In Chromium: prices brought up to date on a telephone, a material added without script, and what jobs need to buy."""

from __future__ import annotations

import re
from typing import Final

import pytest
from playwright.sync_api import Page, expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import OpenPage, next_page
from tests.harness.serving import LiveServer, sign_in

#: The least height of what is tapped: the house's rule for telephones.
TARGET: Final = 44


def test_a_price_is_brought_up_to_date_in_its_row_on_a_telephone(live_server: LiveServer, browser_page: Page) -> None:
    page = browser_page
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/materials?words=hardboard")
    row = page.locator("tr", has=page.get_by_label("New price in USD for one sheet: Hardboard 3 mm"))
    field = row.get_by_label("New price in USD")
    expect(row.get_by_text("stale", exact=True)).to_be_visible()
    for target in (field, row.get_by_role("button"), row.locator("summary")):
        box = target.bounding_box()
        assert box is not None
        assert box["height"] >= TARGET
    field.fill("17.20")
    field.press("Enter")
    expect(row.get_by_text("Kept.")).to_be_visible()
    expect(row.get_by_text("17.20")).to_be_visible()
    expect(row.get_by_text("stale", exact=True)).to_have_count(0)
    expect(page).to_have_url(f"{live_server.url}/materials?words=hardboard")

    field.fill("172")
    field.press("Enter")
    expect(row.get_by_text("900 % more than the 17.20")).to_be_visible()
    expect(field).to_have_value("172")
    assert_no_barrier(page)
    row.get_by_role("button", name="Keep it all the same").click()
    expect(row.get_by_text("Kept.")).to_be_visible()
    expect(row.get_by_text("172.00")).to_be_visible()

    field.fill("18 EUR")
    field.press("Enter")
    expect(row.get_by_text("is in EUR, but this shop reckons in USD")).to_be_visible()
    expect(field).to_have_value("18 EUR")
    assert_no_barrier(page)


def test_a_material_is_added_offered_and_priced_without_script(live_server: LiveServer, open_page: OpenPage) -> None:
    page = open_page(script=False)
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/materials")
    with next_page(page):
        page.get_by_role("link", name="New material").click()
    with next_page(page):
        page.get_by_role("link", name="Sheet", exact=True).click()
    page.get_by_label("Name").fill("Poplar plywood 15 mm")
    page.get_by_role("textbox", name="Thickness as measured (needed)").fill("15 mm by 3")
    with next_page(page):
        page.get_by_role("button", name="Save the material").click()
    expect(page.get_by_text("“15 mm by 3” can't be read").first).to_be_visible()
    expect(page.get_by_label("Name")).to_have_value("Poplar plywood 15 mm")
    page.get_by_role("textbox", name="Thickness as measured (needed)").fill("14.8")
    with next_page(page):
        page.get_by_role("button", name="Save the material").click()
    expect(page.get_by_text("Nobody offers it, so a job")).to_be_visible()

    with next_page(page):
        page.get_by_role("link", name="Add an offer").click()
    page.get_by_label("Supplier", exact=True).select_option(label="A new one, named below")
    page.get_by_label("or a new one").fill("Lower Yard")
    page.get_by_label("Sheet length").fill("2500")
    page.get_by_label("Sheet width").fill("1250")
    page.get_by_label("Price", exact=True).fill("50")
    with next_page(page):
        page.get_by_role("button", name="Save the offer").click()
    expect(page.get_by_role("heading", name="Lower Yard: 2500 × 1250 mm")).to_be_visible()

    page.get_by_label("New price in USD").fill("80")
    with next_page(page):
        page.get_by_role("button", name="Keep the price").click()
    expect(page.get_by_text("60 % more than the 50.00").first).to_be_visible()
    with next_page(page):
        page.get_by_role("button", name="Keep it all the same").click()
    expect(page.get_by_text("2 prices seen so far")).to_be_visible()
    page.goto(f"{live_server.url}/materials?words=poplar")
    expect(page.get_by_role("row", name=re.compile("Lower Yard")).get_by_text("80.00")).to_be_visible()


@pytest.mark.parametrize("script", [True, False])
def test_jobs_are_ticked_and_added_up(live_server: LiveServer, open_page: OpenPage, script: bool) -> None:
    page = open_page(script=script)
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/buying")
    ordered = page.locator(".buy-total strong").inner_text()
    page.get_by_role("checkbox", name=re.compile("Assembly table")).check()
    with next_page(page):
        page.get_by_role("button", name="Add them up").click()
    expect(page.get_by_role("checkbox", name=re.compile("Assembly table"))).to_be_checked()
    expect(page.get_by_role("checkbox", name=re.compile("Trestle benches"))).to_be_checked()
    expect(page.locator(".buy-total strong")).not_to_have_text(ordered)
    expect(page.get_by_role("heading", name="Brasslow Hardware")).to_be_visible()
    if script:
        assert_no_barrier(page)
