"""What holds for every estimate: figures re-work, printed lines add up to the cent, and nothing is lost on the way."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests import wall_cabinet_case as case
from tests.harness.examples import examples
from webapp.costing.cutting.ask.model import SheetPlan
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.form import exact_text, write_estimate
from webapp.costing.estimate.snapshot import estimate_inputs, read_snapshot, write_snapshot
from webapp.costing.ledger.dividing import divide
from webapp.costing.ledger.working import Working, rework
from webapp.costing.measures.money import to_decimal
from webapp.costing.settings.extras import ALLOWANCES


def estimated(job: dict[str, object], changed: dict[str, Fraction] | None = None, places: int = 2) -> Estimate:
    start = case.inputs()
    items = job["items"]
    assert isinstance(items, list)
    designs = {item["id"]: start.designs["cabinet"] for item in items}
    rates = replace(start.rates, values={**start.rates.values, **(changed or {})})
    return estimate_inputs(replace(start, job=job, designs=designs, rates=rates, places=places))


def sizes() -> st.SearchStrategy[dict[str, str]]:
    return st.fixed_dictionaries(
        {
            "width": st.integers(400, 1200).map(lambda mm: f"{mm} mm"),
            "height": st.integers(400, 1200).map(lambda mm: f"{mm} mm"),
            "depth": st.integers(200, 500).map(lambda mm: f"{mm} mm"),
        }
    )


@st.composite
def jobs(draw: st.DrawFn) -> dict[str, object]:
    items = [
        {
            "id": f"item_{place}",
            "design": "wall_cabinet",
            "quantity": str(draw(st.integers(1, 12))),
            "sizes": draw(sizes()),
            "jigs": str(draw(st.integers(0, 2))),
        }
        for place in range(draw(st.integers(1, 3)))
    ]
    lines = [
        {
            "id": "take_down",
            "kind": "labour",
            "says": "Take down the old one",
            "minutes": f"{draw(st.integers(1, 300))} min",
        },
        {
            "id": "light",
            "kind": "part",
            "says": "Lamp",
            "quantity": str(draw(st.decimals("0.01", 9, places=2))),
            "each": f"{draw(st.decimals(0, 500, places=2))}",
        },
    ]
    job: dict[str, object] = {"form": "1", "job": "Cabinets", "items": items, "lines": lines[: draw(st.integers(0, 2))]}
    if draw(st.booleans()):
        job["delivery"] = {"distance": f"{draw(st.integers(0, 200))} km", "travel": "40 min", "people": "2"}
    job["install"] = draw(st.sampled_from(["yes", "no"]))
    job["card"] = draw(st.sampled_from(["yes", "no"]))
    job["discount"] = f"{draw(st.decimals(0, 30, places=2))} %"
    job["novelty"] = draw(st.sampled_from(["repeat", "known", "new"]))
    job["facts"] = {
        "samples": str(draw(st.integers(0, 3))),
        "own_material": f"{draw(st.decimals(0, 999, places=2))}",
        "storage_days": str(draw(st.integers(0, 40))),
        "months_waited": str(draw(st.integers(0, 12))),
    }
    return job


@examples(25)
@given(
    jobs(),
    st.integers(0, 3),
    st.fractions(0, Fraction(1, 4), max_denominator=10_000),
    st.fractions(0, Fraction(1, 2), max_denominator=1000),
    st.booleans(),
    st.sets(st.sampled_from([rule.switch for rule in ALLOWANCES])),
)
def test_printed_lines_add_up_and_figures_rework(
    job: dict[str, object], places: int, tax: Fraction, profit: Fraction, as_markup: bool, rules: set[str]
) -> None:
    changed = {
        "tax_goods": tax,
        "profit": profit,
        "profit_as": Fraction(int(as_markup)),
        "jig_material_each": Fraction(7),
    }
    found = estimated(job, {**changed, **dict.fromkeys(rules, Fraction(1))}, places)
    off = [figure.id for figure in found.figures.values() if rework(figure, found.figures) != figure.value]
    assert off == []
    totals = found.totals

    def printed(value: Fraction) -> Decimal:
        shown = to_decimal(value, places)
        assert Fraction(shown) == value, "a printed amount lost something"
        return shown

    for line in found.lines:
        assert sum((printed(figure.value) for _, figure in line.build_up), Decimal(0)) == printed(line.direct.value)
        kept = sum((printed(figure.value) for _, figure in line.reserves), Decimal(0))
        assert printed(line.direct.value) + printed(line.contingency.value) + kept == printed(line.cost.value)
        assert printed(line.price.value) - printed(line.discount.value) == printed(line.net.value)
    net = sum((printed(line.net.value) for line in found.lines), Decimal(0))
    taxes = sum((printed(amount.value) for _, amount in totals.taxes), Decimal(0))
    assert net == printed(totals.net.value)
    assert net + taxes + printed(totals.fee.value) == printed(totals.total.value)
    assert printed(totals.deposit.value) + printed(totals.balance.value) == printed(totals.total.value)
    assert sum((printed(line.cost.value) for line in found.lines), Decimal(0)) == printed(totals.cost.value)
    minutes = sum((step.charged.value for step in found.steps), Fraction(0))
    lines_minutes = Fraction(
        sum(int(str(line["minutes"]).split()[0]) for line in _entries(job, "lines") if line["kind"] == "labour")
    )
    assert totals.minutes_charged.value == minutes + lines_minutes
    assert sum((one.charged.value for one in found.bought), Fraction(0)) == sum(
        (share.value for one in found.bought for share in one.shares.values()), Fraction(0)
    )


def _entries(job: dict[str, object], name: str) -> list[dict[str, str]]:
    held = job[name]
    assert isinstance(held, list)
    return held


@examples(15)
@given(jobs())
def test_parts_are_conserved_from_design_to_sheets(job: dict[str, object]) -> None:
    found = estimated(job)
    for one in found.bought:
        if not isinstance(one.plan, SheetPlan):
            continue
        wanted: Counter[str] = Counter()
        for item in found.items:
            for part in item.take_off.parts:
                if part.material == one.material.code:
                    wanted[f"{item.id}/{part.name}"] += int(part.count.value * item.quantity.value) * part.layers
        cut: Counter[str] = Counter()
        for sheet in one.plan.sheets:
            for put in sheet.placements:
                cut[one.pieces[int(put.piece)]] += sheet.count
        for left in one.plan.unplaced:
            cut[one.pieces[int(left.piece)]] += left.count
        assert cut == wanted


@examples(8)
@given(jobs())
def test_a_snapshot_gives_the_same_estimate(job: dict[str, object]) -> None:
    start = case.inputs()
    items = job["items"]
    assert isinstance(items, list)
    inputs = replace(start, job=job, designs={item["id"]: start.designs["cabinet"] for item in items})
    found = estimate_inputs(inputs)
    again = estimate_inputs(read_snapshot(write_snapshot(inputs, found)))
    assert write_estimate(again) == write_estimate(found)


@given(st.fractions(max_denominator=10**9))
def test_exact_text_is_exact(value: Fraction) -> None:
    assert Fraction(exact_text(value)) == value


@given(
    st.integers(0, 10**7),
    st.lists(st.fractions(0, 100, max_denominator=1000), min_size=1, max_size=8).filter(any),
)
def test_shares_add_up_to_the_cent(cents: int, weights: list[Fraction]) -> None:
    working = Working()
    coin = working.given("coin", "Smallest coin", Fraction(1, 100), "money", "the test")
    amount = working.given("amount", "Glue", Fraction(cents, 100), "money", "the test")
    needs = {
        str(place): working.given(f"need/{place}", "Need", need, "L", "the test") for place, need in enumerate(weights)
    }
    parts = [share.value for share in divide(working, "glue", "Glue", amount, needs, coin).values()]
    assert sum(parts) == Fraction(cents, 100)
    assert all(part >= 0 and (part * 100).denominator == 1 for part in parts)


def test_a_setting_changed_for_a_job_is_said() -> None:
    job = {**case.JOB, "settings": {"profit": {"value": "30 %", "why": "a rush job"}}}
    found = estimated(job)
    assert any("a rush job" in sentence for sentence in found.basis.differences)
    assert found.totals.net.value > estimated(dict(case.JOB)).totals.net.value


def test_a_missing_price_is_named_and_the_rest_estimated() -> None:
    start = case.inputs()
    hinge_offers = {offer.id for offer in start.catalogue.offers["hinge"]}
    prices = {offer: seen for offer, seen in start.catalogue.prices.items() if offer not in hinge_offers}
    found = estimate_inputs(replace(start, catalogue=replace(start.catalogue, prices=prices)))
    assert not found.complete
    assert any("Hinge has no price" in doubt.sentence for doubt in found.basis.doubts)
    assert found.totals.net.value > 900


def test_an_item_of_which_there_is_none_is_left_out_and_said_to_be() -> None:
    cabinet: dict[str, object] = {"id": "cabinet", "design": "wall_cabinet", "quantity": "2"}
    found = estimated({**case.JOB, "items": [cabinet, {**cabinet, "id": "spare", "quantity": "0", "label": "A spare"}]})
    alone = estimated({**case.JOB, "items": [cabinet]})
    (said,) = [problem for problem in found.problems if problem.field == "items.spare.quantity"]
    assert said.message == "“A spare” is left out: how many there are of it is 0."
    assert (found.totals.total.value, found.complete) == (alone.totals.total.value, alone.complete)


@pytest.mark.parametrize("quantity", ["-3", "2.5", "many"])
def test_a_quantity_without_sense_is_named(quantity: str) -> None:
    items = [{"id": "cabinet", "design": "wall_cabinet", "quantity": quantity}]
    found = estimated({**case.JOB, "items": items})
    assert any(problem.field.endswith("quantity") and quantity in problem.message for problem in found.problems)
    assert not found.complete
