"""Holes said in one entry: counted, placed, kept clear of ribs and checked. Each figure is worked out by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.costing.short_form.holes_case import TOP, top
from tests.costing.short_form.rack import MM, changed, check_of, read, refused, take
from webapp.costing.design_changes.rename import rename
from webapp.costing.design_form.reader import read_design
from webapp.costing.design_lines.lines import entry_of, line_of
from webapp.costing.takeoff.features import Hole
from webapp.design_text import read_text, write_design_text

PEGS = "pegs: Pegs; 5 mm holes 12 mm deep in side, inside; every 32 mm from 100 mm up to 700 mm; 37 mm from front"


def with_pegs(line: str = PEGS) -> str:
    """The rack with holes in its sides."""
    return changed(("joints:\n", f"holes:\n  {line}\njoints:\n"))


# ---- how they are said ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "line",
    [
        "20 mm holes through top; 100 mm apart each way; 12 by 6; 100 mm from left, 100 mm from front",
        "5 mm holes 12 mm deep in side, inside; every 32 mm from 100 mm up to 700 mm; 37 mm from front; for peg",
        "Field; wide holes through skin; every pitch each way; margin from the edges; clear of ribs by 5 mm; when on",
        "8 mm holes through leg, front; 40 mm from top; step drill_holes",
        "6 mm holes through top; 96 mm by 32 mm apart; 2 by 3",
    ],
)
def test_a_line_says_the_same_again(line: str) -> None:
    fields, wrong = entry_of("holes", line)
    assert not wrong
    assert line_of("holes", fields) == line


def test_a_design_with_holes_is_written_as_it_was_read() -> None:
    document, _ = read_text(TOP)
    assert document is not None
    again, wrong = read_text(write_design_text(document))
    assert (again, wrong) == (document, ())


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("pegs: 5 mm holes 12 mm deep in side; 2 by 3; 32 mm apart", "what does not go through needs its side"),
        ("pegs: 5 mm holes through side; 2 by 3", "'apart' has to say how far from middle to middle"),
        ("pegs: 5 mm holes through side; 32 mm apart", "'every', have to say how many"),
        ("pegs: 5 mm holes through side; every 32 mm each way", "'… from the edges'"),
        ("pegs: 5 mm holes through side; 20 mm from front, 20 mm from back", "say the same; one is enough"),
        ("pegs: 5 mm holes through side; for nail", "'nail' is no stock role and no piece of hardware"),
        ("pegs: 5 mm holes through door", "'door' is no part"),
        ("pegs: 5 mm holes 9 mm deep in side, left; clear of ribs", "meets no ribs behind"),
    ],
)
def test_what_makes_no_row_of_holes_is_said(line: str, said: str) -> None:
    assert any(said in sentence for sentence in refused(with_pegs(line)).values())


def test_the_first_form_knows_no_holes() -> None:
    document, _ = read_text(TOP.replace("form: 2", "form: 1"))
    assert document is not None
    assert read(TOP)[0] is not None
    design, problems = read_design(document)
    assert design is None
    assert any("has a field 'holes', which there isn't" in one.message for one in problems)


# ---- counted and placed -----------------------------------------------------------------------------------------


def test_a_row_of_peg_holes_goes_as_far_as_there_is_room() -> None:
    # (700 - 100) / 32 = 18.75, so 19 in a row, in two sides.
    found = take(with_pegs())
    assert found.drivers["drill_field"].value == 38
    # As the left side lies with its length across, its inside is the face that is seen from the back: the row begins
    # 800 - 100 - 18 x 32 = 124 from its left end.
    assert found.made["side"] == (Hole("back", 124 * MM, 37 * MM, 5 * MM, 12 * MM, "Pegs", 19, 1, 32 * MM, 0),)
    inside = {(mark.number, mark.end) for mark in found.marked}
    assert inside == {(1, 1), (2, 0)}
    assert len(found.marked) == 38


def test_a_field_stands_in_the_middle_where_nothing_else_is_said() -> None:
    found = take(TOP)
    assert found.drivers["bore_top_holes"].value == 112
    # (1760 - 15 x 100) / 2 and (860 - 6 x 100) / 2.
    assert found.made["upper"] == (Hole("face", 130 * MM, 130 * MM, 20 * MM, 0, "Field", 16, 7, 100 * MM, 100 * MM),)


def test_as_many_as_there_is_room_for_each_way() -> None:
    # (1760 - 200) / 100 = 15.6 and (860 - 200) / 100 = 6.6: sixteen by seven.
    found = take(top("field: Field; 20 mm holes through upper; every 100 mm each way; 100 mm from the edges"))
    assert found.drivers["bore_top_holes"].value == 112
    narrow = take(
        top("field: Field; 20 mm holes through upper; every 100 mm each way; 100 mm from the edges"),
        {"length": Fraction(1000 * MM)},
    )
    assert narrow.drivers["bore_top_holes"].value == 9 * 7


@pytest.mark.parametrize(
    ("line", "step", "count"),
    [
        ("field: Field; 8 mm hole through upper; 40 mm from left, 40 mm from front", "drill_holes", 1),
        ("field: Field; 8 mm holes through upper; 4 by 3; 64 mm apart", "drill_field", 12),
        ("field: Field; 20 mm holes through upper; 4 by 3; 64 mm apart; step drill_holes", "drill_holes", 12),
    ],
)
def test_which_step_makes_them_follows_from_what_they_are(line: str, step: str, count: int) -> None:
    drivers = take(top(line)).drivers
    assert drivers[step].value == count
    assert not {"bore_top_holes", "drill_field", "drill_holes"} - {step} & drivers.keys()


def test_holes_in_tube_are_drilled_as_steel_is() -> None:
    leg = "leg: Leg; 4 of leg_stock; long 600 mm along z; wide along x; four corners"
    text = TOP.replace("holes:\n", f"  {leg}\nholes:\n")
    text = text.replace("scope:", "  foot: Foot; 9 mm hole through leg, front; 50 mm from bottom\nscope:")
    text = text.replace("sizes:\n", "closes: x length; y 860 mm; z 600 mm\nsizes:\n")
    assert take(text).drivers["drill_steel"].value == 4


# ---- what can't be made -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            "field: Field; 20 mm holes through upper; 100 by 100; 4 mm apart",
            "makes 10000 holes in one piece of “Skin”; 2000 are the most",
        ),
        (
            "field: Field; 20 mm holes through upper; 20 by 7; 100 mm apart",
            "14 of them stand outside “Skin”, by 80 mm beyond its right edge",
        ),
        (
            "field: Field; 20 mm hole through upper; 5 mm from front",
            "1 of them stands outside “Skin”, by 5 mm beyond its front edge",
        ),
        ("field: Field; 20 mm holes 12 mm deep in upper, top", "is 12 mm deep in “Skin”, which is 11.8 mm there"),
        ("field: Field; 20 mm hole through upper; 50 mm from top", "which that side does not have"),
        ("field: Field; 20 mm holes through upper; every 30 mm from 9 mm up to 90 mm", "from which one edge it stands"),
    ],
)
def test_holes_that_can_not_be_made_are_named_and_left_out(line: str, said: str) -> None:
    found = take(top(line))
    assert [said in problem.message for problem in found.problems if problem.field == "holes.field"] == [True]
    assert not found.made


# ---- ribs behind ------------------------------------------------------------------------------------------------


def test_holes_that_run_into_webs_are_named_with_their_numbers() -> None:
    # Rows at 130 + 100 n reach 220 to 240, 420 to 440, 620 to 640; webs stand at 210.55 to 228.35, 421.1 to 438.9 and
    # 631.65 to 649.45: three rows of sixteen.
    check = check_of(take(TOP), "holes/field/ribs")
    assert check.outcome == "failure"
    assert "48 of 112 holes run into what meets “Skin” behind: “Long web” no. 1 at holes 17 to 32" in check.sentence
    assert "no. 2 at holes 49 to 64, no. 3 at holes 81 to 96." in check.sentence


def test_a_field_that_begins_a_hundred_from_the_front_misses_them() -> None:
    line = "field: Field; 20 mm holes through upper; 16 by 7; 100 mm apart; 100 mm from left, 100 mm from front"
    # Rows at 200, 400 and 600 end at 210, 410 and 610: 0.55 before the first web, the others further.
    assert check_of(take(top(line)), "holes/field/ribs").outcome == "pass"


def test_rows_move_to_keep_clear_of_ribs() -> None:
    # 228.35 + 10 = 238.35, 421.1 - 10 = 411.1 and 631.65 - 10 = 621.65, in steps of 0.1 mm.
    found = take(top("field: Field; 20 mm holes through upper; 16 by 7; 100 mm apart; clear of ribs"))
    assert found.drivers["bore_top_holes"].value == 112
    assert [one.up for one in found.made["upper"]] == [
        130 * MM, 238_400_000, 330 * MM, 411_100_000, 530 * MM, 621_600_000, 730 * MM,
    ]  # fmt: skip
    said = check_of(found, "holes/field/clear")
    assert (said.outcome, "3 rows or columns are moved by 18.9 mm at most" in said.sentence) == ("pass", True)
    assert check_of(found, "holes/field/ribs").outcome == "pass"
    assert check_of(found, "holes/field/apart").held is not None
    assert "61.1 mm are left between two holes" in check_of(found, "holes/field/apart").sentence


def test_a_row_without_room_is_left_out() -> None:
    tight = take(top("field: Field; 20 mm holes through upper; 4 by 3; 45 mm apart; 385 mm from front; clear of ribs"))
    # Rows at 385, 430 and 475: the middle one would go to 411.1 or 448.9, 26 from a neighbour; 40 are kept.
    said = check_of(tight, "holes/field/clear")
    assert (said.outcome, "4 holes are left out" in said.sentence) == ("warning", True)
    assert tight.drivers["bore_top_holes"].value == 8


# ---- the planted faults of holes --------------------------------------------------------------------------------


def test_planted_a_field_that_begins_at_the_edge() -> None:
    line = "field: Field; 20 mm holes through upper; 16 by 7; 100 mm apart; 15 mm from left, 15 mm from front"
    check = check_of(take(top(line)), "holes/field/edge")
    assert check.outcome == "failure"
    assert "5.0 mm are left from a hole of 20 mm to the front edge of “Skin”; 20.0 mm are wanted" in check.sentence


def test_planted_holes_too_near_to_each_other() -> None:
    check = check_of(take(top("field: Field; 20 mm holes through upper; 16 by 7; 30 mm apart")), "holes/field/apart")
    assert check.outcome == "failure"
    assert "10.0 mm are left between two holes of 20 mm in “Skin”; 20.0 mm are wanted" in check.sentence


def test_planted_a_web_under_a_row() -> None:
    line = "field: Field; 20 mm holes through upper; 16 by 7; 100 mm apart; 100 mm from left, 100 mm from front"
    # The middle of the web lies 400 from the front edge.
    check = check_of(take(top(line).replace("421.1 mm", "391.1 mm")), "holes/field/ribs")
    assert check.outcome == "failure"
    assert "16 of 112 holes run into what meets “Skin” behind: “Long web” no. 2 at holes 49 to 64." in check.sentence


# ---- two rows, skins and what goes in ---------------------------------------------------------------------------


def test_two_rows_of_one_part_are_held_against_each_other() -> None:
    near = top(
        "field: Field; 20 mm hole through upper; 100 mm from left, 100 mm from front",
        "other: Other; 10 mm hole through upper; 118 mm from left, 124 mm from front",
    )
    # From middle to middle 18 and 24, so 30: less 10 and 5 leaves 15, and 20 are wanted.
    check = check_of(take(near), "holes/field/apart/0")
    assert check.outcome == "failure"
    assert "15.0 mm are left between a hole of 20 mm and one of “Other”" in check.sentence


def test_a_thin_skin_is_told_to_take_a_doubler() -> None:
    check = check_of(take(TOP), "holes/field/skin")
    assert (check.outcome, "A doubler of 8.2 mm or more" in check.sentence) == ("warning", True)


@pytest.mark.parametrize(
    ("hole", "outcome", "said"),
    [
        ("8 mm", "pass", "goes into a hole of 8 mm"),
        ("7.5 mm", "failure", "it does not go in"),
        ("10 mm", "warning", "it hangs loose"),
    ],
)
def test_what_goes_in_is_held_against_the_hole(hole: str, outcome: str, said: str) -> None:
    line = f"field: Field; {hole} holes through upper; 4 by 3; 64 mm apart; for dog"
    check = check_of(take(top(line)), "holes/field/fit")
    assert (check.outcome, said in check.sentence) == (outcome, True)


def test_what_states_no_diameter_is_not_known() -> None:
    text = with_pegs(f"{PEGS}; for foot")
    check = check_of(take(text), "holes/pegs/fit")
    assert (check.outcome, "states no diameter" in check.sentence) == ("unknown", True)


def test_a_part_and_a_size_called_otherwise_are_followed_in_what_is_made_into_parts() -> None:
    peg = "peg: Peg; 8 mm hole through web; for dog"
    document, _ = read_text(top("field: Field; 20 mm holes through upper; 4 by 3; length / 8 apart", peg))
    assert document is not None
    changed_document = rename(rename(document, "parts", "upper", "skin_above"), "sizes", "length", "long")
    changed_document = rename(changed_document, "stock", "dog", "peg_stock")
    holes = changed_document["holes"]
    assert (holes["field"]["part"], holes["field"]["apart"]) == ("skin_above", "long / 8")
    assert holes["peg"]["takes"] == "peg_stock"
    assert rename(changed_document, "holes", "field", "dog_holes")["holes"].keys() == {"dog_holes", "peg"}
