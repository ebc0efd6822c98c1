"""In Chromium: a part that is pointed at, tapped, or in focus lights up in every drawing and list of the page."""

from __future__ import annotations

from playwright.sync_api import expect

from tests.harness.browsing import OpenPage
from tests.harness.serving import LiveServer, sign_in

SHELF = "#drawn-bench-apart-7"


def test_a_part_lights_up_in_drawing_and_list_and_back(live_server: LiveServer, open_page: OpenPage) -> None:
    page = open_page()
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/designs/bench_cabinet")
    row = page.locator("#part-7")
    page.locator(SHELF).focus()
    expect(row).to_have_class("lit")
    assert page.locator(".drawn-part.lit").count() >= 3
    page.locator(SHELF).evaluate("one => one.blur()")
    expect(row).not_to_have_class("lit")
    # And back: the row under the pointer lights the drawings.
    row.hover()
    expect(page.locator(SHELF)).to_have_class("drawn-part lit")
    page.locator("h1").hover()
    expect(page.locator(".lit")).to_have_count(0)


def test_a_click_keeps_a_part_lit_until_the_next(live_server: LiveServer, open_page: OpenPage) -> None:
    page = open_page(width=390, height=844)
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/designs/bench_cabinet")
    page.locator(SHELF).click()
    page.locator("h1").hover()
    expect(page.locator("#part-7")).to_have_class("lit")
    assert "#" not in page.url
    page.locator("h1").click()
    expect(page.locator(".lit")).to_have_count(0)


def test_without_script_a_part_leads_to_its_row_and_the_row_back(
    live_server: LiveServer, open_page: OpenPage
) -> None:  # fmt: skip
    page = open_page(script=False)
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/designs/bench_cabinet")
    page.locator(SHELF).click()
    assert page.url.endswith("#part-7")
    expect(page.locator("tr:target")).to_contain_text("Top")
    page.get_by_role("link", name="Part 7, drawn apart").click()
    assert page.url.endswith(SHELF)


def test_on_the_sheet_of_a_job_a_part_lights_up_where_it_is_cut(live_server: LiveServer, open_page: OpenPage) -> None:
    page = open_page()
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/jobs/2")
    part = page.locator("a.drawn-part").first
    number = part.get_attribute("data-part")
    part.focus()
    expect(part).to_have_class("drawn-part lit")
    expect(page.locator(f'.sheet-thumb [data-part="{number}"]').first).to_have_class("drawn-line thumb-pieces lit")
