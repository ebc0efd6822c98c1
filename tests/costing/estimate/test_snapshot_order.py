"""A snapshot is kept in one spelling, names sorted; the cut plans in it still lie on the pieces they were made for."""

from __future__ import annotations

import json

import pytest

from tests.reference.golden_figures import DAY
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs, read_snapshot, write_snapshot
from webapp.costing.plans.again import laid_on
from webapp.costing.settings.table import default_rates
from webapp.persistence.foundation.column_types import canonical_json
from webapp.seed import load_catalogue, load_designs


@pytest.mark.parametrize("design", load_designs(), ids=lambda one: str(one["design"]))
def test_the_plans_of_a_snapshot_fit_when_it_is_read_again(design: dict[str, object]) -> None:
    form = {"form": "1", "job": "kept", "items": [{"id": "one", "design": design["design"]}]}
    inputs = Inputs(form, {"one": design}, load_catalogue(DAY), default_rates(), "metric", 2, {})
    found = estimate_inputs(inputs)
    again = read_snapshot(json.loads(canonical_json(write_snapshot(inputs, found))))
    kept = estimate_inputs(again)
    asked = {one.material.code: one.request for one in kept.bought if one.request is not None}
    assert set(asked) == set(again.plans)
    for code, request in asked.items():
        assert laid_on(request, again.plans[code]) is not None, code
    assert kept.plans == found.plans
    assert [step.operation for step in kept.steps] == [step.operation for step in found.steps]
