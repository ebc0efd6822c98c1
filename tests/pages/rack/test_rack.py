"""The pages of the rack: offcuts put there, taken and counted; two at once; and what a job takes and leaves."""

from __future__ import annotations

import re
from html import unescape
from uuid import UUID

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.pages.catalogue.plywood_case import SHEET, marked_wrong, sell_plywood
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Offcut
from webapp.pages.rack.labels import MOST_LABELS
from webapp.persistence.catalogue.records import find_materials
from webapp.persistence.people.users import HELPER, add_user
from webapp.persistence.rack.records import StoredOffcut, find_offcuts, moves_of, put_on_rack
from webapp.running import utc_now

FIELDS = {
    "material": "birch_plywood_3_4",
    "length": "30",
    "width": "24 1/2",
    "count": "2",
    "place": "Bay 3",
    "note": "",
}


@pytest.fixture
def racked(client: Visitor) -> Visitor:
    """A shop that knows one plywood, of which two offcuts stand on the rack."""
    assert sell_plywood(client).send_form("/rack/new", FIELDS).status_code == 303
    return client


def on_rack(visitor: Visitor, gone: bool = False) -> tuple[StoredOffcut, ...]:
    with visitor.program.database.reading() as session:
        return find_offcuts(session, gone=gone).entries


def test_an_empty_rack_says_what_it_is_for(client: Visitor) -> None:
    page = client.get("/rack")
    assert page.status_code == 200
    assert "Nothing stands on the rack" in page.text
    assert 'href="/rack/new"' in page.text
    assert "The shop" not in client.get("/rack/new").text
    assert "No sheet or length is like that" in client.get("/rack/new").text


def test_an_offcut_is_put_on_the_rack_and_shown_by_material_and_on_its_sheet(racked: Visitor) -> None:
    stored = on_rack(racked)[0]
    assert (stored.offcut.length, stored.offcut.width, stored.offcut.count) == (762_000_000, 622_300_000, 2)
    listed = unescape(racked.get(f"/rack?done={stored.offcut.id}").text)
    assert "2 put on the rack: Birch plywood 3/4, 30 × 24 1/2 in. 2 left on the rack." in listed
    assert "Bay 3" in listed
    assert stored.offcut.id in racked.get("/rack?words=bay+birch").text
    assert "Nothing is like that" in racked.get("/rack?words=attic").text
    assert f"/rack/{stored.offcut.id}" in racked.get(SHEET).text
    assert "/rack/new?material=birch_plywood_3_4" in racked.get(SHEET).text
    chosen = racked.get("/rack/new?kind=sheet&words=birch").text
    assert "/rack/new?material=birch_plywood_3_4" in chosen


def test_everything_wrong_is_said_at_once_and_nothing_is_lost(racked: Visitor) -> None:
    wrong = {**FIELDS, "length": "long", "width": "70 ft", "count": "0", "place": "x" * 81, "note": "y" * 401}
    page = racked.send_form("/rack/new", wrong)
    assert page.status_code == 422
    assert marked_wrong(page.text) == {"length", "width", "count", "place", "note"}
    said = unescape(page.text)
    assert "Width: “70 ft” is longer than 20 m; no rack holds that." in said
    assert "How many: “0” should be a whole number from 1 to 1000." in said
    assert 'value="70 ft"' in said
    assert len(on_rack(racked)) == 1
    assert racked.send_form("/rack/new", {**FIELDS, "material": "nothing"}).status_code == 404


def test_a_whole_sheet_stands_on_the_rack_as_whole_until_that_is_put_right(racked: Visitor) -> None:
    assert racked.send_form("/rack/new", {**FIELDS, "length": "96", "width": "48", "whole": "yes"}).status_code == 303
    whole = next(one for one in on_rack(racked) if one.offcut.whole)
    assert whole.offcut.length == 2_438_400_000
    assert "whole" in racked.get("/rack").text
    form = racked.get(f"/rack/{whole.offcut.id}/edit").text
    assert re.search(r'name="whole" type="checkbox" value="yes" checked', form)
    sent = {**FIELDS, "length": "96", "width": "48", "version": "1"}
    assert racked.send_form(f"/rack/{whole.offcut.id}/edit", sent).status_code == 303
    assert not any(one.offcut.whole for one in on_rack(racked))


