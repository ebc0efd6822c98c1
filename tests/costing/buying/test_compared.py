"""Offers compared by a useful unit, delivered and without tax: worked by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from webapp.costing.buying.compared import compare_offers, held, useful_unit, without_tax
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Comes, Material, Offer, PriceSeen
from webapp.costing.catalogue.order_terms import OrderTerms
from webapp.costing.ledger.working import Working
from webapp.costing.settings.table import default_rates

TODAY = date(2026, 11, 2)
MM = 10**6
#: 2.5 m x 1.2 m: 3 m2.
SIZE = {"length": Fraction(2500 * MM), "width": Fraction(1200 * MM)}
PLY = Material("ply", "Plywood", Kind.SHEET)
RATES = default_rates().with_values({"purchase_tax": Fraction(1, 5), "extra_stop": Fraction(40)}, {})
FETCHED = Offer("a", "ply", "yard", SIZE)
SENT = Offer(
    "b", "ply", "depot", SIZE, comes=Comes.DELIVERED, carriage=Decimal(30),
    terms=OrderTerms(free_from=Decimal(150)),
)  # fmt: skip


def seen(offer: Offer, amount: str, **further: object) -> PriceSeen:
    return replace(PriceSeen(offer.id, Decimal(amount), "EUR", TODAY, "typed"), **further)  # type: ignore[arg-type]


def compared(wanted: int, *prices: PriceSeen, offers: tuple[Offer, ...] = (FETCHED, SENT)) -> dict[str, Fraction]:
    told: dict[str, tuple[PriceSeen, ...]] = {}
    for one in prices:
        told[one.offer] = (*told.get(one.offer, ()), one)
    catalogue = Catalogue({"ply": PLY}, {"ply": offers}, told, "EUR", TODAY)
    found = compare_offers(PLY, offers, catalogue, RATES, "metric", Fraction(wanted), 2)
    assert [one.each.value for one in found] == sorted(one.each.value for one in found)
    return {one.offer.id: one.each.value for one in found}


def test_tax_is_taken_out_and_carriage_put_in() -> None:
    """72 with a fifth of tax is 60: 20 a m2. 54 and 30 of carriage are 84: 28 a m2."""
    assert compared(3, seen(FETCHED, "72", with_tax=True), seen(SENT, "54")) == {"a": 20, "b": 28}


def test_an_order_that_is_large_enough_bears_no_carriage_and_one_nearly_so_is_filled_up() -> None:
    """Three sheets at 54 are 162, over 150. Two are 108: 30 of carriage is less than the 42 that lack."""
    assert compared(9, seen(SENT, "54"))["b"] == 18
    assert compared(6, seen(SENT, "54"))["b"] == 23
    assert compared(6, seen(SENT, "70"))["b"] == 25, "140, and 10 to where it is free"


def test_a_price_that_holds_delivery_bears_none() -> None:
    assert compared(3, seen(SENT, "54", delivered=True))["b"] == 18


def test_whole_packs_are_bought_for_what_is_wanted() -> None:
    """7 m2 are three sheets of 3 m2, of whom two would come with 30 of carriage and three are over 150."""
    assert compared(7, seen(FETCHED, "60"), seen(SENT, "54")) == {"a": 20, "b": 18}
    assert compared(6, seen(FETCHED, "60"), seen(SENT, "54")) == {"a": 20, "b": 23}


def test_more_are_bought_where_that_costs_less() -> None:
    """Three at 60 are 180, four at 40 are 160: 160 for 12 m2."""
    assert compared(9, seen(FETCHED, "60"), seen(FETCHED, "40", from_quantity=4))["a"] == Fraction(160, 12)


def test_what_a_least_order_lacks_is_paid() -> None:
    least = replace(FETCHED, minimum_order=Decimal(90))
    assert compared(3, seen(FETCHED, "60"), offers=(least,))["a"] == 30


def test_the_drive_counts_where_the_shop_has_it_counted() -> None:
    """By the rule for collecting: half an hour of a helper at 44 with overhead, and 10 km at 0.50."""
    rates = RATES.with_values({
        "rule_ordering": Fraction(1), "collecting_minutes": Fraction(30), "collecting_km": Fraction(10),
        "per_kilometre": Fraction(1, 2), "labour_helper": Fraction(24), "overhead_per_hour": Fraction(20),
    }, {})  # fmt: skip
    catalogue = Catalogue({"ply": PLY}, {"ply": (FETCHED,)}, {"a": (seen(FETCHED, "60"),)}, "EUR", TODAY)
    (one,) = compare_offers(PLY, (FETCHED,), catalogue, rates, "metric", Fraction(3), 2)
    assert [one.way.value, one.each.value] == [27, 29]


def test_without_a_price_nothing_is_compared() -> None:
    assert compared(3, seen(FETCHED, "60", one_off=True), seen(SENT, "60", currency="USD")) == {}


@pytest.mark.parametrize(
    ("kind", "size", "metric", "inch"),
    [
        (Kind.SHEET, SIZE, ("m2", Fraction(3)), ("ft2", Fraction(3) / Fraction("0.09290304"))),
        (Kind.LENGTH, {"length": Fraction(3048 * MM)}, ("m", Fraction("3.048")), ("ft", Fraction(10))),
        (Kind.BOARD, {"rough_thickness": Fraction(25 * MM)}, ("BF", Fraction(1)), ("BF", Fraction(1))),
        (Kind.LIQUID, {"litres": Fraction(5, 2)}, ("L", Fraction(5, 2)), ("L", Fraction(5, 2))),
        (Kind.FASTENER, {"count": Fraction(200)}, ("piece", Fraction(200)), ("piece", Fraction(200))),
        (Kind.PIECE, {"count": Fraction(1)}, ("piece", Fraction(1)), ("piece", Fraction(1))),
    ],
)
@pytest.mark.outside(source="NIST SP 811 (2008), appendix B.8: a foot is 3.048 E-01 m", kind="from memory")
def test_each_kind_is_compared_by_what_is_useful_of_it(
    kind: Kind, size: dict[str, Fraction], metric: tuple[str, Fraction], inch: tuple[str, Fraction]
) -> None:
    material, offer = Material("one", "One", kind), Offer("o", "one", "yard", size)
    assert (useful_unit(kind, "metric"), held(material, offer, "metric")) == metric
    assert (useful_unit(kind, "inch"), held(material, offer, "inch")) == inch


def test_work_that_is_sent_out_is_compared_by_nothing() -> None:
    assert useful_unit(Kind.SERVICE, "metric") == ""


def test_several_prices_of_one_day_are_each_themselves() -> None:
    """A price put right on its day, and one amount with tax and without: 50, 80, and 72 of which a sixth is tax."""
    working = Working()
    prices = (seen(FETCHED, "50"), seen(FETCHED, "80"), seen(FETCHED, "72"), seen(FETCHED, "72", with_tax=True))
    assert [without_tax(working, one, RATES).value for one in prices] == [50, 80, 72, 60]
