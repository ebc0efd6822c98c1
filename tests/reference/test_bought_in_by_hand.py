"""What is bought in, against sums by hand: passed on with its own profit, own work around it priced as own work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Final

import pytest

from tests import wall_cabinet_case as case
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import estimate_inputs
from webapp.costing.measures.money import half_up
from webapp.costing.settings.table import default_rates

F = Fraction
LIFT: Final = {"id": "lift", "kind": "part", "says": "Lift", "each": "640"}
COIN: Final = F(1, 100)


def worked(
    job: Mapping[str, object], settings: Mapping[str, object] | None = None, catalogue: Catalogue | None = None
) -> Estimate:
    start = case.inputs()
    values = {**start.rates.values, **{name: F(str(value)) for name, value in (settings or {}).items()}}
    items = job.get("items")
    return estimate_inputs(
        replace(
            start, job=job, designs=start.designs if items else {}, catalogue=catalogue or start.catalogue,
            rates=replace(start.rates, values=values),
        )
    )  # fmt: skip


def line(estimate: Estimate, name: str) -> Fraction:
    return next(one.price.value for one in estimate.lines if one.id == name)


def test_a_lift_at_640_is_passed_on_at_704_and_the_deposit_covers_it() -> None:
    """640 x 1.10 = 704.00: no handling, no contingency, a markup of 10 % (common practice)."""
    found = worked({"form": "1", "job": "Lift", "lines": [LIFT]})
    assert line(found, "lift") == 704
    assert found.lines[0].contingency.value == 0
    assert found.totals.bought_in_profit is not None
    assert found.totals.bought_in_profit.value == 64
    assert found.totals.deposit.value == 640
    assert "On what is bought in, profit is 10 % as markup on cost, without contingency." in found.basis.assumptions


def test_mounting_it_is_own_work() -> None:
    """30 min at 30 an hour are 15.00, overhead at 21 an hour 10.50: 25.50, with 6 % contingency 27.03, and with a
    margin of 22 % 34.654, up to the coin 34.66. The lift stays at 704."""
    mounting = {"id": "mount", "kind": "labour", "says": "Mounting and wiring", "minutes": "30 min"}
    found = worked({"form": "1", "job": "Lift", "novelty": "known", "lines": [LIFT, mounting]})
    assert (line(found, "lift"), line(found, "mount")) == (F(704), F("34.66"))
    assert found.totals.net.value == F("738.66")
    assert found.totals.bought_in_profit is not None
    assert found.totals.bought_in_profit.value == 64


@pytest.mark.parametrize(
    ("settings", "price"),
    [
        ({"profit_bought_in_as": 0}, "711.12"),
        ({"profit_bought_in_as": 2, "profit_as": 1}, "704"),
        ({"profit_bought_in": 0}, "640"),
        # As shops had it before: 6 % contingency, and 10 % as the profit on own work is meant.
        ({"profit_bought_in_as": 2, "bought_in_apart": 0}, "753.78"),
        ({"profit_bought_in_as": 2, "bought_in_apart": 0, "profit_as": 1}, "746.24"),
    ],
)
def test_each_profit_says_what_it_is_meant_as(settings: Mapping[str, object], price: str) -> None:
    """640 / 0.9 = 711.111, up to the coin; 640 x 1.06 = 678.40, / 0.9 = 753.777, x 1.1 = 746.24."""
    found = worked({"form": "1", "job": "Lift", "novelty": "known", "lines": [LIFT]}, settings)
    assert line(found, "lift") == F(price)


def test_a_shop_that_follows_the_first_edition_keeps_what_it_had() -> None:
    first, given = default_rates(1), default_rates()
    assert (first["profit_bought_in_as"], first["bought_in_apart"]) == (F(2), F(0))
    assert (given["profit_bought_in_as"], given["bought_in_apart"], given["profit_bought_in"]) == (F(1), F(1), F(1, 10))


def marked(*codes: str) -> Catalogue:
    """The case's catalogue with some materials marked as bought in."""
    catalogue = case.inputs().catalogue
    materials = {
        code: replace(one, values={**one.values, "bought_in": F(1)}) if code in codes else one
        for code, one in catalogue.materials.items()
    }
    return replace(catalogue, materials=materials)


@pytest.mark.parametrize("by_range", [False, True])
def test_a_marked_material_leaves_own_work_to_its_own_margin(by_range: bool) -> None:
    """Two profits in one line: (own work + contingency) / 0.78 and bought in x 1.10, the sum rounded up to 1."""
    settings = {"contingency_from": int(by_range)}
    plain, found = worked(case.JOB, settings), worked(case.JOB, settings, marked("hinge", "handle"))
    theirs = [one for one in found.bought if one.material.code in ("hinge", "handle")]
    assert len(theirs) == 2
    cost = sum((one.charged.value for one in theirs), F(0))
    before, after = plain.lines[0], found.lines[0]
    held, was = dict(after.build_up), dict(before.build_up)
    assert held["bought_in"].value == cost > 0
    assert held["materials"].value == was["materials"].value - cost
    assert held["handling"].value == half_up(held["materials"].value * F(8, 100), COIN)
    assert {name: held[name].value for name in ("labour", "overhead")} == {
        name: was[name].value for name in ("labour", "overhead")
    }
    own = after.direct.value - cost
    share = found.figures["risk/contingency"].value if by_range else F(6, 100)
    assert after.contingency.value == half_up(own * share, COIN)
    passed_on = half_up(cost * F(110, 100), COIN)
    exact = (own + after.contingency.value) / F(78, 100) + passed_on
    assert found.figures["line/cabinet/exact_each"].value == exact
    assert after.price.value == -(-exact // 1)
    assert after.cost.value == after.direct.value + after.contingency.value
    assert found.totals.bought_in_profit is not None
    assert found.totals.bought_in_profit.value == passed_on - cost
    assert after.price.value < before.price.value
    if by_range:
        drawn = found.figures["risk/contingency"]
        p80 = next(found.figures[figure].value for name, figure in drawn.inputs if name == "p80")
        direct = sum((one.direct.value for one in found.lines), F(0))
        assert share == max((p80 - direct) / (direct - cost), F(3, 100))


def test_who_marks_nothing_moves_nothing() -> None:
    assert all(not one.values.get("bought_in") for one in case.inputs().catalogue.materials.values())
    assert worked(case.JOB).totals.net.value == worked(case.JOB, {"bought_in_apart": 0}).totals.net.value
