"""Plans for the router: pieces apart by the spacing, not parted from edge to edge."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from tests.cut_checker import faults_of_sheet_plan
from webapp.costing.cutting.ask.model import SheetPiece, SheetPlan, SheetRequest, SheetStock, Trim
from webapp.costing.cutting.ask.router_tabs import Tab, tabs_of
from webapp.costing.cutting.sheets.plan import plan_sheets


def plan_checked(request: SheetRequest) -> SheetPlan:
    plan = plan_sheets(request, steps=2000)
    assert faults_of_sheet_plan(request, plan) == []
    return plan


def test_a_pinwheel_fits_one_sheet_by_router_and_two_by_saw() -> None:
    """Four pieces of 17 x 13 about one of 4 x 4 fill 30 x 30; no cut from edge to edge parts them."""
    stock = SheetStock("sheet", 30, 30, Trim.all_round(0), Fraction(7))
    pieces = (SheetPiece("long", 17, 13, 4, True), SheetPiece("middle", 4, 4, 1, True))
    request = SheetRequest(0, "router", (stock,), pieces)
    plan = plan_checked(request)
    assert plan.proved
    assert plan.price == 7
    assert (plan.cuts, plan.cut_length) == (5, 4 * 60 + 16)
    assert plan_checked(replace(request, method="saw")).price == 14


def test_the_spacing_lies_between_pieces_and_the_border_about_them() -> None:
    """Two pieces of 40, a spacing of 8 and a border of 6 on both sides make 100."""
    piece = (SheetPiece("half", 40, 50, 2, False),)
    for length, price in ((100, 3), (99, 6)):
        stock = SheetStock("sheet", length, 62, Trim.all_round(6), Fraction(3))
        assert plan_checked(SheetRequest(8, "router", (stock,), piece)).price == price


def test_the_rules_of_the_saw_do_not_bind_the_router() -> None:
    stock = SheetStock("sheet", 100, 100, Trim.all_round(0), Fraction(1))
    request = SheetRequest(3, "router", (stock,), (SheetPiece("peg", 9, 4, 3, False),), 50, 0)
    assert plan_checked(request).unplaced == ()


def test_a_group_is_one_block_by_router_too() -> None:
    stock = SheetStock("sheet", 60, 60, Trim.all_round(2), Fraction(1))
    fronts = tuple(SheetPiece(name, 50, 16, 1, False, "fronts") for name in ("top", "middle", "low"))
    plan = plan_checked(SheetRequest(4, "router", (stock,), fronts))
    assert [one.y for one in plan.sheets[0].placements] == [2, 22, 42]


def test_a_small_piece_is_held_by_two_tabs_on_its_long_edges() -> None:
    assert tabs_of(80, 40, spacing=250, length=8, below=150) == (Tab(40, 0, True), Tab(40, 40, True))
    assert tabs_of(40, 80, spacing=250, length=8, below=150) == (Tab(40, 40, False), Tab(0, 40, False))


def test_tabs_are_counted_by_the_outline_and_spread_evenly() -> None:
    """A rail of 900 x 100 has an outline of 2,000 and so eight tabs, four on each long edge."""
    tabs = tabs_of(900, 100, spacing=250, length=8, below=150)
    assert [tab.x for tab in tabs if tab.y == 0] == [112, 337, 562, 787]
    assert [tab.x for tab in tabs if tab.y == 100] == [112, 337, 562, 787]
    assert len(tabs) == 8


def test_a_large_piece_has_no_tabs_and_a_tiny_one_only_those_it_has_room_for() -> None:
    assert tabs_of(600, 150, spacing=250, length=8, below=150) == ()
    assert tabs_of(20, 10, spacing=1, length=8, below=150) == (Tab(10, 0, True), Tab(10, 10, True))
