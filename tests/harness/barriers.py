"""What bars people from a page, as far as axe-core can check the Web Content Accessibility Guidelines by itself."""

from __future__ import annotations

from typing import Final

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

#: Rules whose answer changes with the width or the colours of a page that is otherwise the same.
OF_LOOKS: Final = (
    "color-contrast",
    "css-orientation-lock",
    "link-in-text-block",
    "meta-viewport",
    "scrollable-region-focusable",
)
WIDER: Final = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


def assert_no_barrier(page: Page, within: str | None = None, rules: tuple[str, ...] = ()) -> None:
    """No rule of axe-core is broken on a page, or within a part of it, and it runs off no edge of the window."""
    options = {"resultTypes": ["violations"], **({"runOnly": list(rules)} if rules else {})}
    found = Axe().run(page, context=within, options=options)
    assert found.violations_count == 0, f"{page.url}: {found.generate_report()}"
    assert page.evaluate(WIDER) <= 0, f"{page.url} is wider than the window"
