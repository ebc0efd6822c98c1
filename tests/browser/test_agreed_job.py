"""In Chromium: a job that is agreed is changed, its next revision issued, accepted, and the acceptance taken back."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from playwright.sync_api import Page, expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import OpenPage, next_page
from tests.harness.serving import LiveServer, sign_in

AGREED_JOB = 1
AMOUNT = re.compile(r"Agreed, to pay, USD\s+([\d,]+\.\d\d)")


def agreed_on(page: Page) -> Decimal:
    """The agreed sum in the strip."""
    found = AMOUNT.search(page.locator("#strip").inner_text())
    assert found is not None, page.locator("#strip").inner_text()
    return Decimal(found[1].replace(",", ""))


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without script"])
def test_an_agreed_job_is_changed_knowingly(live_server: LiveServer, open_page: OpenPage, script: bool) -> None:
    page = open_page(script=script, width=390, height=844)
    sign_in(page, live_server)
    job = f"{live_server.url}/jobs/{AGREED_JOB}"
    page.goto(job)
    agreed = agreed_on(page)
    expect(page.locator("#strip")).not_to_contain_text("As this sheet stands")

    page.get_by_label("How many", exact=True).first.fill("5")
    if script:
        expect(page.locator("#strip")).to_contain_text("As this sheet stands, to pay")
        assert agreed_on(page) == agreed
    with next_page(page):
        page.get_by_role("button", name="Save").first.click()
    assert agreed_on(page) == agreed
    with next_page(page):
        page.get_by_role("link", name="See what differs, and issue the next revision").click()
    expect(page.get_by_role("heading", name=re.compile("What differs from quote"))).to_be_visible()
    if script:
        assert_no_barrier(page)
    page.get_by_label("The customer").check()
    page.get_by_label("Why", exact=True).fill("A fifth bench")
    for tick in page.get_by_role("checkbox").all():
        tick.check()
    with next_page(page):
        page.get_by_role("button", name="Issue quote").click()
    expect(page.get_by_text("asked for by the customer: A fifth bench").first).to_be_visible()
    if script:
        assert_no_barrier(page)
    quote = page.url
    with next_page(page):
        page.get_by_role("button", name="Mark accepted").click()
    page.goto(job)
    changed = agreed_on(page)
    assert changed > agreed

    page.goto(quote)
    with next_page(page):
        page.get_by_role("button", name="Take the acceptance back").click()
    expect(page.get_by_text("Say why the acceptance is taken back.")).to_be_visible()
    page.get_by_label("Note").fill("The head has not signed")
    with next_page(page):
        page.get_by_role("button", name="Take the acceptance back").click()
    expect(page.get_by_text("Acceptance taken back")).to_be_visible()
    page.goto(job)
    assert agreed_on(page) == agreed
