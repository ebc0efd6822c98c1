"""Length plans on small cases worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.cut_checker import faults_of_length_plan
from webapp.costing.cutting.ask.checking import CutRequestError
from webapp.costing.cutting.ask.model import CutLength, LengthPiece, LengthPlan, LengthRequest, LengthStock, Splice
from webapp.costing.cutting.ask.splices import splices
from webapp.costing.cutting.lengths.patterns import all_patterns, best_patterns
from webapp.costing.cutting.lengths.plan import plan_lengths


def plan_checked(request: LengthRequest) -> LengthPlan:
    plan = plan_lengths(request)
    assert faults_of_length_plan(request, plan) == []
    return plan


def test_kerf_and_trim_decide_how_many_fit() -> None:
    """100 less two trims of 2 is 96: three of 30 need 90 and two kerfs of 3, exactly 96."""
    stock = (LengthStock("bar", 100, 2, Fraction(7)),)
    three = plan_checked(LengthRequest(3, stock, (LengthPiece("rail", 30, 3),)))
    assert three.lengths == (CutLength("bar", 1, (("rail", 2), ("rail", 35), ("rail", 68))),)
    assert three.cuts == 2 + 2
    assert plan_checked(LengthRequest(4, stock, (LengthPiece("rail", 30, 3),))).price == 14


def test_longest_first_is_not_the_cheapest_and_is_bettered() -> None:
    """From 10, longest first: 6 + 3, 5 + 2 + 2 and a third bar for the last 2; but 6 + 2 + 2 and 5 + 3 + 2 are two."""
    pieces = (LengthPiece("a", 6, 1), LengthPiece("b", 5, 1), LengthPiece("c", 3, 1), LengthPiece("d", 2, 3))
    plan = plan_checked(LengthRequest(0, (LengthStock("bar", 10, 0, Fraction(1)),), pieces))
    assert plan.price == 2
    assert plan.proved


def test_the_cheapest_mixture_of_lengths_is_bought() -> None:
    """A 120 holds leg + leg, leg + rail or three rails, a 96 leg + rail or two rails.

    Four legs, each with a rail, on 96s are 28; the five rails left take a 120 and a 96: 45 in all.
    """
    stocks = (LengthStock("ten foot", 120, 0, Fraction(10)), LengthStock("eight foot", 96, 0, Fraction(7)))
    plan = plan_checked(LengthRequest(0, stocks, (LengthPiece("leg", 54, 4), LengthPiece("rail", 36, 9))))
    assert plan.price == 45
    assert plan.proved


def test_remnants_on_the_rack_are_used_and_no_more_of_them_than_there_are() -> None:
    stocks = (LengthStock("new", 120, 0, Fraction(10)), LengthStock("remnant", 60, 0, Fraction(0), 2))
    plan = plan_checked(LengthRequest(0, stocks, (LengthPiece("leg", 55, 5),)))
    assert plan.price == plan.bound == 20
    assert plan.proved


def test_a_remnant_is_left_to_the_pieces_that_need_it() -> None:
    """Two of 10 share the remnant of 20, or 10 and 8, or 11 and 8; the remnant of 12 holds one of 11, 10 or 8.

    The other five of the eight pieces take a new length each: 5 x 14 + 3 + 3.
    """
    stocks = (
        LengthStock("new", 15, 0, Fraction(14)),
        LengthStock("long remnant", 20, 0, Fraction(3), 1),
        LengthStock("short remnant", 12, 0, Fraction(3), 1),
    )
    sizes = ((15, 1), (11, 3), (10, 3), (8, 1))
    plan = plan_checked(LengthRequest(0, stocks, tuple(LengthPiece(str(size), size, n) for size, n in sizes)))
    assert plan.price == plan.bound == 76
    assert plan.proved


def test_a_piece_too_long_and_stock_that_runs_out_are_each_said() -> None:
    stocks = (LengthStock("bar", 100, 0, Fraction(1), 1),)
    plan = plan_checked(LengthRequest(0, stocks, (LengthPiece("mast", 101, 1), LengthPiece("leg", 60, 2))))
    assert {left.piece: left.why for left in plan.unplaced} == {
        "mast": "The piece 'mast' is longer than the usable part of every stock length.",
        "leg": "There is not enough stock for 1 of the piece 'leg'.",
    }


def test_equal_lengths_under_different_names_keep_their_names() -> None:
    request = LengthRequest(
        1, (LengthStock("bar", 100, 0, Fraction(1)),), (LengthPiece("left", 30, 2), LengthPiece("right", 30, 2))
    )
    names = sorted(name for length in plan_checked(request).lengths for name, _ in length.pieces * length.count)
    assert names == ["left", "left", "right", "right"]


def test_everything_wrong_with_a_request_is_said_at_once() -> None:
    request = LengthRequest(
        50, (LengthStock("bar", 40, 30, Fraction(-1)),), (LengthPiece("a", 0, 1), LengthPiece("a", 5, -1))
    )
    with pytest.raises(CutRequestError) as caught:
        plan_lengths(request)
    said = str(caught.value)
    for fact in ("kerf is as wide", "leaves nothing", "price of -1", "length of 0", "more than once", "count of -1"):
        assert fact in said


@pytest.mark.parametrize("unit", [1, 1_000_003])
def test_the_best_pattern_is_the_best_by_table_and_by_search(unit: int) -> None:
    """Room 10: sizes 6, 4, 3 worth 13, 8, 5: 6 + 4 is 21; with one 4 gone 6 + 3 is 18. By hand."""
    sizes = [6 * unit, 4 * unit, 3 * unit]
    best = best_patterns(sizes, [1, 1, 3], [13, 8, 5], [10 * unit, 9 * unit], 10**6)
    assert [(found.pattern, found.worth, found.at_most) for found in best] == [
        (((0, 1), (1, 1)), 21, 21),
        (((0, 1), (2, 1)), 18, 18),
    ]


def test_all_full_patterns_are_found() -> None:
    """Room 120, 54 x 4 and 36 x 9: 2 + 0, 1 + 1 and 0 + 3 are full."""
    assert sorted(all_patterns([54, 36], [4, 9], 120, 100) or []) == [((0, 1), (1, 1)), ((0, 2),), ((1, 3),)]
    assert all_patterns([54, 36], [4, 9], 120, 2) is None


def test_a_share_of_each_length_stays_free_for_defects() -> None:
    """100 less two trims of 2 is 96; a twelfth of it, 8, stays free: 88 holds two of 42 with a kerf of 3, not of 43."""
    stock = (LengthStock("bar", 100, 2, Fraction(7), reserve=Fraction(1, 12)),)
    assert plan_checked(LengthRequest(3, stock, (LengthPiece("rail", 42, 2),))).price == 7
    assert plan_checked(LengthRequest(3, stock, (LengthPiece("rail", 43, 2),))).price == 14


def test_a_piece_longer_than_the_stock_is_spliced_of_the_fewest_parts() -> None:
    """150 of 100s with a lap of 10: 100 and 60. With 65 the shortest, the first gives up 5: 95 and 65."""
    stock = (LengthStock("bar", 100, 0, Fraction(5)),)
    rail = LengthPiece("rail", 150, 2, spliceable=True)
    plan = plan_checked(LengthRequest(0, stock, (rail,), Splice(10, 20)))
    assert [part.length for part in plan.parts] == [100, 60]
    assert plan.price == 20
    assert splices(plan) == 2
    plan = plan_checked(LengthRequest(0, stock, (rail, LengthPiece("tie", 40, 2)), Splice(10, 20)))
    assert plan.price == 20
    assert [part.length for part in plan_checked(LengthRequest(0, stock, (rail,), Splice(10, 65))).parts] == [95, 65]
    whole = plan_checked(LengthRequest(0, stock, (replace(rail, spliceable=False),), Splice(10, 20)))
    assert whole.unplaced[0].count == 2


def test_a_spliced_piece_is_placed_with_all_its_parts_or_left_out() -> None:
    """Three bars hold one rail of two parts, and not half of the other."""
    stock = (LengthStock("bar", 100, 0, Fraction(5), 3),)
    plan = plan_checked(LengthRequest(0, stock, (LengthPiece("rail", 190, 2, spliceable=True),), Splice(0, 1)))
    assert [(left.piece, left.count) for left in plan.unplaced] == [("rail", 1)]
    assert plan.price == 10
    assert splices(plan) == 1


def test_wrong_splices_and_reserves_are_said() -> None:
    request = LengthRequest(
        1, (LengthStock("bar", 100, 0, Fraction(1), reserve=Fraction(1)),), (LengthPiece("a", 5, 1),), Splice(10, 15)
    )
    with pytest.raises(CutRequestError) as caught:
        plan_lengths(request)
    assert "reserve of 1" in str(caught.value)
    assert "hold the laps of 10 at both its ends" in str(caught.value)


def test_a_start_is_kept_where_it_is_legal_and_the_watcher_stops_the_work() -> None:
    pieces = tuple(LengthPiece(str(size), size, 3) for size in (61, 53, 47, 43, 37, 31, 29, 23))
    request = LengthRequest(
        1, (LengthStock("bar", 150, 1, Fraction(3)), LengthStock("long", 210, 1, Fraction(4))), pieces
    )
    good = plan_checked(request)
    seen: list[LengthPlan] = []

    def stop(plan: LengthPlan) -> bool:
        seen.append(plan)
        return False

    kept = plan_lengths(request, steps=0, start=good)
    assert kept.price == good.price
    stopped = plan_lengths(request, watch=stop)
    assert len(seen) == 1
    assert faults_of_length_plan(request, stopped) == []
    thinner = replace(request, stocks=tuple(replace(one, length=one.length - 40) for one in request.stocks))
    assert faults_of_length_plan(thinner, plan_lengths(thinner, steps=0, start=good)) == []
