"""The order of sawing in small cases that can be followed by hand: what is cut first, at which settings, how far."""

from __future__ import annotations

from fractions import Fraction

import pytest

from webapp.costing.cutting.ask.model import (
    CutSheet,
    LengthPiece,
    LengthRequest,
    LengthStock,
    Placement,
    SheetPiece,
    SheetRequest,
    SheetStock,
    Trim,
)
from webapp.costing.cutting.lengths.plan import plan_lengths
from webapp.costing.cutting.saw.arranging import arranged
from webapp.costing.cutting.saw.fence_settings import SawPlan, count_length_settings, saw_plan
from webapp.costing.cutting.saw.parting import Area
from webapp.costing.cutting.saw.sequence import SawnSheet, offcuts, sequence_totals, workpieces

NO_TRIM = Trim.all_round(0)


def said(plan: SawPlan) -> list[str]:
    """The settings in words: direction, fence, how many cuts."""
    return [f"{one.direction} {one.fence} x {len(one.cuts)}" for one in plan.settings]


def test_strips_are_ripped_first_the_wide_before_the_narrow_then_crosscut_together() -> None:
    """Strips of 300, 300 and 100 with pieces 500 and 400 long: one setting for the wide strips, one for each length."""
    boxes: list[Area] = []
    for low, high in ((0, 300), (303, 603), (606, 706)):
        boxes += [(0, low, 500, high), (503, low, 903, high)]
    plan = saw_plan([SawnSheet(1000, 800, NO_TRIM, 3, tuple(boxes))])
    assert said(plan) == ["rip 300 x 2", "rip 100 x 1", "cross 500 x 3", "cross 400 x 3"]
    assert offcuts(plan.sheets[0])[0] == (0, 709, 1000, 800)


def test_equal_widths_of_all_sheets_of_a_plan_share_a_setting() -> None:
    first = SawnSheet(1000, 700, NO_TRIM, 0, ((0, 0, 1000, 300), (0, 300, 1000, 500)))
    second = SawnSheet(1000, 700, NO_TRIM, 0, ((0, 0, 1000, 400), (0, 400, 1000, 600)))
    assert said(saw_plan([first, second])) == ["rip 400 x 1", "rip 300 x 1", "rip 200 x 2"]


def test_trimming_comes_first_and_each_side_only_where_something_is_lost() -> None:
    sheet = SawnSheet(1000, 600, Trim(10, 0, 5, 2), 3, ((10, 5, 1000, 598),))
    assert said(saw_plan([sheet])) == ["rip 595 x 1", "rip 593 x 1", "cross 990 x 1"]
    trims = [cut for piece in workpieces(sheet) for cut in piece.cuts]
    assert [(cut.outer.kind, cut.length) for cut in trims] == [("waste", 1000), ("dust", 1000), ("waste", 593)]


@pytest.mark.outside(
    source="a strip too narrow to hold is ripped off a wide piece, not cut again", kind="common practice"
)
def test_a_narrow_strip_is_never_what_is_held_where_another_order_avoids_it() -> None:
    """Two strips of 20 under one of 300: taken from the far side, the last cut is made on 320 and not on 40."""
    boxes = ((0, 0, 900, 300), (0, 300, 900, 320), (0, 320, 900, 340))
    widest_first = saw_plan([SawnSheet(900, 340, NO_TRIM, 0, boxes)])
    careful = saw_plan([SawnSheet(900, 340, NO_TRIM, 0, boxes, narrow=50)])
    assert said(widest_first) == ["rip 300 x 1", "rip 20 x 1"]
    assert said(careful) == ["rip 20 x 2"]
    held = [made.cut.area[3] - made.cut.area[1] for one in careful.settings for made in one.cuts]
    assert held == [340, 320]
    assert [made.number for made in careful.narrow] == [1, 2]


def limits_broken(sheet: SawnSheet) -> int:
    """Cuts made on something narrower than the smallest strip, or after more turns than allowed."""
    return sum(
        min(cut.area[2] - cut.area[0], cut.area[3] - cut.area[1]) < sheet.smallest
        or (sheet.most_turns is not None and cut.level > sheet.most_turns)
        for piece in workpieces(sheet)
        for cut in piece.cuts
        if piece.level >= 0
    )


