"""A hand that types designs in few words on the maker's page, counting what it does."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from typing import Final

from playwright.sync_api import Page, expect

from tests.harness.serving import LiveServer

BOARD: Final = "#maker"
NEW_ROW: Final = "#new-row"


@dataclass
class Maker:
    """Somebody who makes a design at the page; `actions` counts fields left, rows added and choices made."""

    page: Page
    server: LiveServer
    actions: int = 0
    began: float = field(default_factory=time.monotonic)
    typed: int = 0

    @property
    def seconds(self) -> float:
        """How long it took so far."""
        return time.monotonic() - self.began

    def begin(self, name: str) -> None:
        """Open the page of designs being made, and begin one of nothing."""
        self.page.goto(f"{self.server.url}/maker")
        expect(self.page.locator("#name")).to_be_focused()
        self.type(name)
        self.page.keyboard.press("Enter")
        self.actions += 1
        self.page.wait_for_url("**/maker/*-*")
        expect(self.page.locator(NEW_ROW)).to_be_focused()

    def type(self, text: str) -> None:
        """Type where the mark stands."""
        self.page.keyboard.insert_text(text)
        self.typed += len(text)

    def answers(self) -> str:
        """How often the page was answered so far."""
        return self.page.locator(BOARD).get_attribute("data-answered") or ""

    def add(self, line: str) -> None:
        """Say the next row, and wait until it stands there."""
        before = self.answers()
        self.type(line)
        self.page.keyboard.press("Enter")
        self.actions += 1
        self.answered(before)
        problems = self.page.locator("#new-row-problems")
        assert problems.count() == 0, f"{line}: {problems.inner_text()}"
        expect(self.page.locator(NEW_ROW)).to_be_focused()

    def answered(self, before: str) -> None:
        """Wait until the page was answered once more."""
        self.page.wait_for_function(
            "before => (document.getElementById('maker').dataset.answered || '') !== before", arg=before
        )

    def keep(self, head: dict[str, str]) -> None:
        """Say what it is and what a quote says of it, and keep it."""
        self.page.keyboard.press("Control+s")
        expect(self.page.locator("#head-name")).to_be_focused()
        self.actions += 1
        for name in ("says", "scope"):
            self.page.keyboard.press("Tab")
            expect(self.page.locator(f"#head-{name}")).to_be_focused()
            self.page.keyboard.press("Control+a")
            self.type(head[name])
            self.actions += 1
        self.page.keyboard.press("Enter")
        self.actions += 1
        self.page.wait_for_url("**/designs/*")
