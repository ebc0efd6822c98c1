"""An operation driven by fence settings: its units are the settings of the very sequence that the cut list prints."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

from tests import wall_cabinet_case as case
from webapp.costing.cutting.ask.model import SheetPlan, SheetRequest
from webapp.costing.cutting.saw.fence_settings import sheet_saw_plan
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.settings.rates import OperationRate


def inputs_with_settings() -> Inputs:
    """The wall cabinet with two minutes for each setting of the fence."""
    start = case.inputs()
    document: dict[str, Any] = case.design_document()
    document["operations"]["set_fence"] = {"says": "Set the fence", "driver": "fence_settings"}
    two = Fraction(2)
    rate = OperationRate("set_fence", "Set the fence", Fraction(0), two, two, two)
    operations = {**start.rates.operations, "set_fence": rate}
    return replace(start, designs={"cabinet": document}, rates=replace(start.rates, operations=operations))


def test_each_setting_of_the_saw_sequence_takes_its_minutes() -> None:
    found = estimate_inputs(inputs_with_settings())
    assert not [one for one in found.problems if one.severity == "failure"]
    settings = 0
    for one in found.bought:
        if isinstance(one.plan, SheetPlan) and isinstance(one.request, SheetRequest):
            settings += len(sheet_saw_plan(one.request, one.plan).settings)
    (step,) = [step for step in found.steps if step.operation == "set_fence"]
    assert settings > 10
    assert step.units.value == settings
    assert step.mean.value == 2 * settings
    assert step.unit == "setting"


def test_without_such_an_operation_the_hours_are_what_they_were() -> None:
    with_settings = estimate_inputs(inputs_with_settings())
    without = estimate_inputs(case.inputs())
    told = [(step.operation, step.mean.value) for step in with_settings.steps if step.operation != "set_fence"]
    assert told == [(step.operation, step.mean.value) for step in without.steps]
