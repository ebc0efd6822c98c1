"""The job sheet as one types: the part that follows the keys, entries added and taken out, bad input said in place."""

from __future__ import annotations

import re
from html import unescape

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.pages.jobs.test_jobs import SHEET, estimated, kept, opened, sheet, shown_total
from webapp.costing.jobs import fields as job_fields
from webapp.costing.jobs import reader
from webapp.costing.measures.written import System
from webapp.pages.sheet.form import read_form, with_ids


def test_the_part_gives_the_sums_of_what_is_typed_and_saves_nothing(demo_client: Visitor) -> None:
    before = kept(demo_client, 4)
    fields = {**sheet(demo_client, 4), "items.cabinet.sizes.width": "1150 mm", "items.cabinet.quantity": "2"}
    answer = demo_client.swap("/jobs/4/estimate", fields)
    assert answer.status_code == 200
    document = read_form(tuple(fields.items())).document
    assert shown_total(answer.text) == f"{float(estimated(demo_client, document).totals.total.value):.2f}"
    assert kept(demo_client, 4) == before
    assert "<html" not in answer.text


def test_the_part_sends_only_what_stands_otherwise_beside_the_fields(demo_client: Visitor) -> None:
    fields = opened(demo_client, 4)
    same = demo_client.swap("/jobs/4/estimate", fields).text
    assert "-beside" not in same
    assert 'id="drawings"' not in same
    wrong = demo_client.swap("/jobs/4/estimate", {**fields, "items.cabinet.sizes.width": "5 m"}).text
    assert re.findall(r'id="([a-z_-]+)-beside"', wrong) == ["items-cabinet-sizes-width"]
    assert "it can be from 600 mm to 1200 mm" in wrong
    assert 'id="drawings"' in wrong
    assert "<svg" in demo_client.swap("/jobs/4/drawings", fields).text


#: Field, what is typed in it, and what is then said.
BAD_INPUT = [
    ("items.cabinet.sizes.width", "9000 mm", "Overall width: “9000 mm” is out of its limits"),
    (
        "items.cabinet.sizes.width",
        "length + count",
        "Overall width: “length + count” can't be read as a length",
    ),
    ("items.cabinet.sizes.width", "40 kg", "Overall width"),
    ("items.cabinet.sizes.drawers", "2.5", "Drawers: “2.5” is no whole number."),
    ("items.cabinet.quantity", "-3", "“-3” is below zero"),
    ("items.cabinet.quantity", "9" * 40, "too large"),
    ("items.cabinet.choices.top", "no_top", "“no_top” is no answer"),
    ("items.cabinet.materials.board", "no_such_board", "no_such_board"),
    ("lines.new.each", "12 EUR", "12 EUR"),
    ("discount", "150 %", "A discount of “150 %” is out of range"),
    ("delivery.distance", "far", "far"),
    ("delivery.people", "0", "People on the trip: “0”"),
    ("novelty", "odd", "“odd” is none of repeat, known, new."),
    ("job", "", "The job has no name"),
]


def test_bad_input_is_said_in_a_sentence_and_the_rest_is_worked_out(demo_client: Visitor) -> None:
    usual = sheet(demo_client, 4)
    for field, text, sentence in BAD_INPUT:
        fields = {**usual, field: text}
        if field.startswith("lines.new"):
            fields |= {"lines.new.kind": "part", "lines.new.says": "A plate"}
        part = demo_client.swap("/jobs/4/estimate", fields)
        assert part.status_code == 200
        assert sentence in unescape(part.text), (field, text)
        assert "incomplete" in part.text, (field, text)
        document = read_form(tuple(fields.items())).document
        assert shown_total(part.text) == f"{float(estimated(demo_client, document).totals.total.value):.2f}"


def test_bad_input_is_shown_again_as_it_was_typed(demo_client: Visitor) -> None:
    chosen_from = {"items.cabinet.choices.top", "items.cabinet.materials.board", "novelty", "lines.new.each"}
    # One text to a field: of two for one field the later stands.
    typed = {field: text for field, text, _ in BAD_INPUT if field not in chosen_from}
    whole = demo_client.send_form("/jobs/4/estimate", {**sheet(demo_client, 4), **typed})
    assert whole.status_code == 200
    shown = form_fields(whole.text, SHEET)
    assert {field: shown[field] for field in typed} == typed
    for field, text, sentence in BAD_INPUT:
        if typed.get(field) == text:
            assert sentence in unescape(whole.text), (field, text)


