"""Whatever is asked for, a plan keeps the rules of cutting and its bound is true."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.cut_checker import faults_of_length_plan, faults_of_sheet_plan
from tests.cut_least import least_length_price, least_sheet_price
from webapp.costing.cutting.lengths import plan_lengths
from webapp.costing.cutting.model import (
    LengthPiece,
    LengthRequest,
    LengthStock,
    SheetPiece,
    SheetRequest,
    SheetStock,
    Trim,
)
from webapp.costing.cutting.sheets import plan_sheets

PRICES = st.integers(0, 300).map(lambda cents: Fraction(cents, 4))


@st.composite
def sheet_requests(draw: st.DrawFn, largest: int, kinds: int, most: int) -> SheetRequest:
    """Requests in which some pieces fit everywhere, some only turned or only on one stock, and some nowhere."""
    kerf = draw(st.integers(0, largest // 10))
    stocks = tuple(
        SheetStock(
            f"stock {number}",
            draw(st.integers(largest // 2, largest)),
            draw(st.integers(largest // 2, largest)),
            Trim(*(draw(st.integers(0, largest // 12)) for _ in range(4))),
            draw(PRICES),
            draw(st.none() | st.integers(0, 3)),
        )
        for number in range(draw(st.integers(1, 3)))
    )
    pieces = tuple(
        SheetPiece(
            f"piece {number}",
            draw(st.integers(1, largest)),
            draw(st.integers(1, largest * 2 // 3)),
            draw(st.integers(0, most)),
            draw(st.booleans()),
        )
        for number in range(draw(st.integers(1, kinds)))
    )
    return SheetRequest(kerf, "saw", stocks, pieces)


@st.composite
def length_requests(draw: st.DrawFn, largest: int, kinds: int, most: int) -> LengthRequest:
    """The same for lengths."""
    stocks = tuple(
        LengthStock(
            f"stock {number}",
            draw(st.integers(largest // 2, largest)),
            draw(st.integers(0, largest // 12)),
            draw(PRICES),
            draw(st.none() | st.integers(0, 3)),
        )
        for number in range(draw(st.integers(1, 3)))
    )
    pieces = tuple(
        LengthPiece(f"piece {number}", draw(st.integers(1, largest * 2 // 3)), draw(st.integers(0, most)))
        for number in range(draw(st.integers(1, kinds)))
    )
    return LengthRequest(draw(st.integers(0, largest // 10)), stocks, pieces)


@given(sheet_requests(largest=60, kinds=8, most=6))
@settings(max_examples=150)
def test_a_sheet_plan_keeps_the_rules(request: SheetRequest) -> None:
    assert faults_of_sheet_plan(request, plan_sheets(request, steps=600)) == []


@given(sheet_requests(largest=12, kinds=3, most=2))
@settings(max_examples=150)
def test_the_bound_for_sheets_is_never_above_the_least_price(request: SheetRequest) -> None:
    least = least_sheet_price(request)
    plan = plan_sheets(request, steps=600)
    assert faults_of_sheet_plan(request, plan) == []
    if least is not None:
        assert plan.bound <= least
        assert plan.unplaced or plan.price >= least
        if plan.proved:
            assert plan.price == least


@given(length_requests(largest=90, kinds=8, most=8))
@settings(max_examples=100)
def test_a_length_plan_keeps_the_rules(request: LengthRequest) -> None:
    assert faults_of_length_plan(request, plan_lengths(request)) == []


@given(length_requests(largest=30, kinds=3, most=2))
@settings(max_examples=150)
def test_a_small_length_plan_is_the_cheapest_and_proved(request: LengthRequest) -> None:
    least = least_length_price(request)
    plan = plan_lengths(request)
    assert faults_of_length_plan(request, plan) == []
    if least is not None:
        assert plan.price == least
        assert plan.proved


@given(sheet_requests(largest=60, kinds=6, most=5), st.integers(0, 5))
@settings(max_examples=25)
def test_the_same_seed_and_steps_give_the_same_plan(request: SheetRequest, seed: int) -> None:
    assert plan_sheets(request, steps=900, seed=seed) == plan_sheets(request, steps=900, seed=seed)


@given(length_requests(largest=90, kinds=8, most=8), st.integers(0, 5))
@settings(max_examples=15)
def test_the_same_seed_and_steps_give_the_same_lengths(request: LengthRequest, seed: int) -> None:
    assert plan_lengths(request, seed=seed) == plan_lengths(request, seed=seed)


@given(sheet_requests(largest=60, kinds=6, most=5))
@settings(max_examples=25)
def test_more_steps_never_cost_more(request: SheetRequest) -> None:
    few, many = plan_sheets(request, steps=0), plan_sheets(request, steps=1500)
    placed_area = {piece.id: piece.length * piece.width for piece in request.pieces}
    missing = [sum(placed_area[left.piece] * left.count for left in plan.unplaced) for plan in (few, many)]
    assert (missing[1], many.price) <= (missing[0], few.price)
