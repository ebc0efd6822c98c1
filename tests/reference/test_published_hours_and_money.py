"""Hours and money of the estimate against published values: each check names where its value was published."""

from __future__ import annotations

from fractions import Fraction

import pytest

from webapp.costing.measures import money
from webapp.costing.trade import labour
from webapp.costing.trade import pricing as pricing_rules

F = Fraction
outside = pytest.mark.outside


# ---- hours ---------------------------------------------------------------------------------------------------------


@outside(source="PERT: 4, 6, 12 has the mean 6.67", kind="common practice")
def test_the_mean_of_a_known_step() -> None:
    assert labour.mean_known(F(4), F(6), F(12)) == F(20, 3)


@outside(source="triangular mean: 4, 6, 12 has 7.33", kind="common practice")
def test_the_mean_of_a_new_step() -> None:
    assert labour.mean_new(F(4), F(6), F(12)) == F(22, 3)


@outside(source="Cost Estimating and Assessment Guide, GAO-20-195G (2020), table 12: its sums")
def test_likely_figures_fall_short_of_the_mean() -> None:
    elements = [
        (17_955, 19_645, 21_785),
        (8_500, 10_553, 13_000),
        (4_000, 4_306, 5_100),
        (4_100, 4_305, 4_650),
        (550, 600, 650),
        (32_300, 35_547, 52_500),
        (1_950, 2_136, 2_600),
    ]
    assert sum(likely for _, likely, _ in elements) == 77_092
    assert float(sum(labour.mean_new(F(a), F(m), F(b)) for a, m, b in elements)) == pytest.approx(82_244.0, abs=0.05)


@outside(source="unit learning curve: unit times at 80 % from 10", kind="common practice")
@pytest.mark.parametrize(
    ("number", "minutes"),
    [(2, 8.0), (3, 7.0210), (4, 6.4), (5, 5.9564), (8, 5.12), (10, 4.7651), (20, 3.8121), (100, 2.2706)],
)
def test_unit_times_of_the_learning_curve(number: int, minutes: float) -> None:
    assert 10 * labour.unit_factor(number, F(80, 100)) == pytest.approx(minutes, abs=5e-5)


def total_of(count: int, slope: str, first: float) -> float:
    return count * first * float(labour.learning_average(F(count), F(slope), F(10**6)))


@outside(source="unit learning curve: cumulative times at 80 % from 10", kind="common practice")
@pytest.mark.parametrize(
    ("count", "total"),
    [(2, 18.0), (3, 25.0210), (4, 31.4210), (5, 37.3774), (10, 63.1537), (20, 104.8494), (100, 326.5081)],
)
def test_totals_of_the_learning_curve(count: int, total: float) -> None:
    assert total_of(count, "0.8", 10) == pytest.approx(total, abs=1e-4)


@outside(source="unit learning curve: 80 % from 100 000 h", kind="common practice")
@pytest.mark.parametrize(("count", "total"), [(4, 314_210), (8, 534_591), (256, 6_247_572)])
def test_a_long_learning_curve(count: int, total: float) -> None:
    assert total_of(count, "0.8", 100_000) == pytest.approx(total, rel=2e-6)


@outside(source="unit learning curve: factors of the third unit", kind="common practice")
@pytest.mark.parametrize(
    ("slope", "factor"),
    [("0.70", 0.5682), ("0.75", 0.6338), ("0.80", 0.7021), ("0.85", 0.7729), ("0.90", 0.8462), ("0.95", 0.9219)],
)
def test_factors_of_the_third_unit(slope: str, factor: float) -> None:
    assert labour.unit_factor(3, F(slope)) == pytest.approx(factor, abs=5e-5)


@outside(source="the two learning curves: four units at 80 % are 31.42 and 25.6", kind="common practice")
def test_the_curve_is_crawfords() -> None:
    assert total_of(4, "0.8", 10) == pytest.approx(31.42, abs=5e-3)
    assert total_of(4, "0.8", 10) > 25.7


# ---- money ---------------------------------------------------------------------------------------------------------


@outside(source="a margin of 20 % is a markup of 25 %", kind="common practice")
def test_margin_and_markup() -> None:
    price = pricing_rules.price_from_margin(F(80), F(20, 100))
    assert price == pricing_rules.price_from_markup(F(80), F(25, 100)) == 100
    assert (pricing_rules.margin_of(F(80), price), pricing_rules.markup_of(F(80), price)) == (F(1, 5), F(1, 4))


@outside(source="40 with 50 % markup sells at 60, a margin of 33.33 %", kind="common practice")
def test_markup_of_a_half() -> None:
    assert pricing_rules.price_from_markup(F(40), F(1, 2)) == 60
    assert pricing_rules.margin_of(F(40), F(60)) == F(1, 3)


@outside(source="29.99 with 25 % markup sells at 37.49", kind="common practice")
def test_markup_to_the_cent() -> None:
    assert money.half_up(pricing_rules.price_from_markup(F("29.99"), F(1, 4)), F(1, 100)) == F("37.49")


CENT = F(1, 100)


@outside(source="Streamlined Sales and Use Tax Agreement (2002), s. 324: up when the third decimal is above 4")
@pytest.mark.parametrize(
    ("amount", "rate", "tax"), [("0.10", "0.05", "0.01"), ("10.62", "0.0725", "0.77"), ("137.45", "0.0825", "11.34")]
)
def test_sales_tax_is_rounded_half_up(amount: str, rate: str, tax: str) -> None:
    assert money.half_up(F(amount) * F(rate), CENT) == F(tax)
