"""In Chromium: what of a job is in sight without scrolling, how heavy and long its sheet is, how one goes over it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import NET, OpenPage, open_section, unfold
from tests.harness.serving import LiveServer, sign_in

JOB: Final = "/jobs/4"
WIDTH: Final = "#items-cabinet-sizes-width"
SIZES: Final = tuple(f"#items-cabinet-sizes-{name}" for name in ("width", "depth", "height", "tallest_thing"))
#: What has to be in sight, by the width and the height of the window, and how high the bar may be.
IN_SIGHT: Final[Mapping[tuple[int, int], tuple[tuple[str, ...], int]]] = {
    (1280, 900): (
        (
            "#now-total",
            "#now-margin",
            "#now-hours",
            "#now-ready",
            "#strip .note.warning",
            "#unpriced",
            "#drawn-cabinet svg",
            *SIZES,
        ),
        64,
    ),
    (640, 450): (("#now-total", "#now-margin", "#now-hours", ".missing-line", "#drawn-cabinet svg", *SIZES), 56),
    (390, 844): (("#now-total", ".missing-line", "#drawn-cabinet svg", *SIZES[:2]), 56),
}
#: Bytes that a sheet, and what a key brings, may weigh.
HEAVIEST_SHEET: Final = 150_000
HEAVIEST_PART: Final = 40_000
LONGEST_ON_A_PHONE: Final = 6000


@pytest.fixture
def sheet(live_server: LiveServer, browser_page: Page) -> Page:
    """The demo's job whose oak has no price, opened."""
    sign_in(browser_page, live_server)
    browser_page.goto(live_server.url + JOB)
    return browser_page


def bottom_of(one: Locator) -> float:
    box = one.bounding_box()
    assert box is not None
    assert box["y"] >= 0
    return box["y"] + box["height"]


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("window", IN_SIGHT, ids=lambda window: f"{window[0]}x{window[1]}")
def test_what_decides_is_in_sight_without_scrolling(sheet: Page, window: tuple[int, int], dark: bool) -> None:
    places, bar = IN_SIGHT[window]
    sheet.emulate_media(color_scheme="dark" if dark else "light")
    sheet.set_viewport_size({"width": window[0], "height": window[1]})
    sheet.reload()
    for place in places:
        expect(sheet.locator(place).first).to_be_visible()
        assert bottom_of(sheet.locator(place).first) <= window[1], f"{place} is below the fold"
    box = sheet.locator(".bar").bounding_box()
    assert box is not None
    assert box["height"] <= bar
    # The bar stays, wherever one is on the sheet.
    sheet.mouse.wheel(0, 3000)
    expect(sheet.locator("#now-total")).to_be_in_viewport()
    assert_no_barrier(sheet)


def test_a_sheet_and_what_a_key_brings_weigh_little_and_a_phone_is_not_scrolled_far(
    live_server: LiveServer, sheet: Page
) -> None:
    for number in range(1, 6):
        answer = sheet.goto(f"{live_server.url}/jobs/{number}")
        assert answer is not None
        assert len(answer.body()) < HEAVIEST_SHEET, f"job {number}"
    sheet.goto(live_server.url + JOB)
    with sheet.expect_response("**/jobs/4/estimate") as answered:
        sheet.locator(WIDTH).fill("1100 mm")
    assert len(answered.value.body()) < HEAVIEST_PART
    sheet.set_viewport_size({"width": 390, "height": 844})
    sheet.goto(live_server.url + JOB)
    assert sheet.evaluate("document.documentElement.scrollHeight") < LONGEST_ON_A_PHONE


def test_enter_goes_through_all_fields_in_sight_and_loses_no_place(sheet: Page) -> None:
    sheet.locator(WIDTH).focus()
    seen = []
    for _ in range(60):
        seen.append(sheet.evaluate("document.activeElement.id"))
        sheet.keyboard.press("Enter")
        if sheet.evaluate("document.activeElement.id") == seen[-1] or seen[-1].startswith("price-"):
            break
    fields = sheet.evaluate(
        "Array.from(document.querySelectorAll('.made :is(input:not([type=hidden], [type=radio]), select)'))"
        ".filter((one) => one.checkVisibility()).map((one) => one.id)"
    )
    assert [one for one in seen if one in fields] == fields[fields.index(WIDTH[1:]) :]
    # The sums follow while one is in a field: it keeps the focus, and the page its place.
    field = sheet.locator(WIDTH)
    field.focus()
    priced = sheet.locator(NET).inner_text()
    field.press_sequentially("1", delay=20)
    field.fill("1100 mm")
    expect(sheet.locator(NET)).not_to_have_text(priced)
    expect(field).to_be_focused()
    expect(sheet).to_have_url(re.compile("/jobs/4$"))