def test_narrow_pieces_stay_with_a_neighbour_until_they_come_off_it_last() -> None:
    """Two rows of 300 with pieces of 40 above each: ripped singly, the rows of 40 would have to be crosscut."""
    boxes: list[Area] = []
    for low, middle in ((0, 450), (340, 500)):
        for left, right in ((0, middle), (middle, 900)):
            boxes += [(left, low, right, low + 300), (left, low + 300, right, low + 340)]
    assert not limits_broken(SawnSheet(900, 680, NO_TRIM, 0, tuple(boxes), narrow=50, smallest=50))


def test_the_first_cut_runs_the_way_that_takes_no_more_turns_than_the_shop_allows() -> None:
    """Columns first, and one turn parts them all; rows first, and the right column takes a second turn."""
    boxes = ((0, 0, 500, 300), (0, 300, 500, 600), (500, 0, 900, 200), (500, 200, 900, 600))
    assert not limits_broken(SawnSheet(900, 600, NO_TRIM, 0, boxes, most_turns=1))
    assert limits_broken(SawnSheet(900, 600, NO_TRIM, 0, boxes, most_turns=0)) > 0


def test_what_no_cut_from_edge_to_edge_parts_comes_off_as_a_group() -> None:
    pinwheel = ((0, 0, 60, 30), (60, 0, 90, 60), (30, 60, 90, 90), (0, 30, 30, 90))
    sheet = SawnSheet(100, 90, NO_TRIM, 0, pinwheel)
    (cut,) = [cut for piece in workpieces(sheet) for cut in piece.cuts]
    assert (cut.direction, cut.fence, cut.inner.kind, cut.outer.kind) == ("cross", 90, "group", "offcut")


def test_a_plan_is_arranged_with_its_wide_strips_first_and_equal_ones_together() -> None:
    stock = SheetStock("s", 1000, 800, Trim.all_round(10), Fraction(1))
    pieces = (SheetPiece("a", 980, 300, 1, False), SheetPiece("b", 980, 100, 2, False))
    lying = [Placement("b", 10, 10, False), Placement("a", 10, 113, False), Placement("b", 10, 416, False)]
    request = SheetRequest(3, "saw", (stock,), pieces)
    moved = arranged(request, CutSheet("s", 2, tuple(lying)))
    assert [(put.piece, put.x, put.y) for put in moved.placements] == [("a", 10, 10), ("b", 10, 313), ("b", 10, 416)]
    assert sequence_totals(request, [moved]) == (2 * 7, 2 * (2 * 1000 + 2 * 780 + 3 * 980))


def test_pieces_whose_grain_runs_on_keep_their_order_when_a_plan_is_arranged() -> None:
    stock = SheetStock("s", 1000, 800, NO_TRIM, Fraction(1))
    pieces = (SheetPiece("low", 1000, 100, 1, False, "fronts"), SheetPiece("high", 1000, 300, 1, False, "fronts"))
    lying = (Placement("low", 0, 0, False), Placement("high", 0, 103, False))
    moved = arranged(SheetRequest(3, "saw", (stock,), pieces), CutSheet("s", 1, lying))
    assert moved.placements == lying


def test_pieces_whose_grain_runs_on_stay_above_each_other_whatever_lies_beside_them() -> None:
    stock = SheetStock("s", 1000, 800, NO_TRIM, Fraction(1))
    pieces = (
        SheetPiece("front", 200, 100, 2, False, "fronts"), SheetPiece("wide", 500, 100, 1, False),
        SheetPiece("less wide", 400, 100, 1, False), SheetPiece("over all", 1000, 100, 1, False),
    )  # fmt: skip
    lying = (
        Placement("front", 0, 0, False), Placement("wide", 203, 0, False), Placement("front", 0, 103, False),
        Placement("less wide", 203, 103, False), Placement("over all", 0, 206, False),
    )  # fmt: skip
    moved = arranged(SheetRequest(3, "saw", (stock,), pieces), CutSheet("s", 1, lying))
    first, second = ((put.x, put.y) for put in moved.placements if put.piece == "front")
    assert (second[0] - first[0], second[1] - first[1]) == (0, 103)


def test_a_stop_is_set_once_for_each_length_that_is_cut_to() -> None:
    stock = (LengthStock("bar", 6000, 0, Fraction(1)),)
    pieces = (LengthPiece("leg", 900, 4), LengthPiece("rail", 1200, 4), LengthPiece("other leg", 900, 2))
    request = LengthRequest(3, stock, pieces)
    assert count_length_settings(request, plan_lengths(request)) == 2