def test_one_is_taken_with_a_press_and_the_last_one_leaves_the_list(racked: Visitor) -> None:
    for left in (1, 0):
        listed = racked.get("/rack").text
        form = re.search(r'action="(/rack/[^"]+/move)">(.*?)</form>', listed, re.S)
        assert form is not None
        fields = dict(re.findall(r'name="([^"]+)" value="([^"]*)"', form[2]))
        answer = racked.send_form(form[1], {**fields, "csrf_token": racked.csrf_token})
        assert answer.status_code == 303
        told = unescape(racked.get(answer.headers["location"]).text)
        assert f"1 taken: Birch plywood 3/4, 30 × 24 1/2 in. {left} left on the rack." in told
    assert on_rack(racked) == ()
    gone = on_rack(racked, gone=True)[0]
    assert gone.offcut.id in racked.get("/rack?gone=yes").text


def test_moves_are_written_down_with_who_and_why(racked: Visitor) -> None:
    key = on_rack(racked)[0].offcut.id
    address = f"/rack/{key}/move"
    moves = [
        {"what": "taken", "number": "1", "job": "12", "note": ""},
        {"what": "counted", "number": "5", "note": "found behind"},
        {"what": "gone", "number": "", "note": "got wet"},
        {"what": "returned", "number": "2"},
    ]
    for version, fields in enumerate(moves, 1):
        assert racked.send_form(address, {**fields, "version": str(version)}).status_code == 303
    page = unescape(racked.get(f"/rack/{key}").text)
    for said in ("job 12", "found behind", "got wet", "+4", "-5", "owner"):
        assert said in page
    assert on_rack(racked)[0].offcut.count == 2
    history = unescape(racked.get("/people/history?kind=offcut").text)
    assert f"/rack/{key}" in history
    assert "on the rack 5" in history


def test_no_more_is_taken_than_there_is_and_odd_numbers_are_named(racked: Visitor) -> None:
    key = on_rack(racked)[0].offcut.id
    cases = [
        ({"what": "taken", "number": "3"}, "3 of Birch plywood 3/4 can't be taken: only 2 are on the rack."),
        ({"what": "taken", "number": "0"}, "“0” should be a whole number from 1 to 1000"),
        ({"what": "counted", "number": "-1"}, "“-1” should be a whole number from 0 to 1000"),
        ({"what": "sold", "number": "1"}, "Say what was done"),
        ({"what": "taken", "number": "1", "job": "twelve"}, "“twelve” is no job's number"),
    ]
    for fields, said in cases:
        page = racked.send_form(f"/rack/{key}/move", {**fields, "version": "1"})
        assert page.status_code == 422, fields
        assert said in unescape(page.text), fields
    assert on_rack(racked)[0].offcut.count == 2


def test_the_second_of_two_at_once_is_told(racked: Visitor) -> None:
    key = on_rack(racked)[0].offcut.id
    taken = {"what": "taken", "number": "1", "version": "1"}
    assert racked.send_form(f"/rack/{key}/move", taken).status_code == 303
    late = racked.send_form(f"/rack/{key}/move", taken)
    assert late.status_code == 409
    assert "Someone else changed this offcut in between; there are 1 now." in late.text
    edit = racked.send_form(f"/rack/{key}/edit", {**FIELDS, "place": "Bay 9", "version": "1"})
    assert edit.status_code == 409
    assert "Bay 9" in edit.text
    assert racked.send_form(f"/rack/{key}/edit", {**FIELDS, "place": "Bay 9", "version": "2"}).status_code == 303
    assert [(one.offcut.count, one.offcut.place) for one in on_rack(racked)] == [(1, "Bay 9")]


def test_what_stood_there_for_a_year_is_said_to_be_old(racked: Visitor) -> None:
    assert "over 12 months old" not in racked.get("/rack").text
    with racked.program.database.writing() as session:
        at = racked.program.now().replace(year=racked.program.now().year - 2)
        old = Offcut("00000000-0000-4000-8000-000000000001", "birch_plywood_3_4", 10**9, 10**9, 1)
        put_on_rack(session, old, "", at=at)
    assert racked.get("/rack").text.count("over 12 months old") == 1
    assert "use it up, or let it go" in racked.get(f"/rack/{old.id}").text


def test_a_helper_may_use_the_rack(racked: Visitor) -> None:
    with racked.program.database.writing() as session:
        add_user(session, name="Mara", password_hash="none", added_at=utc_now(), role=HELPER)
    racked.sign_in("Mara")
    assert 'href="/rack"' in racked.get("/materials").text
    assert racked.send_form("/rack/new", FIELDS).status_code == 303
    newest = on_rack(racked)[0].offcut
    with racked.program.database.reading() as session:
        assert moves_of(session, UUID(newest.id))[0].by == "Mara"


