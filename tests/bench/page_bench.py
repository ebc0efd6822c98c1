"""From a keystroke to settled sums and drawing, in Chromium, beside the fixed yardstick loop.

The page waits 120 ms for typing to pause before it asks; that pause is told apart. Run as
`python -m tests.bench.page_bench` on an otherwise idle machine.
"""

from __future__ import annotations

import re
import tempfile
from pathlib import Path
from statistics import median
from typing import Final

from playwright.sync_api import Page

from tests.bench.yardstick import yardstick_seconds
from tests.harness.serving import chromium, serve, sign_in
from webapp.opening import open_store
from webapp.persistence.designs.records import list_designs
from webapp.settings import Settings

PAUSE_MS: Final = 120
KEYSTROKES: Final = 12

#: Resolves with the milliseconds from the next keystroke in a field to the settled swap of what follows from it.
WATCH: Final = """
() => {
  window.swapped = null;
  let pressed = 0;
  document.addEventListener('input', () => { pressed = performance.now(); }, {once: true, capture: true});
  const settled = () => { window.swapped = performance.now() - pressed; };
  document.body.addEventListener('htmx:afterSettle', settled, {once: true});
}
"""


def time_keystrokes(page: Page) -> list[float]:
    """Milliseconds of each keystroke in the first size field, each to another size."""
    field = page.locator("input[name*='sizes']").first
    start = int(re.match(r"\d+", field.input_value())[0])  # type: ignore[index]
    times = []
    for number in range(KEYSTROKES):
        page.evaluate(WATCH)
        field.fill(f"{start - 1 - number} mm")
        page.wait_for_function("() => window.swapped !== null")
        times.append(page.evaluate("() => window.swapped"))
    return times


def main() -> None:
    """Print the table."""
    yardstick = yardstick_seconds() * 1000
    print(f"yardstick loop: {yardstick:.0f} ms")
    with tempfile.TemporaryDirectory() as folder, chromium() as browser:
        settings = Settings(data_folder=Path(folder), port=0)
        opened = open_store(settings, demo=True)
        with serve(settings, opened.database) as server:
            page = browser.new_page()
            sign_in(page, server)
            with opened.database.reading() as session:
                designs = [one.name for one in list_designs(session)]
            for design in designs:
                page.goto(f"{server.url}/jobs/new")
                page.get_by_label("Design or past job").select_option(label=design)
                page.get_by_role("button", name="Make the job").click()
                page.wait_for_url(re.compile(r"/jobs/\d+$"))
                times = time_keystrokes(page)
                middle = median(times) - PAUSE_MS
                print(
                    f"{design}: keystroke to settled sums and drawing {middle:.0f} ms after the {PAUSE_MS} ms pause, "
                    f"{middle / yardstick:.1f} yardsticks, slowest {max(times) - PAUSE_MS:.0f} ms (aims 150, 300)"
                )
        opened.database.close()


if __name__ == "__main__":
    main()
