"""An item of a job kept as a design: what it takes over, what is said before, and that it can be used."""

from __future__ import annotations

from html import unescape

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from webapp.costing.design_changes.keep import KeptAs, keep_as_design
from webapp.costing.design_form.reader import read_design
from webapp.costing.jobs.job import DesignItem
from webapp.persistence.designs.records import load_design
from webapp.seed import load_designs

#: The demo's drawer cabinets: changed sizes, answers and the minutes of a step.
CABINETS = "/jobs/2/items/cabinets/design"


def _kept(visitor: Visitor, code: str) -> dict[str, object]:
    with visitor.program.database.reading() as session:
        stored = load_design(session, code)
    return {**stored.document, "version": stored.version, "note": stored.note}


def test_the_difference_is_shown_before_anything_is_kept(demo_client: Visitor) -> None:
    page = unescape(demo_client.get(CABINETS).text)
    assert "<del><code>width: Overall width; 900 mm | 36 in; " in page
    assert "<ins><code>width: Overall width; 850 mm | 36 in; " in page
    assert "To close level with the old row" in page
    assert 'value="cabinets_under_the_window"' in page
    assert "; usual laminate_top</code></ins>" in page


def test_an_item_becomes_a_new_design_that_a_job_starts_from(demo_client: Visitor) -> None:
    fields = {"kept": "new", "code": "window_cabinet", "name": "Window cabinet", "act": "keep", "base": "1"}
    answer = demo_client.send_form(CABINETS, fields)
    assert (answer.status_code, answer.headers["location"]) == (303, "/designs/window_cabinet")
    kept = _kept(demo_client, "window_cabinet")
    design, problems = read_design({key: value for key, value in kept.items() if key not in ("version", "note")})
    assert not problems
    assert design is not None
    assert design.name == "Window cabinet"
    assert design.sizes["width"].usual == 850 * 10**6
    assert design.sizes["drawers"].usual == 4
    assert (design.choices["top"].usual, design.choices["base"].usual) == ("laminate_top", "feet_base")
    assert "18 min (To close level with the old row)." in str(kept["note"])
    made = demo_client.send_form("/jobs/new", {"start": "design:window_cabinet"})
    sheet = form_fields(demo_client.get(made.headers["location"]).text, "job-sheet")
    assert sheet["items.window_cabinet.sizes.width"] == "850 mm"
    assert sheet["items.window_cabinet.choices.top"] == "laminate_top"


def test_an_item_becomes_the_next_version_once(demo_client: Visitor) -> None:
    fields = {"kept": "version", "name": "Bench cabinet with drawers", "act": "keep", "base": "1"}
    assert demo_client.send_form(CABINETS, fields).status_code == 303
    assert _kept(demo_client, "bench_cabinet")["version"] == 2
    late = demo_client.send_form(CABINETS, fields)
    assert late.status_code == 409
    assert "Version 2 was kept meanwhile" in late.text
    again = demo_client.send_form(CABINETS, {**fields, "base": "2"})
    assert again.status_code == 422
    assert "the same as version 2" in again.text
    assert _kept(demo_client, "bench_cabinet")["version"] == 2


@pytest.mark.parametrize(
    ("code", "sentence"),
    [
        ("", "The design needs a code"),
        ("Bench Cabinet", "“Bench Cabinet” is no code of a design"),
        ("bench_cabinet", "There is a design under “bench_cabinet” already"),
        ("new", "There is a design under “new” already"),
    ],
)
def test_a_code_that_will_not_do_is_named(demo_client: Visitor, code: str, sentence: str) -> None:
    answer = demo_client.send_form(CABINETS, {"kept": "new", "code": code, "name": "", "act": "keep", "base": "1"})
    assert answer.status_code == 422
    page = unescape(answer.text)
    assert sentence in page
    assert "The design needs a name" in page
    assert f'value="{code}"' in page


def test_a_job_or_an_item_that_is_not_there_is_not_found(demo_client: Visitor) -> None:
    assert demo_client.get("/jobs/2/items/nothing/design").status_code == 404
    assert demo_client.send_form("/jobs/99/items/cabinets/design", {"act": "keep"}).status_code == 404


def test_the_sheet_saves_before_it_goes_on_to_keep(demo_client: Visitor) -> None:
    fields = form_fields(demo_client.get("/jobs/2").text, "job-sheet")
    answer = demo_client.send_form(
        "/jobs/2", {**fields, "items.cabinets.sizes.width": "870 mm", "then": "design.cabinets"}
    )
    assert answer.headers["location"] == CABINETS
    assert "Overall width; 870 mm | " in unescape(demo_client.get(CABINETS).text)


def test_a_size_beyond_a_limit_is_said_and_moves_the_limit_only_when_asked() -> None:
    document = next(one for one in load_designs() if one["design"] == "bench_cabinet")
    design, _ = read_design(document)
    assert design is not None
    item = DesignItem("a", "bench_cabinet", 1, sizes={"width": "4000 mm", "depth": "wide", "drawers": "2.5"})
    _, problems = keep_as_design(design, item, KeptAs("big", "Big"), "metric")
    assert {one.field for one in problems} == {"sizes.width", "sizes.depth", "sizes.drawers"}
    assert (
        "4000 mm passes a limit of this design" in next(one for one in problems if one.field == "sizes.width").message
    )
    widened, problems = keep_as_design(design, item, KeptAs("big", "Big", widen=True), "metric")
    assert {one.field for one in problems} == {"sizes.depth", "sizes.drawers"}
    kept, wrong = read_design(widened)
    assert not wrong
    assert kept is not None
    assert kept.sizes["width"].usual == kept.sizes["width"].most == 4000 * 10**6
    assert design.document["sizes"] == document["sizes"], "the design it came from was changed"
