"""Sheet plans on small cases worked out by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.cut_checker import faults_of_sheet_plan
from tests.cut_parting import parts_edge_to_edge
from webapp.costing.cutting.ask.checking import CutRequestError
from webapp.costing.cutting.ask.model import Placement, SheetPiece, SheetPlan, SheetRequest, SheetStock, Trim
from webapp.costing.cutting.laying.problem import pose_sheet_problem
from webapp.costing.cutting.sheets.plan import plan_sheets


def a_sheet(length: int, width: int, price: int = 10, available: int | None = None, trim: int = 0) -> SheetStock:
    return SheetStock(f"{length} x {width}", length, width, Trim.all_round(trim), Fraction(price), available)


def plan_checked(request: SheetRequest, steps: int = 3000) -> SheetPlan:
    plan = plan_sheets(request, steps=steps)
    assert faults_of_sheet_plan(request, plan) == []
    return plan


def test_pieces_that_fill_a_sheet_to_the_last_cut_fit_exactly() -> None:
    """78 strips of 1-5/64 in and 77 kerfs of 1/8 in fill the sheet; on one a nanometre narrower they don't fit."""
    strip, kerf = 27_384_375, 3_175_000
    width = 78 * strip + 77 * kerf
    pieces = (SheetPiece("strip", 1_000_000_000, strip, 78, may_turn=False),)
    exact = SheetRequest(
        kerf, "saw", (SheetStock("sheet", 1_000_000_000, width, Trim.all_round(0), Fraction(1)),), pieces
    )
    assert plan_checked(exact).price == 1
    short = SheetRequest(
        kerf, "saw", (SheetStock("sheet", 1_000_000_000, width - 1, Trim.all_round(0), Fraction(1)),), pieces
    )
    assert plan_checked(short).price == 2


def test_the_kerf_is_needed_between_pieces_but_not_beyond_the_last() -> None:
    pieces = (SheetPiece("half", 48, 100, 2, may_turn=False),)
    assert plan_checked(SheetRequest(4, "saw", (a_sheet(100, 100),), pieces)).price == 10
    assert plan_checked(SheetRequest(5, "saw", (a_sheet(100, 100),), pieces)).price == 20


def test_trim_is_taken_off_all_four_sides() -> None:
    pieces = (SheetPiece("top", 80, 60, 1, may_turn=False),)
    plan = plan_checked(SheetRequest(3, "saw", (a_sheet(100, 80, trim=10),), pieces))
    assert plan.sheets[0].placements == (Placement("top", 10, 10, turned=False),)
    bigger = (SheetPiece("top", 81, 60, 1, may_turn=False),)
    refused = plan_checked(SheetRequest(3, "saw", (a_sheet(100, 80, trim=10),), bigger))
    assert refused.sheets == ()
    assert "larger than the usable part" in refused.unplaced[0].why


def test_grain_keeps_a_piece_from_turning() -> None:
    """A piece of 50 x 101 fits a sheet of 101 x 60 only when turned."""
    stock = (a_sheet(101, 60),)
    assert plan_checked(SheetRequest(0, "saw", stock, (SheetPiece("a", 50, 101, 1, may_turn=True),))).price == 10
    locked = plan_checked(SheetRequest(0, "saw", stock, (SheetPiece("a", 50, 101, 1, may_turn=False),)))
    assert [(left.piece, left.count) for left in locked.unplaced] == [("a", 1)]
    assert "may not turn" in locked.unplaced[0].why


def test_a_pinwheel_needs_a_second_sheet() -> None:
    """Four pieces of 3 x 2 round a hole of 1 x 1 lie on a sheet of 5 x 5, but no cut from edge to edge parts them."""
    pinwheel = [(0, 0, 3, 2), (3, 0, 5, 3), (2, 3, 5, 5), (0, 2, 2, 5)]
    assert not parts_edge_to_edge(pinwheel, 0)
    request = SheetRequest(0, "saw", (a_sheet(5, 5),), (SheetPiece("arm", 3, 2, 4, may_turn=True),))
    assert plan_checked(request).price == 20


def test_the_cheapest_mixture_of_sizes_is_bought() -> None:
    """Five 50 x 50: a 100 x 100 at 40 holds four, a 50 x 50 at 12 one. 40 + 12 beats 5 x 12 = 60 and 2 x 40 = 80."""
    stocks = (a_sheet(100, 100, price=40), a_sheet(50, 50, price=12))
    plan = plan_checked(SheetRequest(0, "saw", stocks, (SheetPiece("tile", 50, 50, 5, may_turn=True),)))
    assert plan.price == plan.bound == 52
    assert plan.proved


def test_offcuts_on_the_rack_are_used_first_and_no_more_of_them_than_there_are() -> None:
    stocks = (a_sheet(100, 100, price=40), a_sheet(50, 50, price=0, available=3))
    plan = plan_checked(SheetRequest(0, "saw", stocks, (SheetPiece("tile", 50, 50, 7, may_turn=True),)))
    assert plan.price == plan.bound == 40
    assert plan.proved


