"""Parts without a design on the job sheet: typed in rows, pasted, left with their reasons, saved, quoted and kept."""

from __future__ import annotations

import re
from fractions import Fraction
from html import unescape
from typing import Any

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from webapp.costing.estimate.snapshot import estimate_inputs, read_snapshot
from webapp.persistence.designs.records import load_design
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.quotes.records import load_quote, quotes_of_job

BIRCH = "Birch-faced plywood 18 mm"
#: A job of the demo without a quote; its own items and lines are taken out.
JOB = 4
ROW = {"name": "Shelf", "count": "4", "length": "800 mm", "width": "300 mm", "material": BIRCH, "edges": "two long"}


def document_of(visitor: Visitor, number: int = JOB) -> dict[str, Any]:
    with visitor.program.database.reading() as session:
        return dict(load_job_by_number(session, number).document)


def total_of(page: str) -> str:
    found = re.search(r'id="now-total".*?<span class="value">([^<]+)</span>', page, re.DOTALL)
    assert found is not None, "the sheet shows no total"
    return found[1]


@pytest.fixture
def fields(demo_client: Visitor) -> dict[str, str]:
    """The fields of a sheet on which a list of parts was begun."""
    start = form_fields(demo_client.get(f"/jobs/{JOB}").text, "job-sheet")
    kept = {name: text for name, text in start.items() if not name.startswith(("items.", "lines.", "settings."))}
    page = demo_client.send_form(f"/jobs/{JOB}/estimate", {**kept, "act": "add-list"}).text
    assert 'name="items.parts_1.parts.new.name"' in page
    return form_fields(page, "job-sheet")


def typed(fields: dict[str, str], place: str = "new", **row: str) -> dict[str, str]:
    return {**fields, **{f"items.parts_1.parts.{place}.{key}": text for key, text in {**ROW, **row}.items()}}


def test_rows_are_typed_in_place_with_an_empty_one_beneath(demo_client: Visitor, fields: dict[str, str]) -> None:
    once = typed({**fields, "items.parts_1.band": "edge_band_1"})
    page = demo_client.send_form(f"/jobs/{JOB}/estimate", {**once, "act": "add-row:parts_1"}).text
    again = form_fields(page, "job-sheet")
    assert again["items.parts_1.parts.1.name"] == "Shelf"
    assert again["items.parts_1.parts.1.edges"] == "two long"
    assert again["items.parts_1.parts.new.name"] == ""
    assert demo_client.send_form(f"/jobs/{JOB}", typed(again, name="Side", edges="")).status_code == 303
    held = document_of(demo_client)["items"]
    assert [part["name"] for part in held[0]["parts"]] == ["Shelf", "Side"]
    assert held[0]["parts"][1] == {key: text for key, text in ROW.items() if key != "edges"} | {"name": "Side"}
    page = demo_client.get(f"/jobs/{JOB}").text
    less = demo_client.send_form(
        f"/jobs/{JOB}/estimate", {**form_fields(page, "job-sheet"), "act": "take-out:rows.parts_1.1"}
    ).text
    assert form_fields(less, "job-sheet")["items.parts_1.parts.1.name"] == "Side"
    emptied = form_fields(page, "job-sheet") | {
        f"items.parts_1.parts.1.{key}": "" for key in ("name", "length", "width", "material")
    }
    assert demo_client.send_form(f"/jobs/{JOB}", emptied).status_code == 303
    assert [part["name"] for part in document_of(demo_client)["items"][0]["parts"]] == ["Side"]


def test_what_is_wrong_with_a_row_is_said_beside_its_field(demo_client: Visitor, fields: dict[str, str]) -> None:
    wrong = typed(fields, "1", material="Birch plywod", length="80o")
    page = unescape(demo_client.send_form(f"/jobs/{JOB}/estimate", wrong).text)
    beside = page.split('id="items-parts_1-parts-1-length-beside"')[1].split("</div>")[0]
    assert "Row 1, “Shelf”: the length “80o” can't be read as a length" in beside
    page = unescape(demo_client.send_form(f"/jobs/{JOB}/estimate", typed(fields, "1", material="Birch plywod")).text)
    beside = page.split('id="items-parts_1-parts-1-material-beside"')[1].split("</div>")[0]
    assert "no material is called “Birch plywod”. The nearest is “Birch" in beside


