"""A cut plan moved by hand: each rule is said with what is missing, and a pin is laid again or refused with a word."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.cut_checker import faults_of_sheet_plan
from tests.harness.examples import examples
from webapp.costing.cutting.ask.model import CutSheet, Placement, SheetPiece, SheetRequest, SheetStock, Trim, Unplaced
from webapp.costing.cutting.hand.judging import Judged, judge_sheet_plan
from webapp.costing.cutting.hand.moves import begin, free_places, largest_offcut
from webapp.costing.cutting.hand.pins import PinError, lay_pin, pin_of, read_pin, write_pin
from webapp.costing.cutting.sheets.plan import plan_sheets

STOCK = SheetStock("full", 1000, 500, Trim(10, 20, 5, 15), Fraction(80))
SHELF = SheetPiece("shelf", 400, 200, 2, False)
SIDE = SheetPiece("side", 300, 100, 1, True)
REQUEST = SheetRequest(4, "saw", (STOCK,), (SHELF, SIDE))
GOOD = (Placement("shelf", 10, 5, False), Placement("shelf", 414, 5, False), Placement("side", 10, 209, False))


def judged(*placements: Placement, request: SheetRequest = REQUEST) -> Judged:
    return judge_sheet_plan(request, (CutSheet("full", 1, placements),))


def said(found: Judged) -> list[str]:
    return [fault.sentence for fault in found.faults]


def test_a_good_plan_has_no_fault_and_its_price_fill_and_bound() -> None:
    known = plan_sheets(REQUEST, steps=50)
    found = judge_sheet_plan(REQUEST, (CutSheet("full", 1, GOOD), CutSheet("full", 1, ())), known)
    assert found.faults == ()
    assert (found.plan.price, found.plan.bound) == (Fraction(80), Fraction(80))
    assert found.plan.proved
    assert found.plan.fill == (("full", Fraction(2 * 400 * 200 + 300 * 100, 1000 * 500)),)
    assert found.plan.sheets == (CutSheet("full", 1, GOOD),)


def test_the_same_plan_pinned_takes_the_same_cuts() -> None:
    known = plan_sheets(REQUEST, steps=50)
    found = judge_sheet_plan(REQUEST, known.sheets[::-1], known)
    assert (found.plan.cuts, found.plan.cut_length) == (known.cuts, known.cut_length)


@pytest.mark.parametrize(
    ("moved", "sentence", "missing"),
    [
        (Placement("side", 7, 209, False), "'side' on sheet 1 reaches 3 into the trim at its left edge.", 3),
        (Placement("side", 682, 209, False), "'side' on sheet 1 reaches 2 into the trim at its right edge.", 2),
        (Placement("side", 10, 386, False), "'side' on sheet 1 reaches 1 into the trim at its bottom edge.", 1),
        (Placement("side", 750, 209, False), "'side' on sheet 1 reaches 70 over its right edge.", 70),
        (
            Placement("side", 10, 208, False),
            "'shelf' and 'side' on sheet 1 lie 3 apart; the saw takes 4, so 1 is missing.",
            1,
        ),
        (
            Placement("side", 10, 195, False),
            "'shelf' and 'side' on sheet 1 overlap by 10, and the saw takes 4 more.",
            14,
        ),
    ],
)
def test_what_lies_wrong_is_said_with_the_distance(moved: Placement, sentence: str, missing: int) -> None:
    found = judged(*GOOD[:2], moved)
    first = found.faults[0]
    assert (first.sentence, first.missing, first.sheet) == (sentence, missing, 0)
    assert 2 in first.pieces


def test_grain_count_and_stock_are_kept() -> None:
    assert "'shelf' on sheet 1 is turned against its grain." in said(judged(Placement("shelf", 10, 5, True), *GOOD[1:]))
    assert said(judged(*GOOD[:2])) == ["1 of 'side' lie on no sheet."]
    assert said(judged(*GOOD, Placement("side", 420, 209, False))) == ["1 of 'side' are on the sheets too many."]
    scarce = replace(REQUEST, stocks=(replace(STOCK, available=1),))
    two = (CutSheet("full", 1, GOOD[:2]), CutSheet("full", 1, (Placement("side", 10, 5, False),)))
    assert [fault.sentence for fault in judge_sheet_plan(scarce, two).faults] == [
        "2 sheets of 'full' are used; there are only 1."
    ]
    assert [fault.sentence for fault in judge_sheet_plan(REQUEST, (CutSheet("old", 1, GOOD),)).faults] == [
        "Sheet 1 is 'old', which is not offered."
    ]


def test_what_a_known_plan_leaves_out_may_be_missing() -> None:
    known = replace(plan_sheets(REQUEST, steps=50), unplaced=(Unplaced("side", 1, "There are not enough sheets."),))
    found = judge_sheet_plan(REQUEST, (CutSheet("full", 1, GOOD[:2]),), known)
    assert found.faults == ()
    assert found.plan.unplaced == known.unplaced


def test_pieces_kept_together_come_from_one_sheet() -> None:
    request = replace(REQUEST, pieces=(replace(SHELF, together="fronts"), SIDE))
    assert judged(*GOOD, request=request).faults == ()
    two = (CutSheet("full", 1, (GOOD[0], GOOD[2])), CutSheet("full", 1, (GOOD[0],)))
    assert [fault.sentence for fault in judge_sheet_plan(request, two).faults] == [
        "'shelf' must come from one sheet, grain-matched; they lie on sheets 1 and 2."
    ]
    alike = (CutSheet("full", 2, (GOOD[0],)), CutSheet("full", 1, (GOOD[2],)))
    assert "they lie on several alike." in said(judge_sheet_plan(request, alike))[0]


def test_a_pinwheel_needs_a_router() -> None:
    bar = SheetPiece("bar", 200, 100, 4, True)
    pinwheel = (
        Placement("bar", 10, 5, False),
        Placement("bar", 214, 5, True),
        Placement("bar", 114, 209, False),
        Placement("bar", 10, 109, True),
    )
    request = replace(REQUEST, pieces=(bar,))
    found = judged(*pinwheel, request=request)
    assert len(found.faults) == 1
    assert found.faults[0].sentence.startswith(
        "Sheet 1 can't be parted by cuts from edge to edge: 4 of its pieces hold"
    )
    assert found.faults[0].pieces == (0, 1, 2, 3)
    assert judged(*pinwheel, request=replace(request, method="router")).faults == ()


def test_turns_and_the_smallest_strip_are_kept() -> None:
    assert judged(*GOOD, request=replace(REQUEST, most_turns=1)).faults == ()
    # Rips free two strips; the shelves come off theirs by crosscuts, the side from its own.
    assert said(judged(*GOOD, request=replace(REQUEST, most_turns=0))) == [
        "Sheet 1 takes 1 turn between rip and cross cuts; the shop allows 0."
    ]
    assert judged(*GOOD, request=replace(REQUEST, smallest_strip=100)).faults == ()
    # With strips of 480 and more the shelves can't be crosscut from a strip as high as they are.
    narrow = said(judged(*GOOD, request=replace(REQUEST, smallest_strip=480)))
    assert len(narrow) == 1
    assert "would have to be cut again; the saw can hold 480, so " in narrow[0]


def test_moving_swapping_and_going_back_keep_every_piece() -> None:
    trial = begin(plan_sheets(REQUEST, steps=50).sheets)
    assert sorted(one.piece for one in trial.lying) == ["shelf", "shelf", "side"]
    there = trial.with_sheet("full").moved(0, 1, 10, 5, False)
    assert [len(sheet.placements) for sheet in there.cut_sheets()] == [2, 1]
    swapped = trial.swapped(0, 2)
    assert (swapped.lying[0].x, swapped.lying[0].y) == (trial.lying[2].x, trial.lying[2].y)
    assert swapped.swapped(0, 2) == trial


def test_every_place_shown_is_legal_and_a_new_sheet_is_among_them() -> None:
    trial = begin((CutSheet("full", 1, GOOD),))
    free = free_places(REQUEST, trial, 2)
    assert {one.sheet for one in free} == {0, 1}
    for one in free:
        after = trial if one.sheet < len(trial.sheets) else trial.with_sheet(one.stock)
        after = after.moved(2, one.sheet, one.x, one.y, one.turned)
        assert judge_sheet_plan(REQUEST, after.cut_sheets()).faults == (), one
    scarce = replace(REQUEST, stocks=(replace(STOCK, available=1),))
    assert {one.sheet for one in free_places(scarce, trial, 2)} == {0}


def test_the_largest_offcut_is_what_no_piece_reaches() -> None:
    # To the right of the side and below the shelves: from 314 to 980 and from 209 to 485.
    assert largest_offcut(REQUEST, (CutSheet("full", 1, GOOD),)) == (980 - 314, 485 - 209)


def test_a_pin_is_laid_on_the_same_pieces_under_other_names_at_other_prices() -> None:
    known = plan_sheets(REQUEST, steps=50)
    pin = read_pin(write_pin(pin_of(REQUEST, (CutSheet("full", 1, GOOD),))))
    again = lay_pin(pin, REQUEST, known, "Birch")
    assert again.plan is not None
    assert again.plan.sheets == (CutSheet("full", 1, GOOD),)
    other = replace(
        REQUEST,
        stocks=(replace(STOCK, id="dear", price=Fraction(99)), replace(STOCK, id="cheap", price=Fraction(70))),
        pieces=(replace(SIDE, id="0"), replace(SHELF, id="1")),
    )
    laid = lay_pin(pin, other, plan_sheets(other, steps=50), "Birch")
    assert laid.plan is not None
    assert laid.plan.price == 70
    assert {put.piece for put in laid.plan.sheets[0].placements} == {"0", "1"}


def test_a_pin_for_other_pieces_or_sheets_is_refused_in_words() -> None:
    known = plan_sheets(REQUEST, steps=50)
    pin = pin_of(REQUEST, (CutSheet("full", 1, GOOD),))
    more = replace(REQUEST, pieces=(replace(SHELF, count=3), SIDE))
    assert lay_pin(pin, more, known, "Birch").why_not == (
        "The pinned cut plan of Birch is for other pieces; it was planned anew."
    )
    wide = replace(REQUEST, kerf=5)
    assert "can't be cut any more as it lies" in lay_pin(pin, wide, known, "Birch").why_not
    elsewhere = replace(REQUEST, stocks=(replace(STOCK, length=1200),))
    assert "can't be cut any more as it lies" in lay_pin(pin, elsewhere, known, "Birch").why_not


@pytest.mark.parametrize("wrong", ["", {}, {"pieces": "x"}, {"pieces": "0" * 64, "sheets": ["1x1*1: 0.0@5,5 oops"]},
                                   {"pieces": "0" * 64, "sheets": ["9x9*9999: 0.0@5,5"] * 2}])  # fmt: skip
def test_a_pin_that_is_none_is_refused(wrong: object) -> None:
    with pytest.raises(PinError):
        read_pin(wrong)


@st.composite
def laid_out(draw: st.DrawFn) -> tuple[SheetRequest, tuple[CutSheet, ...]]:
    """A small plan of ours, with one piece moved somewhere."""
    small = st.integers(1, 9)
    pieces = tuple(
        SheetPiece(str(place), draw(small), draw(small), draw(st.integers(1, 3)), draw(st.booleans()))
        for place in range(draw(st.integers(1, 3)))
    )
    trim = Trim(*draw(st.tuples(*[st.integers(0, 2)] * 4)))
    stock = SheetStock("s", draw(st.integers(8, 20)), draw(st.integers(8, 20)), trim, Fraction(3))
    request = SheetRequest(draw(st.integers(0, 2)), draw(st.sampled_from(["saw", "router"])), (stock,), pieces)
    trial = begin(plan_sheets(replace(request, method="saw"), steps=30).sheets)
    assume(trial.lying)
    number = draw(st.integers(0, len(trial.lying) - 1))
    sheet = draw(st.integers(0, len(trial.sheets) - 1))
    place = draw(st.integers(0, 12)), draw(st.integers(0, 12))
    return request, trial.moved(number, sheet, *place, draw(st.booleans())).cut_sheets()


@examples(60)
@given(laid_out())
def test_it_agrees_with_the_independent_judge(case: tuple[SheetRequest, tuple[CutSheet, ...]]) -> None:
    request, sheets = case
    known = plan_sheets(replace(request, method="saw"), steps=30)
    found = judge_sheet_plan(request, sheets, known)
    plan = replace(found.plan, bound=Fraction(0), proved=found.plan.price == 0)
    assert (not found.faults) == (not faults_of_sheet_plan(request, plan))
    assert len({fault.sentence for fault in found.faults}) <= len(found.faults)
    assert all(one.sheet is None or two.sheet is None or one.sheet <= two.sheet for one, two in pairwise(found.faults))
