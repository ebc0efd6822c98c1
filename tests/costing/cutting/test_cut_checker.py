"""The judge of cut plans finds what is wrong with a plan that breaks one rule at a time."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.cut_checker import faults_of_length_plan, faults_of_sheet_plan
from tests.cut_least import least_sheet_price
from tests.cut_parting import parts_within_limits
from webapp.costing.cutting.ask.model import (
    CutLength,
    CutSheet,
    LengthPiece,
    LengthPlan,
    LengthRequest,
    LengthStock,
    Placement,
    SheetPiece,
    SheetPlan,
    SheetRequest,
    SheetStock,
    Splice,
    SplicePart,
    Trim,
    Unplaced,
)

STOCK = SheetStock("sheet", 100, 50, Trim(5, 4, 3, 2), Fraction(7), 2)
TALL, FLAT = SheetPiece("tall", 10, 40, 2, False), SheetPiece("flat", 30, 20, 1, True)
REQUEST = SheetRequest(2, "saw", (STOCK,), (TALL, FLAT))
SHEET = CutSheet(
    "sheet", 1, (Placement("tall", 5, 3, False), Placement("tall", 17, 3, False), Placement("flat", 29, 3, True))
)
PLAN = SheetPlan((SHEET,), (), Fraction(7), Fraction(7), True, 0, 8, 300, (("sheet", Fraction(1400, 5000)),))


def moved(number: int, x: int, y: int, turned: bool = False) -> SheetPlan:
    """The good plan with one piece laid elsewhere."""
    placements = list(SHEET.placements)
    placements[number] = Placement(placements[number].piece, x, y, turned)
    return replace(PLAN, sheets=(replace(SHEET, placements=tuple(placements)),))


def test_a_good_plan_has_no_faults() -> None:
    assert faults_of_sheet_plan(REQUEST, PLAN) == []


@pytest.mark.parametrize(
    ("plan", "fault"),
    [
        (moved(0, 4, 3), "in the trim"),
        (moved(0, 5, 2), "in the trim"),
        (moved(0, 87, 3), "past the usable"),
        (moved(0, 86, 9), "past the usable"),
        (moved(1, 16, 3), "edge to edge"),
        (moved(1, 40, 30, True), "against its grain"),
        (replace(PLAN, sheets=(replace(SHEET, placements=SHEET.placements[:2]),)), "0 placed, 0 unplaced of 1"),
        (replace(PLAN, sheets=(replace(SHEET, count=2),)), "placed, 0 unplaced of 2"),
        (replace(PLAN, sheets=(SHEET, SHEET, SHEET)), "3 of sheet used, 2 available"),
        (replace(PLAN, price=Fraction(6), bound=Fraction(6)), "comes to 7"),
        (replace(PLAN, bound=Fraction(8)), "above the price"),
        (replace(PLAN, bound=Fraction(6)), "proved, but"),
        (replace(PLAN, fill=(("sheet", Fraction(1400, 4000)),)), "the fill"),
        (replace(PLAN, unplaced=(Unplaced("flat", 1, "No reason"),)), "no sentence"),
    ],
)
def test_each_broken_rule_is_found(plan: SheetPlan, fault: str) -> None:
    assert any(fault in found for found in faults_of_sheet_plan(REQUEST, plan))


def test_a_piece_left_out_though_it_fits_is_found() -> None:
    endless = replace(REQUEST, stocks=(replace(STOCK, available=None),), pieces=(FLAT,))
    plan = SheetPlan((), (Unplaced("flat", 1, "There is no room."),), Fraction(0), Fraction(0), False, 0, 0, 0, ())
    assert any("any number" in found for found in faults_of_sheet_plan(endless, plan))


def test_pieces_that_belong_together_come_from_one_sheet() -> None:
    together = replace(REQUEST, pieces=(replace(TALL, together="fronts"), replace(FLAT, together="fronts")))
    assert faults_of_sheet_plan(together, PLAN) == []
    apart = replace(
        PLAN,
        sheets=(replace(SHEET, placements=SHEET.placements[:1]), replace(SHEET, placements=SHEET.placements[1:])),
        price=Fraction(14),
        bound=Fraction(14),
        fill=(("sheet", Fraction(1400, 10000)),),
    )
    assert faults_of_sheet_plan(REQUEST, apart) == []
    assert faults_of_sheet_plan(together, apart) == ["the pieces of fronts come from 2 sheets"]


def test_the_cutter_needs_its_room_but_no_straight_cuts() -> None:
    ring = ((0, 0, 6, 3), (7, 0, 10, 6), (4, 7, 10, 10), (0, 4, 3, 10))
    pieces = tuple(SheetPiece(str(n), r[2] - r[0], r[3] - r[1], 1, False) for n, r in enumerate(ring))
    stock = SheetStock("sheet", 10, 10, Trim.all_round(0), Fraction(1))
    sheet = CutSheet("sheet", 1, tuple(Placement(str(n), r[0], r[1], False) for n, r in enumerate(ring)))
    fill = (("sheet", Fraction(sum(p.length * p.width for p in pieces), 100)),)
    plan = SheetPlan((sheet,), (), Fraction(1), Fraction(1), True, 0, 0, 0, fill)
    routed = SheetRequest(1, "router", (stock,), pieces)
    assert faults_of_sheet_plan(routed, plan) == []
    assert least_sheet_price(routed) == 1
    assert faults_of_sheet_plan(replace(routed, method="saw"), plan) == [
        "sheet 0 can't be parted by cuts from edge to edge"
    ]
    assert least_sheet_price(replace(routed, method="saw")) == 2
    assert len(faults_of_sheet_plan(replace(routed, kerf=2), plan)) == 4


@pytest.mark.parametrize(
    ("rectangles", "turns"),
    [
        ([(0, 0, 100, 50)], 0),
        ([(0, 0, 30, 50), (32, 0, 100, 50)], 0),
        ([(0, 0, 30, 50), (32, 0, 80, 50)], 0),
        ([(0, 0, 30, 20), (32, 0, 100, 20)], 1),
        ([(0, 0, 30, 20), (32, 0, 60, 18)], 1),
        ([(0, 0, 30, 20), (32, 0, 60, 50), (0, 22, 12, 50)], 2),
        ([(0, 0, 30, 20), (32, 0, 60, 50), (0, 22, 12, 50), (14, 22, 28, 40)], 3),
    ],
)
def test_turns_are_counted_along_the_deepest_path(rectangles: list[tuple[int, int, int, int]], turns: int) -> None:
    whole = (0, 0, 100, 50)
    assert parts_within_limits(whole, rectangles, 2, 0, turns)
    assert turns == 0 or not parts_within_limits(whole, rectangles, 2, 0, turns - 1)


@pytest.mark.parametrize(
    ("rectangles", "strip"),
    [
        # A slat comes off a sheet that is wide enough; the sheet itself is the narrowest workpiece.
        ([(0, 0, 5, 50), (7, 0, 40, 50)], 50),
        # Two slats, each off what is left of the sheet.
        ([(0, 0, 5, 50), (7, 0, 12, 50)], 50),
        # A slat that must be crosscut too: ripped last, from a strip as wide as the piece is long.
        ([(0, 0, 5, 20)], 20),
        # Between two neighbours the strip may be left wider than its piece and trimmed at the end.
        ([(0, 0, 10, 20), (20, 0, 90, 50), (0, 30, 10, 50)], 18),
    ],
)
def test_what_is_cut_again_is_wide_enough(rectangles: list[tuple[int, int, int, int]], strip: int) -> None:
    whole = (0, 0, 100, 50)
    assert parts_within_limits(whole, rectangles, 2, strip, None)
    assert not parts_within_limits(whole, rectangles, 2, strip + 1, None)


BAR = LengthStock("bar", 100, 5, Fraction(3), None, Fraction(1, 10))
RAIL = LengthPiece("rail", 150, 1, spliceable=True)
RAILS = LengthRequest(2, (BAR,), (RAIL, LengthPiece("block", 8, 1)), Splice(lap=4, shortest=20))
PARTS = (SplicePart("rail~1", "rail", 1, 2, 81), SplicePart("rail~2", "rail", 2, 2, 73))
BARS = (CutLength("bar", 1, (("rail~1", 5),)), CutLength("bar", 1, (("rail~2", 5),)))
BLOCK = CutLength("bar", 1, (("block", 5),))
SPLICED = LengthPlan((*BARS, BLOCK), (), Fraction(9), Fraction(9), True, 0, 6, PARTS)


def parted(*lengths: int) -> LengthPlan:
    """The good plan with the rail made of other parts, each from a bar of its own."""
    parts = tuple(SplicePart(f"rail~{n}", "rail", n, len(lengths), size) for n, size in enumerate(lengths, 1))
    bars = tuple(CutLength("bar", 1, ((part.id, 5),)) for part in parts)
    price = Fraction(3 * len(lengths) + 3)
    return replace(SPLICED, lengths=(*bars, BLOCK), price=price, bound=price, parts=parts)


def test_a_good_spliced_plan_has_no_faults() -> None:
    assert faults_of_length_plan(RAILS, SPLICED) == []
    assert faults_of_length_plan(RAILS, parted(77, 77)) == []


@pytest.mark.parametrize(
    ("plan", "fault"),
    [
        (parted(82, 72), "kept free for defects"),
        (parted(81, 72), "don't come to its length"),
        (parted(60, 60, 38), "more than it needs"),
        (parted(135, 19), "shorter than 20"),
        (replace(SPLICED, lengths=(BARS[0], BLOCK), price=Fraction(6)), "not placed alike"),
        (replace(SPLICED, lengths=(*BARS, replace(BLOCK, pieces=(("block", 4),)))), "before the cut"),
        (replace(SPLICED, lengths=(*BARS, replace(BLOCK, pieces=(("block", 88),)))), "past the usable"),
        (
            replace(SPLICED, lengths=BARS, unplaced=(Unplaced("block", 1, "There is no room."),), price=Fraction(6)),
            "no end of a stock",
        ),
    ],
)
def test_each_broken_rule_of_lengths_is_found(plan: LengthPlan, fault: str) -> None:
    assert any(fault in found for found in faults_of_length_plan(RAILS, plan))


def test_a_piece_that_may_not_be_spliced_is_found() -> None:
    whole = replace(RAILS, pieces=(replace(RAIL, spliceable=False), RAILS.pieces[1]))
    assert "rail must not be spliced" in faults_of_length_plan(whole, SPLICED)
    assert "rail must not be spliced" in faults_of_length_plan(replace(RAILS, splice=None), SPLICED)
