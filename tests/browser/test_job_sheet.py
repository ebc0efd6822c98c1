"""In Chromium: a job's sums follow the keys, late replies are dropped, figures open, prices are typed in their row."""

from __future__ import annotations

import re
import time
from contextlib import suppress
from urllib.parse import parse_qs

import pytest
from playwright.sync_api import Error, Page, Request, Route, expect

from tests.harness.browsing import NET, OpenPage, net, next_page, open_section, unfold, wait_until
from tests.harness.serving import LiveServer, sign_in
from webapp.costing.measures.written import figure_text
from webapp.estimating import estimate_job
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.settings.shop import load_shop
from webapp.running import utc_now

WIDTH = "#items-cabinet-sizes-width"


def net_at(server: LiveServer, width: str) -> float:
    """The price without tax of job 4 at a width, worked out apart from the page."""
    with server.database.reading() as session:
        shop = load_shop(session)
        document = load_job_by_number(session, 4).document
        item = {**document["items"][0], "sizes": {"width": width}}
        _, found = estimate_job(session, {**document, "items": [item]}, shop, shop.today(utc_now()))
        return float(figure_text(found.totals.net.value, 2))


def find_cabinets(page: Page) -> None:
    """The demo's past cabinets, found on the telephone by words and taken with Enter."""
    expect(page.locator("#words")).to_be_focused()
    page.keyboard.type("cabinets 850")
    page.keyboard.press("Enter")


@pytest.fixture
def sheet(live_server: LiveServer, browser_page: Page) -> Page:
    """The demo's job whose oak has no price, opened."""
    sign_in(browser_page, live_server)
    browser_page.goto(f"{live_server.url}/jobs/4")
    return browser_page


def test_a_size_typed_moves_the_price_and_what_is_wrong_is_said_beside_it(live_server: LiveServer, sheet: Page) -> None:
    sheet.locator(WIDTH).fill("1200 mm")
    expect(sheet.locator(NET)).to_have_text(f"{net_at(live_server, '1200 mm'):,.2f}")
    sheet.locator(WIDTH).fill("18 in by 2")
    beside = sheet.locator("#items-cabinet-sizes-width-beside")
    expect(beside).to_contain_text("“18 in by 2” can't be read as a length")
    expect(sheet.locator(WIDTH)).to_have_attribute("aria-invalid", "true")
    expect(sheet.locator(WIDTH)).to_have_value("18 in by 2")
    sheet.locator(WIDTH).fill("700 mm")
    expect(beside).not_to_contain_text("can't be read")
    expect(sheet.locator(NET)).to_have_text(f"{net_at(live_server, '700 mm'):,.2f}")
    sheet.get_by_label("Carcass, drawer fronts and plywood top").select_option(label="Birch-faced plywood 15 mm")
    expect(sheet.locator("#basis-section > summary")).to_contain_text("Birch-faced plywood 15 mm in place of")


def test_a_late_reply_never_overwrites_a_newer_one(live_server: LiveServer, sheet: Page) -> None:
    held: list[Route] = []

    def hold_the_first(route: Route) -> None:
        if held:
            route.continue_()
        else:
            held.append(route)

    sheet.route("**/jobs/4/estimate", hold_the_first)
    with sheet.expect_request("**/jobs/4/estimate"):
        sheet.locator(WIDTH).fill("1200 mm")
    wait_until(sheet, lambda: bool(held))
    # The page gives up the first request, so that no reply to it can come any more, late as it is sent on.
    with sheet.expect_event("requestfailed", lambda request: request == held[0].request):
        sheet.locator(WIDTH).fill("650 mm")
    with suppress(Error):
        held[0].continue_()
    expect(sheet.locator(NET)).to_have_text(f"{net_at(live_server, '650 mm'):,.2f}")
    sheet.locator(WIDTH).fill("900 mm")
    expect(sheet.locator(NET)).to_have_text(f"{net_at(live_server, '900 mm'):,.2f}")