def test_a_size_is_typed_on_its_dimension_line_and_the_drawing_follows(sheet: Page) -> None:
    field, drawn = sheet.locator(WIDTH), sheet.locator("#drawn-cabinet")
    box, paper = field.bounding_box(), drawn.bounding_box()
    assert box is not None
    assert paper is not None
    assert paper["y"] < box["y"] < paper["y"] + paper["height"], "the width is not typed on the drawing"
    before = drawn.inner_html()
    field.fill("1200 mm")
    expect(sheet.locator("#drawn-cabinet svg")).to_be_visible()
    sheet.wait_for_function("(before) => document.querySelector('#drawn-cabinet').innerHTML !== before", arg=before)
    # What can't be read leaves the last good drawing where it is, in grey.
    good = drawn.inner_html()
    field.fill("wide")
    expect(sheet.locator(f"{WIDTH}-beside .problem")).to_be_visible()
    assert drawn.inner_html() == good
    expect(drawn.locator("svg")).to_have_css("opacity", "0.4")
    field.fill("1200 mm")
    expect(drawn.locator("svg")).to_have_css("opacity", "1")
    # From another corner, by a press.
    turned = drawn.inner_html()
    sheet.get_by_text("back left", exact=True).click()
    sheet.wait_for_function("(before) => document.querySelector('#drawn-cabinet').innerHTML !== before", arg=turned)
    expect(drawn.locator("svg")).to_have_attribute("aria-label", re.compile("back left"))
    # On a narrow screen it stands beneath the drawing.
    sheet.set_viewport_size({"width": 390, "height": 844})
    below, paper = field.bounding_box(), drawn.bounding_box()
    assert below is not None
    assert paper is not None
    assert below["y"] >= paper["y"] + paper["height"]


def test_a_place_that_nothing_goes_by_is_out_of_sight_and_keeps_its_material(sheet: Page) -> None:
    wood = sheet.locator("#items-cabinet-materials-top_wood")
    expect(wood).to_be_visible()
    chosen = wood.input_value()
    sheet.locator("#items-cabinet-choices-top").select_option("plywood_top")
    expect(wood).not_to_be_visible()
    sheet.locator("#items-cabinet-choices-top").select_option("solid_top")
    expect(wood).to_be_visible()
    expect(wood).to_have_value(chosen)


def test_folds_stay_as_they_were_left_and_a_link_opens_them(live_server: LiveServer, sheet: Page) -> None:
    expect(sheet.locator("#materials-section .table-room")).to_have_count(0)
    open_section(sheet, "materials")
    # As one left it, on any job.
    sheet.goto(f"{live_server.url}/jobs/2")
    expect(sheet.locator("#materials-section .table-room").first).to_be_visible()
    expect(sheet.locator("#hours-section .table-room")).to_have_count(0)
    sheet.locator("#materials-section > summary").click()
    sheet.goto(live_server.url + JOB)
    expect(sheet.locator("#materials-section")).not_to_have_attribute("open", "")
    # What is wrong leads to its field, through the folds around it.
    unfold(sheet, "#delivery")
    sheet.locator("#delivery-distance").fill("far")
    link = sheet.locator("#open-problems a").first
    expect(link).to_be_visible()
    sheet.locator("#delivery > summary").click()
    link.click()
    expect(sheet.locator("#delivery-distance")).to_be_focused()
    expect(sheet.locator("#delivery-distance")).to_be_visible()
    # So does an address.
    sheet.goto(f"{live_server.url}{JOB}#discount")
    expect(sheet.locator("#discount")).to_be_focused()


def test_steps_are_ticked_with_a_thumb_and_stay_ticked(live_server: LiveServer, open_page: OpenPage) -> None:
    page = open_page(width=390, height=844)
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/jobs/2/workshop")
    boxes = page.locator(".tick-off")
    size = boxes.nth(2).bounding_box()
    assert size is not None
    assert min(size["width"], size["height"]) >= 44
    boxes.nth(2).click()
    expect(boxes.nth(2)).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#steps-done")).to_contain_text("1 of ")
    page.reload()
    expect(boxes.nth(2)).to_have_attribute("aria-pressed", "true")
    assert page.evaluate("document.documentElement.scrollHeight") < LONGEST_ON_A_PHONE
    page.locator(".step summary").nth(3).click()
    page.get_by_role("link", name="Cut list").last.click()
    expect(page.locator("#cuts .table-room").first).to_be_visible()
    assert_no_barrier(page)


#: Whether the middle of everything that is pressed or typed in is the thing itself, and nothing that lies over it.
IN_THE_OPEN: Final = """
cell => [...cell.querySelectorAll('button, input:not([type=hidden]), select, textarea')]
  .filter(one => one.checkVisibility()).every(one => {
    one.scrollIntoView({block: 'center'});
    const at = one.getBoundingClientRect();
    return one.contains(document.elementFromPoint(at.x + at.width / 2, at.y + at.height / 2));
  })
"""


@pytest.mark.parametrize("width", [1280, 390])
def test_what_a_cell_of_the_title_block_opens_lies_under_nothing(sheet: Page, width: int) -> None:
    sheet.set_viewport_size({"width": width, "height": 844})
    for name in ("whom", "delivery", "terms", "free", "next-item"):
        unfold(sheet, f"#{name}")
        assert sheet.locator(f"#{name}").evaluate(IN_THE_OPEN), name


def test_the_item_that_one_works_at_stays_open_beside_one_that_was_just_added(sheet: Page) -> None:
    unfold(sheet, "#next-item")
    sheet.locator("#new_design").select_option(label="Trestle bench")
    sheet.get_by_role("button", name="Add the item").click()
    expect(sheet.locator("#items-trestle_bench")).to_have_attribute("open", "")
    sheet.locator("#items-cabinet > summary").click()
    before = sheet.locator(NET).inner_text()
    sheet.locator(WIDTH).fill("1180 mm")
    expect(sheet.locator(NET)).not_to_have_text(before)
    expect(sheet.locator("#items-cabinet")).to_have_attribute("open", "")
