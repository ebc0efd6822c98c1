"""Whatever is asked for, a plan keeps the rules of cutting and its bound is true."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from tests.cut_checker import faults_of_length_plan, faults_of_sheet_plan
from tests.cut_least import least_length_price, least_sheet_price
from tests.harness.examples import examples
from webapp.costing.cutting.ask.model import (
    CutSheet,
    LengthPiece,
    LengthPlan,
    LengthRequest,
    LengthStock,
    SheetPiece,
    SheetPlan,
    SheetRequest,
    SheetStock,
    Splice,
    Trim,
)
from webapp.costing.cutting.laying.problem import pose_sheet_problem
from webapp.costing.cutting.lengths.plan import plan_lengths
from webapp.costing.cutting.saw.sequence import SawCut, sawn_sheet, workpieces
from webapp.costing.cutting.sheets.placing import laid_again
from webapp.costing.cutting.sheets.plan import plan_sheets

PRICES = st.sampled_from((0, 1, 7)) | st.integers(0, 300)


@st.composite
def sheet_requests(draw: st.DrawFn, largest: int, kinds: int, most: int, plain: bool = False) -> SheetRequest:
    """Requests in which some pieces fit everywhere, some only turned or only on one stock, and some nowhere.

    A plain one is for the saw, without limits and without pieces that belong together.
    """
    kerf = draw(st.integers(0, largest // 10))
    stocks = tuple(
        SheetStock(
            f"stock {number}",
            draw(st.integers(largest // 2, largest)),
            draw(st.integers(largest // 2, largest)),
            Trim(*(draw(st.integers(0, largest // 12)) for _ in range(4))),
            Fraction(draw(PRICES), 4),
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
            "" if plain else draw(st.sampled_from(("", "", "fronts", "sides"))),
        )
        for number in range(draw(st.integers(1, kinds)))
    )
    if plain or draw(st.integers(0, 3)) == 0:
        return SheetRequest(kerf, "saw", stocks, pieces)
    if draw(st.booleans()):
        return SheetRequest(kerf, "router", stocks, pieces)
    return SheetRequest(
        kerf,
        "saw",
        stocks,
        pieces,
        smallest_strip=draw(st.just(0) | st.integers(1, largest // 3)),
        most_turns=draw(st.none() | st.integers(0, 3)),
    )


@st.composite
def length_requests(draw: st.DrawFn, largest: int, kinds: int, most: int, longest: int) -> LengthRequest:
    """The same for lengths, with reserves for defects and pieces that may be spliced."""
    stocks = tuple(
        LengthStock(
            f"stock {number}",
            draw(st.integers(largest // 2, largest)),
            draw(st.integers(0, largest // 12)),
            Fraction(draw(PRICES), 4),
            draw(st.none() | st.integers(0, 3)),
            Fraction(draw(st.sampled_from((0, 0, 5, 33))), 100),
        )
        for number in range(draw(st.integers(1, 3)))
    )
    pieces = tuple(
        LengthPiece(
            f"piece {number}", draw(st.integers(1, longest)), draw(st.integers(0, most)), spliceable=draw(st.booleans())
        )
        for number in range(draw(st.integers(1, kinds)))
    )
    lap = draw(st.integers(0, largest // 10))
    splice = Splice(lap, 2 * lap + draw(st.integers(1, largest // 4)))
    return LengthRequest(draw(st.integers(0, largest // 10)), stocks, pieces, draw(st.sampled_from((None, splice))))


def cuts_of(request: SheetRequest, sheet: CutSheet) -> list[SawCut]:
    """The cuts of one sheet as the cut list writes them down."""
    return [cut for piece in workpieces(sawn_sheet(request, sheet)) for cut in piece.cuts]


@given(sheet_requests(largest=60, kinds=8, most=6))
@examples(150)
def test_a_sheet_plan_keeps_the_rules(request: SheetRequest) -> None:
    plan = plan_sheets(request, steps=600)
    assert faults_of_sheet_plan(request, plan) == []
    if request.method == "saw":
        made = [(sheet.count, cut) for sheet in plan.sheets for cut in cuts_of(request, sheet)]
        assert (plan.cuts, plan.cut_length) == (sum(count for count, _ in made), sum(c * cut.length for c, cut in made))


def held_to_the_least(request: SheetRequest) -> None:
    """The bound is not above what trying everything finds, the price not below it, and both meet it if proved.

    Pieces kept together lie as one block, so they may be left out where they could have lain on one sheet otherwise.
    """
    least = least_sheet_price(request)
    plan = plan_sheets(request, steps=600)
    assert faults_of_sheet_plan(request, plan) == []
    if least is not None:
        assert plan.bound <= least
        assert plan.unplaced or plan.price >= least
        if plan.proved and not (plan.unplaced and any(piece.together for piece in request.pieces)):
            assert plan.price == least


@given(sheet_requests(largest=12, kinds=3, most=2, plain=True))
@examples(120)
def test_the_bound_for_sheets_is_never_above_the_least_price(request: SheetRequest) -> None:
    held_to_the_least(request)


@given(sheet_requests(largest=9, kinds=4, most=1))
@examples(100)
def test_nor_is_it_with_limits_with_groups_and_for_the_router(request: SheetRequest) -> None:
    held_to_the_least(request)


@given(length_requests(largest=90, kinds=8, most=8, longest=200))
@examples(100)
def test_a_length_plan_keeps_the_rules(request: LengthRequest) -> None:
    assert faults_of_length_plan(request, plan_lengths(request, steps=40)) == []


@given(length_requests(largest=30, kinds=3, most=2, longest=20))
@examples(150)
def test_a_small_length_plan_is_the_cheapest_and_proved(request: LengthRequest) -> None:
    plan = plan_lengths(request)
    assert faults_of_length_plan(request, plan) == []
    pieces = tuple(piece for piece in request.pieces if piece.id not in {part.piece for part in plan.parts})
    counts = {piece.id: piece.count for piece in request.pieces}
    parts = tuple(LengthPiece(part.id, part.length, counts[part.piece]) for part in plan.parts)
    least = least_length_price(replace(request, pieces=pieces + parts))
    if least is not None:
        assert plan.price == least
        assert plan.proved


@given(sheet_requests(largest=60, kinds=6, most=5), st.integers(0, 5))
@examples(25)
def test_the_same_seed_and_steps_give_the_same_plan(request: SheetRequest, seed: int) -> None:
    assert plan_sheets(request, steps=900, seed=seed) == plan_sheets(request, steps=900, seed=seed)


@given(length_requests(largest=90, kinds=8, most=8, longest=120), st.integers(0, 5))
@examples(15)
def test_the_same_seed_and_steps_give_the_same_lengths(request: LengthRequest, seed: int) -> None:
    assert plan_lengths(request, steps=60, seed=seed) == plan_lengths(request, steps=60, seed=seed)


def missing_area(request: SheetRequest, plan: SheetPlan) -> int:
    """The area of the pieces that found no place."""
    areas = {piece.id: piece.length * piece.width for piece in request.pieces}
    return sum(areas[left.piece] * left.count for left in plan.unplaced)


@given(sheet_requests(largest=60, kinds=6, most=5))
@examples(30)
def test_more_steps_never_cost_more(request: SheetRequest) -> None:
    few, many = plan_sheets(request, steps=0), plan_sheets(request, steps=1500)
    assert (missing_area(request, many), many.price) <= (missing_area(request, few), few.price)


@given(sheet_requests(largest=60, kinds=6, most=5, plain=True))
@examples(30)
def test_the_router_never_costs_more_than_the_saw(request: SheetRequest) -> None:
    sawn, routed = plan_sheets(request, steps=600), plan_sheets(replace(request, method="router"), steps=600)
    assert (missing_area(request, routed), routed.price) <= (missing_area(request, sawn), sawn.price)


@given(sheet_requests(largest=60, kinds=6, most=5), st.integers(1, 3))
@examples(30)
def test_watched_sheets_only_get_better_and_stop_when_told(request: SheetRequest, most: int) -> None:
    shown: list[SheetPlan] = []

    def watch(plan: SheetPlan) -> bool:
        shown.append(plan)
        return len(shown) < most

    last = plan_sheets(request, steps=900, watch=watch)
    assert len(shown) <= most
    for plan in (*shown, last):
        assert faults_of_sheet_plan(request, plan) == []
    for before, after in pairwise((*shown, last)):
        assert (missing_area(request, after), after.price) <= (missing_area(request, before), before.price)
        assert after.bound >= before.bound or after.unplaced != before.unplaced


@given(sheet_requests(largest=60, kinds=6, most=5), st.integers(0, 2))
@examples(30)
def test_a_plan_known_before_is_kept_or_bettered_if_it_still_is_one(request: SheetRequest, other: int) -> None:
    known = plan_sheets(request, steps=900)
    assert laid_again(pose_sheet_problem(request)[0], known) is not None
    again = plan_sheets(request, steps=0, start=known)
    assert faults_of_sheet_plan(request, again) == []
    assert (missing_area(request, again), again.price) <= (missing_area(request, known), known.price)
    pieces = tuple(
        replace(piece, count=max(0, piece.count - other), width=piece.width + other)
        for piece in reversed(request.pieces)
    )
    stocks = tuple(
        replace(stock, price=stock.price + 1, trim=stock.trim._replace(low=stock.trim.low + other))
        for stock in request.stocks
    )
    changed = replace(request, kerf=request.kerf + other, pieces=pieces, stocks=stocks)
    assert faults_of_sheet_plan(changed, plan_sheets(changed, steps=300, start=known)) == []


@given(length_requests(largest=90, kinds=6, most=6, longest=200), st.integers(1, 3), st.integers(0, 2))
@examples(30)
def test_lengths_are_watched_and_started_alike(request: LengthRequest, most: int, fewer: int) -> None:
    shown: list[LengthPlan] = []

    def watch(plan: LengthPlan) -> bool:
        shown.append(plan)
        return len(shown) < most

    last = plan_lengths(request, steps=40, watch=watch)
    assert len(shown) <= most
    for plan in (*shown, last):
        assert faults_of_length_plan(request, plan) == []
    for before, after in pairwise((*shown, last)):
        assert after.price <= before.price or len(after.unplaced) < len(before.unplaced)
    pieces = tuple(replace(piece, count=max(0, piece.count - fewer)) for piece in reversed(request.pieces))
    stocks = tuple(replace(stock, price=stock.price + 1, length=stock.length - fewer) for stock in request.stocks)
    changed = replace(request, pieces=pieces, stocks=stocks)
    assert faults_of_length_plan(changed, plan_lengths(changed, steps=40, start=last)) == []
