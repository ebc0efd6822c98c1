"""No sum, no key and nothing that is kept goes by how a shop writes."""

from __future__ import annotations

import pytest

from tests.reference.golden_figures import DAY, totals_of
from webapp.costing.estimate.form import write_estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs, write_snapshot
from webapp.costing.jobs.schema import job_schema
from webapp.costing.measures.manner import Manner, writing_as
from webapp.costing.measures.written import System
from webapp.costing.settings.table import default_rates
from webapp.seed import load_catalogue, load_designs


def inputs_of(name: str, system: System) -> Inputs:
    design = next(one for one in load_designs() if one["design"] == name)
    form = {
        "form": "1", "job": name, "items": [{"id": "one", "design": name, "quantity": "2"}], "discount": "2.5 %",
        "lines": [{"id": "hook", "kind": "part", "says": "Hook", "quantity": "3", "each": "12.50"}],
    }  # fmt: skip
    return Inputs(form, {"one": design}, load_catalogue(DAY), default_rates(), system, 2, {})


@pytest.mark.parametrize("how", [Manner(",", "."), Manner(",", " ", "month day year"), Manner(".", "'")])
@pytest.mark.parametrize(("name", "system"), [("bench_cabinet", "metric"), ("tube_frame_bench", "inch")])
def test_sums_and_keys_and_what_is_kept_are_the_same(name: str, system: System, how: Manner) -> None:
    inputs = inputs_of(name, system)
    plain = estimate_inputs(inputs)
    with writing_as(how):
        there = estimate_inputs(inputs)
        kept = write_snapshot(inputs, there)
        figures = write_estimate(there)["figures"]
        schema = job_schema()
    assert {one.id: (one.value, one.unit) for one in there.figures.values()} == {
        one.id: (one.value, one.unit) for one in plain.figures.values()
    }
    assert [(one.key, one.plan_key) for one in there.bought] == [(one.key, one.plan_key) for one in plain.bought]
    assert totals_of(there) == totals_of(plain)
    assert kept == write_snapshot(inputs, plain)
    assert isinstance(figures, dict)
    as_kept = write_estimate(plain)["figures"]
    assert isinstance(as_kept, dict)
    assert {key: one["value"] for key, one in figures.items()} == {key: one["value"] for key, one in as_kept.items()}
    assert schema == job_schema()
