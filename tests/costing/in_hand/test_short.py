"""A job in few figures: read alike from an estimate and from its document, moved in proportion, held to the floors."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.costing.settings.test_moves import starter
from tests.harness.examples import examples
from webapp.costing.buying.price_paid import PricesPaid
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.form import write_estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.in_hand.floors import below
from webapp.costing.in_hand.moved import PricesNow, at_prices, at_rates, moved_in_proportion
from webapp.costing.in_hand.short import (
    Short,
    ShortPurchase,
    read_short,
    short_of,
    short_of_document,
    write_short,
)
from webapp.costing.ledger.working import Working
from webapp.costing.plans.requests import Plan
from webapp.costing.settings.table import default_rates

STARTERS = ("bench_cabinet", "trestle_bench", "ware_cart", "hollow_core_top")
#: Goods of 100 with 10 % handling and 5 % contingency, priced at a margin of 20 % and taxed at 20 %; two hours.
BY_HAND = Short(
    total=Fraction("369.36"), net=Fraction("307.80"), cost=Fraction("246.24"), asked=Fraction("307.80"),
    paid_out=Fraction(110), target=Fraction(290), minutes=Fraction(120), complete=True,
    purchases=(ShortPurchase("ply", "yard", Fraction(2), Fraction(50), Fraction(1)),),
    people=(("maker", Fraction(64)),), machines=(("table_saw", Fraction(10)),), handling=Fraction("0.1"),
    consumables=Fraction("0.05"), lifted=False, cost_of_direct=Fraction("1.05"), asked_of_cost=Fraction("1.25"),
    net_of_cost=Fraction("1.25"), total_of_net=Fraction("1.2"),
)  # fmt: skip


def prices_of(catalogue: Catalogue) -> PricesNow:
    paid = PricesPaid(catalogue, default_rates(), Working(), 2)
    return {offer.id: paid.by_number(offer) for found in catalogue.offers.values() for offer in found}


def dearer(inputs: Inputs, percent: int) -> Inputs:
    prices = {
        offer: tuple(
            replace(one, amount=(one.amount * (100 + percent) / 100).quantize(Decimal("0.01"))) for one in seen
        )
        for offer, seen in inputs.catalogue.prices.items()
    }
    return replace(inputs, catalogue=replace(inputs.catalogue, prices=prices))


def worked(inputs: Inputs, book: dict[str, Plan] | None = None) -> tuple[Estimate, Short]:
    found = estimate_inputs(inputs, book)
    return found, short_of(found, inputs.rates)


@pytest.mark.parametrize("code", STARTERS)
def test_an_estimate_and_its_document_give_the_same(code: str) -> None:
    inputs = starter(code)
    found, short = worked(inputs)
    document = json.loads(json.dumps(write_estimate(found)))
    assert short_of_document(document, inputs.rates) == short
    assert read_short(json.loads(json.dumps(write_short(short)))) == short
    assert (short.total, short.cost) == (found.totals.total.value, found.totals.cost.value)
    assert short.asked <= short.net, "prices are rounded up"


def test_what_another_version_kept_is_not_known() -> None:
    assert read_short(None) is None
    assert read_short({"total": "1"}) is None


def test_dearer_goods_by_hand() -> None:
    """20 more for goods: 2 of handling on it, 1.10 of contingency, a quarter more for the margin, a fifth for tax."""
    moved = at_prices(BY_HAND, {"yard": ((1, Fraction(60)),)})
    assert moved.paid_out == 132
    assert moved.target == 312
    assert moved.cost == Fraction("269.34")  # + 22 x 1.05
    assert moved.net == Fraction("336.675")  # + 23.10 x 1.25
    assert moved.total == Fraction("404.01")  # + 28.875 x 1.2
    assert moved.purchases[0].each == 60


def test_dearer_goods_of_a_job_at_the_least_charge_move_what_it_earns_alone() -> None:
    moved = at_prices(replace(BY_HAND, lifted=True), {"yard": ((1, Fraction(60)),)})
    assert (moved.net, moved.total, moved.asked) == (BY_HAND.net, BY_HAND.total, BY_HAND.asked)
    assert moved.cost == Fraction("269.34")


def test_a_price_that_begins_at_another_number_is_the_one_of_so_many() -> None:
    breaks = ((1, Fraction(60)), (2, Fraction(55)), (10, Fraction(40)))
    assert at_prices(BY_HAND, {"yard": breaks}).purchases[0].each == 55
    assert at_prices(BY_HAND, {}) == BY_HAND


def test_a_dearer_hour_by_hand() -> None:
    """A maker at 36 instead of 32: 8 more of labour, 0.40 of consumables; overhead 3 more an hour: 6."""
    before = default_rates()
    changed = {"labour_maker": before["labour_maker"] * Fraction(36, 32),
               "overhead_per_hour": before["overhead_per_hour"] + 3}  # fmt: skip
    after = before.with_values(changed, {})
    assert moved_in_proportion(before, after)
    moved = at_rates(BY_HAND, before, after)
    assert moved.cost == BY_HAND.cost + Fraction("14.4") * Fraction("1.05")
    assert (moved.paid_out, moved.target) == (BY_HAND.paid_out, BY_HAND.target), "no hour is paid to anybody else"
    assert moved.people == (("maker", Fraction(72)),)


def test_what_is_not_told_in_proportion_is_not_marked() -> None:
    before = default_rates()
    assert not moved_in_proportion(before, before.with_values({"kerf": before["kerf"] + 1}, {}))


@pytest.mark.parametrize("code", STARTERS)
def test_what_is_told_in_proportion_is_near_to_what_is_worked_out(code: str) -> None:
    inputs = starter(code)
    book: dict[str, Plan] = {}
    _, before = worked(inputs, book)
    then = dearer(inputs, 6)
    _, exact = worked(then, book)
    marked = at_prices(before, prices_of(then.catalogue))
    assert at_prices(before, prices_of(inputs.catalogue)) == before
    by = exact.cost - before.cost
    assert by > 0
    assert abs(marked.cost - exact.cost) <= by / 20 + Fraction(1, 10)
    assert abs(marked.paid_out - exact.paid_out) <= by / 20 + Fraction(1, 10)
    # The price is rounded up to the shop's step, 5 where it is below 1,000 each and 25 above.
    assert abs(marked.net - exact.net) <= 25 + by / 20


@given(st.integers(0, 40_000), st.integers(0, 60_000))
@examples(100)
def test_a_price_is_below_what_it_does_not_reach(net: int, goods: int) -> None:
    moved = at_prices(BY_HAND, {"yard": ((1, Fraction(goods, 200)),)})
    told = below(Fraction(net, 100), moved)
    price = Fraction(net, 100)
    assert ("paid out" in told) == (price < moved.paid_out)
    assert ("cost" in told) == (price < moved.cost)
    assert ("target" in told) == (price < moved.target)
    assert ("profit" in told) == (price < moved.asked)
