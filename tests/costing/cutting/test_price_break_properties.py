"""Where a price hangs on how many are bought, no plan is dearer than the best of all purchases, tried one by one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from tests.cut_checker import faults_of_length_plan, faults_of_sheet_plan, least_paid
from tests.harness.examples import examples
from webapp.costing.cutting.ask.model import (
    LengthPiece,
    LengthRequest,
    LengthStock,
    PriceBreak,
    SheetPiece,
    SheetRequest,
    SheetStock,
    Trim,
)
from webapp.costing.cutting.ask.price_breaks import counts_bought, whole_beyond
from webapp.costing.cutting.lengths.plan import plan_lengths
from webapp.costing.cutting.sheets.plan import plan_sheets
from webapp.costing.plans.rank import better_plan


@st.composite
def _breaks(draw: st.DrawFn) -> tuple[PriceBreak, ...]:
    """One to three prices, mostly falling, the first now and then from two on."""
    numbers = sorted(draw(st.sets(st.integers(1, 6), min_size=1, max_size=3)))
    if draw(st.integers(0, 2)):
        numbers = sorted({1, *numbers})
    return tuple((number, Fraction(draw(st.integers(4, 40)), 2)) for number in numbers)


@st.composite
def _length_requests(draw: st.DrawFn) -> LengthRequest:
    stocks = []
    for name in ("a", "b")[: draw(st.integers(1, 2))]:
        breaks = draw(_breaks())
        stocks.append(LengthStock(name, draw(st.integers(8, 20)), 0, breaks[0][1], None, Fraction(0), breaks))
    longest = max(stock.length for stock in stocks)
    pieces = tuple(
        LengthPiece(str(number), draw(st.integers(3, longest)), draw(st.integers(1, 3)))
        for number in range(draw(st.integers(1, 2)))
    )
    return LengthRequest(draw(st.integers(0, 1)), tuple(stocks), pieces)


@st.composite
def _sheet_requests(draw: st.DrawFn) -> SheetRequest:
    stocks = []
    for name in ("a", "b")[: draw(st.integers(1, 2))]:
        breaks = draw(_breaks())
        side = draw(st.integers(6, 10))
        stocks.append(SheetStock(name, side, side, Trim.all_round(0), breaks[0][1], breaks=breaks))
    # Pieces of which none lies beside another: which sheets hold them follows from their sides alone.
    side = max(stock.length for stock in stocks)
    pieces = tuple(
        SheetPiece(str(number), length, length, draw(st.integers(1, 4)), False)
        for number, length in enumerate(draw(st.sets(st.integers(side // 2 + 1, side), min_size=1, max_size=2)))
    )
    return SheetRequest(0, "saw", tuple(stocks), pieces)


def _purchases(request: LengthRequest) -> Iterator[tuple[int, ...]]:
    """How many of each stock can hold all pieces, every way of sharing them out tried."""
    sizes = [piece.length for piece in request.pieces for _ in range(piece.count)]
    found: dict[frozenset[int], set[tuple[int, ...]]] = {frozenset(): {(0,) * len(request.stocks)}}

    def ways(members: frozenset[int]) -> set[tuple[int, ...]]:
        if members not in found:
            first, *others = sorted(members)
            held: set[tuple[int, ...]] = set()
            for size in range(len(others) + 1):
                for chosen in combinations(others, size):
                    together = (first, *chosen)
                    taken = sum(sizes[one] for one in together) + request.kerf * (len(together) - 1)
                    for place, stock in enumerate(request.stocks):
                        if taken <= stock.length:
                            for rest in ways(members - set(together)):
                                held.add(tuple(n + (p == place) for p, n in enumerate(rest)))
            found[members] = held
        return found[members]

    yield from ways(frozenset(range(len(sizes))))


@examples(40)
@given(_length_requests())
def test_lengths_are_never_dearer_than_the_best_of_all_purchases(request: LengthRequest) -> None:
    least = min(
        sum(least_paid(stock, number) for stock, number in zip(request.stocks, counts, strict=True))
        for counts in _purchases(request)
    )
    plan = plan_lengths(request)
    assert faults_of_length_plan(request, plan) == []
    assert plan.bound <= least == plan.price


@examples(40)
@given(_sheet_requests())
def test_sheets_are_never_dearer_than_the_best_of_all_purchases(request: SheetRequest) -> None:
    pieces = [piece.length for piece in request.pieces for _ in range(piece.count)]
    counts = {(0,) * len(request.stocks)}
    for length in pieces:
        counts = {
            tuple(n + (p == place) for p, n in enumerate(held))
            for held in counts
            for place, stock in enumerate(request.stocks)
            if length <= stock.length
        }
    least = min(
        sum(least_paid(stock, number) for stock, number in zip(request.stocks, held, strict=True)) for held in counts
    )
    plan = plan_sheets(request)
    assert faults_of_sheet_plan(request, plan) == []
    # A small piece may still lie beside another on a large sheet of two, so that less than this may be had.
    assert plan.bound <= plan.price <= least


@examples(20)
@given(_length_requests(), st.permutations(range(2)))
def test_order_and_splitting_of_pieces_change_no_price(request: LengthRequest, order: list[int]) -> None:
    split = tuple(
        replace(piece, id=f"{piece.id} {number}", count=1) for piece in request.pieces for number in range(piece.count)
    )
    stocks = tuple(request.stocks[place] for place in order if place < len(request.stocks))
    asked = replace(request, stocks=stocks, pieces=tuple(reversed(split)))
    assert plan_lengths(asked).price == plan_lengths(request).price


@examples(15)
@given(_length_requests(), st.integers(0, 6))
def test_a_watched_search_tells_true_bounds_and_stops_when_told(request: LengthRequest, most: int) -> None:
    least, seen = plan_lengths(request).price, []

    def watch(plan: object) -> bool:
        seen.append(plan)
        return len(seen) < most

    stopped = plan_lengths(request, watch=watch)
    assert stopped.bound <= least <= stopped.price
    assert all(one.bound <= least for one in seen)  # type: ignore[attr-defined]
    assert better_plan(stopped, plan_lengths(request, start=stopped), request).price == least


def _full_sheets(number: int, *stocks: SheetStock) -> SheetRequest:
    return SheetRequest(0, "saw", stocks, (SheetPiece("panel", 100, 100, number, False),))


def _sheet(name: str, *breaks: tuple[int, str]) -> SheetStock:
    prices = tuple((least, Fraction(price)) for least, price in breaks)
    return SheetStock(name, 100, 100, Trim.all_round(0), prices[0][1], breaks=prices)


def test_one_sheet_more_is_bought_where_a_break_makes_it_cheaper() -> None:
    request = _full_sheets(4, _sheet("a", (1, "60"), (5, "45")))
    plan = plan_sheets(request)
    # Four at 60 are 240, five at 45 are 225.
    assert (plan.price, plan.bound, plan.proved) == (Fraction(225), Fraction(225), True)
    assert counts_bought(request.stocks, plan) == {"a": 5}
    assert whole_beyond(request.stocks, plan) == {"a": 1}


def test_a_break_is_reached_though_another_offer_is_cheaper_for_one() -> None:
    # Seven: 7 x 100 = 700 of the one offer; of the other 7 x 91.50 = 640.50, though one of it costs 108.
    plan = plan_sheets(_full_sheets(7, _sheet("a", (1, "108"), (5, "91.50")), _sheet("b", (1, "100"))))
    assert (plan.price, plan.proved) == (Fraction("640.50"), True)
    # Two: 216 or 200; five at 91.50 would be 457.50.
    plan = plan_sheets(_full_sheets(2, _sheet("a", (1, "108"), (5, "91.50")), _sheet("b", (1, "100"))))
    assert (plan.price, plan.proved) == (Fraction(200), True)


def test_what_is_sold_only_from_a_number_on_is_bought_whole_or_not_at_all() -> None:
    few, many = _sheet("few", (1, "100")), _sheet("many", (5, "45"))
    assert plan_sheets(_full_sheets(2, few, many)).price == 200
    request = _full_sheets(3, few, many)
    plan = plan_sheets(request)
    assert plan.price == 225
    assert counts_bought(request.stocks, plan) == {"many": 5}


def test_many_offers_with_breaks_are_proved_together() -> None:
    breaks = ((1, "60"), (4, "50"), (8, "40"))
    many = tuple(_sheet(f"offer {number}", *breaks) for number in range(4))
    plan = plan_sheets(_full_sheets(3, *many))
    # Three at 60 are 180 and four at 50 are 200, whoever sells them.
    assert (plan.price, plan.bound, plan.proved) == (Fraction(180), Fraction(180), True)


def test_packs_are_bought_whole_and_proved() -> None:
    # Four: a pack of three twice is 6 x 50 = 300; one pack and a single of the other offer are 150 + 70 = 220.
    packed, single = replace(_sheet("packed", (1, "50")), pack=3), _sheet("single", (1, "70"))
    request = _full_sheets(4, packed, single)
    plan = plan_sheets(request)
    assert (plan.price, plan.bound, plan.proved) == (Fraction(220), Fraction(220), True)
    assert counts_bought(request.stocks, plan) == {"packed": 3, "single": 1}
    # Of five, two packs at 45 from six on are 270; of two alone a whole pack is paid for.
    packed = replace(_sheet("packed", (1, "50"), (6, "45")), pack=3)
    request = _full_sheets(5, packed, single)
    plan = plan_sheets(request)
    assert (plan.price, plan.proved) == (Fraction(270), True)
    assert whole_beyond(request.stocks, plan) == {"packed": 1}
    assert plan_sheets(_full_sheets(2, packed, single)).price == 140


def test_no_more_are_bought_than_there_are() -> None:
    # Five at 45 would be less than four at 60; there are only four.
    scarce = replace(_sheet("scarce", (1, "60"), (5, "45")), available=4)
    plan = plan_sheets(_full_sheets(4, scarce))
    assert (plan.price, plan.bound, plan.proved) == (Fraction(240), Fraction(240), True)
    # Of five that are sold in packs of three, three can be had: the fourth has to come from elsewhere.
    packed = replace(_sheet("packed", (1, "50")), pack=3, available=5)
    assert plan_sheets(_full_sheets(4, packed, _sheet("dear", (1, "200")))).price == 350
    assert plan_sheets(_full_sheets(4, packed)).unplaced


def test_offers_of_one_size_share_what_is_cut_at_the_least_cost() -> None:
    # Nine: five of the one at 80 are 400 and four of the other at 85 are 340; nine of either are 810 or 765.
    rising, other = _sheet("rising", (1, "80"), (6, "90")), _sheet("other", (1, "85"))
    request = _full_sheets(9, rising, other)
    plan = plan_sheets(request)
    assert (plan.price, plan.proved) == (Fraction(740), True)
    assert counts_bought(request.stocks, plan) == {"rising": 5, "other": 4}
    again = plan_sheets(request, start=plan)
    assert (again.price, again.proved) == (Fraction(740), True)
