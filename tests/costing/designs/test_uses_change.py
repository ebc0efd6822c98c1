"""Designs put into others as these change: attached, renewed, under other names, and kept from a job."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from tests.costing.designs.uses_case import FOOT, USED, document_of, host, materials, read, take_off
from webapp.costing.design_changes.attach import attach, renewed, used_in
from webapp.costing.design_changes.keep import KeptAs, keep_as_design
from webapp.costing.design_changes.rename import rename
from webapp.costing.estimate.estimate import System
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.jobs.job import DesignItem
from webapp.costing.settings.table import default_rates
from webapp.seed import FOR_OTHERS_FOLDER, load_designs_for_others

#: Designs for others with designs in them, a grid of parts or feet of three sorts: said in more lines than the rest.
LARGER = ("cabinet", "hollow_top", "welded_frame")
NEWER: dict[str, Any] = {**FOOT, "says": "A newer foot."}


def nowhere(_: str) -> None:
    """A library without designs."""


def plank(**further: Any) -> dict[str, Any]:
    document = host({"foot": {"design": "foot", "at": {"x": "0 mm and length / 2"}}}, **further)
    del document["inside"]
    return document


def test_what_is_missing_is_put_in_and_what_is_there_stays() -> None:
    bare = plank()
    before = copy.deepcopy(bare)
    attached, problems = attach(bare, {"foot": FOOT}.get)
    assert bare == before
    assert problems == ()
    assert attached["inside"] == {"foot": FOOT}
    assert attach(attached, {"foot": NEWER}.get) == (attached, ())
    taken, problems = renewed(attached, "foot", {"foot": NEWER}.get)
    assert problems == ()
    assert taken["inside"] == {"foot": NEWER}
    assert used_in(taken) == {"foot": ("foot",)}
    assert "inside" not in attach({**attached, "uses": {}}, nowhere)[0]


def test_what_can_not_be_had_is_said_at_its_use() -> None:
    _, ((problem),) = attach(plank(), nowhere)
    assert problem.field == "uses.foot.design"
    assert problem.message == (
        "Use foot, design: no design “foot” is at hand. Keep that design first, or take the code of another."
    )
    round_ = {**FOOT, "uses": {"plank": {"design": "plank"}}}
    _, ((problem),) = attach(plank(), {"foot": round_, "plank": plank()}.get)
    assert problem.message == "Use plank, design: the designs go round in a circle: plank uses foot uses plank."
    deep = {
        f"level_{number}": {"design": f"level_{number}", "uses": {"next": {"design": f"level_{number + 1}"}}}
        for number in range(6)
    }
    _, ((problem),) = attach(deep["level_0"], deep.get)
    assert problem.field == "uses.next.design"
    assert "level_3 uses level_4: designs stand 4 deep in each other at most" in problem.message


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize("document", load_designs_for_others(), ids=lambda one: str(one["design"]))
def test_each_that_the_program_has_can_be_priced_by_itself(document: dict[str, Any], system: System) -> None:
    text = (FOR_OTHERS_FOLDER / f"{document['design']}.yaml").read_text(encoding="utf-8")
    assert len(text.splitlines()) <= (60 if document["design"] in LARGER else 40)
    form = {"form": "1", "job": "one", "items": [{"id": "one", "design": document["design"]}]}
    estimate = estimate_inputs(Inputs(form, {"one": document}, materials(), default_rates(), system, 2, {}))
    assert estimate.complete
    assert not estimate.problems
    assert read(document).for_others


def test_a_newer_version_under_other_names_is_followed() -> None:
    document = attach(plank(), {"foot": FOOT}.get)[0]
    document["uses"]["foot"] |= {"sizes": {"high": "120 mm"}, "materials": {"board": "board"}}
    changed = rename(rename(FOOT, "sizes", "high", "tall"), "stock", "board", "plate")
    taken, problems = renewed(document, "foot", {"foot": changed}.get)
    assert problems == ()
    assert taken["uses"]["foot"]["sizes"] == {"tall": "120 mm"}
    assert taken["uses"]["foot"]["materials"] == {"plate": "board"}
    held = [[part.boxes for part in take_off(read(one)).parts] for one in (document, taken)]
    assert held[0] == held[1]


def test_a_part_of_a_newer_version_is_followed_to_where_the_whole_names_it() -> None:
    document = host({"foot": {"design": "foot", "at": {"x": "0 mm and length / 2"}}})
    document["values"] = {"over": "foot_post.top", "within": "foot__post.top + foot_high"}
    document["parts"]["plank"]["at"]["z"] = "on foot_post"
    changed = rename(rename(FOOT, "parts", "post", "upright"), "sizes", "high", "tall")
    taken, problems = renewed(document, "foot", {"foot": changed}.get)
    assert problems == ()
    assert taken["values"] == {"over": "foot_upright.top", "within": "foot__upright.top + foot_tall"}
    assert taken["parts"]["plank"]["at"]["z"] == "on foot_upright"
    boxes = [[box for part in take_off(read(one)).parts for box in part.boxes] for one in (document, taken)]
    before, after = ([(box.corner, box.extent) for box in held] for held in boxes)
    assert before == after
    document["values"]["over"] = "foot_post.top + ("
    stays, problems = renewed(document, "foot", {"foot": changed}.get)
    assert stays == document
    assert [problem.field for problem in problems] == ["uses.foot.design"]
    assert "“values.over” can't follow the new name" in problems[0].message


def test_a_name_of_the_host_is_followed_into_its_uses() -> None:
    document = host(
        {
            "foot": {
                "design": "foot", "sizes": {"high": "length / 10"}, "materials": {"board": "board"},
                "at": {"x": "3 evenly from 0 mm to length"},
            }
        }
    )  # fmt: skip
    longer = rename(rename(document, "sizes", "length", "long"), "stock", "board", "plate")
    use = longer["uses"]["foot"]
    assert use["sizes"] == {"high": "long / 10"}
    assert use["at"] == {"x": "3 evenly from 0 mm to long"}
    assert use["materials"] == {"board": "plate"}
    assert [part.boxes for part in take_off(read(longer)).parts] == [
        part.boxes for part in take_off(read(document)).parts
    ]


def test_kept_from_a_job_a_design_holds_what_it_is_made_of() -> None:
    design = read(document_of(USED))
    item = DesignItem(
        id="one", label="", quantity=1, design="three_drawers", sizes={"width": "800 mm"}, choices={},
        materials={"drawer_box_screw": "screw_4_45", "board": "birch_plywood_15"},
    )  # fmt: skip
    document, problems = keep_as_design(design, item, KeptAs("chest", "Chest"), "metric")
    assert problems == ()
    assert document["inside"] == design.document["inside"]
    kept = read(document)
    assert kept.roles["drawer_box_screw"].usual == "screw_4_45"
    assert kept.roles["board"].usual == "birch_plywood_15"
    assert kept.roles.keys() == design.roles.keys()
    assert list(kept.parts) == list(design.parts)
