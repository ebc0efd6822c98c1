"""The cut plans of an issued quote: found by their material, whatever the program's method and its settings became."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from tests import wall_cabinet_case as case
from tests.poor_plan import poor_plan
from tests.reference.golden_figures import issued_quote, issued_quotes
from webapp.costing.cutting.ask.model import LengthRequest, SheetRequest
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs, read_plan, read_snapshot, write_snapshot
from webapp.costing.jobs import reader as read_job
from webapp.costing.plans import key as plan_key
from webapp.costing.plans.again import laid_on
from webapp.costing.settings import table as settings_table


def with_poor_plans() -> tuple[Inputs, Estimate]:
    """The cabinet on plans that no search would give: only who finds them gives them again."""
    inputs = case.inputs()
    asked = estimate_inputs(inputs).bought
    poor = {one.material.code: poor_plan(one.request) for one in asked if isinstance(one.request, SheetRequest)}
    inputs = replace(inputs, plans=poor)
    return inputs, estimate_inputs(inputs)


def kept(inputs: Inputs, estimate: Estimate) -> Mapping[str, Any]:
    """A snapshot as it comes back from where it was kept."""
    document: Mapping[str, Any] = json.loads(json.dumps(write_snapshot(inputs, estimate)))
    return document


def test_a_frozen_plan_is_found_though_the_method_was_raised(monkeypatch: pytest.MonkeyPatch) -> None:
    inputs, found = with_poor_plans()
    assert found.totals.cost.value > estimate_inputs(case.inputs()).totals.cost.value
    document = kept(inputs, found)
    monkeypatch.setattr(plan_key, "METHOD", plan_key.METHOD + 1)
    again = estimate_inputs(read_snapshot(document))
    assert [one.plan for one in again.bought] == [one.plan for one in found.bought]
    assert {name: figure.value for name, figure in again.figures.items()} == {
        name: figure.value for name, figure in found.figures.items()
    }


@pytest.mark.parametrize("name", issued_quotes())
def test_the_plans_of_older_quotes_are_those_that_they_kept(name: str) -> None:
    snapshot, _ = issued_quote(name)
    again = estimate_inputs(read_snapshot(snapshot))
    plans = [read_plan(plan) for plan in snapshot["plans"].values()]
    cut = [one.plan for one in again.bought if one.plan is not None]
    assert len(cut) == len(plans) > 0
    assert all(plan in plans for plan in cut)


def test_a_frozen_plan_that_fits_no_more_is_planned_anew() -> None:
    inputs, found = with_poor_plans()
    wide = next(one.id for one in inputs.catalogue.offers["thick_sheet"] if one.size["length"] == 2_440_000_000)
    offers = dict(inputs.catalogue.offers)
    offers["thick_sheet"] = tuple(one for one in offers["thick_sheet"] if one.id != wide)
    again = estimate_inputs(replace(inputs, catalogue=replace(inputs.catalogue, offers=offers)))
    plans = {one.material.code: one.plan for one in again.bought if one.plan is not None}
    assert plans["thin_sheet"] == next(one.plan for one in found.bought if one.material.code == "thin_sheet")
    assert all(sheet.stock != wide for sheet in getattr(plans["thick_sheet"], "sheets", ()))
    assert again.complete


def test_a_plan_is_laid_on_other_prices_or_not_at_all() -> None:
    sheets = [one for one in estimate_inputs(case.inputs()).bought if isinstance(one.request, SheetRequest)]
    assert sheets
    for one in sheets:
        request, plan = one.request, one.plan
        assert isinstance(request, SheetRequest)
        assert plan is not None
        dearer = tuple(replace(stock, price=stock.price * 3, breaks=()) for stock in request.stocks)
        laid = laid_on(replace(request, stocks=dearer), plan)
        assert laid is not None
        assert (laid.price, laid.bound) == (plan.price * 3, Fraction(0))
        assert not laid.proved
        larger = replace(request, pieces=(*request.pieces, replace(request.pieces[0], id="more")))
        assert laid_on(larger, plan) is None, "a piece that nothing holds is left out unsaid"


def test_spliced_lengths_are_laid_on_other_prices_too() -> None:
    snapshot, _ = issued_quote("form_1_engine_2_school_trestles")
    lengths = [one for one in estimate_inputs(read_snapshot(snapshot)).bought if isinstance(one.request, LengthRequest)]
    assert lengths
    for one in lengths:
        assert isinstance(one.request, LengthRequest)
        assert one.plan is not None
        stocks = tuple(replace(stock, price=stock.price + 1, breaks=()) for stock in one.request.stocks)
        laid = laid_on(replace(one.request, stocks=stocks), one.plan)
        assert laid is not None
        assert laid.price == one.plan.price + sum(length.count for length in getattr(one.plan, "lengths", ()))
        shorter = tuple(replace(stock, length=stock.length // 9) for stock in one.request.stocks)
        assert laid_on(replace(one.request, stocks=shorter), one.plan) is None


def test_a_setting_that_was_retired_stays_readable_and_moves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    job = {**case.JOB, "settings": {"price_jump": {"value": "20 %", "why": "prices move"}}}
    inputs = replace(case.inputs(), job=job)
    found = estimate_inputs(inputs)
    document = kept(inputs, found)
    left = {name: one for name, one in settings_table.SETTINGS_BY_NAME.items() if name != "price_jump"}
    for room in (settings_table, read_job):
        monkeypatch.setattr(room, "SETTINGS_BY_NAME", left)
        monkeypatch.setattr(room, "RETIRED", {"price_jump": "A price that moves more than this is asked about"})
    monkeypatch.setattr(settings_table, "SETTINGS", tuple(left.values()))
    again = estimate_inputs(read_snapshot(document))
    said = [one.message for one in again.problems]
    assert said == [
        "“A price that moves more than this is asked about” is no setting any more: what this job says of it moves "
        "nothing."
    ]
    assert again.complete
    assert again.totals.total.value == found.totals.total.value


def test_a_field_that_a_step_no_longer_has_stays_readable() -> None:
    inputs = case.inputs()
    found = estimate_inputs(inputs)
    document = json.loads(json.dumps(write_snapshot(inputs, found)))
    for step in document["rates"]["operations"].values():
        step["once_had"] = "a field"
    assert estimate_inputs(read_snapshot(document)).totals.total.value == found.totals.total.value


def test_a_frozen_plan_at_other_prices_is_not_said_to_be_proved() -> None:
    inputs, found = with_poor_plans()
    frozen = {
        one.material.code: replace(one.plan, proved=True, bound=one.plan.price)
        for one in found.bought
        if one.plan is not None and one.material.code in inputs.plans
    }
    dearer = {
        offer: tuple(replace(one, amount=one.amount * 2) for one in seen)
        for offer, seen in inputs.catalogue.prices.items()
    }
    again = estimate_inputs(replace(inputs, plans=frozen, catalogue=replace(inputs.catalogue, prices=dearer)))
    plans = {one.material.code: one.plan for one in again.bought if one.material.code in frozen}
    assert plans
    for code, plan in plans.items():
        assert plan is not None
        assert (plan.price, plan.bound, plan.proved) == (frozen[code].price * 2, Fraction(0), False)
