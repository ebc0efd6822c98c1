"""Openings, pockets and plates let in: weight, finish and metres by hand, and what is checked of them."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.costing.short_form.holes_case import TOP
from tests.costing.short_form.rack import MM, check_of, kilograms, refused, take
from webapp.costing.design_lines.lines import entry_of, line_of
from webapp.costing.takeoff.checks.made.apart import between
from webapp.costing.takeoff.features import Hole, Pocket
from webapp.costing.takeoff.made.cuts import Cut

FIELD = "holes:\n  field: Field; 20 mm holes through upper; 16 by 7; 100 mm apart each way\n"
SCRAP = "scrap: Scrap; 300 mm x 200 mm in upper; 400 mm from left, 225 mm from front; corners 10 mm"
PLATE = "plate: Plate; 306 mm x 229 mm x 5 mm let into upper, top; ledge 15 mm; corners 10 mm"
#: Birch plywood as the catalogue states it: 11.8 mm, 680 kg/m3.
SKIN_KG = Fraction("1.76") * Fraction("0.86") * Fraction("0.0118") * 680


def opened(*lines: str, further: str = "", field: bool = False) -> str:
    """The top with openings, without its field of holes unless they are to meet."""
    text = TOP if field else TOP.replace(FIELD, "")
    section = "openings:\n" + "".join(f"  {line}\n" for line in lines)
    return text.replace("scope:", f"{section}{further}scope:")


@pytest.mark.parametrize(
    "line",
    [
        "300 mm x 200 mm in top; 400 mm from left, 250 mm from front; corners 10 mm",
        "306 mm x 229 mm x 10 mm let into top, top; corners 10 mm; ledge 15 mm",
        "Lamp; 60 mm round, 12 mm deep in top, bottom; 400 mm from left; for lamp",
        "200 mm x 6 mm round let into top, top; ledge 12 mm",
        "80 mm x 30 mm, 4 mm deep in top, front",
    ],
)
def test_a_line_says_the_same_again(line: str) -> None:
    fields, wrong = entry_of("openings", line)
    assert not wrong
    assert line_of("openings", fields) == line


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("hole: 300 mm x 200 mm, 8 mm deep in upper", "what does not go through needs its side"),
        ("hole: Hole; part upper; length 30 mm", "it needs its length and its width"),
        ("hole: 30 mm round in upper; corners 4 mm", "a round opening has no corners"),
        ("hole: 30 mm x 20 mm in upper; ledge 4 mm", "a ledge is what a plate lies on that is let in"),
        ("hole: 30 mm x 20 mm x 5 mm let into upper, top", "a plate let in needs the ledge that it lies on"),
    ],
)
def test_what_makes_no_opening_is_said(line: str, said: str) -> None:
    assert any(said in sentence for sentence in refused(opened(line)).values())


def test_an_opening_takes_weight_and_finish_off_and_is_cut_round() -> None:
    found = take(opened(SCRAP, further="finish:\n  oiled: Oiled; 2 coats of oil; on upper faces\n").replace(
        "  dog:", "  oil: Oil; liquid oil_hard; needs wood_finish\n  dog:"
    ))  # fmt: skip
    # 300 x 200 less (4 - pi) x 10 x 10 is 59914.16 mm2; round it 1000 less (8 - 2 pi) x 10 is 982.83 mm.
    assert kilograms(found) == pytest.approx(float(SKIN_KG) - 0.05991416 * 0.0118 * 680, abs=1e-6)
    assert float(found.drivers["rout_edges"].value) == pytest.approx(0.98283, abs=1e-5)
    assert float(found.finishes[0].area.value) == pytest.approx(2 * (1.76 * 0.86 - 0.05991416), abs=1e-6)
    assert found.made["upper"] == (Pocket("face", 400 * MM, 225 * MM, 300 * MM, 200 * MM, 0, 10 * MM, "Scrap"),)
    assert [(mark.end, mark.low, mark.high) for mark in found.marked] == [
        (end, (400 * MM, 225 * MM), (700 * MM, 425 * MM)) for end in (0, 1)
    ]


def test_what_a_design_counts_itself_of_routed_edges_stays_beside_its_openings() -> None:
    found = take(opened(SCRAP, further="operations:\n  rout_edges: by metres; count 2\n"))
    assert float(found.drivers["rout_edges"].value) == pytest.approx(2.98283, abs=1e-5)


def test_a_plate_let_in_is_a_pocket_over_an_opening_with_a_ledge() -> None:
    found = take(opened(PLATE))
    # The plate 306 x 229 with corners of 10: 69988.16 mm2, round it 1052.83. Beneath 276 x 199, square: 54924 and 950.
    gone = (69988.16 - 54924) * 5 + 54924 * 11.8
    assert kilograms(found) == pytest.approx(float(SKIN_KG) - gone * 680e-9, abs=1e-6)
    assert float(found.drivers["rout_edges"].value) == pytest.approx(1.05283 + 0.95, abs=1e-5)
    pocket, hole = found.made["upper"]
    assert isinstance(pocket, Pocket)
    assert isinstance(hole, Pocket)
    assert (pocket.length, pocket.width, pocket.depth, pocket.corner) == (306 * MM, 229 * MM, 5 * MM, 10 * MM)
    assert (hole.length, hole.width, hole.depth, hole.corner) == (276 * MM, 199 * MM, 0, 0)
    assert (hole.along - pocket.along, hole.up - pocket.up) == (15 * MM, 15 * MM)
    ledge = check_of(found, "openings/plate/ledge")
    assert (ledge.outcome, "6.8 mm of “Skin” are left beneath its ledge" in ledge.sentence) == ("pass", True)


def test_a_thin_ledge_is_told_to_take_blocking() -> None:
    check = check_of(take(opened(PLATE.replace("x 5 mm", "x 9 mm"))), "openings/plate/ledge")
    assert (check.outcome, "2.8 mm of “Skin” are left" in check.sentence) == ("warning", True)
    # 2 x (306 + 229).
    assert "Blocking behind the ledge, 1070 mm in all" in check.sentence


def test_a_round_one_is_a_hole_of_its_width() -> None:
    found = take(opened("lamp: Lamp; 120 mm round in upper; 300 mm from left, 300 mm from front"))
    assert found.made["upper"] == (Hole("face", 360 * MM, 360 * MM, 120 * MM, 0, "Lamp"),)
    assert float(found.drivers["rout_edges"].value) == pytest.approx(0.376991, abs=1e-6)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("a: A; 300 mm x 200 mm in upper; 1500 mm from left", "reaches 40 mm beyond the right edge of “Skin”"),
        ("a: A; 300 mm x 900 mm in upper", "reaches 20 mm beyond the"),
        ("a: A; 300 mm x 200 mm, 12 mm deep in upper, top", "is 12 mm deep in “Skin”, which is 11.8 mm there"),
        ("a: A; 300 mm x 200 mm in upper; corners 110 mm", "corners of 110 mm, more than half of its 200 mm"),
        ("a: A; 30 mm x 20 mm x 5 mm let into upper, top; ledge 10 mm", "a ledge of 10 mm: nothing stays open"),
        ("a: A; 300 mm x 0 mm in upper", "comes out at 0 mm one way"),
    ],
)
def test_openings_that_can_not_be_made_are_named_and_left_out(line: str, said: str) -> None:
    found = take(opened(line))
    assert [said in problem.message for problem in found.problems if problem.field == "openings.a"] == [True]
    assert not found.made
    assert kilograms(found) == pytest.approx(float(SKIN_KG))


def test_the_webs_that_an_opening_runs_over_are_named() -> None:
    # It reaches from 225 to 425 from the front: over the webs at 210.55 to 228.35 and at 421.1 to 438.9.
    check = check_of(take(opened(SCRAP)), "openings/scrap/behind")
    assert check.outcome == "warning"
    assert "it runs over “Long web” no. 1 and 2: cut there too" in check.sentence
    beside = check_of(take(opened(SCRAP.replace("225 mm", "640 mm").replace("x 200 mm", "x 10 mm").replace(
        "; corners 10 mm", "").replace("640 mm", "650 mm"))), "openings/scrap/behind")  # fmt: skip
    assert beside.outcome == "pass"


def test_holes_in_an_opening_are_named_and_what_is_left_to_the_nearest_is_held_against_their_width() -> None:
    # Columns stand at 130 + 100 n, rows at 130 + 100 n: in 400 to 700 by 225 to 425 lie 430, 530, 630 by 230 and 330,
    # and the row at 430 begins at 420. Numbers: 16 a row.
    check = check_of(take(opened(SCRAP, field=True)), "openings/scrap/holes/field")
    assert check.outcome == "failure"
    assert "9 holes run into it: no. 20, 21, 22, 36, 37, 38, 52, 53 and 54" in check.sentence
    # From 445 to 515 by 345 to 415 it misses all: the hole at 430, 430 is nearest, 15 and 15 off its corner:
    # root 450 less 10.
    clear = "scrap: Scrap; 70 mm x 70 mm in upper; 445 mm from left, 345 mm from front"
    near = check_of(take(opened(clear, field=True)), "openings/scrap/holes/field")
    assert near.outcome == "failure"
    assert "11.2 mm are left to the nearest hole of “Field”; 20.0 mm" in near.sentence


def test_what_is_left_between_openings() -> None:
    side = Fraction(30 * MM)
    square = Cut((Fraction(0), Fraction(0)), (side, side), Fraction(0), Fraction(0))
    beyond = Cut((Fraction(60 * MM), Fraction(70 * MM)), (side, side), Fraction(0), Fraction(0))
    # Corner to corner 30 and 40: 50; with corners of 10, whose middles stand 50 and 60 apart, root 6100 - 20 = 58.10.
    assert between(square, beyond) == 50 * MM
    rounded = [Cut(cut.low, cut.reach, Fraction(10 * MM), Fraction(0)) for cut in (square, beyond)]
    assert float(between(*rounded)) / MM == pytest.approx(58.1025, abs=1e-4)
    two = opened(
        "a: A; 300 mm x 200 mm in upper; 400 mm from left, 445 mm from front",
        "b: B; 300 mm x 200 mm in upper; 705 mm from left, 445 mm from front",
    )
    check = check_of(take(two), "openings/a/apart/b")
    assert (check.outcome, "5.0 mm are left to “B”; 11.8 mm" in check.sentence) == ("failure", True)
    over = check_of(take(two.replace("705 mm", "600 mm")), "openings/a/apart/b")
    assert (over.outcome, "it runs into “B”" in over.sentence) == ("failure", True)


#: The top on its webs, with a lower skin under these: from 300 to 600 and from 225 to 425 an opening goes through all.
ALL = "scrap: Scrap; 300 mm x 200 mm in upper; 400 mm from left, 225 mm from front; corners 10 mm; through all behind"
SKIN = "  lower: Lower skin; of skin; long length along x; wide 860 mm along y; z -11.8 mm\n"
LOWER = ("  web: Long web;", f"{SKIN}  web: Long web;")


def test_an_opening_through_all_behind_cuts_webs_and_the_lower_skin() -> None:
    """It runs over the webs from 210.55 to 228.35, by 3.35 of that, and from 421.1 to 438.9, by 3.9."""
    found = take(opened(ALL).replace(*LOWER))
    check = check_of(found, "openings/scrap/behind")
    assert check.outcome == "pass"
    assert check.sentence.startswith("Scrap: “Long web” no. 1 and 2 and “Lower skin” no. 1 are cut through with it;")
    assert "with blocking, 1000 mm in all" in check.sentence
    masses = {part.name: part.mass for part in found.parts}
    assert all(mass is not None for mass in masses.values())
    # The lower skin loses as much as the upper one: 59914.16 mm2.
    assert float(masses["lower"].value) == pytest.approx(kilograms(found))  # type: ignore[union-attr]
    # Both webs together 300 x (3.35 + 3.9) x 80 mm, told of one of three on the mean.
    web = 1.76 * 0.08 * 0.0178 * 680 - 0.3 * 0.00725 * 0.08 * 680 / 3
    assert float(masses["web"].value) == pytest.approx(web, abs=1e-6)  # type: ignore[union-attr]
    # 0.98283 round the opening; in the lower skin 2 x 500 = 1000; in each web along 300, and 80 deep at both ends: 460.
    assert float(found.drivers["rout_edges"].value) == pytest.approx(0.98283 + 1.0 + 2 * 0.46, abs=1e-5)
    assert found.made["lower"] == found.made["upper"]
    assert sorted((mark.part, mark.number) for mark in found.marked if mark.end) == [
        ("lower", 1), ("upper", 1), ("web", 1), ("web", 2),
    ]  # fmt: skip


def test_between_webs_it_still_goes_through_the_lower_skin() -> None:
    found = take(opened(ALL.replace("200 mm in", "150 mm in").replace("225 mm", "250 mm")).replace(*LOWER))
    sentence = check_of(found, "openings/scrap/behind").sentence
    assert sentence.startswith("Scrap: “Lower skin” no. 1 is cut through with it;")


def test_hardware_behind_an_opening_is_named_and_not_cut() -> None:
    base = (
        "hardware:\n  base: Base; of stand; wide 500 mm; deep 500 mm; tall 300 mm; x 300 mm; y 100 mm; z -300 mm\n"
        "joints:\n  held: Held; web into base; with screw; every 200 mm; ends 50 mm; grip 3 mm; room 80 mm\n"
    )  # fmt: skip
    text = opened(ALL, further=base).replace("  dog:", "  stand: Base; piece lifting_base; needs lifting_base\n  dog:")
    check = check_of(take(text), "openings/scrap/behind")
    assert (check.outcome, "in its line lies “Base” no. 1, which can't be cut" in check.sentence) == ("failure", True)


def test_a_pocket_goes_through_nothing_behind() -> None:
    line = "hole: Hole; 300 mm x 200 mm, 8 mm deep in upper, top; through all behind"
    assert any("a pocket ends in its part" in sentence for sentence in refused(opened(line)).values())