def test_pasted_rows_become_parts_or_stay_with_their_reason(demo_client: Visitor, fields: dict[str, str]) -> None:
    pasted = (
        f"Part\tQty\tLength\tWidth\tMaterial\nShelf\t4\t800\t300\t{BIRCH}\nSide\t2\t80o\t300\t{BIRCH}\n"
        "Back\t1\t800\t1200\tHard board"
    )
    asked = {**fields, "items.parts_1.pasted": pasted, "act": "take-rows:parts_1"}
    page = demo_client.send_form(f"/jobs/{JOB}/estimate", asked).text
    left = form_fields(page, "job-sheet")
    assert left["items.parts_1.parts.1.length"] == "800"
    assert left["items.parts_1.pasted"] == (
        f"Part\tQty\tLength\tWidth\tMaterial\nSide\t2\t80o\t300\t{BIRCH}\nBack\t1\t800\t1200\tHard board"
    )
    said = unescape(page)
    assert "<li>Row 2, “Side”: the length “80o” can't be read as a length" in said
    assert "no material is called “Hard board”. The nearest is “Hardboard" in said
    assert demo_client.send_form(f"/jobs/{JOB}", left).status_code == 303
    again = unescape(demo_client.get(f"/jobs/{JOB}").text)
    assert "Pasted rows are not taken into the list yet" in again
    assert "<li>Row 2, “Side”:" in again, "what was left is lost by a save"


def test_four_hundred_rows_stand_as_text_and_can_be_changed_there(demo_client: Visitor, fields: dict[str, str]) -> None:
    rows = "\n".join(f"Slat {number}\t2\t{300 + number}\t60\t{BIRCH}" for number in range(400))
    asked = {**fields, "items.parts_1.pasted": rows, "act": "take-rows:parts_1"}
    page = demo_client.send_form(f"/jobs/{JOB}/estimate", asked).text
    held = form_fields(page, "job-sheet")
    assert held["items.parts_1.pasted"] == ""
    assert held["items.parts_1.rows"].count("\n") == 400
    shorter = "\n".join(held["items.parts_1.rows"].replace("Slat 1\t2\t", "First\t5\t").splitlines()[:71])
    assert demo_client.send_form(f"/jobs/{JOB}", {**held, "items.parts_1.rows": shorter}).status_code == 303
    parts = document_of(demo_client)["items"][0]["parts"]
    assert len(parts) == 70
    assert parts[1] == {"name": "First", "count": "5", "length": "301", "width": "60", "material": BIRCH}


def test_a_list_is_quoted_frozen_and_reprinted_as_it_was(
    demo_client: Visitor, fields: dict[str, str], unprinted: None
) -> None:
    whole = typed({**fields, "items.parts_1.band": "edge_band_1", "items.parts_1.label": "Loose shelves"}, "1")
    assert demo_client.send_form(f"/jobs/{JOB}", whole).status_code == 303
    page = demo_client.get(f"/jobs/{JOB}/issue").text
    shown = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', page))
    answer = demo_client.send_form(f"/jobs/{JOB}/issue", shown)
    assert answer.status_code == 303, answer.text
    address = str(answer.headers["location"])
    papers = ("quote", "shopping-list", "workshop")
    printed = [demo_client.get(f"{address}/{paper}.pdf").text for paper in papers]
    assert "4 parts, cut to size, edges banded, loose." in printed[0]
    assert all("Shelf" in one or "Birch" in one for one in printed[1:])
    with demo_client.program.database.reading() as session:
        job = load_job_by_number(session, JOB)
        today = job.updated_at.date()
        quote = load_quote(session, quotes_of_job(session, job.id, today)[0].id, today)
    frozen = read_snapshot(quote.snapshot)
    assert frozen.designs["parts_1"]["loose"] == "yes"
    assert estimate_inputs(frozen).totals.total.value == Fraction(quote.estimate["totals"]["total"])
    sheet = form_fields(demo_client.get(f"/jobs/{JOB}").text, "job-sheet")
    assert demo_client.send_form(f"/jobs/{JOB}", typed(sheet, "1", count="9")).status_code == 303
    assert document_of(demo_client)["items"][0]["parts"][0]["count"] == "9"
    assert [demo_client.get(f"{address}/{paper}.pdf").text for paper in papers] == printed