def test_when_stock_runs_out_the_rest_is_unplaced_with_the_reason() -> None:
    stocks = (a_sheet(100, 100, available=1),)
    plan = plan_checked(SheetRequest(0, "saw", stocks, (SheetPiece("tile", 60, 60, 3, may_turn=True),)))
    assert [(left.piece, left.count) for left in plan.unplaced] == [("tile", 2)]
    assert "not enough sheets" in plan.unplaced[0].why
    assert not plan.proved


def test_stock_of_which_none_is_left_holds_nothing() -> None:
    pieces = (SheetPiece("a", 3, 3, 2, may_turn=True),)
    plan = plan_checked(SheetRequest(0, "saw", (a_sheet(9, 9, available=0),), pieces))
    assert plan.sheets == ()
    assert "none is available" in plan.unplaced[0].why


def test_equal_sizes_under_different_names_keep_their_names() -> None:
    pieces = (SheetPiece("left", 40, 30, 2, may_turn=True), SheetPiece("right", 30, 40, 2, may_turn=True))
    plan = plan_checked(SheetRequest(1, "saw", (a_sheet(100, 100),), pieces))
    names = sorted(placement.piece for sheet in plan.sheets for placement in sheet.placements)
    assert names == ["left", "left", "right", "right"]


def test_alike_sheets_are_counted_together() -> None:
    request = SheetRequest(0, "saw", (a_sheet(100, 50),), (SheetPiece("a", 50, 50, 40, may_turn=False),))
    plan = plan_checked(request)
    assert [(sheet.count, len(sheet.placements)) for sheet in plan.sheets] == [(20, 2)]
    assert plan.fill == (("100 x 50", Fraction(1)),)


def test_cuts_are_counted_and_measured() -> None:
    """100 x 60 trimmed by 5 to 90 x 50, kerf 2; pieces 44 x 50 twice: four trims and one cut of 50 between them."""
    plan = plan_checked(
        SheetRequest(2, "saw", (a_sheet(100, 60, trim=5),), (SheetPiece("a", 44, 50, 2, may_turn=False),))
    )
    assert plan.cuts == 4 + 1
    assert plan.cut_length == 2 * 100 + 2 * (60 - 2 * 5) + 50


def test_a_plan_of_equal_price_leaves_the_larger_single_offcut() -> None:
    """One 60 x 40 from 100 x 100: cutting across first leaves 40 x 100, along first the larger 100 x 60."""
    request = SheetRequest(0, "saw", (a_sheet(100, 100),), (SheetPiece("a", 60, 40, 1, may_turn=False),))
    plan = plan_checked(request)
    assert plan.cut_length == 100 + 40


def test_nothing_to_cut_costs_nothing() -> None:
    plan = plan_checked(SheetRequest(3, "saw", (a_sheet(100, 100),), (SheetPiece("a", 10, 10, 0, may_turn=True),)))
    assert plan.price == plan.bound == 0
    assert plan.proved
    assert not plan.sheets
    assert not plan.unplaced


def test_everything_wrong_with_a_request_is_said_at_once() -> None:
    request = SheetRequest(
        -1,
        "saw",
        (
            SheetStock("a", 100, 0, Trim.all_round(-3), Fraction(-1), -2),
            SheetStock("a", 20, 20, Trim.all_round(10), Fraction(1)),
        ),
        (SheetPiece("p", 0, -5, -1, may_turn=True), SheetPiece("p", 10, 10, 30_000, may_turn=True)),
    )
    with pytest.raises(CutRequestError) as caught:
        plan_sheets(request)
    said = str(caught.value)
    for fact in ("kerf", "width of 0", "trim of -3", "price of -1", "-2 available", "more than once", "leaves nothing",
                 "length of 0", "width of -5", "count of -1", "30,000 pieces"):  # fmt: skip
        assert fact in said


def test_ten_thousand_small_pieces_stopped_by_the_clock_have_a_whole_plan() -> None:
    pieces = tuple(SheetPiece(f"p{n}", 20 + n % 37, 15 + n % 23, 10, may_turn=bool(n % 2)) for n in range(1000))
    request = SheetRequest(3, "saw", (a_sheet(2440, 1220), a_sheet(1525, 1525, price=8)), pieces)
    plan = plan_sheets(request, steps=10**9, seconds=0.5)
    assert faults_of_sheet_plan(request, plan) == []
    assert plan.unplaced == ()


def test_sizes_to_the_last_nanometre_are_planned_as_well_as_round_ones() -> None:
    """A sheet of 6 by 3 m in nanometres is more than 64 bits hold; a piece of an odd number of them asks for that."""
    mm = 1_000_000
    sides = [(1210, 800), (930, 640), (1480, 520), (770, 700), (610, 330), (2120, 450)]
    round_sizes = tuple(SheetPiece(f"p{n}", a * mm, b * mm, 6, may_turn=True) for n, (a, b) in enumerate(sides))
    odd = tuple(SheetPiece(one.id, one.length - 1, one.width, one.count, may_turn=True) for one in round_sizes)
    stock = (a_sheet(6000 * mm, 3000 * mm),)
    asked = [SheetRequest(3 * mm, "saw", stock, pieces) for pieces in (round_sizes, odd)]
    assert [pose_sheet_problem(one)[0].tables.shortened > 0 for one in asked] == [False, True]
    plans = [plan_checked(one, 20_000) for one in asked]
    assert plans[0].price == plans[1].price
    assert not plans[1].unplaced
