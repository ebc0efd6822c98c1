"""Pages in the browser, and how a test waits for what they do: for the thing itself, never for a length of time."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Final

from playwright.sync_api import Browser, ConsoleMessage, Error, Page, expect

#: Waiting costs time only where something is wrong, and a busy machine may be slow for long.
MILLISECONDS_TO_EXPECT: Final = 60_000
MILLISECONDS_TO_ACT: Final = 60_000
#: Where a job's sheet shows its price without tax.
NET: Final = "#now-net"

OpenPage = Callable[..., Page]


@dataclass
class Pages:
    """The browser's two pages, with script and without, each emptied for the next test.

    A page of its own for each test would be a process of its own, which spends more on coming up than on the test.
    Nothing is handed on: each test's server has a port, and so an origin, of its own; cookies, which know no ports,
    go with the test, as do what it routed and the page it was on.
    """

    browser: Browser
    kept: dict[bool, Page] = field(default_factory=dict)

    @contextmanager
    def opened(
        self, *, script: bool = True, width: int = 1280, height: int = 900, dark: bool = False
    ) -> Iterator[Page]:  # fmt: skip
        """A page in a browser that knows nobody. A script error or a breach of the content policy fails the test."""
        page, wrong = self.kept.pop(script, None) or self._new(script), list[str]()
        page.set_viewport_size({"width": width, "height": height})
        page.emulate_media(color_scheme="dark" if dark else "light")

        def see_error(error: Error) -> None:
            wrong.append(str(error))

        def see_said(said: ConsoleMessage) -> None:
            if "Content Security Policy" in said.text:
                wrong.append(said.text)

        page.on("pageerror", see_error)
        page.on("console", see_said)
        yield page
        page.unroute_all(behavior="ignoreErrors")
        page.goto("about:blank")
        # A pointer that came to rest on a stretch of the price line would open its working in the next test.
        page.mouse.move(0, 0)
        page.context.clear_cookies()
        page.remove_listener("pageerror", see_error)
        page.remove_listener("console", see_said)
        self.kept[script] = page
        assert not wrong, wrong

    def _new(self, script: bool) -> Page:
        expect.set_options(timeout=MILLISECONDS_TO_EXPECT)
        context = self.browser.new_context(java_script_enabled=script)
        context.set_default_timeout(MILLISECONDS_TO_ACT)
        return context.new_page()


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


def unfold(page: Page, place: str) -> None:
    """Open a fold of the job's sheet, unless it is open."""
    fold = page.locator(place)
    if fold.get_attribute("open") is None:
        fold.locator("summary").first.click()


def open_section(page: Page, name: str) -> None:
    """Open a section of the job's sheet and wait for its rows."""
    unfold(page, f"#{name}-section")
    expect(page.locator(f"#{name}-section .table-room, #{name}-section ul").first).to_be_visible()
