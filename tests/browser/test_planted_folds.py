"""In Chromium: each fault planted in the folds of a shelf is typed into the designs' editor, and what is wrong stands
on the page that answers."""

from __future__ import annotations

from playwright.sync_api import Page

from tests.harness.browsing import next_page
from tests.harness.serving import LiveServer, sign_in
from tests.reference.folded_shelf import FOLD_FAULTS, SHELF


def tried(page: Page, text: str) -> list[str]:
    """What the page that answers says fails, of a text that is tried out."""
    page.get_by_label("The design as text").fill(text)
    with next_page(page):
        page.get_by_role("button", name="Try it out").click()
    return [" ".join(said.split()) for said in page.locator(".note.failure").all_text_contents()]


def test_each_fault_in_folds_is_named_by_the_page_that_answers(live_server: LiveServer, browser_page: Page) -> None:
    sign_in(browser_page, live_server)
    browser_page.goto(f"{live_server.url}/designs/new")
    right = tried(browser_page, SHELF)
    unnamed = []
    for fault in FOLD_FAULTS:
        said = tried(browser_page, fault.text)
        if not any(fault.part in sentence and fault.figure in sentence for sentence in said):
            unnamed.append((fault.part, said))
    assert unnamed == []
    assert right == []
