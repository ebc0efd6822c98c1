"""From a keystroke to painted sums and drawing, in Chromium, beside the fixed yardstick loop.

The first key after a rest is asked for at once; of keys that follow each other quickly the last is, after a pause of
120 ms, which is in its figure. Run as `python -m tests.bench.page_bench` on an otherwise idle machine.
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

KEYSTROKES: Final = 12
#: Longer than the page takes for a rest of the hand.
REST_MS: Final = 700
#: Between the keys of somebody who types quickly.
QUICK_MS: Final = 80

#: Types a text into a field, key by key; resolves with the milliseconds from its last key to the painted frame in which
#: the answer to it stands.
TYPE: Final = """
async (field, [typed, apart]) => {
  let pressed = 0, asked = null;
  const sent = (event) => { if (event.detail.target.id === 'result') { asked = event.detail.xhr; } };
  document.body.addEventListener('htmx:beforeSend', sent);
  const painted = new Promise((resolve) => {
    const settled = (event) => {
      if (!pressed || event.detail.xhr !== asked || event.detail.target.id !== 'result') { return; }
      document.body.removeEventListener('htmx:afterSettle', settled);
      requestAnimationFrame(() => {
        const after = new MessageChannel();
        after.port1.onmessage = () => resolve(performance.now() - pressed);
        after.port2.postMessage(0);
      });
    };
    document.body.addEventListener('htmx:afterSettle', settled);
  });
  for (let end = 0; end < typed.length; end += 1) {
    if (end) { await new Promise((next) => setTimeout(next, apart)); }
    field.value = typed[end];
    if (end === typed.length - 1) { pressed = performance.now(); asked = null; }
    field.dispatchEvent(new Event('input', {bubbles: true}));
  }
  const took = await painted;
  document.body.removeEventListener('htmx:beforeSend', sent);
  return took;
}
"""


def time_keystrokes(page: Page, keys: int) -> list[float]:
    """Milliseconds to the picture of the last of so many keys in the first size field, each to another size."""
    field = page.locator("input[name*='sizes']").first
    start = int(re.match(r"\d+", field.input_value())[0])  # type: ignore[index]
    times = []
    for number in range(KEYSTROKES):
        page.wait_for_timeout(REST_MS)
        typed = [f"{start - 1 - key - number * keys} mm" for key in range(keys)]
        times.append(float(field.evaluate(TYPE, [typed, QUICK_MS])))
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
                once, quickly = time_keystrokes(page, 1), time_keystrokes(page, 4)
                print(
                    f"{design}: keystroke to painted sums and drawing {median(once):.0f} ms, "
                    f"{median(once) / yardstick:.1f} yardsticks, quickest {min(once):.0f} ms (aim 300); "
                    f"from the last of four quick ones {median(quickly):.0f} ms, quickest {min(quickly):.0f} ms"
                )
        opened.database.close()


if __name__ == "__main__":
    main()
