"""The metal shop: what the form refuses of a weld; how welds, tubes, supplies and work sent out are counted."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from fractions import Fraction
from functools import cache
from typing import Any

import pytest

from tests.costing.designs.test_schema import complaints
from tests.design_form_case import changed
from tests.reference.short_forms import form_1_document
from webapp.costing.catalogue.materials import Catalogue, Material
from webapp.costing.design_form.reader import read_design
from webapp.costing.design_form.schema import json_schema
from webapp.costing.estimate.estimate import Estimate, estimate
from webapp.costing.jobs.reader import read_job
from webapp.costing.settings.rates import Rates
from webapp.costing.settings.table import default_rates
from webapp.costing.trade.mass import tube_kilograms
from webapp.costing.trade.stiffness import second_moment_tube
from webapp.seed import load_catalogue, load_designs

F = Fraction
MM = 10**6
WELDED = {"says": "Rails", "from": "rail", "into": "rail", "weld": "all_round", "count": "4"}


@pytest.mark.parametrize(
    ("joint", "field", "said"),
    [
        ({"with": "screw"}, "with", "about fastenings or glue, and the joint is welded"),
        ({"glue": "glue", "glue_width": "40 mm"}, "glue", "about fastenings or glue"),
        ({"grip": "2 mm"}, "grip", "about fastenings or glue"),
        ({"count": None}, "count", "a welded joint says how many"),
        ({"weld": "three_sides"}, "weld", "'three_sides' is none of all_round, two_sides, one_side, given"),
        ({"weld": "given"}, "weld_run", "needed where the weld is given"),
        ({"weld_run": "60 mm"}, "weld_run", "given only with 'weld: given'"),
        ({"weld": "given", "weld_run": "2"}, "weld_run", "'2' is a plain number, and a length is needed"),
        ({"ground": "flush"}, "ground", "neither yes nor no"),
        ({"into": "leg"}, "into", "'leg' is planed from boards, which can't be welded"),
        ({"from": "shelf"}, "from", "'shelf' is no bar or tube, so its section gives no weld"),
    ],
)
def test_what_is_wrong_with_a_weld_is_said(joint: dict[str, str | None], field: str, said: str) -> None:
    entry = {key: value for key, value in {**WELDED, **joint}.items() if value is not None}
    _, problems = read_design(changed("joints/frame", entry))
    found = {problem.field: problem.message for problem in problems}
    assert set(found) == {f"joints.frame.{field}"} | ({"joints.frame.glue_width"} if "glue" in joint else set())
    assert said in found[f"joints.frame.{field}"]


@pytest.mark.parametrize(
    ("path", "value", "field", "said"),
    [
        ("joints/back_held/ground", "yes", "joints.back_held.ground", "about welds, and there is none under 'weld'"),
        ("operations/weld", {"says": "Weld", "driver": "weld_centimetres", "of": ["glued"]}, "operations.weld.of",
         "the joint 'glued' is not welded, and the driver weld_centimetres counts length of weld"),
        ("operations/saw", {"says": "Saw", "driver": "tube_cuts"}, "operations.saw.of", "needs the names of its stock"),
        ("operations/clean", {"says": "Clean", "driver": "surface_square_metres", "of": ["frame"]},
         "operations.clean.of", "'frame' is no surface"),
        ("surfaces/frame", {"part": "shelf", "edges": "around"}, "surfaces.frame.part", "cut from bar, tube"),
        ("surfaces/frame", {"edges": "around"}, "surfaces.frame.part", "cut from bar, tube"),
    ],
)  # fmt: skip
def test_what_belongs_to_welds_is_refused_elsewhere(path: str, value: object, field: str, said: str) -> None:
    _, problems = read_design(changed(path, value))
    assert [problem.field for problem in problems] == [field]
    assert said in problems[0].message


def test_a_welded_joint_is_none_of_those_that_are_fastened_or_glued() -> None:
    document = changed("joints/frame", WELDED)
    document["operations"] = {"clamp": {"says": "Clamp", "driver": "joints", "of": ["frame"]}}
    _, problems = read_design(document)
    assert [problem.field for problem in problems] == ["operations.clamp.of"]
    assert "the joint 'frame' is welded, and the driver joints counts glue lines" in problems[0].message


# ---- the bench on a tube frame ------------------------------------------------------------------------------------


@cache
def starter() -> tuple[dict[str, Any], Catalogue]:
    return next(one for one in load_designs() if one["design"] == "tube_frame_bench"), load_catalogue(date(2026, 11, 2))


def with_values(code: str, **values: Fraction | None) -> Catalogue:
    """The demo's catalogue with values of one material set, or taken out (None)."""
    catalogue = starter()[1]
    one = catalogue.materials[code]
    described = {name: value for name, value in {**one.values, **values}.items() if value is not None}
    return with_material(replace(one, values=described))


