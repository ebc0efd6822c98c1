"""A price that goes up makes no cut plan look worse: the plan that fits is kept, as near to the least as it was."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.costing.cutting.test_saw_choice import BLOCK, STRIP, asked
from tests.costing.cutting.test_saw_choice import prices as sawing
from tests.costing.settings.test_moves import starter
from tests.harness.examples import examples
from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.cutting.ask.model import LengthPiece, LengthRequest, LengthStock, PriceBreak, SheetPlan
from webapp.costing.cutting.lengths.plan import plan_lengths
from webapp.costing.cutting.saw.money import sawing_money
from webapp.costing.estimate.snapshot import estimate_inputs
from webapp.costing.plans import first_plan
from webapp.costing.plans.again import AS_NEAR, at_these_prices, carried_over, laid_on
from webapp.costing.plans.key import OTHERWISE_PRICED, PricesAsked, asked_by, prices_asked, shape_key
from webapp.costing.plans.requests import Plan, Request, plan_in_the_book

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


def bought_and_sawn(request: Request, plan: Plan) -> Fraction:
    """What a plan costs. Neither part goes first: what is sawn for less may be bought for more."""
    return plan.price + sawing_money(request, plan)


def assert_none_is_worse(was: tuple[MaterialBought, ...], now: tuple[MaterialBought, ...]) -> None:
    """No plan costs more at the prices of now than the plan of then would."""
    told = {one.key: one for one in now}
    compared = 0
    for before in was:
        one = told[before.key]
        if before.plan is None or one.plan is None or one.request is None:
            continue
        assert len(one.plan.unplaced) <= len(before.plan.unplaced)
        stayed = laid_on(one.request, before.plan)
        assert stayed is not None
        assert bought_and_sawn(one.request, one.plan) <= bought_and_sawn(one.request, stayed)
        compared += 1
    assert compared


def assert_plans_stay_or_better(shares: list[int]) -> None:
    """Where every price moves by its share, and where all are again as they were."""
    book = Book()
    was = estimate_inputs(START, book).bought
    book.keep(was)
    dear = priced(START.catalogue, dict(zip(OFFERS, shares, strict=True)))
    now = estimate_inputs(replace(START, catalogue=dear), book).bought
    assert_none_is_worse(was, now)
    book.keep(now)
    again = estimate_inputs(START, book).bought
    assert_none_is_worse(now, again)
    assert_none_is_worse(was, again)


@given(st.lists(DEARER, min_size=len(OFFERS), max_size=len(OFFERS)))
@examples(30)
def test_dearer_stock_never_makes_a_plan_worse(shares: list[int]) -> None:
    assert_plans_stay_or_better(shares)


def test_a_plan_may_be_bought_for_more_where_sawing_it_costs_so_much_less() -> None:
    """The square sheet of 15 mm goes up by a fifth: another plan than before costs 2 more, and 4.78 less to saw."""
    square = next(one.id for one in START.catalogue.offers_of("birch_plywood_15") if len(set(one.size.values())) == 1)
    shares = [120 if offer == square else 100 for offer in OFFERS]
    book = Book()
    was = estimate_inputs(START, book).bought
    book.keep(was)
    dear = priced(START.catalogue, dict(zip(OFFERS, shares, strict=True)))
    (before,) = (one for one in was if one.material.code == "birch_plywood_15")
    (after,) = (one for one in estimate_inputs(replace(START, catalogue=dear), book).bought if one.key == before.key)
    assert after.request is not None
    assert after.plan is not None
    assert before.plan is not None
    stayed = laid_on(after.request, before.plan)
    assert stayed is not None
    assert after.plan.price - stayed.price == 2
    saved = sawing_money(after.request, stayed) - sawing_money(after.request, after.plan)
    assert round(float(saved), 2) == 4.78
    assert_plans_stay_or_better(shares)


def test_a_plan_proved_the_least_to_buy_gives_way_to_one_sawn_for_less() -> None:
    """It was found while the sheets cost twice as much, and buys the same sheet."""
    question = asked(sawing(7, 5, 2, 1))
    stocks = tuple(replace(stock, price=2 * stock.price) for stock in question.stocks)
    book = Book()
    book["here"] = BLOCK
    dear = replace(STRIP, price=2 * STRIP.price)
    book.last[shape_key(question)] = dear, prices_asked(replace(question, stocks=stocks))
    assert BLOCK.proved
    found = plan_in_the_book(question, "here", book)
    assert isinstance(found, SheetPlan)
    assert found.sheets == STRIP.sheets
    assert found.proved
    assert book["here"] == found


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
def test_what_is_carried_over_of_the_least_price_holds_there(both: tuple[LengthRequest, LengthRequest]) -> None:
    was, now = both
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
    looked_for: list[Request] = []
    searched = first_plan.first_plan

    def noted(request: Request) -> Plan:
        looked_for.append(request)
        return searched(request)

    monkeypatch.setattr(first_plan, "first_plan", noted)
    estimate_inputs(replace(START, catalogue=priced(START.catalogue, dict.fromkeys(OFFERS, 106))), book)
    assert looked_for == []
    used = {purchase.offer.id for one in was.bought for purchase in one.purchases}
    uneven = {offer: 200 if offer in used else 100 for offer in OFFERS}
    estimate_inputs(replace(START, catalogue=priced(START.catalogue, uneven)), book)
    assert looked_for


def test_another_question_is_no_other_price() -> None:
    was = LengthRequest(1, (LengthStock("a", 20, 0, Fraction(3)),), (LengthPiece("0", 6, 3),))
    assert shape_key(was) == shape_key(replace(was, stocks=(LengthStock("a", 20, 0, Fraction(9)),)))
    assert shape_key(was) != shape_key(replace(was, kerf=2))
    assert shape_key(was) != shape_key(replace(was, stocks=(LengthStock("a", 20, 0, Fraction(3), available=2),)))
