"""A price that goes up makes no cut plan look worse: the plan that fits is kept, as near to the least as it was."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.costing.settings.test_moves import starter
from tests.harness.examples import examples
from webapp.costing.buying.buyer import MaterialBought
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.cutting.ask.model import LengthPiece, LengthRequest, LengthStock, PriceBreak
from webapp.costing.cutting.lengths.plan import plan_lengths
from webapp.costing.estimate.snapshot import estimate_inputs
from webapp.costing.plans import first_plan
from webapp.costing.plans.again import AS_NEAR, at_these_prices, carried_over, laid_on
from webapp.costing.plans.key import OTHERWISE_PRICED, PricesAsked, asked_by, prices_asked, shape_key
from webapp.costing.plans.requests import Plan, Request

#: Shares that a price moves by, in hundredths.
DEARER = st.integers(100, 300)


class Book(dict[str, Plan]):
    """A book that finds the last plan of a question at other prices, as the store's does."""

    def __init__(self) -> None:
        super().__init__()
        self.last: dict[str, tuple[Plan, PricesAsked]] = {}

    def keep(self, bought: tuple[MaterialBought, ...]) -> None:
        for one in bought:
            if one.request is not None and one.plan is not None:
                self.last[shape_key(one.request)] = one.plan, prices_asked(one.request)

    def get(self, name: str, default: object = None) -> Plan | None:  # type: ignore[override]
        if not name.startswith(OTHERWISE_PRICED):
            return super().get(name)
        shape, _, prices = asked_by(name)
        found = self.last.get(shape)
        return None if found is None else carried_over(*found, prices)


def priced(catalogue: Catalogue, shares: Mapping[str, int]) -> Catalogue:
    """The catalogue with every price moved by the share of its offer, to the cent."""
    cent = Decimal("0.01")
    return replace(catalogue, prices={
        offer: tuple(replace(one, amount=(one.amount * shares[offer] / 100).quantize(cent)) for one in seen)
        for offer, seen in catalogue.prices.items()
    })  # fmt: skip


def apart(plan: Plan) -> Fraction:
    """How far a plan may be from the least, as times of it."""
    return Fraction(1) if plan.proved else plan.price / plan.bound


START = starter("bench_cabinet")
OFFERS = sorted(START.catalogue.prices)


@given(st.lists(DEARER, min_size=len(OFFERS), max_size=len(OFFERS)))
@examples(30)
def test_dearer_stock_never_makes_a_plan_worse(shares: list[int]) -> None:
    book = Book()
    was = estimate_inputs(START, book)
    book.keep(was.bought)
    after = priced(START.catalogue, dict(zip(OFFERS, shares, strict=True)))
    now = estimate_inputs(replace(START, catalogue=after), book)
    told = {one.key: one for one in now.bought}
    for before in was.bought:
        one = told[before.key]
        if before.plan is None or one.plan is None or one.request is None:
            continue
        assert len(one.plan.unplaced) <= len(before.plan.unplaced)
        stayed = laid_on(one.request, before.plan)
        assert stayed is not None
        assert one.plan.price <= stayed.price


@given(DEARER)
@examples(20)
def test_what_all_goes_up_by_one_share_is_as_near_to_the_least_as_it_was(share: int) -> None:
    book = Book()
    was = estimate_inputs(START, book)
    book.keep(was.bought)
    after = priced(START.catalogue, dict.fromkeys(OFFERS, share))
    now = estimate_inputs(replace(START, catalogue=after), book)
    for before, one in zip(was.bought, now.bought, strict=True):
        if before.plan is not None and one.plan is not None:
            assert apart(one.plan) <= apart(before.plan) * (1 + AS_NEAR)
            assert one.plan.cuts == before.plan.cuts


@st.composite
def length_requests(draw: st.DrawFn) -> tuple[LengthRequest, LengthRequest]:
    """A question, and the same at other prices, higher and lower."""

    def prices(numbers: list[int]) -> tuple[PriceBreak, ...]:
        return tuple((number, Fraction(draw(st.integers(4, 60)), 4)) for number in numbers)

    was: list[LengthStock] = []
    now: list[LengthStock] = []
    for name in ("a", "b")[: draw(st.integers(1, 2))]:
        numbers = [1, *sorted(draw(st.sets(st.integers(2, 6), max_size=2)))]
        length = draw(st.integers(8, 20))
        for told in (was, now):
            breaks = prices(numbers)
            told.append(LengthStock(name, length, 0, breaks[0][1], breaks=breaks))
    longest = max(stock.length for stock in was)
    pieces = tuple(
        LengthPiece(str(number), draw(st.integers(3, longest)), draw(st.integers(1, 4)))
        for number in range(draw(st.integers(1, 3)))
    )
    return LengthRequest(1, tuple(was), pieces), LengthRequest(1, tuple(now), pieces)


def planned(request: LengthRequest) -> Plan:
    return plan_lengths(request, steps=20_000, seed=0)


@given(length_requests())
@examples(100)
def test_what_is_carried_over_of_the_least_price_holds_there(asked: tuple[LengthRequest, LengthRequest]) -> None:
    was, now = asked
    carried = carried_over(planned(was), prices_asked(was), prices_asked(now))
    assert carried is not None
    found = at_these_prices(now, carried)
    assert found is not None
    kept, _ = found
    assert kept.bound <= planned(now).price
    assert kept.bound <= kept.price
    assert kept.proved == (kept.bound == kept.price)


def test_nothing_is_searched_where_all_went_up_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    book = Book()
    was = estimate_inputs(START, book)
    book.keep(was.bought)
    asked: list[Request] = []
    searched = first_plan.first_plan

    def noted(request: Request) -> Plan:
        asked.append(request)
        return searched(request)

    monkeypatch.setattr(first_plan, "first_plan", noted)
    estimate_inputs(replace(START, catalogue=priced(START.catalogue, dict.fromkeys(OFFERS, 106))), book)
    assert asked == []
    used = {purchase.offer.id for one in was.bought for purchase in one.purchases}
    uneven = {offer: 200 if offer in used else 100 for offer in OFFERS}
    estimate_inputs(replace(START, catalogue=priced(START.catalogue, uneven)), book)
    assert asked


def test_another_question_is_no_other_price() -> None:
    was = LengthRequest(1, (LengthStock("a", 20, 0, Fraction(3)),), (LengthPiece("0", 6, 3),))
    assert shape_key(was) == shape_key(replace(was, stocks=(LengthStock("a", 20, 0, Fraction(9)),)))
    assert shape_key(was) != shape_key(replace(was, kerf=2))
    assert shape_key(was) != shape_key(replace(was, stocks=(LengthStock("a", 20, 0, Fraction(3), available=2),)))
