"""In Chromium: versions compared, a newer one taken and undone, other ways of a job made by the keyboard alone, and the
library with its pictures."""

from __future__ import annotations

import copy
import re

from playwright.sync_api import Page, expect

from tests.harness.barriers import OF_LOOKS, assert_no_barrier
from tests.harness.browsing import OpenPage
from tests.harness.hand import Hand
from tests.harness.serving import LiveServer, sign_in
from webapp.costing.design_changes.rename import rename
from webapp.costing.designs.canonical import document_digest
from webapp.persistence.designs.records import load_design, save_design_version
from webapp.running import utc_now

CODE = "trestle_bench"
#: Another way with a name, one answer changed, on the quote and back at the table: from the job's sheet.
MOST_ACTIONS = 6


def keep_deeper(server: LiveServer) -> None:
    """A second version of the design: its width is called depth, and it has two pads more."""
    with server.database.writing() as session:
        stored = load_design(session, CODE)
        document = copy.deepcopy(dict(stored.document))
        document["hardware"]["pad"]["count"] = "6"
        document = rename(document, "sizes", "width", "depth")
        save_design_version(
            session, CODE, stored.name, document, document_digest(document), at=utc_now(), note="Called depth"
        )


def begin_job(page: Page, server: LiveServer) -> str:
    """The address of a new job of one bench."""
    sign_in(page, server)
    page.goto(f"{server.url}/jobs/new?start=design:{CODE}")
    page.locator("#title").fill("A bench that may be made otherwise")
    page.get_by_role("button", name="Make the job").click()
    page.wait_for_url(re.compile(r"/jobs/\d+$"))
    return page.url


def test_a_newer_version_is_looked_at_taken_and_undone(live_server: LiveServer, browser_page: Page) -> None:
    page = browser_page
    job = begin_job(page, live_server)
    page.locator(f"#items-{CODE}-sizes-width").fill("700 mm")
    page.get_by_role("button", name="Save").first.click()
    page.wait_for_url(job)
    keep_deeper(live_server)
    page.goto(job)
    offered = page.locator(f"#newer-{CODE}")
    expect(offered).to_contain_text("Version 2 is there: price +")
    assert_no_barrier(page, within=f"#newer-{CODE}")
    offered.get_by_role("link").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Trestle bench: version 1 and version 2")
    expect(page.get_by_text("called “width” before")).to_be_visible()
    assert_no_barrier(page)
    page.go_back()
    # One press takes it; what is typed goes along, and the form's own undo puts all of it back.
    offered.get_by_role("button", name="Take version 2").click()
    expect(page.locator(f"#items-{CODE}-sizes-depth")).to_have_value("700 mm")
    expect(page.locator(f"#taken-{CODE}")).to_contain_text("nothing is saved yet")
    page.locator("#undo").click()
    expect(page.locator(f"#items-{CODE}-sizes-width")).to_have_value("700 mm")
    # Taken for good from the page that compares, and put back by one press on the sheet.
    page.goto(job)
    offered.get_by_role("link").click()
    page.get_by_role("button", name="Take version 2").click()
    page.wait_for_url(re.compile(r"taken="))
    page.locator(f"#taken-{CODE}").get_by_role("button", name="Put version 1 back").click()
    expect(page.locator(f"#items-{CODE}-sizes-width")).to_have_value("700 mm")


def test_another_way_is_made_by_the_keyboard_and_nothing_bars_from_it(
    live_server: LiveServer, browser_page: Page
) -> None:
    page = browser_page
    job, hand = begin_job(page, live_server), Hand(page)
    hand.press(page.get_by_role("button", name="Try another way"))
    page.wait_for_url(re.compile(r"/alternates/new"))
    expect(page.locator("#name")).to_be_focused()
    assert_no_barrier(page)
    hand.type("Softwood top")
    hand.choose(page.get_by_label("Top", exact=True), "softwood top")
    hand.press(page.get_by_label("Put it on the quote as an option"), "Space")
    hand.press(page.get_by_role("button", name="Keep this way"))
    page.wait_for_url(f"{job}/alternates")
    print(f"{hand.actions} actions")
    assert hand.actions <= MOST_ACTIONS
    row = page.get_by_role("row", name=re.compile("Softwood top"))
    expect(row).to_contain_text("softwood top in place of hardwood top")
    expect(row).to_contain_text(re.compile(r"[+−]\d"))
    assert_no_barrier(page)
    addresses = ("/alternates", "/alternates/way_1", "/issue")
    page.set_viewport_size({"width": 390, "height": 844})
    page.emulate_media(color_scheme="dark")
    for address in addresses:
        page.goto(f"{job}{address}")
        assert_no_barrier(page, rules=OF_LOOKS)
    for address in ("/designs?words=maple+1800+x+800", f"/designs/{CODE}/compare", f"/designs/{CODE}/bench"):
        page.goto(f"{live_server.url}{address}")
        assert_no_barrier(page, rules=OF_LOOKS)


def test_the_library_draws_what_comes_in_sight(live_server: LiveServer, browser_page: Page) -> None:
    page = browser_page
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/designs")
    first = page.locator(".drawer img").first
    expect(first).to_be_visible()
    page.wait_for_function("() => document.querySelector('.drawer img').naturalWidth > 20")
    page.locator("#words").fill("1800 mm x 800 mm trestle")
    expect(page.locator(".drawer img")).to_have_count(1)
    expect(page.locator("#found")).to_contain_text("that can be made 1800 mm by 800 mm")
    expect(page.locator("#found")).to_contain_text("In past jobs")


def test_all_of_it_works_without_script(live_server: LiveServer, open_page: OpenPage) -> None:
    page = open_page(script=False)
    job = begin_job(page, live_server)
    keep_deeper(live_server)
    page.goto(job)
    page.locator(f"#newer-{CODE}").get_by_role("button", name="Take version 2").click()
    expect(page.locator(f"#items-{CODE}-sizes-depth")).to_have_value("750 mm")
    page.goto(f"{job}/alternates/new")
    page.get_by_label("What it is called").fill("Two of them")
    page.get_by_label("How many").fill("2")
    page.get_by_role("button", name="Keep this way").click()
    page.get_by_role("button", name="Make it the job’s own: Two of them").click()
    expect(page.locator("table")).to_contain_text("As before: Two of them")
    page.goto(job)
    expect(page.locator(f"#items-{CODE}-quantity")).to_have_value("2")