# ---- a job that is cut ----------------------------------------------------------------------------------------------


def job_that_says(client: Visitor, words: str) -> int:
    """The demo's first job whose page of offcuts holds these words."""
    for number in range(1, 12):
        page = client.get(f"/jobs/{number}/offcuts")
        if page.status_code == 200 and words in page.text:
            return number
    raise AssertionError(f"no job of the demo says: {words}")


def asked_of(page: str) -> dict[str, str]:
    """The form as it is shown, everything that is ticked in it."""
    fields = dict(re.findall(r'<input type="hidden" name="(asked)" value="([^"]*)"', page))
    fields |= dict.fromkeys(re.findall(r'name="([^"]+)" type="checkbox" value="yes" checked', page), "yes")
    fields |= dict(re.findall(r'name="((?:count|length|width|take)\.[^"]+)" type="text" value="([^"]*)"', page))
    return fields


def test_what_a_job_leaves_goes_on_the_rack_and_the_next_plan_takes_it(demo_client: Visitor) -> None:
    number = job_that_says(demo_client, "Put these offcuts on the rack")
    address = f"/jobs/{number}/offcuts"
    assert address in demo_client.get(f"/jobs/{number}").text
    fields = asked_of(demo_client.get(address).text)
    puts = [name for name in fields if name.startswith("put.")]
    assert puts
    odd = demo_client.send_form(address, {**fields, f"count.{puts[0][4:]}": "many", "place": "z" * 90})
    assert odd.status_code == 422
    assert marked_wrong(odd.text) == {f"count-{puts[0][4:]}", "place"}
    assert on_rack(demo_client) == ()
    # What differs is typed over the plan's figure: one rest is shorter than planned, and one more of it came out.
    first = puts[0][4:]
    length = fields[f"length.{first}"]
    typed = {**fields, "place": "Bay 1", f"length.{first}": "601 mm", f"count.{first}": "7"}
    assert demo_client.send_form(address, {**typed, f"length.{first}": "long"}).status_code == 422
    assert on_rack(demo_client) == ()
    done = demo_client.send_form(address, typed)
    assert done.status_code == 303
    stored = on_rack(demo_client)
    assert len(stored) == len(puts)
    assert {one.offcut.place for one in stored} == {"Bay 1"}
    assert [one.offcut.count for one in stored if one.offcut.length == 601 * 10**6] == [7]
    assert length != "601 mm"
    # The same form once more is not done twice.
    assert demo_client.send_form(address, typed).status_code == 409
    assert on_rack(demo_client) == stored
    after = demo_client.get(address).text
    assert "moved before" in after
    assert "This job is cut." in after
    assert f"/rack/labels?job={number}" in after
    assert 'name="put.0" type="checkbox" value="yes" checked' not in after


def test_what_a_jobs_plans_take_from_the_rack_is_taken_when_it_is_cut(demo_client: Visitor) -> None:
    with demo_client.program.database.writing() as session:
        codes = [one.material.code for one in find_materials(session, kind=Kind.SHEET).entries]
        for place, code in enumerate(codes):
            whole = Offcut(f"00000000-0000-4000-8000-{place:012}", code, 2440 * 10**6, 1220 * 10**6, 10, "Bay 7")
            put_on_rack(session, whole, "", at=utc_now())
    number = job_that_says(demo_client, "Taken from the rack")
    address = f"/jobs/{number}/offcuts"
    listed = demo_client.get(f"/jobs/{number}").text
    assert "from the rack (Bay 7)" in listed
    page = demo_client.get(address).text
    fields = {name: text for name, text in asked_of(page).items() if not name.startswith("put.")}
    takes = {name.removeprefix("take."): text for name, text in fields.items() if name.startswith("take.")}
    assert takes
    odd = dict.fromkeys(takes, "-3")
    wrong = demo_client.send_form(address, {**fields, **{f"take.{key}": text for key, text in odd.items()}})
    assert marked_wrong(wrong.text) == {f"take-{key}" for key in takes}
    assert wrong.text.count('value="-3"') == len(takes)
    assert demo_client.send_form(address, {**fields, **{f"take.{key}": "11" for key in takes}}).status_code == 409
    assert {one.offcut.count for one in on_rack(demo_client)} == {10}
    assert demo_client.send_form(address, fields).status_code == 303
    left = {one.offcut.id: one.offcut.count for one in on_rack(demo_client)}
    assert {key: str(10 - count) for key, count in left.items() if count < 10} == takes
    assert "Take from the rack" in demo_client.get(f"/buying?job={number}&chosen=yes").text


