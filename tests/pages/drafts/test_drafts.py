"""What was typed and not saved: kept however the form came back, offered to its person alone, taken up, thrown away.

As a browser without script sends it; what script adds is looked at in tests/browser.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import unescape
from uuid import UUID

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.pages.drafts.drafts_case import (
    JOB,
    SHEET,
    WIDTH,
    drafts_of,
    end_sign_ins,
    kept_fields,
    offered,
    typed_in,
    user_id,
)
from webapp.drafting import AGE, MARK, PLACE
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.people.users import set_retired
from webapp.running import utc_now
from webapp.security.marks import Mark, new_mark, read_mark, write_mark


@pytest.fixture
def other(demo_client: Visitor) -> Visitor:
    """The demo's helper at another browser."""
    visitor = Visitor(demo_client.app)  # type: ignore[arg-type]
    visitor.sign_in("helper")
    return visitor


# ---- the job's sheet ----------------------------------------------------------------------------------------------


def test_a_save_after_the_sign_in_ended_is_offered_to_its_person_and_to_nobody_else(
    demo_client: Visitor, other: Visitor
) -> None:
    sent = typed_in(demo_client, JOB, SHEET, {WIDTH: "1234 mm", "notes": "the tall kiln"})
    end_sign_ins(demo_client)
    answer = demo_client.post(JOB, data=sent)
    assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in?after=%2Fjobs%2F4&kept=yes")
    assert "What you typed and did not save is kept." in demo_client.get(answer.headers["location"]).text
    # Somebody else signs in with the same browser.
    demo_client.sign_in("helper")
    page = demo_client.get(JOB).text
    assert not offered(page)
    assert "1234 mm" not in page
    assert "the tall kiln" not in demo_client.get("/drafts").text
    demo_client.sign_in("demo")
    page = demo_client.get(JOB).text
    (address,) = offered(page)
    assert "you typed here and did not save it" in page
    assert re.search(r"Overall width</th>.*?1234 mm", page, re.DOTALL)
    fields = form_fields(demo_client.get(address).text, SHEET)
    assert (fields[WIDTH], fields["notes"]) == ("1234 mm", "the tall kiln")
    assert form_fields(page, SHEET)[WIDTH] != "1234 mm"


def test_what_was_taken_up_and_saved_is_offered_no_more(demo_client: Visitor) -> None:
    end_sign_ins(demo_client)
    demo_client.sign_in()
    sent = typed_in(demo_client, JOB, SHEET, {WIDTH: "1234 mm"})
    end_sign_ins(demo_client)
    demo_client.post(JOB, data=sent)
    demo_client.sign_in()
    assert "You typed in one place and did not save it." in demo_client.get("/").text
    (address,) = offered(demo_client.get(JOB).text)
    taken = form_fields(demo_client.get(address).text, SHEET)
    assert demo_client.post(JOB, data=taken).headers["location"] == JOB
    with demo_client.program.database.reading() as session:
        job = load_job_by_number(session, 4)
    assert job.document["items"][0]["sizes"]["width"] == "1234 mm"
    assert not drafts_of(demo_client)
    assert not offered(demo_client.get(JOB).text)
    # Its address shows the job as it stands.
    assert form_fields(demo_client.get(address).text, SHEET)[WIDTH] == "1234 mm"


def test_a_form_from_before_another_sign_in_is_kept_for_whom_it_was_given_to(demo_client: Visitor) -> None:
    sent = typed_in(demo_client, JOB, SHEET, {WIDTH: "1234 mm"})
    demo_client.sign_in("helper")
    answer = demo_client.post(JOB, data=sent)
    assert answer.status_code == 403
    assert "What you typed is kept" not in answer.text
    assert not drafts_of(demo_client, "helper")
    demo_client.sign_in("demo")
    answer = demo_client.post(JOB, data=sent)
    assert answer.status_code == 403
    assert "What you typed is kept as a draft" in answer.text
    assert f'<a href="{JOB}">Go on with what you typed</a>' in answer.text
    assert len(offered(demo_client.get(JOB).text)) == 1


