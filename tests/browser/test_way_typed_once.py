"""In Chromium: the way to a customer's place is typed once, by keys, and each of their jobs is held against it."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import OpenPage, next_page
from tests.harness.serving import LiveServer, sign_in
from webapp.costing.jobs.job import Customer
from webapp.persistence.jobs.customers import add_customer
from webapp.running import utc_now

PHONE = 360


@pytest.mark.parametrize("script", [True, False])
def test_the_way_is_typed_once_and_the_next_job_knows_it(
    live_server: LiveServer, open_page: OpenPage, script: bool
) -> None:
    with live_server.database.writing() as session:
        customer = add_customer(session, Customer("Upstairs Weaver"), at=utc_now()).id
    page = open_page(script=script)
    sign_in(page, live_server)
    page.set_viewport_size({"width": PHONE, "height": 740})
    page.goto(f"{live_server.url}/customers/{customer}")
    door = page.get_by_label("Clear width of the narrowest door")
    expect(door).to_be_hidden()
    page.locator("#the-way > summary").focus()
    page.keyboard.press("Enter")
    expect(door).to_be_visible()
    if script:
        assert_no_barrier(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE
    page.keyboard.press("Tab")
    expect(door).to_be_focused()
    page.keyboard.type("wide")
    page.keyboard.press("Tab")
    page.keyboard.type("2000")
    with next_page(page):
        page.get_by_role("button", name="Save the customer").click()
    expect(page.locator("#way-door_width-problem")).to_contain_text("can't be read as a length")
    if script:
        assert_no_barrier(page)
    page.get_by_label("Clear width of the narrowest door").fill("825")
    page.get_by_label("How the stair runs").select_option(label="turning: winders, a curve or a half landing")
    with next_page(page):
        page.get_by_role("button", name="Save the customer").click()
    page.goto(f"{live_server.url}/jobs/new?start=design:trestle_bench")
    page.get_by_label("Known customer").select_option(label="Upstairs Weaver")
    with next_page(page):
        page.get_by_role("button", name="Make the job").click()
    page.goto(f"{page.url}?open=checks")
    said = page.get_by_text("try a template of the thing on it")
    expect(said.first).to_be_visible()
    page.locator("#delivery > summary").click()
    page.locator("#way-there > summary").click()
    expect(page.get_by_label("Clear width of the narrowest door")).to_have_value("825 mm")
    if script:
        assert_no_barrier(page)
        page.get_by_label("How the stair runs").select_option(label="no stair, or not said")
        expect(page.get_by_text("goes in whole: through the door standing with 75 mm to spare").first).to_be_visible()
