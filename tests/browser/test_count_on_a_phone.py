"""In Chromium on a telephone: the rack is counted on a walk, looked over with its money, and kept."""

from __future__ import annotations

from time import monotonic

from playwright.sync_api import Page, expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.serving import LiveServer, sign_in
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Offcut
from webapp.persistence.catalogue.records import find_materials
from webapp.persistence.rack.records import find_offcuts, put_on_rack
from webapp.running import utc_now

PIECES = 12
TARGET = 44


def test_the_rack_is_counted_on_a_telephone(live_server: LiveServer, browser_page: Page) -> None:
    page = browser_page
    with live_server.database.writing() as session:
        sheets = [one.material.code for one in find_materials(session, kind=Kind.SHEET).entries]
        for place in range(PIECES):
            key = f"00000000-0000-4000-8000-{place:012}"
            length, bay = (700 + 10 * place) * 10**6, f"Bay {place // 4}"
            one = Offcut(key, sheets[place % len(sheets)], length, 500 * 10**6, 2, bay)
            put_on_rack(session, one, "", at=utc_now())
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/rack")
    begun, actions = monotonic(), 0
    page.get_by_role("link", name="Count", exact=True).click()
    actions += 1
    assert_no_barrier(page)
    rows = page.locator(".count-row")
    assert rows.count() == PIECES
    for place in range(PIECES):
        row = rows.nth(place)
        target = row.locator("input[type=text]" if place % 6 == 5 else "label").last
        box = target.bounding_box()
        assert box is not None
        assert box["height"] >= TARGET
        if place % 6 == 5:
            target.fill("1")
        else:
            target.click()
        actions += 1
    page.get_by_role("button", name="Show what differs").click()
    expect(page.get_by_role("heading", name="What the count found")).to_be_visible()
    expect(page.locator("main")).to_contain_text("12 lines counted, 2 differences. Nothing is kept yet.")
    assert_no_barrier(page)
    page.get_by_role("button", name="Keep the count").click()
    actions += 2
    expect(page.locator("main")).to_contain_text("It is kept.")
    seconds = monotonic() - begun
    with live_server.database.reading() as session:
        counts = sorted(one.offcut.count for one in find_offcuts(session, size=50).entries)
    assert counts == [1, 1, *[2] * (PIECES - 2)]
    print(f"\nthe rack counted on a telephone: {PIECES} sizes, {actions} actions, {seconds:.1f} s")