def with_material(material: Material) -> Catalogue:
    catalogue = starter()[1]
    return replace(catalogue, materials={**catalogue.materials, material.code: material})


def bench(
    catalogue: Catalogue | None = None,
    *,
    quantity: int = 1,
    choices: Mapping[str, str] | None = None,
    materials: Mapping[str, str] | None = None,
    document: Mapping[str, object] | None = None,
    rates: Rates | None = None,
) -> Estimate:
    design, problems = read_design(document or starter()[0])
    assert design is not None, problems
    item = {"id": "a", "design": design.code, "quantity": str(quantity)}
    asked, problems = read_job(
        {"form": "1", "job": "A bench", "items": [{**item, "choices": choices or {}, "materials": materials or {}}]},
        "metric",
    )
    assert problems == ()
    return estimate(asked, {"a": design}, catalogue or starter()[1], rates or default_rates(), {}, "metric")


def charged(estimate: Estimate, code: str) -> str:
    return str(next(float(one.charged.value) for one in estimate.bought if one.material.code == code))


def units(estimate: Estimate) -> dict[str, Fraction]:
    return {step.operation: step.units.value for step in estimate.steps}


def test_the_bench_holds_to_the_schema_of_the_form() -> None:
    assert complaints(json_schema(), form_1_document("tube_frame_bench")) == []


def test_a_frame_of_wood_can_not_be_welded() -> None:
    """In a design that does not say what its frame takes: the starter's takes steel tube alone."""
    document: Any = copy.deepcopy(starter()[0])
    del document["stock"]["tube"]["needs"]
    found = bench(materials={"tube": "softwood_2x4"}, document=document)
    checks = [check.sentence for _, check in found.checks if check.name.startswith("weld/")]
    assert len(checks) == 5
    assert "“Softwood 4 by 2”, chosen for “Frame, square tube”, is no metal, so it can't be welded." in checks[0]


def test_what_is_just_as_heavy_as_the_lightest_metal_is_welded() -> None:
    found = bench(with_values("steel_tube_50", density=Fraction(1700)))
    assert not [check for _, check in found.checks if check.name.startswith("weld/")]


def test_a_tube_without_a_thickness_leaves_its_welds_out_by_name() -> None:
    found = bench(with_values("steel_tube_50", thickness=None))
    said = [problem.message for problem in found.problems if problem.field == "items.a.joints.bearers_welded"]
    assert said
    assert "left out" in said[0]
    assert not found.complete


def test_a_weld_runs_as_far_as_the_design_says() -> None:
    document = copy.deepcopy(starter()[0])
    document["joints"]["long_rails_welded"] |= {"weld": "given", "weld_run": "slot_play"}
    document["joints"]["end_rails_welded"] |= {"weld": "one_side"}
    # 4 x 0.8 + 4 x 5 in place of two times 4 x 20, of 360 in all; and both are ground flush.
    found = units(bench(document=document))
    assert found["weld_joints"] == F("223.2")
    assert found["grind_welds"] == F("183.2")


def test_answers_swap_the_steps() -> None:
    plain = units(bench())
    other = units(bench(choices={"steel": "painted", "seams": "as_welded", "cut_by": "router_cut"}))
    sawing = {"part_sheets", "hold_sheets", "saw_to_size", "set_fence"}
    assert set(plain) - set(other) == {"send_out", "grind_welds", *sawing}
    assert set(other) - set(plain) == {"program_router", "load_router", "rout_sheets"}
    for answer, ground in (("ground_flush", 4), ("as_welded", 0)):
        welds = bench(choices={"seams": answer}).items[0].take_off.welds
        assert sum(weld.ground for weld in welds) == ground
    # Around two layers of 1812 x 712 (12 over for trimming after the glue) and two shelf boards of 620 x 800; all are
    # of one thickness, so that the cutter put in with the set-up does them all.
    assert other["rout_sheets"] == 2 * 2 * (F("1.812") + F("0.712")) + 2 * 2 * (F("0.62") + F("0.8"))
    thinner = bench(choices={"cut_by": "router_cut"}, materials={"top_sheet": "birch_plywood_15"})
    assert units(thinner)["change_cutters"] == 1
    assert bench(choices={"top": "hardwood_top", "lower": "no_shelf", "cut_by": "router_cut"}).complete
    assert "program_router" not in units(
        bench(choices={"top": "hardwood_top", "lower": "no_shelf", "cut_by": "router_cut"})
    )


