"""In Chromium: no page bars anybody, by day at a desk or by night on a telephone, and none runs off the window."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect
from sqlalchemy import text

from tests.harness.barriers import OF_LOOKS, assert_no_barrier
from tests.harness.browsing import NET
from tests.harness.serving import LiveServer, sign_in

#: Where PAGES says so, the first quote that the page of quotes leads to.
QUOTE = "/quotes/-"
PAGES = {
    "start and settings": (
        "/",
        "/settings",
        "/settings/charges",
        "/settings/first",
        "/settings/new-figures",
        "/settings/steps",
        "/settings/shop",
        "/settings/sets/0",
        "/settings/backups",
        "/people",
        "/people/history",
        "/phone",
        "/search?q=oak",
    ),
    "designs and jobs": (
        "/designs",
        "/designs/hollow_core_top",
        "/designs/trestle_bench/compare",
        "/designs/bench_cabinet/edit",
        "/designs/wedging_table/bench",
        "/jobs",
        "/jobs/new",
        "/jobs/4",
        "/jobs/4/working/price/net",
        "/jobs/4/range",
        "/jobs/4/suppliers",
        "/jobs/4/alternates",
        "/jobs/4/alternates/new",
        "/jobs/5/workshop",
        "/jobs/3/bench",
        "/price?bench=design:trestle_bench",
        "/quotes",
        "/quotes/earning",
        QUOTE,
        f"{QUOTE}/again",
    ),
    "materials and buying": (
        "/materials?kind=sheet",
        "/materials/white_oak",
        "/materials/birch_plywood_18/edit",
        "/materials/birch_plywood_18/offers/new",
        "/materials/new",
        "/materials/paste",
        "/materials/bring",
        "/materials/new?kind=liquid",
        "/buying",
        "/buying/suppliers/new",
        "/lists",
        "/lists/1",
        "/lists/1/order",
        "/lists/for?job=2",
        "/jobs/1/bought",
        "/rack/new",
        "/rack/paste",
        "/earlier-jobs",
        "/earlier-jobs/bring",
        "/rack/labels",
        "/count",
        "/stock",
        "/stock/new",
        "/rack/new?material=birch_plywood_18",
        "/jobs/2/offcuts",
        "/pool",
        "/pool?job=2&job=4",
        "/receipts",
        "/receipts/new",
        "/receipts/new?whose=running",
    ),
}
#: The parts of a page that scroll sideways on their own.
SCROLLING = "[...document.querySelectorAll('.table-room')].filter(one => one.scrollWidth > one.clientWidth).length"


def do_what_opens_more(page: Page, address: str) -> None:
    """On the job's sheet, what is wrong and the working of a figure stand beside the rest."""
    if address == "/jobs/4":
        page.locator("#items-cabinet-sizes-width").fill("wide")
        expect(page.locator("#open-problems")).to_contain_text("wide")
        page.locator(NET).locator("a").click()
        expect(page.locator("#working-label")).to_be_visible()


@pytest.mark.parametrize("room", PAGES)
def test_no_page_has_a_barrier_or_runs_off_the_edge(live_server: LiveServer, browser_page: Page, room: str) -> None:
    page = browser_page
    with live_server.database.writing() as session:
        # A shop that was there before is offered what the program starts from now.
        session.execute(text("UPDATE shop SET edition = 1"))
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/quotes")
    quote = page.locator("a[href^='/quotes/']").first.get_attribute("href") or "/quotes"
    for address in PAGES[room]:
        page.set_viewport_size({"width": 1280, "height": 900})
        page.emulate_media(color_scheme="light")
        page.goto(live_server.url + address.replace(QUOTE, quote))
        do_what_opens_more(page, address)
        assert_no_barrier(page)
        assert address != "/settings/steps" or page.evaluate(SCROLLING) == 0, "the steps are wider than the sheet"
        # The same page, as it looks otherwise: what stands on it, in which order and by which names, is as before.
        page.set_viewport_size({"width": 390, "height": 844})
        page.emulate_media(color_scheme="dark")
        page.wait_for_function("() => window.innerWidth === 390")
        assert_no_barrier(page, rules=OF_LOOKS)
        assert address != "/settings/steps" or page.evaluate(SCROLLING) == 0, "the steps are wider than the sheet"
