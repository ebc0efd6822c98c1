"""The hand-worked wall cabinet, line by line through the estimate (materials, hours, price).

The case was worked by hand in exact fractions, apart from this program; its choices (settings) stand in
tests/wall_cabinet_case.py. Not an outside source, but an independent sum.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from tests import wall_cabinet_case as case
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import estimate_inputs
from webapp.costing.measures.money import to_decimal

F = Fraction

# material: (need to buy as text, packs bought, cost, by share)
MATERIALS = {
    "thick_sheet": (None, [("1525", 1)], "78.00", "78.00"),
    "thin_sheet": (None, [("2440", 1)], "38.00", "38.00"),
    "maple": ("2.5", [("4/4", 1)], "18.50", "18.50"),
    "band": ("9.88008", [("25 m", 1)], "14.00", "5.53"),
    "biscuit": ("14", [("100", 1)], "9.80", "1.37"),
    "screw_35_16": ("42", [("50", 1)], "4.20", "3.53"),
    "screw_4_40": ("11", [("25", 1)], "3.60", "1.58"),
    "hinge": ("4", [("1", 4)], "16.80", "16.80"),
    "handle": ("2", [("1", 2)], "7.50", "7.50"),
    "peg": ("8", [("20", 1)], "3.20", "1.28"),
    "bumper": ("4", [("20", 1)], "1.90", "0.38"),
    "wall_fixing": ("4", [("1", 4)], "2.60", "2.60"),
    "glue": (None, [("0.25", 1)], "5.90", "0.25"),
    "lacquer": (None, [("1", 2)], "48.00", "27.58"),
    "disc_150": ("3", [("1", 3)], "2.55", "2.55"),
    "disc_320": ("2", [("1", 2)], "1.70", "1.70"),
    "wrap": ("1", [("1", 1)], "4.00", "4.00"),
}

# step: (units, likely minutes, mean minutes, labour, machine)
STEPS = {
    "draw": ("1", "25", "25", "12.50", None),
    "unload": ("3", "17", "17.5", "8.50", None),
    "saw_sheet_parts": ("9", "37.5", "39", "18.75", "7.50"),
    "plane_rails": ("2", "31", "31.666667", "15.50", "5.17"),
    "band_edges_on": ("8.7096", "29.4192", "30.145", "14.71", "3.92"),
    "drill_holes": ("40", "22", "22.666667", "11.00", None),
    "slot_biscuits": ("12", "17", "17.6", "8.50", None),
    "sand_raw": ("4.28030656", "22.12122624", "22.834611", "11.06", None),
    "clamp_joints": ("6", "40", "42", "20.00", None),
    "drive_screws": ("32", "17.8", "18.333333", "8.90", None),
    "hang_hinges": ("4", "28", "29.333333", "14.00", None),
    "fit_handles": ("2", "6", "6.333333", "3.00", None),
    "spray": ("10.45572336", "40.91144672", "41.782757", "20.46", "10.23"),
    "sand_between": ("6.1754168", "9.2631252", "9.777743", "4.63", None),
    "wrap_up": ("2", "40", "40", "20.00", None),
    "travel": ("2", "100", "100", "50.00", None),
    "install": ("2", "95", "98.333333", "47.50", None),
}


@pytest.fixture(scope="module")
def estimate() -> Estimate:
    return estimate_inputs(case.inputs())


def money(value: F) -> str:
    return str(to_decimal(value, 2))


def test_nothing_is_missing(estimate: Estimate) -> None:
    assert [one.message for one in estimate.problems] == []
    assert estimate.complete


@pytest.mark.parametrize("code", MATERIALS)
def test_each_material_is_bought_as_by_hand(estimate: Estimate, code: str) -> None:
    need, packs, cost, by_share = MATERIALS[code]
    bought = {one.material.code: one for one in estimate.bought}
    one = bought[code]
    if need is not None:
        assert one.required.value == F(need)
    assert [purchase.packs for purchase in one.purchases] == [count for _, count in packs]
    assert money(one.bought.value) == cost
    assert money(one.by_share.value) == by_share


def test_every_material_of_the_hand_list_and_no_other(estimate: Estimate) -> None:
    assert {one.material.code for one in estimate.bought} == set(MATERIALS)
    assert money(sum((one.bought.value for one in estimate.bought), F(0))) == "260.25"
    assert money(sum((one.by_share.value for one in estimate.bought), F(0))) == "211.15"


def test_exact_needs(estimate: Estimate) -> None:
    bought = {one.material.code: one for one in estimate.bought}
    assert estimate.figures["buy/glue/need"].value == F("11.6493344") / 1100
    assert float(bought["lacquer"].required.value) == pytest.approx(1.148980589, abs=1e-9)
    gross = next(
        figure for name, figure in estimate.figures.items() if name.startswith("buy/maple") and name.endswith("/gross")
    )
    assert float(gross.value) == pytest.approx(2.065017, abs=5e-7)


def test_the_square_sheet_is_proved_least(estimate: Estimate) -> None:
    thick = next(one for one in estimate.bought if one.material.code == "thick_sheet")
    assert thick.plan is not None
    assert (thick.plan.price, thick.plan.bound, thick.plan.proved) == (F(78), F(78), True)
    assert thick.purchases[0].offer.size["length"] == 1525 * case.MM


@pytest.mark.parametrize("name", STEPS)
def test_each_step_takes_what_it_took_by_hand(estimate: Estimate, name: str) -> None:
    units, likely, mean, labour, machine = STEPS[name]
    step = next(one for one in estimate.steps if one.operation == name)
    assert step.units.value == F(units)
    assert step.likely.value == F(likely)
    assert float(step.mean.value) == pytest.approx(float(mean), abs=1e-6)
    assert money(step.labour.value) == labour
    assert (None if step.machine is None else money(step.machine.value)) == machine


def test_sums_of_minutes(estimate: Estimate) -> None:
    assert {step.operation for step in estimate.steps} == set(STEPS)
    totals = estimate.totals
    assert totals.minutes_likely.value == F("578.01499816")
    assert totals.minutes_low.value == F("499.96432152")
    assert totals.minutes_high.value == F("741.81635144")
    assert float(totals.minutes_mean.value) == pytest.approx(592.306777, abs=1e-6)


def test_the_price_build_up_of_both_lines(estimate: Estimate) -> None:
    cabinet, trip = estimate.lines
    assert {name: money(figure.value) for name, figure in cabinet.build_up} == {
        "materials": "260.25", "handling": "20.82", "labour": "191.51", "machine": "26.82", "overhead": "134.06",
    }  # fmt: skip
    assert {name: money(figure.value) for name, figure in trip.build_up} == {
        "carriage": "25.20",
        "labour": "97.50",
        "overhead": "68.25",
    }
    assert (money(cabinet.direct.value), money(trip.direct.value)) == ("633.46", "190.95")
    assert (money(cabinet.contingency.value), money(trip.contingency.value)) == ("38.01", "11.46")
    assert (money(cabinet.cost.value), money(trip.cost.value)) == ("671.47", "202.41")
    assert float(estimate.figures["line/cabinet/exact_each"].value) == pytest.approx(860.858974, abs=1e-6)
    assert (money(cabinet.price.value), money(trip.price.value)) == ("861.00", "260.00")
    assert (money(cabinet.tax.value), money(trip.tax.value)) == ("71.03", "0.00")


def test_the_totals(estimate: Estimate) -> None:
    totals = estimate.totals
    foot = (totals.cost, totals.net, totals.tax, totals.total, totals.deposit, totals.balance)
    assert [money(one.value) for one in foot] == [
        "873.88", "1121.00", "71.03", "1192.03", "476.81", "715.22",
    ]  # fmt: skip
    assert (money(totals.profit.value), money(totals.floor_target.value)) == ("247.12", "959.27")
    assert float(totals.margin.value) == pytest.approx(0.220446, abs=5e-7)
    assert float(totals.markup.value) == pytest.approx(0.282785, abs=5e-7)
    assert totals.earned_per_hour is not None
    assert float(totals.earned_per_hour.value) == pytest.approx(81.7878, abs=5e-5)
    assert to_decimal(totals.floor_cost.value, 2) == Decimal("873.88")