def test_whoever_saved_since_is_named_and_nothing_of_theirs_is_overwritten(
    demo_client: Visitor, other: Visitor
) -> None:
    sent = typed_in(demo_client, JOB, SHEET, {WIDTH: "1234 mm"})
    end_sign_ins(demo_client)
    demo_client.post(JOB, data=sent)
    other.sign_in("helper")
    theirs = typed_in(other, JOB, SHEET, {WIDTH: "777 mm"})
    assert other.post(JOB, data=theirs).status_code == 303
    demo_client.sign_in()
    page = demo_client.get(JOB).text
    assert "helper saved the job since, on " in page
    assert re.search(r"Overall width</th>.*?777 mm.*?1234 mm", page, re.DOTALL)
    (address,) = offered(page)
    taken = demo_client.get(address).text
    assert "helper saved the job since" in taken
    answer = demo_client.post(JOB, data=form_fields(taken, SHEET))
    assert answer.status_code == 409
    assert "Someone else saved this job" in answer.text
    with demo_client.program.database.reading() as session:
        assert load_job_by_number(session, 4).document["items"][0]["sizes"]["width"] == "777 mm"
    # Saved knowingly, it is in place of theirs, and no draft is left.
    assert demo_client.post(JOB, data=form_fields(answer.text, SHEET)).status_code == 303
    assert not drafts_of(demo_client)


def test_two_people_have_two_drafts(demo_client: Visitor, other: Visitor) -> None:
    for visitor, text in ((demo_client, "1111 mm"), (other, "2222 mm")):
        sent = typed_in(visitor, JOB, SHEET, {WIDTH: text, "act": "find-stock"})
        assert visitor.post(f"{JOB}/estimate", data=sent).status_code == 200
    for visitor, text in ((demo_client, "1111 mm"), (other, "2222 mm")):
        page = visitor.get(JOB).text
        (address,) = offered(page)
        assert form_fields(visitor.get(address).text, SHEET)[WIDTH] == text
        for foreign in offered((other if visitor is demo_client else demo_client).get(JOB).text):
            assert form_fields(visitor.get(foreign).text, SHEET)[WIDTH] not in ("1111 mm", "2222 mm")


def test_a_draft_of_a_helper_sets_nothing_that_is_the_owners(demo_client: Visitor, other: Visitor) -> None:
    smuggled = {"discount": "99 %", "lines.new.says": "Plate", "lines.new.each": "900", "settings.profit.value": "1 %"}
    sent = typed_in(other, JOB, SHEET, {WIDTH: "1234 mm", "act": "find-stock", **smuggled})
    assert other.post(f"{JOB}/estimate", data=sent).status_code == 200
    page = other.get(JOB).text
    assert "99 %" not in page
    (address,) = offered(page)
    taken = other.get(address).text
    fields = form_fields(taken, SHEET)
    assert fields[WIDTH] == "1234 mm"
    assert not {name for name in fields if name.startswith(("discount", "lines.", "settings."))}
    with other.program.database.reading() as session:
        before = load_job_by_number(session, 4).document
    assert other.post(JOB, data={**fields, **smuggled}).status_code == 303
    with other.program.database.reading() as session:
        after = load_job_by_number(session, 4).document
    assert {name: after.get(name) for name in ("discount", "lines", "settings")} == {
        name: before.get(name) for name in ("discount", "lines", "settings")
    }


def test_what_says_the_same_as_the_job_is_not_offered(demo_client: Visitor) -> None:
    sent = typed_in(demo_client, JOB, SHEET, {"act": "find-stock"})
    assert demo_client.post(f"{JOB}/estimate", data=sent).status_code == 200
    assert len(drafts_of(demo_client)) == 1
    assert not offered(demo_client.get(JOB).text)
    sent["notes"] = "more"
    demo_client.post(f"{JOB}/estimate", data=sent)
    page = demo_client.get(JOB).text
    (address,) = offered(page)
    thrown = {"thrown": drafts_of(demo_client)[0].id, "back": JOB}
    assert demo_client.send_form("/drafts/throw-away", thrown).headers["location"] == JOB
    assert not offered(demo_client.get(JOB).text)
    assert form_fields(demo_client.get(address).text, SHEET).get("notes") != "more"


