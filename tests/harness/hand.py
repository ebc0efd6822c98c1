"""A person's hand at a page, which counts what it does."""

from __future__ import annotations

from playwright.sync_api import Locator, Page


class Hand:
    """Does what a person does at a page, and counts it: clicks, choices from a list, texts typed, keys that matter."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.actions = 0

    def click(self, one: Locator) -> None:
        self.actions += 1
        one.click()

    def press(self, one: Locator, key: str = "Enter") -> None:
        """A key on what is reached by Tab."""
        self.actions += 1
        one.focus()
        self.page.keyboard.press(key)

    def choose(self, one: Locator, text: str) -> None:
        """A choice from a list that is reached by Tab, by its first letters."""
        self.actions += 1
        one.focus()
        one.select_option(label=text)

    def type(self, text: str) -> None:
        """What stands in a field is selected when one comes to it with Enter."""
        self.actions += 1
        self.page.keyboard.press("ControlOrMeta+A")
        self.page.keyboard.type(text)

    def fill(self, one: Locator, text: str) -> None:
        """A text typed into a field that is reached by Tab."""
        self.actions += 1
        one.focus()
        one.fill(text)

    def enter(self) -> None:
        self.actions += 1
        self.page.keyboard.press("Enter")
