"""Pages in the browser, and how a test waits for what they do: for the thing itself, never for a length of time."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, Final

from playwright.sync_api import Browser, Page, expect

#: Waiting costs time only where something is wrong, and a busy machine may be slow for long.
MILLISECONDS_TO_EXPECT: Final = 60_000
MILLISECONDS_TO_ACT: Final = 60_000
#: Where a job's sheet shows its price without tax.
NET: Final = "#now-net"

OpenPage = Callable[..., Page]


@contextmanager
def opened_page(browser: Browser, **options: Any) -> Iterator[Page]:
    """A page in a browser that knows nothing yet. A script error or a breach of the content policy fails the test."""
    expect.set_options(timeout=MILLISECONDS_TO_EXPECT)
    context = browser.new_context(**options)
    context.set_default_timeout(MILLISECONDS_TO_ACT)
    page, wrong = context.new_page(), list[str]()
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda said: wrong.append(said.text) if "Content Security Policy" in said.text else None)
    try:
        yield page
    finally:
        context.close()
    assert not wrong, wrong


@contextmanager
def next_page(page: Page) -> Iterator[None]:
    """What is done within leads to another page, which is there with its script afterwards.

    A click comes back before the page that it asks for is there: until then the old page answers every question, and
    for a while after that the new one has no script yet.
    """
    with page.expect_navigation(wait_until="load"):
        yield


def wait_until(page: Page, come_true: Callable[[], bool]) -> None:
    """Wait for what the page can't be asked for: what the test itself heard of it."""
    until = time.monotonic() + MILLISECONDS_TO_EXPECT / 1000
    while not come_true():
        assert time.monotonic() < until, "It has not come true."
        # What the browser has to tell is heard meanwhile.
        page.wait_for_timeout(10)


def net(page: Page) -> float:
    """The price without tax, as it is in sight."""
    return float(page.locator(NET).inner_text().replace(",", ""))
