"""In Chromium: a past bench in three other sizes, its picture and what fails in sight, to its issued quote, counted."""

from __future__ import annotations

import math
import re
import time
from io import BytesIO

import pytest
from playwright.sync_api import Locator, Page, expect
from pypdf import PdfReader

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import OpenPage
from tests.harness.hand import Hand
from tests.harness.serving import LiveServer, sign_in

#: From the first page to the quote, issued and opened.
MOST_ACTIONS = 14
WHY = "They are loaded with tiles only, so ware of that height never goes in"
#: What fails of the demo's ware carts at these sizes: so low, their openings are below what was asked for.
SIZES = ("900 mm", "600 mm", "800 mm")
FAILS = "Ware, which goes in over a rail: 217.5 mm high over"


def in_view(page: Page, *places: Locator) -> bool:
    """Whether all of them stand whole in the window at once, as it is."""
    boxes = [place.bounding_box() for place in places]
    size = page.viewport_size
    assert size is not None
    return all(box is not None and box["y"] >= 0 and box["y"] + box["height"] <= size["height"] for box in boxes)


def slopes_in(content: bytes) -> list[float]:
    """How steep each straight line stands that the PDF's first page draws, as the rise of one along the page."""
    said = PdfReader(BytesIO(content)).pages[0].get_contents()
    assert said is not None
    number = rb"(-?[\d.]+)"
    lines = re.findall(rb"%s %s [ml]\n(?=%s %s l\n)" % ((number,) * 4), said.get_data())
    steps = [(float(x2) - float(x1), float(y2) - float(y1)) for x1, y1, x2, y2 in lines]
    return [abs(y / x) for x, y in steps if abs(x) > 1]


@pytest.mark.parametrize(("width", "height"), [(1280, 800), (390, 844)], ids=["desk", "phone"])
def test_a_past_bench_is_quoted_although_checks_fail(
    live_server: LiveServer, open_page: OpenPage, width: int, height: int
) -> None:
    page = open_page(width=width, height=height)
    sign_in(page, live_server)
    page.goto(live_server.url)
    hand, began = Hand(page), time.monotonic()
    hand.click(page.get_by_role("link", name="Price on the telephone"))
    hand.fill(page.locator("#words"), "carts kiln")
    hand.enter()
    expect(page.get_by_label("Length without handles")).to_be_focused()
    before = page.locator("#telephone-drawing svg").inner_html()
    hand.type(SIZES[0])
    hand.enter()
    hand.type(SIZES[1])
    hand.enter()
    hand.type(SIZES[2])
    # The picture follows, and what fails stands in sight beside the size in hand, as far as one has scrolled.
    failing = page.locator("#spoken .note.failure")
    expect(failing).to_contain_text(FAILS)
    drawing = page.locator("#telephone-drawing svg")
    assert drawing.inner_html() != before
    assert in_view(page, failing, drawing, page.locator("#size_3"))
    assert_no_barrier(page)
    hand.click(page.get_by_role("button", name="Keep and quote"))
    page.wait_for_url(re.compile(r"/jobs/\d+/issue$"))
    # What fails does not stop it: its maker writes why.
    expect(page.locator(".reasons .note.failure")).to_have_count(1)
    expect(page.locator("#why-1")).to_be_focused()
    assert_no_barrier(page)
    hand.type(WHY)
    hand.enter()
    page.wait_for_url(re.compile("/quotes/"))
    with page.expect_download() as download:
        hand.click(page.get_by_role("link", name="Quote as issued, PDF"))
    content = download.value.path().read_bytes()
    print(f"{hand.actions} actions, {time.monotonic() - began:.0f} s")
    assert hand.actions <= MOST_ACTIONS
    text = " ".join(PdfReader(BytesIO(content)).pages[0].extract_text().split())
    assert "Carts to the kiln" in text
    assert WHY not in text
    # Of a square thing an isometric draws width and depth at 30 degrees, which nothing else of a quote is at.
    assert sum(slope == pytest.approx(math.tan(math.pi / 6), abs=0.002) for slope in slopes_in(content)) > 50
    assert "600 mm" in text
    assert "675 mm" in text
    assert "drawn without swivel" in text
    expect(page.locator(".note.failure").filter(has_text=FAILS)).to_contain_text(WHY)