def test_a_list_is_kept_as_a_design_that_comes_to_the_same(demo_client: Visitor, fields: dict[str, str]) -> None:
    whole = typed({**fields, "items.parts_1.band": "edge_band_1", "items.parts_1.label": "Loose shelves"}, "1")
    assert demo_client.send_form(f"/jobs/{JOB}", whole).status_code == 303
    before = total_of(demo_client.get(f"/jobs/{JOB}").text)
    keeping = f"/jobs/{JOB}/items/parts_1/design"
    page = unescape(demo_client.get(keeping).text)
    assert "made from a list of parts, one sort" in page
    assert "What is missing: where its parts stand." in page
    answer = demo_client.send_form(
        keeping, {"code": "loose_shelves", "name": "Loose shelves", "act": "keep", "base": "0"}
    )
    assert (answer.status_code, answer.headers.get("location")) == (303, "/designs/loose_shelves"), answer.text
    with demo_client.program.database.reading() as session:
        assert load_design(session, "loose_shelves").document["loose"] == "yes"
    assert "Loose shelves" in demo_client.get("/designs/loose_shelves").text
    other = {name: text for name, text in whole.items() if not name.startswith("items.")}
    other |= {"items.kept.design": "loose_shelves", "items.kept.quantity": "1", "version": "2"}
    page = demo_client.send_form(f"/jobs/{JOB}/estimate", other).text
    assert total_of(page) == before


def test_a_material_is_replaced_in_the_rows_of_a_list_too(demo_client: Visitor, fields: dict[str, str]) -> None:
    whole = typed(fields, "1", edges="")
    asked = {**whole, "act": "swap", "swap_stands": "birch_plywood_18", "swap_put": "birch_plywood_15"}
    page = demo_client.send_form(f"/jobs/{JOB}/estimate", asked).text
    assert form_fields(page, "job-sheet")["items.parts_1.parts.1.material"] == "birch_plywood_15"


def test_a_list_of_nothing_is_said(demo_client: Visitor, fields: dict[str, str]) -> None:
    page = unescape(demo_client.send_form(f"/jobs/{JOB}/estimate", fields).text)
    assert "names no design, and lists no parts" in page


def test_rows_pasted_as_added_lines_are_taken_or_stay(demo_client: Visitor, fields: dict[str, str]) -> None:
    rows = "What for\tQty\tCost each\tMinutes\nHinges\t4\t3.50\t\nFitting on site\t1\t\t90\nGlass\t2\tabout 40\t"
    page = demo_client.send_form(f"/jobs/{JOB}/estimate", {**fields, "pasted": rows, "act": "take-lines"}).text
    held = form_fields(page, "job-sheet")
    lines = {name.split(".")[1] for name in held if name.startswith("lines.")} - {"new"}
    kept = {held[f"lines.{line}.says"]: held[f"lines.{line}.kind"] for line in lines}
    assert kept == {"Hinges": "part", "Fitting on site": "labour"}
    assert held["pasted"] == "What for\tQty\tCost each\tMinutes\nGlass\t2\tabout 40\t", "an empty cell is lost"
    assert "<li>Row 2: “about 40”" in unescape(page)
    assert demo_client.send_form(f"/jobs/{JOB}", held).status_code == 303
    again = unescape(demo_client.get(f"/jobs/{JOB}").text)
    assert "Pasted rows are not taken among the added lines yet" in again
    assert form_fields(again, "job-sheet")["pasted"] == held["pasted"]