# ---- other long forms ---------------------------------------------------------------------------------------------

FORMS = {
    "/designs/bench_cabinet/edit": {"text": 'form: 1\nname: "half & <typed>"\n', "act": "keep", "note": "wide"},
    "/designs/new": {"text": "form: 1\ndesign: half", "act": "try"},
    "/settings/charges": {"labour_maker": "a lot", "why": "it is dear"},
    "/settings/steps": {"draw.likely": "long", "why": "it is slow"},
    "/settings/shop": {"name": "", "address": "1 Long Row\nBehind the yard"},
    "/materials/new?kind=liquid": {"name": "", "note": "Smells of almonds"},
    "/materials/white_oak/edit": {"name": "", "note": "Knots"},
    "/materials/white_oak/offers/new": {"new_supplier": "", "lead_days": "soon"},
    "/buying/suppliers/new": {"name": "", "note": "Open on Fridays"},
    "/rack/new?material=birch_plywood_18": {"place": "Behind the saw", "length": "long"},
    "/jobs/4/items/cabinet/design": {"note": "For the studio", "act": "show"},
    "/jobs/2/offcuts": {"place": "Bay 3, " * 60},
    "/jobs/new?start=design:trestle_bench": {"title": "x" * 300, "customer_address": "The yard"},
}


def sent_back(visitor: Visitor, address: str, typed: Mapping[str, str]) -> dict[str, str]:
    """The form of a page sent with what can't be taken; the fields that it was sent with."""
    page = visitor.get(address).text
    form = re.search(r'<form data-kept="[^"]*"[^>]*action="([^"]*)".*?</form>', page, re.DOTALL)
    assert form is not None, f"{address} keeps nothing"
    fields = kept_fields(page)
    sent = {**fields, **typed}
    answer = visitor.post(unescape(form[1]), data=sent)
    assert "location" not in answer.headers, f"{address} took it"
    assert kept_fields(answer.text)[MARK] == fields[MARK], "the form that came back goes on with the same draft"
    return sent


@pytest.mark.parametrize("address", FORMS)
def test_a_form_that_was_not_taken_is_offered_and_filled_again(demo_client: Visitor, address: str) -> None:
    typed = FORMS[address]
    sent = sent_back(demo_client, address, typed)
    page = demo_client.get(address).text
    (again,) = offered(page)
    taken = demo_client.get(again)
    assert taken.status_code == 200
    fields = kept_fields(taken.text)
    for name, text in typed.items():
        if name != "act":
            assert fields[name] == text, name
    assert {name for name in fields if name in sent} == {name for name in sent if name != "act"}
    assert " data-unsaved" in taken.text
    listed = demo_client.get("/drafts").text
    assert unescape(listed).count(again) == 1


def test_a_telephone_price_that_was_typed_is_said_again_for_what_was_typed(demo_client: Visitor) -> None:
    address = "/price?bench=design:trestle_bench"
    fields = kept_fields(demo_client.get(address).text)
    size = next(name for name in fields if name.startswith("size_"))
    said = demo_client.post("/price", data={**fields, size: "2222 mm"}).text
    (again,) = offered(demo_client.get("/price").text)
    page = demo_client.get(again).text
    assert kept_fields(page)[size] == "2222 mm"
    price = re.compile(r'id="spoken-price"[^>]*>([^<]*)<')
    assert price.findall(page) == price.findall(said) != price.findall(demo_client.get(address).text)


# ---- what script sends --------------------------------------------------------------------------------------------


