"""What the saw allows and what must come from one sheet, on small cases worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.cut_checker import faults_of_sheet_plan
from webapp.costing.cutting.ask.model import SheetPiece, SheetPlan, SheetRequest, SheetStock, Trim
from webapp.costing.cutting.ask.saw_rules import SawRules, can_part
from webapp.costing.cutting.laying.packing import PackedSheet, obeys
from webapp.costing.cutting.laying.problem import pose_sheet_problem
from webapp.costing.cutting.sheets.plan import plan_sheets


def asked(
    stock: tuple[int, int], *pieces: SheetPiece, kerf: int = 0, strip: int = 0, turns: int | None = None
) -> SheetRequest:
    one = SheetStock("sheet", *stock, Trim.all_round(0), Fraction(10))
    return SheetRequest(kerf, "saw", (one,), pieces, strip, turns)


def plan_checked(request: SheetRequest) -> SheetPlan:
    plan = plan_sheets(request, steps=3000)
    assert faults_of_sheet_plan(request, plan) == []
    return plan


def locked(name: str, length: int, width: int, count: int = 1, together: str = "") -> SheetPiece:
    return SheetPiece(name, length, width, count, False, together)


def test_turns_are_paid_for_in_sheets() -> None:
    """A sheet of 10 x 10: a post of 4 x 10, a rail of 6 x 5, two halves of 3 x 5: post, then rail, then the halves.

    With two turns all four come from one sheet (crosscut, rip, crosscut); with one each strip gives one length only.
    """
    pieces = (locked("post", 4, 10), locked("rail", 6, 5), locked("half", 3, 5, 2))
    assert plan_checked(asked((10, 10), *pieces, turns=2)).price == 10
    assert plan_checked(asked((10, 10), *pieces, turns=1)).price == 20


def test_cuts_in_one_direction_take_no_turn() -> None:
    strips = (locked("strip", 10, 3, 3),)
    assert plan_checked(asked((10, 10), *strips, turns=0)).price == 10
    refused = plan_checked(asked((10, 10), locked("block", 9, 3), turns=0))
    assert refused.unplaced[0].why == (
        "The piece 'block' can't be cut with no turn of the sheet between rip and cross cuts."
    )


def test_a_narrow_strip_is_not_cut_again() -> None:
    """Slats of 40 x 4 from 80 x 12: crosscut first, then rip, for a strip of 4 is not cut again.

    The last rip parts two slats, a workpiece of 8. Where the saw has to hold 10 they don't part, and each half of the
    sheet gives one slat.
    """
    slats = locked("slat", 40, 4, 6)
    assert plan_checked(asked((80, 12), slats, strip=8)).price == 10
    assert plan_checked(asked((80, 12), slats, strip=8, turns=1)).price == 10
    assert plan_checked(asked((80, 12), slats, strip=10)).price == 30
    assert plan_checked(asked((80, 12), locked("slat", 30, 4), strip=40)).sheets == ()


def test_a_piece_too_small_both_ways_is_named() -> None:
    plan = plan_checked(asked((80, 40), locked("peg", 9, 4), locked("lath", 10, 4), strip=10))
    assert [left.piece for left in plan.unplaced] == ["peg"]
    assert "'peg'" in plan.unplaced[0].why
    assert "smallest strip that the saw may hold" in plan.unplaced[0].why
    assert len(plan.sheets) == 1


def test_the_last_two_pieces_are_parted_from_a_workpiece_wide_enough() -> None:
    """Two laths of 4 and a kerf of 1 make a workpiece of 9: it may be cut where the saw holds 9, not where 10."""
    rules = SawRules(least=9 + 1)
    boxes = [(0, 0, 41, 5), (0, 5, 41, 10)]
    assert can_part(rules, boxes, (0, 0, 41, 10))
    assert not can_part(rules._replace(least=11), boxes, (0, 0, 41, 10))


def test_a_sheet_from_elsewhere_is_held_to_the_rules() -> None:
    """Four boxes about a middle can't be parted at all; a column of two strips takes one turn."""
    wheel = [(0, 0, 2, 1), (2, 0, 3, 2), (1, 2, 3, 3), (0, 1, 1, 3), (1, 1, 2, 2)]
    assert not can_part(SawRules(), wheel, (0, 0, 3, 3))
    request = asked((10, 10), locked("a", 5, 5, 4), turns=1)
    problem, _ = pose_sheet_problem(request)
    laid = PackedSheet(0, [(0, x, y, 0, 5, 5, True) for x in (0, 1) for y in (0, 1)], 4, 0)
    assert obeys(problem, laid)
    assert not obeys(replace(problem, rules=SawRules(most_turns=0)), laid)


