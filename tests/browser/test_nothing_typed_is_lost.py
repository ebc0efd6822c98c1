"""In Chromium: however one leaves what one typed, it is offered on return, to whoever typed it and to nobody else."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Final

import pytest
from playwright.sync_api import Page, expect

from tests.harness.browsing import next_page
from tests.harness.desk import JOB, NOTICE, OWN_STORAGE, STATE, TYPED, WIDTH, Desk, is_kept
from tests.harness.program import running_program
from webapp.opening import DEMO_NAME, DEMO_PASSWORD
from webapp.persistence.jobs.records import load_job_by_number

# ---- the cases: how what was typed is left -------------------------------------------------------------------------


def dead_when_saved(desk: Desk) -> None:
    desk.type()
    desk.switch_off()
    desk.page.get_by_role("button", name="Save", exact=True).first.click()
    desk.page.wait_for_url("chrome-error://**")
    desk.switch_on()


def dead_before_a_key_and_tab_closed(desk: Desk) -> None:
    tab = desk.other_tab()
    tab.goto(desk.url + JOB)
    desk.switch_off()
    tab.locator(WIDTH).fill(TYPED)
    expect(tab.locator(STATE)).to_have_text("not saved; kept here until the shop’s computer answers")
    tab.close()
    desk.switch_on()


def dead_and_back_while_typing(desk: Desk) -> None:
    desk.page.goto(desk.url + JOB)
    desk.switch_off()
    desk.page.locator(WIDTH).fill(TYPED)
    expect(desk.page.locator(STATE)).to_contain_text("kept here until")
    with desk.page.expect_response(is_kept):
        desk.switch_on()
    expect(desk.page.locator(STATE)).to_have_text("not saved")
    desk.leave()


def ended_when_saved(desk: Desk) -> None:
    # Nothing that follows the keys is quicker than the hand at Save.
    for follower in ("estimate", "range", "look-on", "such"):
        desk.page.route(f"**/{follower}", lambda route: route.abort())
    desk.type()
    desk.end_sign_ins()
    with next_page(desk.page):
        desk.page.get_by_role("button", name="Save", exact=True).first.click()
    expect(desk.page.get_by_text("What you typed and did not save is kept.")).to_be_visible()
    desk.sign_in_by_hand()
    # One is back where one typed, and is offered it there.
    assert desk.page.url == desk.url + JOB
    expect(desk.page.locator(NOTICE)).to_contain_text(TYPED)


def ended_while_typing(desk: Desk) -> None:
    desk.type()
    desk.end_sign_ins()
    with desk.page.expect_navigation(url="**/sign-in?after=**"):
        desk.page.evaluate(f"document.querySelector('{WIDTH}').dispatchEvent(new Event('input', {{ bubbles: true }}))")
    desk.sign_in_by_hand()
    assert desk.page.url == desk.url + JOB


def tab_closed(desk: Desk) -> None:
    tab = desk.other_tab()
    desk.type(page=tab)
    tab.close()


def back(desk: Desk) -> None:
    desk.page.goto(f"{desk.url}/jobs")
    desk.type()
    with next_page(desk.page):
        desk.page.go_back()


def back_and_forward(desk: Desk) -> None:
    back(desk)
    desk.page.go_forward()


def link(desk: Desk) -> None:
    desk.type()
    desk.leave()


def address(desk: Desk) -> None:
    desk.type()
    desk.page.goto(f"{desk.url}/designs")


def reload(desk: Desk) -> None:
    desk.type()
    desk.page.reload()


def two_tabs(desk: Desk) -> None:
    tab = desk.other_tab()
    desk.type_until_kept("999 mm")
    desk.type_until_kept(page=tab)
    tab.close()
    desk.page.goto(desk.url + JOB)
    expect(desk.page.locator(NOTICE)).to_contain_text("999 mm")
    expect(desk.page.locator(NOTICE).get_by_role("link", name="Take it up")).to_have_count(2)


def saved_by_another(desk: Desk) -> None:
    desk.type_until_kept()
    desk.save_as_another()
    desk.leave()
    desk.page.goto(desk.url + JOB)
    expect(desk.page.locator(NOTICE)).to_contain_text("helper saved the job since, on ")
    expect(desk.page.locator(NOTICE)).to_contain_text("777 mm")


def refused_as_another_saved(desk: Desk) -> None:
    desk.type()
    desk.save_as_another()
    with next_page(desk.page):
        desk.page.get_by_role("button", name="Save", exact=True).first.click()
    expect(desk.page.get_by_text("Someone else saved this job while you were typing")).to_be_visible()
    expect(desk.page.locator(STATE)).to_have_text("not saved")
    desk.leave()


def offline_then_online(desk: Desk) -> None:
    tab = desk.other_tab()
    tab.goto(desk.url + JOB)
    desk.page.context.set_offline(True)
    tab.locator(WIDTH).fill(TYPED)
    expect(tab.locator(STATE)).to_contain_text("kept here until")
    with tab.expect_response(is_kept):
        desk.page.context.set_offline(False)
    tab.close()


def signed_out(desk: Desk) -> None:
    desk.type()
    with next_page(desk.page):
        desk.page.get_by_role("button", name="Sign out").click()
    expect(desk.page.get_by_text("What you typed and did not save is kept.")).to_be_visible()
    assert desk.page.evaluate(OWN_STORAGE) == 0, "whoever signs out leaves nothing in the browser"
    desk.sign_in()


def another_person_in_between(desk: Desk) -> None:
    tab = desk.other_tab()
    tab.goto(desk.url + JOB)
    desk.switch_off()
    tab.locator(WIDTH).fill(TYPED)
    tab.close()
    desk.switch_on()
    desk.sign_in("helper")
    desk.page.goto(desk.url + JOB)
    expect(desk.page.locator(STATE)).to_contain_text("saved")
    expect(desk.page.locator(NOTICE)).not_to_contain_text(TYPED)
    desk.sign_in()


def as_helper(desk: Desk) -> None:
    desk.sign_in("helper")
    desk.type()
    desk.leave()


def removed(desk: Desk) -> None:
    desk.page.goto(desk.url + JOB)
    with desk.page.expect_response(is_kept):
        desk.page.get_by_role("button", name="Remove").first.click()
    expect(desk.page.locator("#items-cabinet")).to_have_count(0)
    desk.leave()
    desk.said, desk.holds = "removed", ""


def price_in_its_row(desk: Desk) -> None:
    desk.page.goto(desk.url + JOB)
    desk.page.locator(WIDTH).fill("1010 mm")
    field = desk.page.get_by_role("textbox", name="Price of White oak")
    with desk.page.expect_response(is_kept):
        field.fill("9.47")
    desk.leave()
    desk.said, desk.holds = "9.47", "input[name^='price.'][value='9.47']"


def no_room_in_the_browser(desk: Desk) -> None:
    tab = desk.other_tab()
    tab.add_init_script("Object.defineProperty(window, 'localStorage', { get() { throw new Error('none here'); } })")
    desk.type_until_kept(page=tab)
    tab.close()


def design_text(desk: Desk) -> None:
    desk.place, desk.said, desk.holds = "/designs/bench_cabinet/edit", "A remark of mine", "#note"
    desk.page.goto(desk.url + desk.place)
    desk.page.get_by_label("What is new in it").fill(desk.said)
    with next_page(desk.page):
        desk.page.get_by_role("link", name="Leave without keeping").click()


def settings(desk: Desk) -> None:
    desk.place, desk.said, desk.holds = "/settings/charges", "47.11", "#labour_maker"
    desk.page.goto(desk.url + desk.place)
    desk.page.locator(desk.holds).fill(desk.said)
    desk.leave()


def new_material(desk: Desk) -> None:
    desk.place, desk.said, desk.holds = "/materials/new?kind=liquid", "Oil of walnuts", "#name"
    desk.page.goto(desk.url + desk.place)
    desk.page.locator(desk.holds).fill(desk.said)
    desk.leave()


def new_job(desk: Desk) -> None:
    desk.place, desk.said, desk.holds = "/jobs/new", "Shelves for the kiln", "#title"
    desk.page.goto(desk.url + desk.place)
    desk.page.get_by_label("Design or past job").select_option(label="Bench cabinet with drawers")
    expect(desk.page.locator("#begin")).to_contain_text("width")
    desk.page.locator(desk.holds).fill(desk.said)
    desk.leave()


def telephone(desk: Desk) -> None:
    desk.place, desk.said, desk.holds = "/price?bench=design:trestle_bench", "2222 mm", "#size_1"
    desk.page.goto(desk.url + desk.place)
    desk.page.locator(desk.holds).fill(desk.said)
    desk.leave()


def without_script_ended(desk: Desk) -> None:
    desk.page = desk.open_page(script=False)
    desk.sign_in()
    desk.type()
    desk.end_sign_ins()
    with next_page(desk.page):
        desk.page.get_by_role("button", name="Save", exact=True).first.click()
    desk.sign_in_by_hand()


def without_script_another_sign_in(desk: Desk) -> None:
    desk.page = desk.open_page(script=False)
    desk.sign_in()
    desk.type()
    desk.sign_in()
    with next_page(desk.page):
        desk.page.get_by_role("button", name="Save", exact=True).first.click()
    expect(desk.page.get_by_text("What you typed is kept as a draft")).to_be_visible()


def without_script_left(desk: Desk) -> None:
    desk.page = desk.open_page(script=False)
    desk.sign_in()
    desk.type()
    with next_page(desk.page):
        desk.page.get_by_role("button", name="Work out").click()
    desk.leave()


CASES: Final[dict[str, Callable[[Desk], None]]] = {
    "the server is dead when Save is pressed": dead_when_saved,
    "the server is dead before the first key, and the tab is closed": dead_before_a_key_and_tab_closed,
    "the server dies and comes back while one types": dead_and_back_while_typing,
    "the sign-in ended when Save is pressed": ended_when_saved,
    "the sign-in ended while one typed": ended_while_typing,
    "the tab is closed after the last key": tab_closed,
    "Back": back,
    "Back and forward again": back_and_forward,
    "a link is followed": link,
    "another address is typed": address,
    "the page is loaded again": reload,
    "two tabs, each with something typed": two_tabs,
    "somebody else saved since": saved_by_another,
    "a save was refused as somebody else had saved": refused_as_another_saved,
    "the line is down, then up": offline_then_online,
    "signed out": signed_out,
    "another person signs in at the same browser meanwhile": another_person_in_between,
    "a helper typed it": as_helper,
    "an item was removed": removed,
    "a price was typed in its row": price_in_its_row,
    "the browser keeps nothing for the page": no_room_in_the_browser,
    "the text of a design": design_text,
    "the shop's settings": settings,
    "a new material": new_material,
    "a new job": new_job,
    "a price on the telephone": telephone,
    "without script, the sign-in ended": without_script_ended,
    "without script, signed in anew in another window": without_script_another_sign_in,
    "without script, worked out and left": without_script_left,
}


@pytest.mark.parametrize("case", CASES)
def test_what_was_typed_is_offered_again(desk: Desk, case: str) -> None:
    CASES[case](desk)
    page = desk.page
    page.goto(desk.url + desk.place)
    offer = page.locator(f"{NOTICE} section", has_text=desk.said).first
    expect(offer).to_contain_text("you typed here and did not save it")
    # Nothing was put over what is saved.
    with desk.server.database.reading() as session:
        assert TYPED not in json.dumps(load_job_by_number(session, 4).document)
    with next_page(page):
        offer.get_by_role("link", name="Take it up").click()
    if desk.holds:
        expect(page.locator(desk.holds)).to_have_value(desk.said)
    expect(page.locator(STATE)).to_have_text("not saved")


def test_a_server_that_was_killed_loses_nothing_that_was_typed(tmp_path: Path, browser_page: Page) -> None:
    """The program as a process of its own, ended as the kernel does when memory is short."""
    page = browser_page
    with running_program(tmp_path) as program:
        page.goto(f"{program.url}/sign-in")
        page.get_by_label("Name").fill(DEMO_NAME)
        page.get_by_label("Password").fill(DEMO_PASSWORD)
        with next_page(page):
            page.get_by_role("button", name="Sign in").click()
        page.goto(program.url + JOB)
        page.locator(WIDTH).fill("1000 mm")
        program.kill()
        page.locator(WIDTH).fill(TYPED)
        page.get_by_role("button", name="Save", exact=True).first.click()
        page.wait_for_url("chrome-error://**")
        program.start()
        page.goto(program.url + JOB)
        expect(page.locator(NOTICE)).to_contain_text(TYPED)
        with next_page(page):
            page.get_by_role("link", name="Take it up").click()
        expect(page.locator(WIDTH)).to_have_value(TYPED)
        with next_page(page):
            page.get_by_role("button", name="Save", exact=True).first.click()
        expect(page.locator(STATE)).to_contain_text("saved ")
        expect(page.locator(NOTICE)).not_to_contain_text("did not save")


def test_two_people_have_two_drafts_and_neither_sees_the_others(desk: Desk) -> None:
    with desk.server.database.reading() as session:
        version = load_job_by_number(session, 4).version
    desk.type_until_kept("1111 mm")
    desk.sign_in("helper")
    desk.type_until_kept("2222 mm")
    for name, own, foreign in (("demo", "1111 mm", "2222 mm"), ("helper", "2222 mm", "1111 mm")):
        desk.sign_in(name)
        desk.page.goto(desk.url + JOB)
        expect(desk.page.locator(NOTICE)).to_contain_text(own)
        expect(desk.page.locator(NOTICE)).not_to_contain_text(foreign)
    with desk.server.database.reading() as session:
        assert load_job_by_number(session, 4).version == version
