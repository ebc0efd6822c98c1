"""A bench made by other values than the shop's: what differs is named, and its value brings the estimate there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from fractions import Fraction
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.harness.examples import examples
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.made_before.causes import Cause, causes_of, steps_with, with_value
from webapp.costing.made_before.explain import (
    MOST_NAMED,
    Explanation,
    Line,
    explain,
    materials_of,
    minutes_of,
)
from webapp.costing.made_before.stages import STAGES
from webapp.costing.made_before.told import Told
from webapp.costing.settings.operations import OPERATIONS
from webapp.costing.settings.rates import Rates
from webapp.costing.settings.table import default_rates
from webapp.seed import load_catalogue, load_designs

F = Fraction
DESIGNS: Mapping[str, Mapping[str, object]] = {str(one["design"]): one for one in load_designs()}
CATALOGUE = load_catalogue(date(2026, 11, 2))
#: What a shop answers on its first day: one hour for all, its overhead, tax and profit.
ANSWERS = {
    "labour_maker": F(40), "labour_helper": F(40), "labour_office": F(40), "overhead_per_hour": F(18),
    "tax_goods": F(8, 100), "tax_services": F(8, 100), "profit": F(22, 100),
}  # fmt: skip


def own_rates() -> Rates:
    rates = default_rates()
    return replace(rates, values={**rates.values, **ANSWERS}, own=frozenset(ANSWERS))


@cache
def bench(code: str) -> tuple[Inputs, Estimate]:
    """One of a starter in a shop with its own answers, its cut plans found once."""
    job = {"form": "1", "job": "A bench", "items": [{"id": "one", "design": code}]}
    inputs = Inputs(job, {"one": DESIGNS[code]}, CATALOGUE, own_rates(), "metric", 2, {})
    found = estimate_inputs(inputs, {})
    plans = {one.material.code: one.found_plan for one in found.bought if one.found_plan is not None}
    return replace(inputs, plans=plans), found


def with_settings(inputs: Inputs, **changed: Fraction) -> Inputs:
    return replace(inputs, rates=replace(inputs.rates, values={**inputs.rates.values, **changed}))


def price_of(found: Estimate, told: Told) -> Fraction:
    return (found.totals.total if told.with_tax else found.totals.net).value


def line_of(explanation: Explanation, name: str) -> Line:
    found = [line for line in explanation.named if line.cause.name == name]
    assert found, f"{name} is not among {[line.cause.name for line in explanation.named]}"
    return found[0]


def assert_gives_what_was_told(inputs: Inputs, explanation: Explanation, line: Line) -> None:
    """The estimate with the line's value, worked out anew, is what was told to one step of the shop's rounding."""
    then = estimate_inputs(with_value(inputs, line.cause, line.value))
    assert price_of(then, explanation.told) == line.gives
    assert abs(line.gives - explanation.told.price) <= explanation.step
    assert abs(line.gives - explanation.price - line.moves) == 0


@pytest.mark.parametrize("code", DESIGNS)
@pytest.mark.parametrize(
    ("name", "changed", "with_tax"),
    [
        ("setting/labour_maker", dict.fromkeys(("labour_maker", "labour_helper", "labour_office"), F("46.50")), False),
        ("setting/profit", {"profit": F(27, 100)}, True),
    ],
    ids=["an hour", "profit"],
)
def test_another_rate_is_named_by_the_price_alone(
    code: str, name: str, changed: dict[str, Fraction], with_tax: bool
) -> None:
    inputs, found = bench(code)
    made = estimate_inputs(with_settings(inputs, **changed))
    told = Told((made.totals.total if with_tax else made.totals.net).value, with_tax=with_tax)
    explanation = explain(inputs, found, told)
    assert len(explanation.named) == MOST_NAMED
    line = line_of(explanation, name)
    assert_gives_what_was_told(inputs, explanation, line)
    # So near to the value that made it as the shop rounds its prices.
    assert abs(line.value - next(iter(changed.values()))) <= line.value / 40


@pytest.mark.parametrize("code", DESIGNS)
def test_a_step_that_takes_longer_is_named_by_its_stage(code: str) -> None:
    inputs, found = bench(code)
    stage = next(one for one in causes_of(inputs, found) if one.sort == "hours" and one.name != "hours/all")
    longest = max(
        (step for step in found.steps if step.operation in stage.steps), key=lambda step: step.charged.value
    ).operation
    step = inputs.rates.operations[longest]
    slower = replace(step, low=step.low * 2, likely=step.likely * 2, high=step.high * 2)
    made = estimate_inputs(
        replace(inputs, rates=replace(inputs.rates, operations={**inputs.rates.operations, longest: slower}))
    )
    by_price = explain(inputs, found, Told(made.totals.net.value))
    line = line_of(by_price, stage.name)
    assert longest in line.cause.steps
    assert_gives_what_was_told(inputs, by_price, line)
    # Where the hours are known they are met to the minute, and the price but for what a machine costs beside them.
    explanation = explain(inputs, found, Told(made.totals.net.value, minutes=minutes_of(made)))
    line = line_of(explanation, stage.name)
    then = estimate_inputs(with_value(inputs, line.cause, line.value))
    assert abs(minutes_of(then) - minutes_of(made)) < 1
    assert abs(line.gives - explanation.told.price) <= 2 * explanation.step
    # Its steps are told one by one, and add up to the stage.
    assert sum(now for _, now, _ in line.steps) == line.cause.now
    assert sum(needs for *_, needs in line.steps) == line.needs


@pytest.mark.parametrize("code", DESIGNS)
def test_a_dearer_material_is_named_by_what_the_materials_cost(code: str) -> None:
    inputs, found = bench(code)
    price = next(one for one in causes_of(inputs, found) if one.offer)
    made = estimate_inputs(with_value(inputs, price, price.now * F(7, 5)))
    told = Told(made.totals.net.value, materials=materials_of(made))
    explanation = explain(inputs, found, told)
    line = line_of(explanation, price.name)
    assert line.wish == "materials"
    then = estimate_inputs(with_value(inputs, line.cause, line.value))
    assert abs(materials_of(then) - materials_of(made)) <= F(2, 100)
    assert_gives_what_was_told(inputs, explanation, line)


def test_an_old_price_is_doubted_more_than_hours_and_named() -> None:
    """With the price alone told, the dear board of the trestle bench after four years without a look at its price."""
    inputs, _ = bench("trestle_bench")
    late = replace(inputs.catalogue, today=date(2030, 11, 2))
    inputs = replace(
        inputs,
        catalogue=late,
        rates=replace(inputs.rates, own=frozenset({*inputs.rates.values, *inputs.rates.operations})),
    )
    found = estimate_inputs(inputs)
    dear = next(one for one in causes_of(inputs, found) if one.offer)
    made = estimate_inputs(with_value(inputs, dear, dear.now * F(6, 5)))
    explanation = explain(inputs, found, Told(made.totals.net.value))
    line = line_of(explanation, dear.name)
    assert line.rings_true
    assert_gives_what_was_told(inputs, explanation, line)


@pytest.mark.parametrize("code", ["trestle_bench", "tube_frame_bench"])
def test_hours_and_materials_that_are_known_leave_the_rest_to_the_rate(code: str) -> None:
    """All three at once: each has its share, and together they make the difference."""
    inputs, found = bench(code)
    causes = causes_of(inputs, found)
    price = next(one for one in causes if one.offer)
    everything = next(one for one in causes if one.name == "hours/all")
    otherwise = with_settings(
        with_value(with_value(inputs, price, price.now * 2), everything, F(3, 2)),
        **dict.fromkeys(("labour_maker", "labour_helper", "labour_office"), F(52)),
    )
    made = estimate_inputs(otherwise)
    told = Told(made.totals.net.value, minutes=minutes_of(made), materials=materials_of(made))
    explanation = explain(inputs, found, told)
    assert [line.wish for line in explanation.named] == ["hours", "materials", "price"]
    assert all(line.shared for line in explanation.named)
    hours, materials, rest = explanation.named
    assert hours.cause.name == "hours/all"
    assert abs(hours.value - F(3, 2)) <= F(1, 100)
    assert materials.cause.name == price.name
    assert abs(rest.gives - told.price) <= explanation.step
    assert sum(line.moves for line in explanation.named) == rest.gives - explanation.price
    # What is known is not put down to something else.
    assert rest.cause.sort in ("rates", "put on")
    # Kept one after another they close it.
    for line in explanation.named:
        inputs = with_value(inputs, line.cause, line.value)
    assert explain(inputs, estimate_inputs(inputs), told).is_closed


def test_what_is_asked_for_is_worked_out_as_well() -> None:
    inputs, found = bench("bench_cabinet")
    told = Told(found.totals.net.value + 100)
    plain = explain(inputs, found, told)
    wanted = plain.further[0].name
    further = explain(inputs, found, told, wanted)
    assert len(further.named) == MOST_NAMED + 1
    assert_gives_what_was_told(inputs, further, further.named[-1])
    assert wanted not in {one.name for one in further.further}


def test_a_price_over_the_next_step_of_rounding_is_met_to_that_step() -> None:
    """Under 1,000 prices are rounded up to 1, from there on to 5: 1,007 is met by 1,005 or 1,010, in few tries."""
    inputs, found = bench("wall_rail_storage")
    assert found.totals.net.value < 1000
    explanation = explain(inputs, found, Told(F(1007)))
    assert explanation.step == 5
    assert len(explanation.named) == MOST_NAMED
    for line in explanation.named:
        assert line.gives in (1005, 1010)
        assert_gives_what_was_told(inputs, explanation, line)


def test_no_difference_needs_no_explanation() -> None:
    inputs, found = bench("bench_cabinet")
    explanation = explain(inputs, found, Told(found.totals.net.value))
    assert explanation.is_closed
    assert not explanation.named


def test_nothing_is_compared_while_a_price_is_missing() -> None:
    inputs, _ = bench("bench_cabinet")
    gone = {offer.id for offer in inputs.catalogue.offers["birch_plywood_18"]}
    prices = {offer: seen for offer, seen in inputs.catalogue.prices.items() if offer not in gone}
    lacking = replace(inputs, catalogue=replace(inputs.catalogue, prices=prices))
    assert not explain(lacking, estimate_inputs(lacking), Told(F(2500))).named


def test_a_price_that_nothing_alone_could_have_made_names_nothing_false() -> None:
    """Under the least charge no value helps; far above, what is named still gives what was told."""
    inputs, found = bench("wall_rail_storage")
    assert not explain(inputs, found, Told(F(20))).named
    far = explain(inputs, found, Told(F(9000)))
    for line in far.named:
        assert abs(line.gives - 9000) <= max(far.step, F(90))
        assert not line.rings_true


def test_what_the_job_sets_for_itself_is_not_corrected_in_the_shop() -> None:
    inputs, _ = bench("bench_cabinet")
    form = {**inputs.job, "settings": {"profit": {"value": "30 %", "why": "for a friend"}}}
    own = replace(inputs, job=form)
    assert "setting/profit" not in {one.name for one in causes_of(own, estimate_inputs(own))}


def test_every_step_of_the_program_belongs_to_one_stage() -> None:
    held = [step for stage in STAGES for step in stage.steps]
    assert sorted(held) == sorted(step.name for step in OPERATIONS)


@examples(20)
@given(
    code=st.sampled_from(sorted(DESIGNS)), place=st.integers(0, 30), times=st.integers(60, 180), tax=st.booleans()
)  # fmt: skip
def test_whatever_made_a_price_its_value_is_found(code: str, place: int, times: int, tax: bool) -> None:
    """Any one cause, from three fifths of what it is to nine fifths: asked for, it gives the price that was told."""
    inputs, found = bench(code)
    causes = [one for one in causes_of(inputs, found) if one.name != "hours/all"]
    cause = causes[place % len(causes)]
    value = _on_grain(cause, cause.start * times / 100)
    made = estimate_inputs(with_value(inputs, cause, value))
    told = Told((made.totals.total if tax else made.totals.net).value, with_tax=tax)
    explanation = explain(inputs, found, told, cause.name)
    if explanation.is_closed:
        return
    assert_gives_what_was_told(inputs, explanation, line_of(explanation, cause.name))


def _on_grain(cause: Cause, value: Fraction) -> Fraction:
    fine = cause.grains[-1]
    return min(cause.most, max(cause.least, round(value / fine) * fine))


@examples(40)
@given(code=st.sampled_from(sorted(DESIGNS)), times=st.integers(0, 4000))
def test_steps_that_take_longer_stay_in_order(code: str, times: int) -> None:
    inputs, found = bench(code)
    cause = next(one for one in causes_of(inputs, found) if one.name == "hours/all")
    for step in steps_with(inputs.rates, cause, F(times, 1000)).values():
        assert all(low <= high for low, high in pairwise((F(0), step.low, step.likely, step.high)))
        assert step.set_up >= 0