def test_a_key_is_asked_for_once_and_of_quick_ones_the_last(live_server: LiveServer, sheet: Page) -> None:
    asked: list[str] = []

    def note(request: Request) -> None:
        if request.url.endswith("/jobs/4/estimate"):
            asked.append(request.post_data or "")

    # Better cut plans would have the sums worked out anew.
    sheet.route("**/jobs/4/look-on", lambda route: route.fulfill(status=204))
    sheet.on("request", note)
    sheet.locator(WIDTH).fill("1200 mm")
    expect(sheet.locator(NET)).to_have_text(f"{net_at(live_server, '1200 mm'):,.2f}")
    assert len(asked) == 1
    sheet.locator(WIDTH).evaluate(
        """(field) => ["6", "65", "650", "650 mm"].forEach((text) => {
            field.value = text;
            field.dispatchEvent(new Event("input", {bubbles: true}));
        })"""
    )
    expect(sheet.locator(NET)).to_have_text(f"{net_at(live_server, '650 mm'):,.2f}")
    assert parse_qs(asked[-1])["items.cabinet.sizes.width"] == ["650 mm"]
    assert len(asked) <= 3


def test_a_figure_opens_its_working_for_what_is_typed(live_server: LiveServer, sheet: Page) -> None:
    sheet.locator(WIDTH).fill("1200 mm")
    expect(sheet.locator(NET)).to_have_text(f"{net_at(live_server, '1200 mm'):,.2f}")
    sheet.locator(NET).locator("a").click()
    working = sheet.locator("#working-here #working")
    expect(working.get_by_role("heading")).to_have_text("Price without tax")
    expect(working).to_contain_text(sheet.locator(NET).inner_text())
    working.get_by_role("link", name=re.compile(r"^[\d,.]+ USD$")).first.click()
    expect(working.get_by_role("heading")).to_have_text("Show cabinet: after discount")
    expect(sheet).to_have_url(f"{live_server.url}/jobs/4")
    sheet.locator("#price-line a[data-stretch='stretch-labour']").focus()
    expect(working.get_by_role("heading")).to_have_text("Hours")


def test_what_is_put_in_place_works_from_the_first_moment(live_server: LiveServer, sheet: Page) -> None:
    sheet.evaluate(
        "document.querySelector('#working-here').addEventListener('htmx:afterSwap',"
        " () => setTimeout(() => document.querySelector('#working a[hx-get]').click()), { once: true })"
    )
    sheet.locator(NET).locator("a").click()
    working = sheet.locator("#working-here #working")
    expect(working.get_by_role("heading")).to_have_text("Show cabinet: after discount")
    expect(sheet).to_have_url(f"{live_server.url}/jobs/4")


def test_figures_open_and_sums_move_without_putting_each_other_off(live_server: LiveServer, sheet: Page) -> None:
    sums, workings = list[Route](), list[Route]()
    # A look for better plans would have the sums worked out anew too.
    sheet.route("**/jobs/4/look-on", lambda route: route.fulfill(status=204))
    sheet.route("**/jobs/4/estimate", lambda route: sums.append(route), times=1)
    sheet.locator(WIDTH).fill("1200 mm")
    wait_until(sheet, lambda: bool(sums))
    heading = sheet.locator("#working-here #working").get_by_role("heading")
    sheet.locator(NET).locator("a").click()
    expect(heading).to_have_text("Price without tax")
    sums[0].continue_()
    expect(sheet.locator(NET)).to_have_text(f"{net_at(live_server, '1200 mm'):,.2f}")

    sheet.route("**/jobs/4/working/**", lambda route: workings.append(route), times=1)
    sheet.locator("#strip a[href$='/price/cost']").click()
    wait_until(sheet, lambda: bool(workings))
    sheet.locator(WIDTH).fill("900 mm")
    expect(sheet.locator(NET)).to_have_text(f"{net_at(live_server, '900 mm'):,.2f}")
    workings[0].continue_()
    expect(heading).not_to_have_text("Price without tax")
    expect(heading).to_have_text("Cost")


