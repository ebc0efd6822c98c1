"""Finished things are loaded once: by the trip where the shop delivers, else as help for whoever collects them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from fractions import Fraction

import pytest

from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.settings.table import default_rates
from webapp.seed import load_catalogue, load_designs

DESIGNS = {str(design["design"]): design for design in load_designs()}
DELIVERY = {"distance": "20 km", "travel": "30 min", "people": "2"}


def _estimate(design: str, more: Mapping[str, object], item: Mapping[str, object] | None = None) -> Estimate:
    form = {"form": "1", "job": "x", "items": [{"id": "one", "design": design, **(item or {})}], **more}
    catalogue = load_catalogue(date(2026, 11, 2))
    return estimate_inputs(Inputs(form, {"one": DESIGNS[design]}, catalogue, default_rates(), "metric", 2, {}))


def _loading(estimate: Estimate) -> list[tuple[str, Fraction]]:
    return [(step.item, step.charged.value) for step in estimate.steps if step.operation == "load_up"]


@pytest.mark.parametrize("design", DESIGNS)
def test_loading_is_charged_once_collected_or_delivered(design: str) -> None:
    collected, delivered = _loading(_estimate(design, {})), _loading(_estimate(design, {"delivery": DELIVERY}))
    assert [item for item, _ in collected] == ["one"]
    assert [item for item, _ in delivered] == ["trip"]
    # The same things are carried to the same door.
    assert collected[0][1] == delivered[0][1]


def test_minutes_changed_for_a_step_of_the_trip_are_not_passed_over_in_silence() -> None:
    item = {"minutes": {"load_up": {"likely": "30 min", "why": "stairs"}}}
    said = [one.message for one in _estimate("bench_cabinet", {"delivery": DELIVERY}, item).problems]
    assert any("counted once for the job, with its delivery" in one for one in said)
    said = [one.message for one in _estimate("bench_cabinet", {}, item).problems]
    assert not any("with its delivery" in one for one in said)