def test_a_sentence_about_a_numbered_entry_stands_at_that_entry(demo_client: Visitor) -> None:
    fields = {**sheet(demo_client, 1), "items.teacher.quantity": "none", "lines.skip.each": "much"}
    page = demo_client.send_form("/jobs/1/estimate", fields).text
    for place in ("items-teacher-quantity", "lines-skip-each"):
        beside = page[page.index(f'id="{place}-beside"') :]
        assert "Not taken:" in beside[: beside.index("</div>")], place
    assert 'id="items-benches-quantity-problem"' not in page


def test_nothing_typed_is_trusted_as_markup(demo_client: Visitor) -> None:
    hostile = '"><script>alert(1)</script>'
    fields = sheet(demo_client, 4)
    own = {"csrf_token", "version", "told", "drawn", "state"}
    typed = {name: hostile for name in fields if name not in own and not name.startswith("price.")}
    for answer in (
        demo_client.send_form("/jobs/4/estimate", {**fields, **typed}),
        demo_client.swap("/jobs/4/estimate", {**fields, **typed}),
    ):
        assert answer.status_code == 200
        assert "<script>alert" not in answer.text
    assert demo_client.send_form("/jobs/4", {**fields, **typed, "state": "open"}).status_code == 303
    assert "<script>alert" not in demo_client.get("/jobs/4").text
    assert "<script>alert" not in demo_client.get("/jobs").text


def test_free_lines_are_added_and_taken_out_without_losing_what_is_typed(demo_client: Visitor) -> None:
    fields = {
        **sheet(demo_client, 4), "items.cabinet.sizes.width": "1000 mm", "lines.new.kind": "hire",
        "lines.new.says": "Van for a day", "lines.new.each": "80", "act": "add-line",
    }  # fmt: skip
    added = form_fields(demo_client.send_form("/jobs/4/estimate", fields).text, SHEET)
    assert added["lines.line_1.says"] == "Van for a day"
    assert added["lines.line_1.kind"] == "hire"
    assert added["lines.new.says"] == ""
    assert added["items.cabinet.sizes.width"] == "1000 mm"
    gone = form_fields(demo_client.send_form("/jobs/4/estimate", {**added, "act": "take-out:lines.line_1"}).text, SHEET)
    assert "lines.line_1.says" not in gone
    assert gone["items.cabinet.sizes.width"] == "1000 mm"
    assert "lines" not in kept(demo_client, 4).document


def test_a_line_being_typed_counts_once_it_says_what_and_how_much(demo_client: Visitor) -> None:
    fields = {**sheet(demo_client, 1), "lines.new.kind": "part", "lines.new.says": "Brass plate"}
    half = demo_client.swap("/jobs/1/estimate", fields).text
    assert "Brass plate" not in half
    whole = demo_client.swap("/jobs/1/estimate", {**fields, "lines.new.each": "12.50"}).text
    assert "Brass plate" in whole
    assert float(shown_total(whole)) > float(shown_total(half))


def test_items_are_added_and_taken_out(demo_client: Visitor) -> None:
    fields = {**sheet(demo_client, 4), "act": "add-item", "new_design": "trestle_bench"}
    added = form_fields(demo_client.send_form("/jobs/4/estimate", fields).text, SHEET)
    assert added["items.trestle_bench.design"] == "trestle_bench"
    assert added["items.trestle_bench.version"] == "1"
    twice = form_fields(
        demo_client.send_form("/jobs/4/estimate", {**added, "act": "add-item", "new_design": "trestle_bench"}).text,
        SHEET,
    )
    ids = {name.split(".")[1] for name in twice if name.startswith("items.")}
    assert len(ids) == 3, ids
    assert demo_client.send_form("/jobs/4", twice).status_code == 303
    assert len(kept(demo_client, 4).document["items"]) == 3
    left = form_fields(
        demo_client.send_form("/jobs/4/estimate", {**twice, "act": "take-out:items.cabinet"}).text, SHEET
    )
    assert not any(name.startswith("items.cabinet.") for name in left)