def test_what_script_keeps_is_one_write_and_is_refused_once_it_is_saved(demo_client: Visitor) -> None:
    sent = typed_in(demo_client, JOB, SHEET, {WIDTH: "1234 mm"})
    assert demo_client.swap("/drafts", {**sent, AGE: "90"}).status_code == 204
    (kept,) = drafts_of(demo_client)
    assert 80 < (utc_now() - kept.typed_at).total_seconds() < 200
    assert dict(kept.fields)[WIDTH] == "1234 mm"
    assert not {"csrf_token", "form_key", MARK, PLACE} & set(dict(kept.fields))
    assert demo_client.post(JOB, data=sent).status_code == 303
    assert not drafts_of(demo_client)
    late = demo_client.swap("/drafts", sent)
    assert late.status_code == 409
    assert demo_client.swap("/drafts", {**sent, MARK: late.headers["X-Next-Mark"]}).status_code == 204
    assert demo_client.swap("/drafts", {**sent, "notes": "x" * 300_000}).status_code == 413


def test_a_mark_is_taken_from_nobody_else_and_for_no_other_page(demo_client: Visitor, other: Visitor) -> None:
    sent = typed_in(demo_client, JOB, SHEET, {WIDTH: "1234 mm"})
    assert other.swap("/drafts", sent).status_code == 403
    assert demo_client.swap("/drafts", {**sent, PLACE: "/jobs/5"}).status_code == 403
    assert demo_client.swap("/drafts", {**sent, MARK: f"{sent[MARK][:-1]}x"}).status_code == 403
    assert demo_client.swap("/drafts", {**sent, MARK: ""}).status_code == 403
    assert not drafts_of(demo_client)
    assert not drafts_of(demo_client, "helper")


def test_nothing_is_kept_for_somebody_who_is_of_the_shop_no_more(demo_client: Visitor, other: Visitor) -> None:
    sent = typed_in(other, JOB, SHEET, {WIDTH: "1234 mm"})
    with demo_client.program.database.writing() as session:
        set_retired(session, user_id(demo_client, "helper"), True, at=utc_now(), by=user_id(demo_client))
    assert other.post(JOB, data=sent).headers["location"] == "/sign-in"
    assert not drafts_of(demo_client, "helper")


def test_a_strangers_form_is_kept_for_nobody(demo_client: Visitor) -> None:
    sent = typed_in(demo_client, JOB, SHEET, {WIDTH: "1234 mm"})
    stranger = Visitor(demo_client.app)  # type: ignore[arg-type]
    forged = write_mark(b"another secret", new_mark(user_id(demo_client), JOB))
    for told in ({MARK: forged}, {MARK: "x"}, {MARK: "a.b.c"}, {PLACE: "/jobs/5"}, {"notes": "x" * 70_000}):
        answer = stranger.post(JOB, data={**sent, **told})
        assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in"), told
    for elsewhere in ({"Origin": "http://elsewhere.example"}, {"Sec-Fetch-Site": "cross-site"}):
        assert stranger.post(JOB, data=sent, headers=elsewhere).headers.get("location", "/sign-in") == "/sign-in"
    assert not drafts_of(demo_client)


def test_signing_out_says_that_something_waits(demo_client: Visitor) -> None:
    demo_client.swap("/drafts", typed_in(demo_client, JOB, SHEET, {WIDTH: "1234 mm"}))
    assert demo_client.send_form("/sign-out").headers["location"] == "/sign-in?kept=yes"


def test_a_mark_reads_as_it_was_written() -> None:
    mark = new_mark(UUID(int=7), "/materials/new")
    text = write_mark(b"secret", mark)
    assert read_mark(b"secret", text, "/materials/new") == mark
    for changed in (text + "0", text[1:], text.replace(".", "", 1), "é" * 9, "." * 300):
        assert read_mark(b"secret", changed, "/materials/new") is None
    assert read_mark(b"secret", text, "/materials") is None
    assert write_mark(b"secret", Mark(mark.draft_id, UUID(int=8), mark.place)) != text
