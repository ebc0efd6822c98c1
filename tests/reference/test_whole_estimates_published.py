"""Whole estimates that stand in print, from materials and hours to the price, and what may be asked of a customer.

Each is worked out by the program from what the source states; what the source doesn't know costs nothing here.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.reference.published_case import BOARD, DAY, FOOT, PLANK, STICK, board, build_up, made, shop, stock, wood
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.settings.rates import Rates

F = Fraction
outside = pytest.mark.outside

BUILT = "operations: {build: {says: Build, driver: items}}"


def one_built(rates: Rates, materials: str, quantity: int = 1) -> Estimate:
    """One stick of material at a price, and the work on it."""
    return made(PLANK + BUILT, rates, stock((wood(), {"length": 10 * FOOT}, {1: materials})), quantity)


def lines_alone(rates: Rates, *each: str) -> Estimate:
    """Parts sold on, a line each."""
    lines = [{"id": f"p{at}", "kind": "part", "says": f"Part {at}", "each": cost} for at, cost in enumerate(each)]
    form = {"form": "1", "job": "Parts", "novelty": "known", "items": [], "lines": lines}
    return estimate_inputs(Inputs(form, {}, Catalogue({}, {}, {}, "USD", DAY), rates, "inch", 2, {}))


# ---- what a shop's year and its hour cost --------------------------------------------------------------------------


@outside(source="The Technique of Furniture Making (1970), appendix on costing, 'Percentage additions'")
def test_the_year_of_a_furniture_shop() -> None:
    # Wages 22 000, overheads 40 % of them; materials 10 000 and 15 %; 20 % of all that for what is not to be charged.
    rates = shop({"build": "60"}, labour_maker="22000", consumables="2/5", handling="3/20", contingency_known="1/5")
    found = one_built(rates, "10000")
    assert build_up(found) == {"materials": 10_000, "handling": 1_500, "labour": 22_000, "consumables": 8_800}
    assert found.lines[0].direct.value == 42_300
    assert found.lines[0].contingency.value == 8_460
    assert found.totals.cost.value == 50_760


@outside(source="charge-out rate of one person: 48.30 and 34.00 of overheads are 82.30 an hour", kind="common practice")
def test_a_year_of_sold_hours_brings_back_wage_and_overheads() -> None:
    # 35 and 38 % are 48.30; 45 078.88 of overheads over 44.2 weeks of 30 h, 1326 h, are 34.00.
    found = one_built(shop({"build": str(1326 * 60)}, labour_maker="48.30", overhead_per_hour="34"), "0.01")
    assert found.totals.cost.value - F("0.01") == 1326 * F("82.30")
    assert float(build_up(found)["overhead"]) == pytest.approx(28_000 + F("353.6") * F("48.30"), rel=2e-4)


@outside(source="overhead by direct hours: 500 000 / 25 000 h, a job of 100 h", kind="common practice")
def test_a_job_carries_overhead_by_its_hours() -> None:
    # Material 800, labour 1200, 100 h at 20 an hour; by its money it would be another share.
    found = one_built(shop({"build": "6000"}, labour_maker="12", overhead_per_hour="20"), "800")
    assert build_up(found) == {"materials": 800, "labour": 1_200, "overhead": 2_000}
    assert found.totals.cost.value == 4_000


# ---- from the cost to the price ------------------------------------------------------------------------------------


@outside(source="accent table: 12 board feet, 2.5 h, overhead 15 %, profit 10 %: 173", kind="common practice")
def test_the_accent_table() -> None:
    rates = shop(
        {"build": "150"}, labour_maker="39", contingency_known="3/20", profit="1/10", profit_as="1",
        price_step_small="1", board_yield="1",
    )  # fmt: skip
    catalogue = stock((board(), {"rough_thickness": FOOT // 12, "step": "1/2"}, {1: "3.25"}))
    found = made(BOARD.format(length="12 ft", width="12 in") + BUILT, rates, catalogue)
    assert build_up(found) == {"materials": 39, "labour": F("97.50")}
    assert found.lines[0].direct.value == F("136.50")
    assert found.totals.net.value == 173


@outside(source="a table at half margin: 54 + 70 + 150 + 10 are 284, printed 572 for 568", kind="common practice")
def test_half_of_the_price_is_margin() -> None:
    found = one_built(shop({"build": "360"}, labour_maker="25", profit="1/2", profit_as="0"), "134")
    assert found.totals.cost.value == 284
    assert found.totals.net.value == 568


@outside(source="Carpentry and Joinery, national apprenticeship course (undated), phase 4, job costing: a floor")
@pytest.mark.parametrize(("houses", "total"), [(1, "1377.75"), (18, "24799.50")])
def test_the_floor_of_a_house_and_of_eighteen(houses: int, total: str) -> None:
    # 3000 m at 0.25 less 2 %, in coils of 100 m here; 15 h at 25; 38 % of the labour; 10 % of tax on the whole.
    rates = shop({"build": "900"}, labour_maker="25", consumables="0.38", tax_goods="1/10")
    catalogue = stock((wood(), {"length": 100 * 10**9}, {1: "24.50"}))
    found = made(STICK.format(count=30, length="100 m") + BUILT, rates, catalogue, houses, "metric")
    each = {"materials": F(735), "labour": F(375), "consumables": F("142.50")}
    assert build_up(found) == {name: houses * amount for name, amount in each.items()}
    assert found.totals.total.value == F(total)


# ---- what is asked of a customer -----------------------------------------------------------------------------------


@outside(source="Maryland Business Regulation (2005), 8-617: at most one third of the price before the work begins")
@pytest.mark.parametrize("price", ["7365.28", "100.01", "7365.29", "0.05"])
def test_a_deposit_of_a_third_is_never_more_than_a_third(price: str) -> None:
    totals = lines_alone(shop(deposit="1/3"), price).totals
    assert totals.total.value == F(price)
    assert totals.total.value / 3 - F(1, 100) < totals.deposit.value <= totals.total.value / 3
    assert totals.deposit.value + totals.balance.value == totals.total.value


@outside(source="Streamlined Sales and Use Tax Agreement (2002), s. 324: by item, up when the third decimal is above 4")
def test_tax_by_item() -> None:
    # 1.15 at 6.5 % is 0.07475; the invoice as a whole would be taxed 0.22.
    found = lines_alone(shop(tax_goods="0.065"), "1.15", "1.15", "1.15")
    assert [line.tax.value for line in found.lines] == [F("0.07")] * 3
    assert found.totals.tax.value == F("0.21")


@outside(source="VAT Traders' Records Manual VATREC12010 (as read in 2026), Notice 700 par. 17.5")
def test_tax_line_by_line_is_rounded_to_the_nearer_penny_and_never_all_down() -> None:
    # 1.49 at 20 % is 0.298: to the nearer penny 0.30 three times; each rounded down would keep back three pence.
    assert lines_alone(shop(tax_goods="0.20"), "1.49", "1.49", "1.49").totals.tax.value == F("0.90")
