"""However the items of a job are ordered or split, it takes the same minutes and costs the same but for coins."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Final

from hypothesis import given
from hypothesis import strategies as st

from tests.harness.examples import examples
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.plans.requests import Plan
from webapp.costing.settings.table import default_rates
from webapp.seed import load_catalogue, load_designs

DESIGNS: Final = {str(design["design"]): design for design in load_designs()}
CATALOGUE: Final = load_catalogue(date(2026, 11, 2))
PLANS: Final[dict[str, Plan]] = {}

#: So many of each design, by starter.
jobs = st.lists(
    st.tuples(st.sampled_from(["trestle_bench", "wall_rail_storage", "drying_rack", "ware_cart"]), st.integers(1, 3)),
    min_size=1,
    max_size=2,
    unique_by=lambda one: one[0],
)


def _estimated(items: list[tuple[str, int]]) -> Estimate:
    named = {f"item_{number}": one for number, one in enumerate(items)}
    form = {
        "form": "1", "job": "Any",
        "items": [{"id": name, "design": code, "quantity": str(count)} for name, (code, count) in named.items()],
    }  # fmt: skip
    designs = {name: DESIGNS[code] for name, (code, _) in named.items()}
    return estimate_inputs(Inputs(form, designs, CATALOGUE, default_rates(), "metric", 2, {}), PLANS)


@given(jobs, st.data())
@examples(25)
def test_order_and_splitting_of_items_change_only_odd_coins(job: list[tuple[str, int]], data: st.DataObject) -> None:
    split = [(code, 1) for code, count in job for _ in range(count)]
    order = data.draw(st.permutations(split))
    whole, apart = _estimated(job), _estimated(list(order))
    assert apart.totals.minutes_charged.value == whole.totals.minutes_charged.value
    coins = Fraction(1, 100) * (len(apart.steps) + len(whole.steps) + len(apart.lines))
    assert abs(apart.totals.cost.value - whole.totals.cost.value) <= coins