def test_one_material_is_changed_everywhere_it_is_used(demo_client: Visitor) -> None:
    fields = {**sheet(demo_client, 2), "act": "swap", "swap_stands": "birch_plywood_18", "swap_put": "birch_plywood_15"}
    page = demo_client.send_form("/jobs/2/estimate", fields).text
    changed = form_fields(page, SHEET)
    assert changed["items.cabinets.materials.board"] == "birch_plywood_15"
    assert changed["items.cabinets.materials.box_board"] == "birch_plywood_15"
    assert "Birch-faced plywood 15 mm in place of Birch-faced plywood 18 mm" in page
    other_kind = {**fields, "swap_put": "wood_glue"}
    same = form_fields(demo_client.send_form("/jobs/2/estimate", other_kind).text, SHEET)
    assert same["items.cabinets.materials.board"] == "birch_plywood_18"


def test_a_setting_of_the_shop_is_changed_for_this_job_with_a_word_why(demo_client: Visitor) -> None:
    fields = {**sheet(demo_client, 2), "act": "add-setting", "new_setting": "profit"}
    added = form_fields(demo_client.send_form("/jobs/2/estimate", fields).text, SHEET)
    assert added["settings.profit.value"] == "22 %"
    changed = {
        **added, "settings.profit.value": "30 %", "settings.profit.why": "A friend of the school", "open.basis": "yes",
    }  # fmt: skip
    page = demo_client.send_form("/jobs/2/estimate", changed).text
    assert "Profit on own work: changed for this job (A friend of the school)." in page
    assert float(shown_total(page)) > float(shown_total(demo_client.get("/jobs/2").text))
    out_of_sense = demo_client.send_form("/jobs/2/estimate", {**changed, "settings.profit.value": "900 %"}).text
    assert "Profit on own work: “900 %” is out of range" in out_of_sense
    back = form_fields(
        demo_client.send_form("/jobs/2/estimate", {**changed, "act": "take-out:settings.profit"}).text, SHEET
    )
    assert "settings.profit.value" not in back


def test_minutes_of_a_step_are_changed_for_this_job_with_a_word_why(demo_client: Visitor) -> None:
    asked = demo_client.send_form("/jobs/4/estimate", {**sheet(demo_client, 4), "act": "change:cabinet.spray"})
    fields = form_fields(asked.text, SHEET)
    stem = "items.cabinet.minutes.spray"
    assert fields[f"{stem}.likely"] == ""
    unsaid = demo_client.swap("/jobs/4/estimate", {**fields, f"{stem}.likely": "9"}).text
    assert "minutes of “spray” are changed without saying why" in unsaid
    said = {**fields, f"{stem}.likely": "9", f"{stem}.why": "Many small edges"}
    part = demo_client.swap("/jobs/4/estimate", said).text
    assert "changed: Many small edges" in part
    assert demo_client.send_form("/jobs/4", said).status_code == 303
    assert kept(demo_client, 4).document["items"][0]["minutes"] == {"spray": {"likely": "9", "why": "Many small edges"}}
    # Minutes that are folded away are sent along, so that no save loses them.
    assert sheet(demo_client, 4)[f"{stem}.likely"] == "9"
    again = demo_client.get("/jobs/4?open=hours").text
    assert "changed: Many small edges" in again
    back = demo_client.send_form(
        "/jobs/4/estimate", {**form_fields(again, SHEET), "act": "take-out:minutes.cabinet.spray"}
    )
    assert "changed: Many small edges" not in back.text


def test_a_document_from_elsewhere_gets_the_ids_the_form_needs() -> None:
    found = with_ids(
        {
            "form": "1", "job": "x", "items": [{"design": "a"}, "nothing", {"design": "b", "id": "Not an id"}],
            "lines": [{"kind": "labour", "minutes": "5 min", "id": "item_1"}], "customer": "nobody", "settings": [],
        }
    )  # fmt: skip
    assert [item["id"] for item in found["items"]] == ["item_1", "item_2"]
    assert found["lines"] == [{"kind": "labour", "minutes": "5 min", "id": "line_1"}]
    assert "customer" not in found
    assert "settings" not in found


def test_a_keystroke_reads_the_job_once(demo_client: Visitor, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each reading of a form makes a reader: what is gathered, worked out and shown goes by one of them.

    Job 4 has no quote; with one the form is compared with what was quoted, both written out in full.
    """
    read: list[str] = []
    wrapped = job_fields.FormReader

    def counted(system: System) -> job_fields.FormReader:
        read.append(system)
        return wrapped(system)

    fields = {**sheet(demo_client, 4), "title": "Typed just now"}
    monkeypatch.setattr(reader, "FormReader", counted)
    assert demo_client.swap("/jobs/4/estimate", fields).status_code == 200
    assert read == ["metric"]
