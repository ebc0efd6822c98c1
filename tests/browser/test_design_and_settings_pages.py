"""In Chromium: start, designs and settings as a person uses them, with script and without, on desk and phone."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import OpenPage, next_page
from tests.harness.serving import LiveServer, sign_in


@pytest.mark.parametrize("script", [True, False])
def test_a_design_is_changed_tried_and_kept(live_server: LiveServer, open_page: OpenPage, script: bool) -> None:
    page = open_page(script=script)
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/designs")
    with next_page(page):
        page.get_by_role("link", name="Trestle bench", exact=True).click()
    with next_page(page):
        page.get_by_role("link", name="Change its text").click()
    text = page.get_by_label("The design as text")
    written = text.input_value()
    usual = "length: Overall length; 1800 mm"
    assert usual in written
    text.fill(written.replace(usual, "length: Overall length; 18 parrots"))
    with next_page(page):
        page.get_by_role("button", name="Try it out").click()
    expect(page.get_by_role("alert")).to_contain_text("18 parrots")
    expect(page.get_by_label("The design as text")).to_have_value(re.compile("18 parrots"))
    page.get_by_label("The design as text").fill(written.replace(usual, "length: Overall length; 1700 mm"))
    page.get_by_label("What is new in it").fill("A shorter one")
    with next_page(page):
        page.get_by_role("button", name="Try it out").click()
    expect(page.get_by_role("heading", name="What it comes to at usual sizes")).to_be_visible()
    with next_page(page):
        page.get_by_role("button", name="Keep as version 2").click()
    expect(page).to_have_url(f"{live_server.url}/designs/trestle_bench")
    expect(page.get_by_text("A shorter one")).to_be_visible()
    expect(page.get_by_role("link", name="Version 1", exact=True)).to_be_visible()


def test_a_line_that_is_wrong_is_gone_to(live_server: LiveServer, browser_page: Page) -> None:
    sign_in(browser_page, live_server)
    browser_page.goto(f"{live_server.url}/designs/bench_cabinet/edit")
    text = browser_page.get_by_label("The design as text")
    text.fill(text.input_value().replace("sheet birch_plywood_6;", "sheet 6 !;"))
    with next_page(browser_page):
        browser_page.get_by_role("button", name="Try it out").click()
    browser_page.locator("a[data-line]").first.click()
    browser_page.wait_for_function(
        "() => { const t = document.getElementById('text');"
        " return t.value.slice(t.selectionStart, t.selectionEnd).includes('6 !'); }"
    )
    expect(text).to_be_focused()
    # The text is as tall as what stands on it: the sentence stays in sight above the line, and what is done beneath it.
    assert text.evaluate("(one) => one.scrollHeight - one.clientHeight") <= 2
    expect(browser_page.locator("a[data-line]").first).to_be_in_viewport()
    expect(browser_page.get_by_role("button", name="Try it out")).to_be_in_viewport()


@pytest.mark.parametrize("script", [True, False])
def test_a_setting_is_changed_and_gone_back_from(live_server: LiveServer, open_page: OpenPage, script: bool) -> None:
    page = open_page(script=script)
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/settings")
    with next_page(page):
        page.get_by_role("link", name="How we cut").click()
    page.get_by_label("Width of a saw cut").fill("2 feet")
    with next_page(page):
        page.get_by_role("button", name="Keep these settings").click()
    expect(page.get_by_text("out of range").first).to_be_visible()
    expect(page.get_by_label("Width of a saw cut")).to_have_value("2 feet")
    page.get_by_label("Width of a saw cut").fill("2.4 mm")
    page.get_by_label("Why").fill("The thin blade is on")
    with next_page(page):
        page.get_by_role("button", name="Keep these settings").click()
    with next_page(page):
        page.get_by_role("link", name="Settings", exact=True).first.click()
    expect(page.get_by_role("cell", name="2.4 mm")).to_be_visible()
    with next_page(page):
        page.get_by_role("link", name="Look at the defaults").click()
    page.get_by_label("Why").fill("The old blade again")
    with next_page(page):
        page.get_by_role("button", name="Go back to the defaults").click()
    expect(page.get_by_text("Nothing yet: the shop works by the defaults")).to_be_visible()
    expect(page.get_by_role("link", name="Set 2")).to_be_visible()


def test_the_start_page_leads_to_the_next_step(live_server: LiveServer, browser_page: Page) -> None:
    sign_in(browser_page, live_server)
    browser_page.goto(live_server.url)
    expect(browser_page.get_by_text("incomplete").first).to_be_visible()
    with next_page(browser_page):
        browser_page.get_by_role("link", name="Type a price of White oak").click()
    expect(browser_page).to_have_url(f"{live_server.url}/materials/white_oak")


def test_a_design_is_read_aloud_on_a_telephone(live_server: LiveServer, open_page: OpenPage) -> None:
    page = open_page(width=390)
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/designs/hollow_core_top")
    folded = page.locator("#read-aloud")
    sentence = folded.get_by_text("Levelling foot: “Feet”, one under each leg, 60 mm wide, 60 mm deep, lift high")
    expect(sentence).to_be_hidden()
    folded.locator("summary").click()
    expect(sentence).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert_no_barrier(page)
