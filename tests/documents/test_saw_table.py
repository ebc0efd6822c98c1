"""The saw sequence in words: which strip gives what, and each setting with what is held and what comes off."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tests.harness.examples import examples
from webapp.costing.cutting.ask.model import Trim
from webapp.costing.cutting.saw.fence_settings import SawPlan, saw_plan
from webapp.costing.cutting.saw.parting import Area
from webapp.costing.cutting.saw.sequence import SawnSheet
from webapp.documents.plans.saw_table import saw_line, saw_rows, setting_rows, strips_in_order

BOXES: tuple[Area, ...] = ((10, 10, 410, 110), (10, 113, 310, 413), (313, 113, 1010, 413), (413, 10, 513, 110))


def long(size: int) -> str:
    return f"{size} mm"


def plan_of(*boxes: Area, narrow: int = 0) -> SawPlan:
    return saw_plan([SawnSheet(1020, 600, Trim.all_round(10), 3, boxes, (150, 100), narrow)])


def test_a_strip_is_told_with_its_width_and_its_pieces_in_the_order_in_which_they_come_off() -> None:
    strips = strips_in_order(plan_of(*BOXES), 0, 4)
    assert [(one.name, one.way, one.fence, one.places) for one in strips] == [
        ("A", "rip", 100, (0, 3)),
        ("B", "rip", 300, (2, 1)),
    ]


def test_the_settings_of_a_sheet_are_one_line_and_the_trim_comes_first() -> None:
    assert saw_line(plan_of(*BOXES), 0, long) == (
        "Trim: rip at 590 mm, 580 mm; crosscut at 1010 mm, 1000 mm. "
        "Rip at 100 mm, 300 mm; crosscut at 697 mm, 400 mm, 100 mm."
    )


def test_each_setting_says_what_is_held_and_what_comes_off() -> None:
    rows = saw_rows(plan_of(*BOXES, narrow=120), 0, ["1 Rail", "2 Door", "3 Back", "4 Block"], long)
    assert [(row.cuts, row.way, row.fence, row.held, row.off, row.narrow) for row in rows[4:]] == [
        ("5", "Rip", "100 mm", "the sheet", "strip A", True),
        ("6", "Rip", "300 mm", "the sheet", "strip B; offcut to keep, 1000 mm × 174 mm", False),
        ("7", "Crosscut", "697 mm", "strip B, far edge to the fence", "3 Back; 2 Door", False),
        ("8", "Crosscut", "400 mm", "strip A", "1 Rail", True),
        ("9", "Crosscut", "100 mm", "strip A", "4 Block; offcut to keep, 494 mm × 100 mm", True),
    ]


def test_equal_cuts_of_several_strips_are_told_together() -> None:
    boxes = tuple((x, y, x + 500, y + 200) for x in (0, 503) for y in (0, 203))
    rows = saw_rows(saw_plan([SawnSheet(1003, 600, Trim.all_round(0), 3, boxes)]), 0, ["1 Shelf"] * 4, long)
    assert [(row.cuts, row.held, row.off) for row in rows] == [
        ("1–2", "the sheet", "strips A, B; offcut to keep, 1003 mm × 194 mm"),
        ("3–4", "strips A, B", "1 Shelf × 4"),
    ]


def test_settings_of_several_sheets_say_on_which_plans_they_are_cut() -> None:
    sheet = SawnSheet(1000, 600, Trim.all_round(0), 0, ((0, 0, 1000, 200), (0, 200, 1000, 400)))
    pair = SawnSheet(1000, 600, Trim.all_round(0), 0, ((0, 0, 1000, 200),), alike=2)
    assert [(row.fence, row.on) for row in setting_rows(saw_plan([sheet, pair]), long)] == [
        ("200 mm", "plan 1: 2 cuts, plan 2: 1 cut on each of 2")
    ]


@examples(60)
@given(st.lists(st.tuples(*[st.integers(0, 60)] * 4), max_size=20))
def test_the_strips_lose_no_piece_however_badly_they_lie(corners: list[tuple[int, int, int, int]]) -> None:
    boxes = tuple((x, y, x + wide + 1, y + tall + 1) for x, y, wide, tall in corners)
    strips = strips_in_order(saw_plan([SawnSheet(200, 200, Trim.all_round(0), 1, boxes)]), 0, len(boxes))
    assert sorted(place for strip in strips for place in strip.places) == list(range(len(boxes)))
