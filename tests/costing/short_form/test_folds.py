"""Sheet metal folded: flat, mass and place by hand, what is refused and what is checked of it."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.costing.short_form.folds_case import MM, STRIP, TRAY, take_tray, tray
from tests.costing.short_form.rack import check_of, kilograms, refused
from webapp.costing.design_lines.lines import entry_of, line_of
from webapp.costing.design_lines.read_aloud import read_aloud
from webapp.costing.takeoff.model import Box, PartTaken, TakeOff
from webapp.design_text import read_text

ALL_ROUND = ("front and back of tray", "front, back, left and right of tray")
HOLE = ("scope:", "holes:\n  peg: Peg; 6 mm hole through tray; {} from front\nscope:")


def the_tray(found: TakeOff) -> PartTaken:
    return found.parts[0]


def flat(found: TakeOff) -> tuple[float, float]:
    """The blank, mm."""
    one = the_tray(found)
    assert one.blank_width is not None
    return float(one.blank_length.value) / MM, float(one.blank_width.value) / MM


@pytest.mark.parametrize(
    "line",
    [
        "30 mm up along front and back of tray",
        "lip down along left of tray",
        "Rim; 2 * sheet.thickness + 12 mm to the back along left, right and top of panel; when open",
    ],
)
def test_a_line_says_the_same_again(line: str) -> None:
    fields, wrong = entry_of("folds", line)
    assert not wrong
    assert line_of("folds", fields) == line


def test_it_is_read_aloud() -> None:
    document, _ = read_text(TRAY)
    assert document is not None
    said = dict(read_aloud(document))["Folds"]
    assert said == ("Lips: front and back of “Tray” folded leg up.",)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("needs sheet_metal", "needs wood_panel"), "its stock 'sheet' has to say 'needs sheet_metal'"),
        (("up along", "to the left along"), "'left' lies along the sheet as it stands; its legs go to the"),
        (("front and back of", "front and top of"), "'top' is no edge of 'tray' as it stands: left, right,"),
        (("front and back of", "front and front of"), "'front' is folded twice"),
        (("back of tray", "back of trey"), "'trey' is no part; did you mean 'tray'?"),
        (("  tray: Tray; of sheet;", "  tray: Tray; of sheet; layers 2;"), "'tray' is glued up"),
        (("lips: Lips; leg up", "lips: Lips; 3 up"), "'3' is a plain number, and a length is needed"),
        (("lips: Lips; leg up along front and back of", "lips: Lips; leg along"), "is no clause"),
    ],
)
def test_what_can_not_be_folded_is_said(change: tuple[str, str], said: str) -> None:
    document, unread = read_text(tray(change))
    told = [problem.message for problem in unread] if unread else [*refused(tray(change)).values()]
    assert any(said in sentence for sentence in told), (told, document)


@pytest.mark.outside(source="a fabricator's table, cold-rolled steel, folds of 90 degrees", kind="common practice")
def test_the_flat_is_the_legs_less_what_each_fold_takes_off_by_the_shops_own_strip() -> None:
    # .106 in is 2.692 mm off a fold of .060 in = 1.524 mm: a strip of 100 mm becomes legs of 102.692.
    of_table = {"thickness": Fraction(1524 * MM, 1000), "fold_radius": Fraction(1524 * MM, 1000),
                "strip_flat": Fraction(100 * MM), "strip_legs": Fraction(102692 * MM, 1000)}  # fmt: skip
    found = take_tray(TRAY, of_table)
    # 300 + 2 x 30 - 2 x 2.6924 = 354.615.
    assert flat(found) == (400.0, 354.6)
    assert kilograms(found) == pytest.approx(0.4 * 0.354616 * 0.001524 * 7850, abs=1e-6)
    by = check_of(found, "folds/tray/by")
    assert (by.outcome, "each fold takes 2.7 mm off the flat" in by.sentence) == ("pass", True)


@pytest.mark.outside(
    source="airframe handbook, 'Aircraft Metal Structural Repair', figure 4-124, and a naval aviation training course, "
    "p. 13-19",
    kind="common practice",
)
def test_a_channel_without_a_strip_is_laid_flat_by_the_handbooks() -> None:
    # 1 x 2 x 1 in outside, 0.040 in, radius 0.16: two bends of 0.2772, flats 0.8, 1.6, 0.8: 3.754 in.
    inch = 25_400_000
    channel = {"thickness": Fraction(inch, 25), "fold_radius": Fraction(inch * 4, 25)}
    found = take_tray(
        tray(("wide 300 mm", "wide 50.8 mm"), ("30 mm; least", "25.4 mm; least")), channel
    )  # fmt: skip
    assert kilograms(found) == pytest.approx(0.4 * 3.7544 * 0.0254 * 0.00102 * 7850, rel=5e-3)
    exact = 4 * inch - 2 * (2 * Fraction(inch, 5) - Fraction(2772, 10000) * inch)
    assert float(exact) / inch == pytest.approx(3.7544)
    assert flat(found)[1] == pytest.approx(float(exact) / MM, abs=0.05)
    assert found.drivers["fold_sheets"].value == 0


def test_legs_stand_as_boxes_at_their_edges_and_meet_at_the_corners() -> None:
    found = take_tray(tray(ALL_ROUND))
    thick = 3 * MM // 2
    assert the_tray(found).boxes == (
        Box("tray", 1, (0, 0, 0), (400 * MM, 300 * MM, thick)),
        Box("tray", 1, (0, 0, thick), (400 * MM, thick, 30 * MM - thick), nth=1),
        Box("tray", 1, (0, 300 * MM - thick, thick), (400 * MM, thick, 30 * MM - thick), nth=2),
        Box("tray", 1, (0, thick, thick), (thick, 300 * MM - 2 * thick, 30 * MM - thick), nth=3),
        Box("tray", 1, (400 * MM - thick, thick, thick), (thick, 300 * MM - 2 * thick, 30 * MM - thick), nth=4),
    )
    assert flat(found) == (454.7, 354.7)
    # 400 x 300, two legs of 27.35 x 400, and two of 27.35 x 297: the corners are cut out.
    assert kilograms(found) == pytest.approx((120000 + 2 * 27.35 * 400 + 2 * 27.35 * 297) * 1.5 * 7.85e-6, abs=1e-6)
    assert found.drivers["fold_sheets"].value == 4
    assert {check.outcome for check in found.checks} == {"pass"}


def test_legs_that_go_down_hang_under_the_flat() -> None:
    found = take_tray(tray(("leg up", "leg down")))
    thick = 3 * MM // 2
    assert [(box.corner[2], box.extent[2]) for box in the_tray(found).boxes] == [
        (0, thick), (thick - 30 * MM, 30 * MM - thick), (thick - 30 * MM, 30 * MM - thick)
    ]  # fmt: skip


def test_an_upright_panel_is_folded_to_the_back() -> None:
    upright = ("wide 300 mm along y", "wide 300 mm along z")
    found = take_tray(tray(upright, ("up along front and back", "to the back along left")))
    (_, base, _), leg = the_tray(found).boxes[0].extent, the_tray(found).boxes[1]
    assert leg.corner == (0, base, 0)
    assert leg.extent == (base, 30 * MM - base, 300 * MM)
    assert flat(found) == (427.4, 300.0)


def test_what_stands_in_a_leg_is_said() -> None:
    block = "  block: Block; of sheet; long 50 mm along x; wide 50 mm along y; x 100 mm; y -20 mm; z 10 mm\nfolds:"
    found = take_tray(tray(("folds:", block)))
    assert check_of(found, "clear").outcome == "failure"
    assert any("“Tray” 1 and “Block” 1 overlap by" in problem.message for problem in found.problems)
    beside = take_tray(tray(("folds:", block.replace("y -20 mm", "y -50 mm"))))
    assert check_of(beside, "clear").outcome == "pass"


def test_a_fold_longer_than_its_leg_is_named_and_left_out() -> None:
    found = take_tray(TRAY, leg=3)
    assert [problem.message for problem in found.problems if problem.field == "folds.lips"] == [
        "The fold “Lips” of “Tray” is longer than its leg: round its corner it takes 3 mm, and the leg is 3 mm. It is "
        "left out."
    ]
    assert flat(found) == (400.0, 300.0)


def test_an_edge_folded_by_two_entries_is_named() -> None:
    found = take_tray(tray(("of tray\n", "of tray\n  again: Again; 20 mm down along back of tray\n")))
    assert [problem.field for problem in found.problems] == ["folds.again"]
    assert "folds the back edge of “Tray”, which “Lips” folds already" in found.problems[0].message


@pytest.mark.outside(source="air bending on a brake: four thicknesses and the radius", kind="common practice")
def test_a_leg_too_short_for_the_brake_is_named_with_what_it_needs() -> None:
    # 4 x 1.5 + 1.5 = 7.5.
    short = check_of(take_tray(TRAY, leg=7), "folds/lips/leg")
    assert (short.outcome, "are 7 mm; 7.5 mm," in short.sentence) == ("failure", True)
    assert check_of(take_tray(TRAY, leg=8), "folds/lips/leg").outcome == "pass"


@pytest.mark.outside(source="2.5 thicknesses and the radius from a hole's rim to the fold", kind="common practice")
def test_a_hole_by_a_fold_is_named_with_what_is_left() -> None:
    # Its middle 8 mm from the front: 5 are left, and 2.5 x 1.5 + 1.5 = 5.25 wanted.
    def beside(off: str) -> tuple[str, str]:
        check = check_of(take_tray(tray((HOLE[0], HOLE[1].format(off)))), "folds/tray/beside/peg")
        return check.outcome, check.sentence

    outcome, sentence = beside("8 mm")
    assert outcome == "failure"
    assert "5.0 mm are left to the outside of the fold along the front edge of “Tray”; 5.3 mm," in sentence
    assert beside("8.5 mm")[0] == "pass"


def test_two_folds_that_run_into_each_other_are_named() -> None:
    # Two corners of 1.5 + 1.5 each, and 5 between the outsides.
    check = check_of(take_tray(tray(("front and back", "left and right")), length=5), "folds/tray/between_x")
    assert (check.outcome, "stand 5 mm apart, outside; round their corners they take 6.0 mm" in check.sentence) == (
        "failure", True,
    )  # fmt: skip


def test_without_a_strip_folding_is_bought_in_or_asked_for() -> None:
    radius = {"fold_radius": STRIP["fold_radius"]}
    asked = check_of(take_tray(TRAY, radius), "folds/tray/by")
    assert asked.outcome == "unknown"
    assert "the shop has no test strip of “Steel sheet 1.5 mm”" in asked.sentence
    assert "Bend a strip and type its length when flat and its legs" in asked.sentence
    sent = tray(("parts:", "  press: Folding; service press_work; used by folds_sent_out\nparts:"))
    found = take_tray(sent, radius)
    assert found.drivers["fold_sheets"].value == 0
    code, folds = found.supplies["press"]
    assert folds is not None
    assert code == "press_work"
    assert folds.value == 2
    said = check_of(found, "folds/tray/by")
    assert (said.outcome, "its folds are bought in: “Folding”" in said.sentence) == ("pass", True)
    own = take_tray(sent)
    assert own.drivers["fold_sheets"].value == 2
    left = own.supplies["press"][1]
    assert left is not None
    assert left.value == 0


def test_a_strip_that_can_not_be_right_is_said_and_not_used() -> None:
    found = take_tray(TRAY, {**STRIP, "strip_legs": Fraction(99 * MM)})
    assert "The test strip of “Steel sheet 1.5 mm” can't be right" in found.problems[0].message
    assert check_of(found, "folds/tray/by").outcome == "unknown"


def test_without_a_radius_the_least_leg_is_not_known() -> None:
    found = take_tray(TRAY, {name: STRIP[name] for name in ("strip_flat", "strip_legs")})
    assert check_of(found, "folds/tray/radius").outcome == "unknown"
    assert flat(found) == (400.0, 354.7)


def test_folds_that_no_step_counts_are_named() -> None:
    check = check_of(take_tray(tray(("scope:", "operations:\n  fold_sheets: off\nscope:"))), "counted/folded")
    assert (check.outcome, "Folds of “Lips”, 2, are folded by no step" in check.sentence) == ("failure", True)


def test_its_faces_are_those_of_the_flat_and_what_is_in_sight_those_of_its_legs() -> None:
    paint = "finish:\n  painted: Painted; 1 coat of paint; on tray {}\nscope:"
    stock = ("parts:", "  paint: Paint; liquid oil_hard; needs wood_finish\nparts:")
    faces = take_tray(tray(stock, ("scope:", paint.format("faces"))))
    assert float(faces.finishes[0].area.value) == pytest.approx(2 * 0.4 * 0.3547, abs=1e-6)
    seen = take_tray(tray(stock, ("scope:", paint.format("").replace(" \n", "\n"))))
    # The flat beneath 400 x 300 and above 400 x 297; legs outside 400 x 30, inside 28.5 high, rims 1.5; ends 2 x
    # (300 + 57) x 1.5.
    area = 400 * 300 + 400 * 297 + 2 * 400 * (30 + 28.5 + 1.5) + 2 * (300 + 2 * 28.5) * 1.5
    assert float(seen.finishes[0].area.value) == pytest.approx(area * 1e-6, abs=1e-9)
