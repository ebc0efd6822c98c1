"""A list of parts in the sums: counted by hand, priced as the same bench is as a design, frozen as any design is."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from fractions import Fraction
from typing import Any

import pytest

from webapp.costing.design_form.reader import read_design
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs, read_snapshot, with_lists, write_snapshot
from webapp.costing.settings.table import default_rates
from webapp.design_text import read_text
from webapp.seed import load_catalogue

CATALOGUE = load_catalogue(date(2026, 3, 2))
BIRCH = "Birch-faced plywood 18 mm"
TUBE = "Square steel tube 40 x 40 x 2 mm"

#: A bench of four panels, light enough for one to lift it. Its length lies along x, so that the edges in front and
#: behind are the long ones.
BENCH = """
form: 1
design: panel_bench
name: Panel bench
says: A bench of panels, screwed together by whoever buys it.
sizes:
  length: {says: Length, usual: 1200 mm, least: 1000 mm, most: 2000 mm}
stock:
  board: {says: Panels, kind: sheet, usual: birch_plywood_18}
  edge: {says: Edge band, kind: length, usual: edge_band_1}
  oil: {says: Oil, kind: liquid, usual: oil_hard}
parts:
  top:
    {says: Top, stock: board, count: 1, length: length, width: 500 mm, runs: {length: x, width: y}, at: {z: 600 mm},
     grain: length, band: {with: edge, edges: [front, back]}}
  side:
    {says: Side, stock: board, count: 2, length: 600 mm, width: 460 mm, runs: {length: z, width: y},
     at: {x: (number - 1) * (length - board.thickness)}, grain: length}
  shelf:
    {says: Shelf, stock: board, count: 1, length: 1100 mm, width: 440 mm, runs: {length: x, width: y},
     at: {x: board.thickness, z: 200 mm}, grain: length}
values: {under_top: 600 mm}
closes: {x: length, y: 500 mm, z: under_top + board.thickness}
surfaces:
  faces: {stock: board, faces: 2}
  banded: {edges: banded}
  raw: {edges: raw, raw_edge: yes}
finish:
  coats: {says: Oil all over, stock: oil, coats: 2, on: [faces, banded, raw]}
operations:
  draw: {says: "Draw, plan, list", driver: items}
  fetch_order: {says: Order and fetch materials, driver: items}
  unload: {says: Unload and rack sheets, driver: sheets_handled}
  part_sheets: {says: Part full sheets, driver: parting_cuts, of: [board]}
  hold_sheets: {says: Hold full sheets, driver: parting_helpers, of: [board]}
  saw_to_size: {says: Rip and crosscut, driver: stop_cuts, of: [board]}
  set_fence: {says: Set the fence, driver: fence_settings, of: [board]}
  band_edges_on: {says: Band edges, driver: banded_metres}
  sand_raw: {says: Sand before finish, driver: square_metres}
  brush: {says: Oil, driver: square_metres_by_coat}
  sand_between: {says: Sand between coats, driver: square_metres_between_coats}
  wrap_up: {says: Wrap and pack, driver: items_by_crew}
  load_up: {says: Load, driver: items_by_crew}