def test_a_missing_price_is_typed_in_its_row_and_kept_with_enter(live_server: LiveServer, sheet: Page) -> None:
    sheet.locator(WIDTH).fill("1000 mm")
    expect(sheet.locator(NET)).to_have_text(f"{net_at(live_server, '1000 mm'):,.2f}")
    field = sheet.get_by_role("textbox", name="Price of White oak")
    field.fill("dear")
    field.press("Enter")
    expect(sheet.locator("#price-of-white_oak")).to_contain_text("“dear” can't be read as an amount")
    expect(field).to_have_value("dear")
    field.fill("9.40")
    # What is typed in the row stays, though the table around it is put in place anew.
    sheet.locator(WIDTH).fill("1010 mm")
    expect(sheet.locator(NET)).to_have_text(f"{net_at(live_server, '1010 mm'):,.2f}")
    expect(field).to_have_value("9.40")
    field.press("Enter")
    expect(sheet.locator(".bar")).not_to_contain_text("incomplete")
    expect(sheet.locator("#unpriced")).to_have_count(0)
    expect(sheet.locator(NET)).to_have_text(f"{net_at(live_server, '1010 mm'):,.2f}")
    expect(sheet.locator(WIDTH)).to_have_value("1010 mm")


def test_lines_and_minutes_are_changed_where_they_stand(sheet: Page) -> None:
    before = net(sheet)
    unfold(sheet, "#free")
    sheet.get_by_label("Kind", exact=True).last.select_option("part")
    sheet.get_by_label("What for").last.fill("Brass plate")
    sheet.get_by_label("Cost each").last.fill("20")
    sheet.get_by_label("Cost each").last.press("Enter")
    expect(sheet.get_by_label("What for")).to_have_count(2)
    expect(sheet.get_by_label("Kind", exact=True).last).to_be_focused()
    expect(sheet.locator(NET)).not_to_have_text(f"{before:,.2f}")
    after = net(sheet)
    open_section(sheet, "hours")
    sheet.get_by_role("button", name="Change the minutes of Spray for this job").click()
    likely = sheet.locator("#items-cabinet-minutes-spray-likely")
    expect(likely).to_be_focused()
    likely.press_sequentially("12", delay=60)
    sheet.locator("#items-cabinet-minutes-spray-why").press_sequentially("many edges", delay=60)
    expect(sheet.locator("#step-cabinet-spray")).to_contain_text("changed: many edges")
    expect(likely).to_have_value("12")
    expect(sheet.locator("#items-cabinet-minutes-spray-why")).to_be_focused()
    wait_until(sheet, lambda: net(sheet) > after)
    with next_page(sheet):
        sheet.get_by_role("button", name="Save").first.click()
    # The section is open on the next page too, as it was left.
    expect(sheet.locator("#step-cabinet-spray")).to_contain_text("changed: many edges")


def test_what_is_typed_while_a_button_is_answered_stays_and_counts(live_server: LiveServer, sheet: Page) -> None:
    held: list[Route] = []
    sheet.route("**/jobs/4/estimate", lambda route: held.append(route), times=1)
    unfold(sheet, "#free")
    with sheet.expect_request("**/jobs/4/estimate"):
        sheet.get_by_role("button", name="Add a line").click()
    wait_until(sheet, lambda: bool(held))
    sheet.evaluate("document.addEventListener('htmx:confirm', (event) => { window.waits ||= event.defaultPrevented; })")
    sheet.locator(WIDTH).fill("1200 mm")
    sheet.wait_for_function("() => window.waits")
    held[0].continue_()
    expect(sheet.locator(NET)).to_have_text(f"{net_at(live_server, '1200 mm'):,.2f}")
    expect(sheet.locator(WIDTH)).to_have_value("1200 mm")


