"""In Chromium: 'not saved' from the first key, undo and redo over the whole sheet, and the keys, said and pressed."""

from __future__ import annotations

from playwright.sync_api import expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import next_page, unfold
from tests.harness.desk import JOB, NOTICE, OWN_STORAGE, STATE, TYPED, WIDTH, Desk, is_kept


def test_not_saved_is_said_from_the_first_key_and_goes_with_what_was_typed(desk: Desk) -> None:
    page, state = desk.page, desk.page.locator(STATE)
    page.goto(desk.url + JOB)
    expect(state).to_contain_text("saved ")
    width = page.locator(WIDTH)
    was = width.input_value()
    width.press("End")
    width.press("1")
    expect(state).to_have_text("not saved")
    width.fill(was)
    expect(state).to_contain_text("saved ")
    with page.expect_response(is_kept):
        width.fill(TYPED)
    # Ctrl+S saves, wherever one is.
    with next_page(page):
        page.keyboard.press("Control+s")
    expect(state).to_contain_text("saved ")
    expect(width).to_have_value(TYPED)
    expect(page.locator(f"{NOTICE} section")).to_have_count(0)
    assert page.evaluate(OWN_STORAGE) == 0


def test_undo_and_redo_go_over_the_whole_sheet_and_bring_back_what_was_removed(desk: Desk) -> None:
    page = desk.page
    page.goto(desk.url + JOB)
    unfold(page, "#whom")
    width, notes = page.locator(WIDTH), page.get_by_label("Notes", exact=False).last
    undo, redo = page.get_by_role("button", name="Undo"), page.get_by_role("button", name="Redo")
    expect(undo).to_be_disabled()
    was, noted = width.input_value(), notes.input_value()
    width.fill("1200 mm")
    page.locator("#items-cabinet-choices-back").select_option(index=1)
    notes.fill("By the kiln")
    page.get_by_role("button", name="Remove").first.click()
    expect(page.locator("#items-cabinet")).to_have_count(0)
    expect(page.get_by_role("button", name="Put it back")).to_be_focused()
    undo.click()
    expect(width).to_have_value("1200 mm")
    expect(notes).to_have_value("By the kiln")
    undo.click()
    expect(notes).to_have_value(noted)
    undo.click()
    undo.click()
    expect(width).to_have_value(was)
    expect(page.locator(STATE)).to_contain_text("saved ")
    for _ in range(3):
        redo.click()
    expect(notes).to_have_value("By the kiln")
    redo.click()
    expect(page.locator("#items-cabinet")).to_have_count(0)
    expect(redo).to_be_disabled()
    # By keys: in a field, what was typed there comes first; then the sheet.
    page.keyboard.press("Control+z")
    expect(width).to_have_value("1200 mm")
    page.get_by_label("What the job is called").focus()
    page.keyboard.type("x")
    page.keyboard.press("Control+z")
    expect(notes).to_have_value("By the kiln")
    page.keyboard.press("Control+z")
    expect(notes).to_have_value(noted)
    page.keyboard.press("Control+Shift+z")
    expect(notes).to_have_value("By the kiln")
    # What was done before the page was loaded again can be undone still.
    with next_page(page):
        page.keyboard.press("Control+s")
    unfold(page, "#whom")
    expect(page.get_by_label("Notes", exact=False).last).to_have_value("By the kiln")
    undo.click()
    expect(page.get_by_label("Notes", exact=False).last).to_have_value(noted)
    # A step back never undoes what somebody else saved since.
    desk.save_as_another()
    page.goto(desk.url + JOB)
    expect(width).to_have_value("777 mm")
    expect(undo).to_be_disabled()


def test_the_keys_are_said_and_the_notice_bars_nobody(desk: Desk) -> None:
    page = desk.page
    desk.type_until_kept()
    desk.save_as_another()
    for width, dark in ((1280, False), (390, True)):
        page.set_viewport_size({"width": width, "height": 844})
        page.emulate_media(color_scheme="dark" if dark else "light")
        page.goto(desk.url + JOB)
        page.locator(f"{NOTICE} summary").click()
        assert_no_barrier(page)
        page.locator("h1:visible").click()
        page.keyboard.press("?")
        keys = page.get_by_role("dialog", name="Keys")
        expect(keys).to_be_visible()
        expect(keys.get_by_role("button", name="Close")).to_be_focused()
        assert_no_barrier(page)
        page.keyboard.press("Escape")
        expect(keys).to_be_hidden()
        # On a telephone no button offers keys that it has not.
        offers = page.get_by_role("button", name="Keys")
        expect(offers).to_have_count(1 if width == 1280 else 0)
        if width == 1280:
            offers.click()
            keys.get_by_role("button", name="Close").click()
            expect(offers).to_be_focused()
        page.goto(f"{desk.url}/drafts")
        assert_no_barrier(page)
        expect(page.get_by_role("link", name="Job 4")).to_have_count(1)
    # In a field it is a sign like any other.
    page.goto(desk.url + JOB)
    unfold(page, "#whom")
    page.get_by_label("What the job is called").fill("Where is it")
    page.keyboard.type("?")
    expect(page.get_by_label("What the job is called")).to_have_value("Where is it?")
    expect(page.get_by_role("dialog", name="Keys")).to_be_hidden()
    page.goto(f"{desk.url}/drafts")
    for left in (1, 0):
        with next_page(page):
            page.get_by_role("button", name="Throw it away").first.click()
        expect(page.get_by_role("button", name="Throw it away")).to_have_count(left)
    expect(page.get_by_text("Everything that you typed is saved.")).to_be_visible()
