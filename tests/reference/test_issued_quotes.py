"""Quotes as the programs of their day issued them: a snapshot of each form ever written is read to this day.

What they come to when they are worked out again stands among the golden figures, where each move names its rule.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from tests.reference.golden_figures import golden_estimate, issued_quote, issued_quotes
from webapp.costing.estimate.estimate import ENGINE_VERSION
from webapp.costing.estimate.snapshot import SNAPSHOT_FORM, read_snapshot


def test_a_snapshot_of_each_form_and_engine_before_this_one_is_kept() -> None:
    held = {(issued_quote(name)[0]["form"], issued_quote(name)[0]["engine_version"]) for name in issued_quotes()}
    assert {form for form, _ in held} >= set(range(1, SNAPSHOT_FORM))
    assert {engine for _, engine in held} >= set(range(1, ENGINE_VERSION))


@pytest.mark.parametrize("name", issued_quotes())
def test_all_that_a_quote_was_made_from_is_read(name: str) -> None:
    snapshot, figures = issued_quote(name)
    inputs = read_snapshot(snapshot)
    for setting, value in snapshot["rates"]["values"].items():
        assert inputs.rates.values[setting] == Fraction(value), setting
    assert set(inputs.rates.operations) >= set(snapshot["rates"]["operations"])
    assert set(inputs.catalogue.materials) == {one["code"] for one in snapshot["catalogue"]["materials"]}
    prices = sorted(seen.amount for of in inputs.catalogue.prices.values() for seen in of)
    assert prices == sorted(Decimal(one["amount"]) for one in snapshot["catalogue"]["prices"])
    assert len(inputs.plans) == len(snapshot["plans"])
    again = golden_estimate(f"quote_{name}", inputs.system)
    assert again.complete
    settings = {one: figure for one, figure in again.figures.items() if one.startswith("setting/") and one in figures}
    assert {one: f"{figure.value} {figure.unit}".rstrip() for one, figure in settings.items()} == {
        one: figures[one] for one in settings
    }