def test_what_is_typed_as_a_button_is_being_answered_counts(live_server: LiveServer, sheet: Page) -> None:
    """The sheet is put in place anew before the pause after the last key is over."""
    # A look for better plans would have the sums worked out anew too.
    sheet.route("**/jobs/4/look-on", lambda route: route.fulfill(status=204))
    sheet.evaluate(
        "(width) => document.addEventListener('htmx:beforeOnLoad', () => {"
        " const field = document.querySelector(width); field.value = '1200 mm';"
        " field.dispatchEvent(new Event('input', { bubbles: true })); }, { once: true })",
        WIDTH,
    )
    unfold(sheet, "#free")
    sheet.get_by_role("button", name="Add a line").click()
    expect(sheet.locator(NET)).to_have_text(f"{net_at(live_server, '1200 mm'):,.2f}")
    expect(sheet.locator(WIDTH)).to_have_value("1200 mm")


def test_the_sheet_is_the_same_without_script(live_server: LiveServer, open_page: OpenPage) -> None:
    page = open_page(script=False)
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/jobs/new")
    page.get_by_label("Design or past job").select_option(label="Bench cabinet with drawers")
    with next_page(page):
        page.get_by_role("button", name="Make the job").click()
    first = page.locator(NET).inner_text()
    width = page.locator("#items-bench_cabinet-sizes-width")
    width.fill("1150 mm")
    with next_page(page):
        page.get_by_role("button", name="Work out").click()
    expect(page.locator(NET)).not_to_have_text(first)
    expect(width).to_have_value("1150 mm")
    width.fill("wide")
    with next_page(page):
        page.get_by_role("button", name="Save").first.click()
    expect(page.locator("#items-bench_cabinet-sizes-width-beside")).to_contain_text("“wide” can't be read")
    expect(width).to_have_value("wide")
    width.fill("1150 mm")
    # The wood of a solid top is no question while the top is of plywood; its field is there once the top is solid.
    expect(page.get_by_label("Solid top", exact=True)).not_to_be_visible()
    page.locator("#items-bench_cabinet-choices-top").select_option("solid_top")
    with next_page(page):
        page.get_by_role("button", name="Save").first.click()
    page.get_by_label("Solid top", exact=True).select_option(label="White oak")
    with next_page(page):
        page.get_by_role("button", name="Save").first.click()
    expect(page.locator(".bar")).to_contain_text("incomplete")
    page.get_by_role("textbox", name="Price of White oak").fill("9.40")
    with next_page(page):
        page.get_by_role("button", name="Keep the price: Price of White oak").click()
    expect(page.get_by_role("alert")).to_contain_text("The price is kept.")
    expect(page.locator(".bar")).not_to_contain_text("incomplete")
    total = page.locator(NET).inner_text()
    with next_page(page):
        page.locator(NET).locator("a").click()
    expect(page.get_by_role("heading", name="Price without tax")).to_be_visible()
    expect(page.locator("#working")).to_contain_text(total)