def test_a_change_of_cutter_is_charged_once() -> None:
    """Two sheets of 15 mm for the top, one of 18 for the shelf: one further thickness, changed for in 5 min."""
    rates = default_rates()
    charging = replace(rates, values={**rates.values, "rule_changes": F(1)})
    thinner = {"top_sheet": "birch_plywood_15"}
    routed = units(bench(choices={"cut_by": "router_cut"}, materials=thinner, rates=charging))
    assert routed["change_cutters"] == 1
    assert "changes" not in routed, "the step of the design and the rule both change the router's cutter"
    # A design that has no such step leaves the change to the rule; and the saw's blade is the rule's in any case.
    without = copy.deepcopy(starter()[0])
    del without["operations"]["change_cutters"]
    left = bench(choices={"cut_by": "router_cut"}, materials=thinner, document=without, rates=charging)
    sawn = bench(choices={"cut_by": "saw_cut"}, materials=thinner, rates=charging)
    for found in (left, sawn):
        (change,) = (step for step in found.steps if step.operation == "changes")
        assert (change.units.value, change.charged.value) == (F(1), F(5))


def test_wire_gas_and_discs_follow_from_the_metres_of_weld() -> None:
    found = {one.material.code: one for one in bench(quantity=10).bought}
    # Ten benches with 3.6 m of weld, of which 3.2 m ground: 1.8 kg, 2160 L, 10.67 discs.
    assert found["welding_wire"].required.value == 2
    assert found["welding_gas"].required.value == 2160
    assert found["flap_disc"].required.value == 11
    assert found["welding_gas"].charged.value == F("41.04")  # 2160 of 4000 L in a bottle at 76.00
    unspoken = bench(with_values("welding_gas", weld_litres=None))
    assert [one.field for one in unspoken.problems] == ["items.a.supplies.gas"]
    assert "Shielding gas for steel does not say how far it goes in a weld" in unspoken.problems[0].message


@pytest.mark.parametrize(
    ("quantity", "work", "lifted", "amount"),
    # 2.52352 m2 each at 20.00: 50.47 and 9.53 to 60; three are 151.41 and need no lift. Carriage 36 for both ways.
    [(1, "50.47", "9.53", "96.0"), (3, "151.41", "0", "187.41")],
)
def test_work_sent_out_is_lifted_to_their_least_and_carried(quantity: int, work: str, lifted: str, amount: str) -> None:
    found = bench(quantity=quantity)
    stated = {key.split("/")[2]: figure.value for key, figure in found.figures.items() if key.startswith("buy/powder")}
    assert (stated["work"], stated["lifted"], stated["carried"]) == (F(work), F(lifted), F(36))
    assert charged(found, "powder_coating") == amount
    powder = next(one for one in found.bought if one.material.code == "powder_coating")
    assert powder.unit == "m2"
    assert powder.material.values["wait_days"] == 7


def test_a_service_by_the_piece_has_its_least_charge_too() -> None:
    each = with_values("powder_coating", by_area=F(0), carriage=None, minimum=F(100))
    # 2.52352 rounded up to three pieces at 20.00, lifted to 100.
    assert charged(bench(each), "powder_coating") == "100.0"
    plain = with_values("powder_coating", by_area=None, carriage=None, minimum=None)
    assert charged(bench(plain), "powder_coating") == "60.0"


def test_a_jig_is_set_up_once_and_spread_over_the_repeats() -> None:
    found = {quantity: bench(quantity=quantity) for quantity in (1, 4)}
    minutes = {
        quantity: next(step.charged.value for step in one.steps if step.operation == "make_jig")
        for quantity, one in found.items()
    }
    assert minutes == {1: 60, 4: 60}
    # So each of four carries a quarter of the hour: 8.00 of 32.00 for the maker.
    labour = {quantity: one.figures["hours/a/make_jig/labour"].value / quantity for quantity, one in found.items()}
    assert labour == {1: 32, 4: 8}


@pytest.mark.parametrize(
    ("width", "thickness", "wall", "kilograms"),
    # A metre: 50 x 50 x 2 has 384 mm2, 60 x 30 x 2 has 344; a flat bar, its wall no thinner than half, is solid.
    [(50, 50, 2, "3.0144"), (60, 30, 2, "2.7004"), (40, 10, 5, "3.14"), (40, 10, 9, "3.14")],
)
def test_mass_of_a_metre_of_tube(width: int, thickness: int, wall: int, kilograms: str) -> None:
    assert tube_kilograms(F(1000 * MM), F(width * MM), F(thickness * MM), F(wall * MM), F(7850)) == F(kilograms)


def test_stiffness_of_a_tube_is_that_of_its_section() -> None:
    # (50^4 - 46^4) / 12 and (60 x 30^3 - 56 x 26^3) / 12 mm4.
    assert second_moment_tube(F(50 * MM), F(50 * MM), F(2 * MM)) == F(1772544, 12)
    assert second_moment_tube(F(60 * MM), F(30 * MM), F(2 * MM)) == F(635744, 12)