def test_a_group_comes_from_one_sheet_though_it_costs_one_more() -> None:
    """Three fronts of 10 x 4 need a sheet of 12: two cheap ones of 11 hold them only apart."""
    fronts = locked("front", 10, 4, 3, "fronts")
    stocks = (
        SheetStock("small", 10, 11, Trim.all_round(0), Fraction(2)),
        SheetStock("large", 10, 12, Trim.all_round(0), Fraction(9)),
    )
    assert plan_checked(SheetRequest(0, "saw", stocks, (replace(fronts, together=""),))).price == 4
    assert plan_checked(SheetRequest(0, "saw", stocks, (fronts,))).price == 9


def test_a_group_lies_in_its_order_and_with_its_grain() -> None:
    """Two drawers and a door, listed so, on a sheet that holds them only one above the other."""
    pieces = tuple(locked(name, 60, width, 1, "front") for name, width in (("top", 14), ("middle", 20), ("door", 50)))
    plan = plan_checked(asked((70, 100), *pieces, kerf=3))
    assert [(one.piece, one.x, one.y) for one in plan.sheets[0].placements] == [
        ("top", 0, 0),
        ("middle", 0, 17),
        ("door", 0, 40),
    ]


def test_a_group_that_fits_neither_in_a_row_nor_a_stack_is_laid_in_rows() -> None:
    assert plan_checked(asked((25, 25), locked("door", 12, 12, 4, "doors"), kerf=1)).price == 10


@pytest.mark.parametrize(
    ("pieces", "said"),
    [
        ((locked("door", 12, 12, 5, "doors"),), "The pieces kept together as 'doors' are 5; with their grain one way"),
        ((locked("a", 5, 26, 1, "set"), locked("b", 5, 5, 1, "set")), "can't come from one sheet. The piece 'a' is"),
        (
            (locked("a", 20, 4, 1, "set"), SheetPiece("b", 5, 25, 1, True, "set"), locked("c", 25, 20, 1, "set")),
            "The pieces kept together as 'set' are 3; with their grain one way, no sheet holds them as one block.",
        ),
    ],
)
def test_a_group_that_no_sheet_holds_is_left_out_with_the_reason(pieces: tuple[SheetPiece, ...], said: str) -> None:
    plan = plan_checked(asked((25, 25), *pieces, locked("other", 5, 5)))
    assert {left.piece for left in plan.unplaced} == {piece.id for piece in pieces}
    assert all(said in left.why for left in plan.unplaced)
    assert [one.piece for sheet in plan.sheets for one in sheet.placements] == ["other"]


def test_a_group_is_left_out_whole_where_its_sheet_runs_out() -> None:
    stock = SheetStock("rest", 10, 12, Trim.all_round(0), Fraction(1), available=1)
    request = SheetRequest(0, "saw", (stock,), (locked("a", 10, 4, 2, "one"), locked("b", 10, 4, 2, "two")))
    plan = plan_checked(request)
    assert len(plan.unplaced) == 1
    assert "not enough sheets for the pieces kept together as" in plan.unplaced[0].why


def test_what_bounds_the_pieces_apart_bounds_the_groups() -> None:
    request = asked((10, 12), locked("front", 10, 4, 3, "fronts"), locked("lost", 10, 7, 2, "lost"))
    grouped, left_out = pose_sheet_problem(request)
    apart, left_out_apart = pose_sheet_problem(request, grouped=False)
    assert left_out == left_out_apart
    assert (grouped.count, apart.count) == (1, 3)
    assert grouped.piece_area(0) == 3 * apart.piece_area(0)