def test_a_size_is_typed_over_on_the_telephone_and_what_cannot_be_read_is_refused_there(
    live_server: LiveServer, browser_page: Page
) -> None:
    sign_in(browser_page, live_server)
    # Whether the bench is chosen on the page or in the address, one types at once.
    browser_page.goto(f"{live_server.url}/price")
    find_cabinets(browser_page)
    width = browser_page.get_by_label("Overall width")
    expect(width).to_be_focused()
    browser_page.keyboard.type("1100")
    expect(width).to_have_value("1100")
    browser_page.goto(f"{live_server.url}/price?bench=job:2:cabinets")
    expect(width).to_be_focused()
    browser_page.keyboard.type("1000")
    expect(width).to_have_value("1000")
    # With the mouse too; a second press sets the caret, so that one digit can be put right.
    depth = browser_page.get_by_label("Overall depth")
    depth.click()
    browser_page.keyboard.type("wide")
    expect(depth).to_have_value("wide")
    expect(browser_page.locator("#size_2-beside")).to_contain_text("“wide” can't be read as a length")
    expect(browser_page.locator("#spoken-price")).to_have_count(0)
    expect(browser_page.locator("#spoken")).to_contain_text("No price")
    browser_page.keyboard.press("ControlOrMeta+A")
    browser_page.keyboard.type("600 mm")
    expect(browser_page.locator("#spoken-price")).to_be_visible()
    expect(browser_page.locator("#size_2-beside")).not_to_contain_text("wide")
    depth.click(position={"x": 4, "y": 8})
    browser_page.keyboard.type("1")
    expect(depth).to_have_value("1600 mm")


def test_the_range_follows_once_nobody_types_and_its_figures_open(sheet: Page) -> None:
    place = sheet.locator("#range")
    beyond = place.locator("strong .figure")
    expect(beyond).to_be_visible()
    before = beyond.inner_text()
    sheet.locator("[name^='items.'][name$='.quantity']").first.fill("9")
    expect(place).to_contain_text("follows in a moment")
    expect(beyond).to_be_visible()
    assert float(beyond.inner_text().replace(",", "")) > float(before.replace(",", ""))
    beyond.locator("a").click()
    expect(sheet.locator("#working")).to_contain_text("the least that 80 % of the draws stay within")
    place.locator("summary").click()
    expect(place).to_contain_text("What moves it most")


def test_what_a_job_may_come_to_waits_until_the_keys_rest(live_server: LiveServer, browser_page: Page) -> None:
    """It is drawn many times over: no key waits for it, and it comes even where a key asked for nothing else."""
    sign_in(browser_page, live_server)
    asked, keyed = list[float](), list[float]()
    browser_page.on("request", lambda one: asked.append(time.monotonic()) if one.url.endswith("/range") else None)
    browser_page.goto(f"{live_server.url}/jobs/2")
    for text in ("781 mm", "782 mm", "783 mm", "784 mm", "785 mm"):
        browser_page.locator("#items-cabinets-sizes-width").fill(text)
        keyed.append(time.monotonic())
    expect(browser_page.locator("#range")).to_contain_text("One job in five")
    # The page's own question may have been on its way before the first key.
    assert all(one < keyed[0] or one > keyed[-1] + 0.5 for one in asked)
    # A key in a field that asks for nothing else.
    browser_page.reload()
    browser_page.get_by_role("searchbox").first.fill("cabinet")
    expect(browser_page.locator("#range")).to_contain_text("One job in five")


@pytest.mark.parametrize("width", [1280, 390])
def test_a_price_on_the_telephone_needs_enter_only(live_server: LiveServer, browser_page: Page, width: int) -> None:
    browser_page.set_viewport_size({"width": width, "height": 844})
    sign_in(browser_page, live_server)
    browser_page.goto(f"{live_server.url}/price")
    find_cabinets(browser_page)
    expect(browser_page.get_by_label("Overall width")).to_be_focused()
    before = browser_page.locator("#spoken-price").inner_text()
    for text in ("1100 mm", "700 mm", "900 mm", "3"):
        browser_page.keyboard.press("ControlOrMeta+A")
        browser_page.keyboard.type(text)
        browser_page.keyboard.press("Enter")
    expect(browser_page.get_by_role("button", name="Keep as a job")).to_be_focused()
    expect(browser_page.locator("#spoken-price")).not_to_have_text(before)
    browser_page.keyboard.press("Enter")
    browser_page.wait_for_url(re.compile(r"/jobs/\d+$"))
    expect(browser_page.locator("#items-bench-sizes-width")).to_have_value("1100 mm")
    expect(browser_page.locator("#items-bench-quantity")).to_have_value("3")