scope: A bench of panels.
"""
THE_SAME_AS_A_LIST = [
    {"name": "Top", "length": "1200 mm", "width": "500 mm", "material": BIRCH, "edges": "two long"},
    {"name": "Side", "count": "2", "length": "600 mm", "width": "460 mm", "material": BIRCH},
    {"name": "Shelf", "length": "1100 mm", "width": "440 mm", "material": BIRCH},
]


def job_of(parts: list[dict[str, str]], **further: Any) -> dict[str, Any]:
    return {"form": "1", "job": "Parts", "items": [{"id": "list", "quantity": "1", "parts": parts, **further}]}


def inputs_of(job: dict[str, Any], designs: dict[str, Any] | None = None) -> Inputs:
    return with_lists(Inputs(job, designs or {}, CATALOGUE, default_rates(), "metric", 2, {}))


def estimated(parts: list[dict[str, str]], **further: Any) -> Estimate:
    return estimate_inputs(inputs_of(job_of(parts, **further)))


def units(found: Estimate) -> dict[str, Fraction]:
    return {step.operation: step.units.value for step in found.steps}


@pytest.mark.outside(
    source="common practice: a cut for each trimmed side, each rip and each crosscut", kind="common practice"
)
def test_cuts_bands_and_sheets_counted_by_hand() -> None:
    """Two panels of 2000 x 1000 mm, banded all round with 1 mm: one from each sheet of 2440 x 1220 mm, which is the
    least dear that holds one. A sheet is trimmed on four sides, ripped once and crosscut once: six cuts, twelve in all.
    A panel has 2 x 2 m + 2 x 1 m = 6 m of band; to buy are (12 m + 8 edges x 2 x 25 mm) x 1.05 = 13.02 m.

    Four legs of tube: four cuts, eight ends; 4 x 700 mm come from one length of 6 m.
    """
    found = estimated(
        [
            {"name": "Panel", "count": "2", "length": "2000 mm", "width": "1 m", "material": BIRCH,
             "edges": "all round", "band": "edge_band_1"},
            {"name": "Leg", "count": "4", "length": "700 mm", "material": TUBE},
        ]
    )  # fmt: skip
    assert not found.problems
    bought = {one.material.code: sum(purchase.packs for purchase in one.purchases) for one in found.bought}
    assert bought == {"birch_plywood_18": 2, "edge_band_1": 1, "steel_tube_40": 1}
    counted = units(found)
    assert counted["part_sheets"] + counted.get("saw_to_size", 0) == 12
    assert counted["band_edges_on"] == 12
    assert [counted["saw_tube"], counted["deburr"]] == [4, 8]
    taken = found.items[0].take_off
    assert taken.band["edge_band_1"].value == Fraction("13.02")
    panel = taken.parts[0]
    assert panel.blank_width is not None
    assert [panel.blank_length.value, panel.blank_width.value] == [1998 * 10**6, 998 * 10**6]
    assert not any(part.boxes for part in taken.parts), "loose parts stand somewhere"


@pytest.mark.outside(source="common practice: each strip of a panel is planed for itself", kind="common practice")
def test_a_list_of_boards_is_planed_by_the_piece_and_glued_up_by_the_strip() -> None:
    """A top 500 mm wide is glued up from four strips of 125 mm, the widest of the shop; four planed pieces and one
    rail make five."""
    parts = [
        {"name": "Top", "length": "1200 mm", "width": "500 mm", "thickness": "20 mm", "material": "white_oak"},
        {"name": "Rail", "length": "1200 mm", "width": "90 mm", "thickness": "20 mm", "material": "white_oak"},
    ]
    found = estimated(parts, glue="wood_glue")
    strips = -(-500 * 10**6 // int(default_rates()["widest_strip"]))
    assert units(found)["plane_parts"] == strips + 1
    assert units(found)["glue_up_panels"] == strips
    assert any(one.material.code == "wood_glue" for one in found.bought)
    without = estimated(parts)
    assert any("glued up from" in one.message for one in without.problems), "nobody says that a glue is missing"


def test_a_list_comes_to_the_cent_to_what_the_same_bench_is_as_a_design() -> None:
    document, wrong = read_text(BENCH)
    assert document is not None, wrong
    design, problems = read_design(document)
    assert design is not None, problems
    job = {"form": "1", "job": "Bench", "items": [{"id": "list", "design": "panel_bench", "quantity": "1"}]}
    rates = default_rates().with_values({"finish_method": Fraction(0)}, {})
    as_design = estimate_inputs(Inputs(job, {"list": document}, CATALOGUE, rates, "metric", 2, {}))
    job = job_of(THE_SAME_AS_A_LIST, band="edge_band_1", finish="Hard-wax oil")
    as_list = estimate_inputs(with_lists(Inputs(job, {}, CATALOGUE, rates, "metric", 2, {})))
    assert not [one for one in as_design.problems if one.severity == "failure"]
    assert not as_list.problems
    assert units(as_list) == units(as_design)
    assert as_list.totals.total.value == as_design.totals.total.value > 100
    assert as_list.totals.cost.value == as_design.totals.cost.value
    assert as_list.items[0].take_off.mass.value == as_design.items[0].take_off.mass.value


def test_the_design_that_a_list_makes_is_one_that_can_be_kept_and_prices_equal() -> None:
    made = inputs_of(job_of(THE_SAME_AS_A_LIST, band="edge_band_1", finish="oil_hard", sanded="yes"))
    document = json.loads(json.dumps(made.designs["list"]))
    design, problems = read_design(document)
    assert design is not None, problems
    assert design.loose
    job = {"form": "1", "job": "Kept", "items": [{"id": "list", "design": design.code, "quantity": "1"}]}
    kept = estimate_inputs(inputs_of(job, {"list": {**document, "design": "kept_panels", "name": "Kept panels"}}))
    assert kept.totals.total.value == estimate_inputs(made).totals.total.value


def test_a_snapshot_holds_what_the_list_made_and_gives_its_figures_again() -> None:
    made = inputs_of(job_of([*THE_SAME_AS_A_LIST, {"name": "Lost", "length": "1 m", "material": "no_such_thing"}]))
    found = estimate_inputs(made)
    kept = read_snapshot(json.loads(json.dumps(write_snapshot(made, found))))
    again = estimate_inputs(kept)
    assert again.totals.total.value == found.totals.total.value
    assert not found.complete
    assert not again.complete, "a row that could not be made is forgotten with the quote"
    assert kept.designs["list"] == made.designs["list"]


def test_rows_that_cannot_be_made_are_named_and_the_rest_is_priced() -> None:
    parts = [
        *THE_SAME_AS_A_LIST,
        {"name": "Lost", "length": "1 m", "width": "1 m", "material": "Birch plywod 18"},
        {"name": "Slat", "length": "300 mm", "material": BIRCH},
        {"name": "Leg", "length": "7 m", "material": TUBE, "edges": "one long"},
        {"name": "Box", "length": "12x", "width": "1 m", "material": BIRCH},
        {},
    ]
    found = estimated(parts)
    said = " ".join(one.message for one in found.problems)
    assert "Row 4, “Lost”: no material is called “Birch plywod 18”. The nearest is" in said
    assert f"Row 5, “Slat”: a part of “{BIRCH}” needs its width." in said
    assert "Row 6, “Leg”: the edges of" in said
    assert "Row 7, “Box”: the length “12x” can't be read as a length" in said
    assert "1 of “Leg” fit no offered size" in said
    failed = [check.sentence for check in found.items[0].take_off.checks if check.outcome == "failure"]
    assert len(failed) == 1
    assert failed[0].startswith("“Leg”, 7000 mm long as a blank, comes out of no size of Square steel tube")
    assert len(found.items[0].take_off.parts) == 4
    assert not found.complete
    empty = estimated([{"name": "Lost", "length": "1 m", "material": "no_such_thing"}])
    assert any("lists no part that can be made" in one.message for one in empty.problems)


def test_what_a_list_asks_for_beside_its_rows() -> None:
    found = estimated(THE_SAME_AS_A_LIST, finish="lacquer_nobody_has", sanded="yes", coats="0", pasted="Shelf\t2")
    said = " ".join(one.message for one in found.problems)
    assert "The finish of the list: no material is called “lacquer_nobody_has”." in said
    assert "Coats: “0” should be a whole number" in said
    assert "Pasted rows are not taken into the list yet" in said
    assert units(found)["sand_raw"] > 0
    both = estimate_inputs(inputs_of(job_of(THE_SAME_AS_A_LIST, design="panel_bench")))
    assert any("names a design and lists parts as well" in one.message for one in both.problems)
    banded = estimated([{**THE_SAME_AS_A_LIST[0]}])
    assert any("neither the row nor the list says with what" in one.message for one in banded.problems)


def test_a_list_may_hold_four_hundred_parts() -> None:
    parts = [
        {"name": f"Slat {number}", "length": f"{300 + number} mm", "width": "60 mm", "material": "birch_plywood_12"}
        for number in range(400)
    ]
    made = inputs_of(job_of(parts))
    design, problems = read_design(made.designs["list"])
    assert design is not None, problems
    assert len(design.parts) == len(parts)


def test_two_lists_of_one_job_are_two_things() -> None:
    job = job_of(THE_SAME_AS_A_LIST)
    job["items"].append({"id": "more", "quantity": "2", "parts": THE_SAME_AS_A_LIST})
    found = estimate_inputs(inputs_of(job))
    assert len({item.take_off.design.code for item in found.items}) == 2
    assert [item.quantity.value for item in found.items] == [1, 2]


def test_whatever_a_material_is_called_its_list_makes_a_design() -> None:
    """Codes may begin with a digit and hold hyphens, which names in a design may not."""
    codes = {"18-birch": "birch_plywood_18", "a__b": "birch_plywood_12", "x" * 40: "softwood_2x4"}
    renamed = {code: replace(CATALOGUE.materials[was], code=code, name=code) for code, was in codes.items()}
    offers = {code: tuple(replace(one, material=code) for one in CATALOGUE.offers[was]) for code, was in codes.items()}
    catalogue = replace(
        CATALOGUE, materials={**CATALOGUE.materials, **renamed}, offers={**CATALOGUE.offers, **offers}
    )  # fmt: skip
    parts = [{"name": "P", "length": "400 mm", "width": "200 mm", "material": code} for code in codes]
    del parts[2]["width"]
    job = job_of(parts, finish="oil_hard")
    job["items"][0]["id"] = "--1"
    made = with_lists(Inputs(job, {}, catalogue, default_rates(), "metric", 2, {}))
    design, problems = read_design(made.designs["--1"])
    assert design is not None, problems
    found = estimate_inputs(made)
    assert {one.material.code for one in found.bought} == {*codes, "oil_hard"}
    assert [role.says for role in design.roles.values()] == ["Sheet", "Sheet 2", "Length", "Finish"]
