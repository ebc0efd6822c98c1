"""What follows from the cut plans is counted for the parts that a step names, and no further."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from tests.reference.golden_figures import DAY
from webapp.costing.design_form.reader import read_design
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.settings.rates import OperationRate, Rates
from webapp.costing.settings.table import default_rates
from webapp.seed import load_catalogue, load_designs

RATES = default_rates()
DESIGNS: Mapping[str, Mapping[str, Any]] = {str(one["design"]): one for one in load_designs()}


def estimated(items: Mapping[str, Mapping[str, Any]], rates: Rates = RATES, **asked: Mapping[str, Any]) -> Estimate:
    """A job of one item for each design, `asked` saying more of it by its name."""
    told = [{"id": name, "design": design["design"], **asked.get(name, {})} for name, design in items.items()]
    form = {"form": "1", "job": "counted", "items": told}
    return estimate_inputs(Inputs(form, items, load_catalogue(DAY), rates, "metric", 2, {}))


def with_steps(design: str, **steps: Mapping[str, object]) -> dict[str, Any]:
    """A starter with these steps instead of its own."""
    changed: dict[str, Any] = json.loads(json.dumps(DESIGNS[design]))
    own, problems = read_design(changed)
    assert own is not None, problems
    # Steps that follow from what a short form holds are there unless they are switched off.
    off = {} if own.form == "1" else {name: {"off": "yes"} for name in own.operations}
    changed["operations"] = {**off, **{name: {"says": name, **step} for name, step in steps.items()}}
    return changed


def rates_of(*steps: str) -> Rates:
    one = Fraction(1)
    operations = {name: OperationRate(name, name, Fraction(0), one, one, one) for name in steps}
    return replace(RATES, operations={**RATES.operations, **operations})


def units(estimate: Estimate, item: str = "") -> dict[str, Fraction]:
    assert not [problem.message for problem in estimate.problems if problem.severity == "failure"]
    return {step.operation: step.units.value for step in estimate.steps if not item or step.item == item}


# Each piece has a cut that frees it, and each length that is bought is cut clean at both ends first.
CROSSCUTS = {
    "hollow_core_top": (4 + 2 * 2) + (4 + 4 * 2 + 2 * 5 + 1 + 2 * 6),
    "drying_rack": 66,
    "sheet_rack": 72,
}


@pytest.mark.parametrize(("design", "cuts"), CROSSCUTS.items())
def test_crosscutting_lengths_counts_no_cut_of_a_sheet(design: str, cuts: int) -> None:
    found = estimated({"one": DESIGNS[design]})
    of_lengths = sum(one.plan.cuts for one in found.bought if one.plan and one.material.kind == "length")
    of_sheets = sum(one.plan.cuts for one in found.bought if one.plan and one.material.kind == "sheet")
    assert units(found)["saw_lengths"] == of_lengths == cuts
    assert of_sheets > 0


LAYOUT = ("sheets_handled", "saw_cuts", "cut_metres", "fence_settings", "splices")


@pytest.mark.parametrize("driver", LAYOUT)
def test_a_step_for_each_role_counts_what_one_step_for_all_does(driver: str) -> None:
    roles = ("skin", "web", "shelf_board", "leg_stock", "rail_stock")
    steps = {f"of_{role}": {"driver": driver, "of": role} for role in roles}
    design = with_steps("hollow_core_top", of_all={"driver": driver}, **steps)
    found = units(estimated({"one": design}, rates_of("of_all", *steps)))
    assert found.get("of_all", 0) == sum(found.get(name, Fraction(0)) for name in steps)
    if driver in ("sheets_handled", "cut_metres"):
        assert "of_leg_stock" not in found
    assert len(found) > 3 or driver == "splices"


def test_parts_of_one_material_share_its_plan_by_their_blanks() -> None:
    design = with_steps(
        "hollow_core_top",
        ribs={"driver": "saw_cuts", "of": ["long_rib", "end_rib"]},
        others={"driver": "saw_cuts", "of": ["long_web", "cross_web", "shelf_stop"]},
        all_webs={"driver": "saw_cuts", "of": "web"},
    )
    found = estimated({"one": design}, rates_of("ribs", "others", "all_webs"))
    counted = units(found)
    # 2 + 2 ribs, 3 + 24 webs and 1 stop are cut from the same board.
    assert counted["ribs"] == counted["all_webs"] * Fraction(4, 32)
    assert counted["ribs"] + counted["others"] == counted["all_webs"]
    figure = next(one for name, one in found.figures.items() if name.endswith("/ribs/birch_plywood_18"))
    assert figure.value == counted["ribs"]
    assert figure.words == "of the whole plan x blanks that the step works on / all blanks in the plan"


def test_two_roles_of_one_material_share_its_plan() -> None:
    """Where legs and rails come from the same stock, there is one plan: each step has its part of it."""
    design = with_steps(
        "hollow_core_top",
        legs={"driver": "saw_cuts", "of": "leg_stock"},
        rails={"driver": "saw_cuts", "of": "rail_stock"},
    )
    # Legs of planks would not fit where the starter says how thick they have to be.
    del design["stock"]["leg_stock"]["needs"]
    found = estimated({"one": design}, rates_of("legs", "rails"), one={"materials": {"leg_stock": "softwood_2x4"}})
    (whole,) = [one.plan.cuts for one in found.bought if one.plan and one.material.code == "softwood_2x4"]
    assert units(found) == {"legs": Fraction(whole * 4, 27), "rails": Fraction(whole * 23, 27)}


def test_two_items_share_a_plan_and_nothing_is_lost() -> None:
    few = with_steps("hollow_core_top", cut={"driver": "saw_cuts", "of": "web"})
    found = estimated({"one": few, "two": few}, rates_of("cut"), two={"quantity": "2"})
    (whole,) = [one.plan.cuts for one in found.bought if one.plan and one.material.code == "birch_plywood_18"]
    one, two = (units(found, item)["cut"] for item in ("one", "two"))
    assert (one, two) == (Fraction(whole, 3), Fraction(whole * 2, 3))


@pytest.mark.parametrize(("cut_by", "settings"), [("router_cut", False), ("saw_cut", True)])
def test_the_router_needs_no_setting_of_a_fence(cut_by: str, settings: bool) -> None:
    bench: dict[str, Any] = json.loads(json.dumps(DESIGNS["tube_frame_bench"]))
    bench["operations"]["set"] = {"says": "set", "driver": "fence_settings", "of": ["top_sheet", "shelf_sheet"]}
    found = estimated({"one": bench}, rates_of("set"), one={"choices": {"cut_by": cut_by}})
    assert (units(found).get("set", 0) > 0) is settings
