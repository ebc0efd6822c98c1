"""In Chromium: a design is swept before one's eyes, stopped, taken up after a reload, read on desk and telephone."""

from __future__ import annotations

import re
from typing import Final

import pytest
from playwright.sync_api import Page, expect

from tests.costing.sweep.stool_case import STOOL
from tests.harness.barriers import OF_LOOKS, assert_no_barrier
from tests.harness.browsing import OpenPage, next_page
from tests.harness.serving import LiveServer, sign_in
from webapp.settings import Settings

#: A busy machine takes its time over five hundred take-offs.
MILLISECONDS_TO_SWEEP: Final = 300_000


@pytest.fixture
def settings(settings: Settings) -> Settings:
    """A shop without workers: whoever looks on works on the sweep."""
    return settings.model_copy(update={"plan_workers": 0})


def test_a_sweep_is_stopped_taken_up_after_a_reload_and_read(live_server: LiveServer, browser_page: Page) -> None:
    page = browser_page
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/designs/new")
    page.get_by_label("The design as text").fill(STOOL)
    with next_page(page):
        page.get_by_role("button", name="Keep as version 1").click()
    with next_page(page):
        page.get_by_role("button", name="Sweep its sizes").click()
    far = page.locator("#sweep")
    expect(far).to_contain_text(re.compile(r"\d+ of 507 cases are judged\."), timeout=MILLISECONDS_TO_SWEEP)
    assert_no_barrier(page, within="#sweep")
    far.get_by_role("button", name="Stop").click()
    expect(far).to_contain_text("and kept.", timeout=MILLISECONDS_TO_SWEEP)
    stopped = re.search(r"Stopped: \d+ of 507", far.inner_text())
    assert stopped is not None
    page.reload()
    expect(far).to_contain_text(stopped[0])
    far.get_by_role("button", name="Go on").click()
    expect(page.locator("#swept")).to_contain_text("507 cases", timeout=MILLISECONDS_TO_SWEEP)
    expect(far).to_contain_text("Fails below width 350 mm.")
    expect(far.get_by_role("img", name=re.compile("^Overall width: .*fails below 350 mm"))).to_be_visible()
    for width, dark in ((1280, False), (1280, True), (390, False), (390, True)):
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme="dark" if dark else "light")
        assert_no_barrier(page, within="#sweep", rules=OF_LOOKS if dark else ())


def test_without_script_a_text_being_drawn_is_swept_by_pressing_again(
    live_server: LiveServer, open_page: OpenPage
) -> None:  # fmt: skip
    page = open_page(script=False, width=390)
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/designs/new")
    page.get_by_label("The design as text").fill(STOOL.replace("plain_stool", "drawn_stool"))
    with next_page(page):
        page.get_by_role("button", name="Sweep its sizes").click()
    expect(page.get_by_label("The design as text")).to_have_value(re.compile("drawn_stool"))
    with next_page(page):
        page.get_by_role("link", name="This sweep alone").click()
    judged = page.locator("#sweep .swept-far")
    before = judged.inner_text()
    with next_page(page):
        page.get_by_role("button", name="Look again").click()
    expect(page).to_have_url(re.compile(r"/sweeps/[0-9a-f]{64}$"))
    assert judged.inner_text() != before
    with next_page(page):
        page.get_by_role("button", name="Stop").click()
    expect(judged).to_contain_text("Stopped")