def test_a_helper_says_for_one_job_that_the_rack_is_left_alone(demo_client: Visitor) -> None:
    with demo_client.program.database.writing() as session:
        for place, one in enumerate(find_materials(session, kind=Kind.SHEET).entries):
            whole = Offcut(f"00000000-0000-4000-8000-{place:012}", one.material.code, 2440 * 10**6, 1220 * 10**6, 10)
            put_on_rack(session, whole, "", at=utc_now())
    demo_client.sign_in("helper")
    page = demo_client.get("/jobs/2?open=all").text
    assert ", from the rack" in page
    fields = {**form_fields(page, "job-sheet"), "rack": "no"}
    assert demo_client.send_form("/jobs/2", fields).status_code == 303
    kept = demo_client.get("/jobs/2?open=all").text
    assert ", from the rack" not in kept
    assert '<option value="no" selected>' in kept


# ---- labels ---------------------------------------------------------------------------------------------------------


def test_labels_are_printed_on_the_sheet_that_was_typed_and_it_is_kept(racked: Visitor, unprinted: None) -> None:
    page = racked.get("/rack/labels").text
    assert "2 × Birch plywood 3/4, 30 × 24 1/2 in, Bay 3" in unescape(page)
    key = on_rack(racked)[0].offcut.id
    sheet = {name: text for name, text in re.findall(r'name="(\w+)" type="text" value="([^"]*)"', page) if text}
    fields = {**sheet, "paper": "Letter", "piece": key}
    printed = racked.send_form("/rack/labels", fields)
    assert printed.headers["content-type"] == "application/pdf"
    assert printed.text.count("Birch plywood 3/4") == 2
    assert f"/rack/{key}" in printed.text or "class=\"qr\"" not in printed.text
    odd = racked.send_form("/rack/labels", {**fields, "columns": "-3", "first": "a few", "left": "0"})
    assert odd.status_code == 422
    assert marked_wrong(odd.text) == {"columns", "first"}
    assert "Stickers beside each other: “-3” should be a whole number from 1 to 40." in unescape(odd.text)
    assert marked_wrong(racked.send_form("/rack/labels", {**fields, "columns": "9"}).text) == {"columns"}
    assert racked.send_form("/rack/labels", {**fields, "piece": ""}).status_code == 422
    assert racked.send_form("/rack/labels", {**fields, "rows": "9"}).status_code == 200
    assert 'name="rows" type="text" value="9"' in racked.get(f"/rack/labels?piece={key}").text


def test_more_labels_than_are_printed_at_once_are_said_and_one_by_its_own_page_is_printed(
    racked: Visitor, unprinted: None
) -> None:
    many = []
    with racked.program.database.writing() as session:
        material = on_rack(racked)[0].offcut.material
        for place in range(MOST_LABELS + 1):
            offcut = Offcut(f"00000000-0000-4000-8000-{place:012}", material, 500 * 10**6, 400 * 10**6, 2, "")
            put_on_rack(session, offcut, "", at=utc_now())
            many.append(offcut.id)
    page = unescape(racked.get("/rack/labels").text)
    assert f"{MOST_LABELS + 2} offcuts stand on the rack; the first {MOST_LABELS} by their material are here." in page
    offered = set(re.findall(r'name="piece" type="checkbox" value="([^"]+)"', page))
    beside = next(key for key in many if key not in offered)
    sheet = {name: text for name, text in re.findall(r'name="(\w+)" type="text" value="([^"]*)"', page) if text}
    refused = racked.send_form("/rack/labels", {**sheet, "paper": "Letter", "piece": sorted(offered)})
    assert refused.status_code == 422
    assert f"{2 * MOST_LABELS} labels are asked for; at most {MOST_LABELS} are printed at once." in refused.text
    own = racked.get(f"/rack/labels?piece={beside}").text
    assert f'name="only" value="{beside}"' in own
    printed = racked.send_form("/rack/labels", {**sheet, "paper": "Letter", "only": beside, "piece": beside})
    assert printed.headers["content-type"] == "application/pdf"
