"""Parts that stand aslant, against trigonometry worked by hand: lengths, bevels and places."""

from __future__ import annotations

import random
from datetime import date
from fractions import Fraction
from functools import cache
from math import radians, tan

import pytest

from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.design_form.reader import read_design
from webapp.costing.design_lines.lines import entry_of, line_of
from webapp.costing.design_lines.read_aloud import read_aloud
from webapp.costing.designs.model import Design
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Working
from webapp.costing.measures.written import System
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.model import PartTaken, TakeOff
from webapp.costing.takeoff.parts import make_parts
from webapp.costing.takeoff.placed.solid import Solid
from webapp.design_text import read_text
from webapp.seed import load_catalogue

MM = 10**6
STEP_NM = 100_000
SYSTEM: System = "metric"

#: A board for whatever stands aslant, a sheet, dowels and glue; 1000 mm each way.
HEAD = """
form: 2
design: tried
name: Tried
says: Tried
sizes: {length: Length; 1000 mm; least 100 mm; most 3000 mm}
stock:
  wood: Wood; board sugar_maple
  sheet: Sheet; sheet birch_plywood_18
  peg: Dowels; fastener dowel_8_40; needs dowel
  glue: Glue; liquid wood_glue; needs wood_glue
  tube: Tube; length steel_tube_40; needs steel_tube
  oil: Oil; liquid oil_hard; needs wood_finish
  pads: Pads; piece rubber_pad; needs pad
scope: Tried.
closes: {x: 1000 mm, y: 1000 mm, z: 1000 mm}
"""
LEGS = "of wood; long along z; wide 40 mm along x; thick 40 mm"
IN_A_ROW = "x 100 mm and 500 mm; y 0 mm; z from 0 mm up to 700 mm; splayed 8 degrees from the front"


@cache
def catalogue() -> Catalogue:
    return load_catalogue(date(2026, 11, 2))


def read(parts: dict[str, str], further: str = "") -> tuple[Design | None, list[str]]:
    body = "".join(f'  {name}: "{line}"\n' for name, line in parts.items())
    document, problems = read_text(f"{HEAD}parts:\n{body}{further}")
    if document is None:
        return None, [problem.message for problem in problems]
    design, wrong = read_design(document)
    return design, [problem.message for problem in (*problems, *wrong)]


def take_off(parts: dict[str, str], further: str = "") -> TakeOff:
    design, wrong = read(parts, further)
    assert design is not None, wrong
    return expand(design, {}, {}, {}, catalogue(), default_rates(), Working(), "item/1", STEP_NM, SYSTEM)


def part_of(taken: TakeOff, name: str) -> PartTaken:
    return next(part for part in taken.parts if part.name == name)


def said(taken: TakeOff) -> list[str]:
    return [problem.message for problem in taken.problems]


def near(value: Fraction | int | None, mm: float, within: float = 0.001) -> bool:
    assert value is not None
    return abs(float(value) / MM - mm) < within


# ---- a splayed leg ---------------------------------------------------------------------------------------------------


@pytest.mark.outside(kind="common practice", source="plane trigonometry: 700 / cos 8 = 706.880; 700 tan 8 = 98.379")
def test_a_leg_that_leans_one_way_is_as_long_and_stands_as_worked_by_hand() -> None:
    taken = take_off({"leg": f"{LEGS}; {IN_A_ROW}"})
    leg = part_of(taken, "leg")
    assert leg.count.value == 2
    assert leg.length.value == 706_900_000
    assert leg.sawn is not None
    assert near(leg.sawn.length, 712.501)
    for cut in leg.sawn.cuts:
        assert (f"{abs(cut.face_degrees):.6f}", f"{abs(cut.edge_degrees):.6f}") == ("8.000000", "0.000000")
        # On the broad face the cut runs back by 5.622 mm from its long point to its short one; on the edges not at all.
        by_side = {mark.side: float(mark.short_point - mark.long_point) / MM for mark in cut.marks}
        assert round(by_side["first face"], 3) == round(by_side["second face"], 3) == 5.622
        assert round(by_side["first edge"], 3) == 0
    left, right = leg.boxes
    # Upright it would stand from 100 to 140; its top stays there, 40 / cos 8 = 40.393 wide, and its foot goes out.
    assert near(left.corner[0], 120 - 98.379 - 20.197)
    assert near(left.corner[0] + left.extent[0], 140.197)
    assert near(right.corner[0], 500 - 0.197)
    assert near(right.corner[0] + right.extent[0], 520 + 98.379 + 20.197)
    assert (left.corner[2], left.extent[2]) == (0, 700 * MM)
    assert (left.corner[1], left.extent[1]) == (0, 40 * MM)


@pytest.mark.outside(
    kind="common practice",
    source="solid trigonometry: 700 root(1 + tan² 8 + tan² 5) = 709.527; 700 tan 5 = 61.242",
)
def test_a_leg_that_leans_two_ways_is_as_long_and_stands_as_worked_by_hand() -> None:
    where = "x 100 mm and 500 mm; y 100 mm and 500 mm; z from 0 mm up to 700 mm"
    taken = take_off({"leg": f"{LEGS}; {where}; splayed 8 degrees from the front, 5 degrees from the side"})
    leg = part_of(taken, "leg")
    assert leg.count.value == 4
    assert leg.length.value == 709_500_000
    assert leg.long_point is not None
    assert leg.sawn is not None
    assert near(leg.sawn.length, 718.648)
    assert leg.long_point.value == 718_600_000
    assert leg.blank_length.value > leg.long_point.value
    start, far = leg.sawn.cuts
    for cut in (start, far):
        assert (f"{abs(cut.face_degrees):.6f}", f"{abs(cut.edge_degrees):.6f}") == ("8.000000", "5.000000")
    # Parallel: what runs back from the start runs on at the far end.
    assert abs(start.face_run + far.face_run) < Fraction(1, 10**9)
    assert abs(start.edge_run + far.edge_run) < Fraction(1, 10**9)
    # The middle of each foot stands out by 98.379 and 61.242 from the middle of its top.
    for box, (x, y) in zip(leg.boxes, ((-1, -1), (-1, 1), (1, -1), (1, 1)), strict=True):
        feet = [corner for corner in box.corners if corner[2] == 0]
        assert len(feet) == 4
        middle = [sum(corner[axis] for corner in feet) / 4 / MM for axis in range(2)]
        assert round(middle[0], 3) == round(320 + x * (200 + 98.379), 3)
        assert round(middle[1], 3) == round(320 + y * (200 + 61.242), 3)
    assert [round(float(leg.mass.value), 3)] == [round(0.04 * 0.04 * 0.7095 * 705.6, 3)] if leg.mass else False


def test_pieces_that_all_lean_one_way_stand_at_their_feet_and_go_by_a_formula_of_degrees() -> None:
    taken = take_off(
        {"back": "of wood; long along z; wide 300 mm along x; thick 20 mm; x 100 mm; y 200 mm; "
                 "z from 100 mm up to 500 mm; leans lean + 2 degrees to the back"},
        "values: {lean: 10}\n",
    )  # fmt: skip
    back = part_of(taken, "back")
    assert near(back.length.value, 400 / 0.9781476, 0.05)  # cos 12
    box = back.boxes[0]
    assert near(box.extent[0], 300)
    # 20 mm cut level are 20 / cos 12 = 20.447 deep there; its foot stays, its top goes back by 400 tan 12 = 85.023.
    assert near(box.corner[1], 210 - 10.223)
    assert near(box.corner[1] + box.extent[1], 210 + 10.223 + 85.023)
    ahead = take_off({"back": f"{LEGS}; x 100 mm; y 200 mm; z from 0 mm up to 500 mm; leans 12 degrees to the left"})
    assert part_of(ahead, "back").boxes[0].corner[0] < 100 * MM - 80 * MM


def test_names_of_a_leaning_part_are_the_ends_of_what_stands_there() -> None:
    taken = take_off(
        {"leg": f"{LEGS}; {IN_A_ROW}",
         "top": "of wood; long leg.right - leg.left along x; wide 100 mm along y; thick 20 mm; x leg.left; z on leg"},
    )  # fmt: skip
    top = part_of(taken, "top")
    assert near(top.length.value, 400 + 40 + 2 * 98.379 + 2 * 0.197, 0.05)
    assert top.boxes[0].corner[2] == 700 * MM


def test_a_pad_stands_in_the_middle_under_the_foot_of_a_splayed_leg() -> None:
    taken = take_off(
        {"leg": f"{LEGS}; {IN_A_ROW}"},
        "hardware: {pad: Pad; of pads; wide 30 mm; deep 30 mm; tall 4 mm; under each leg}\n",
    )
    (pads,) = taken.hardware
    assert [near(box.corner[0] + 15 * MM, middle) for box, middle in
            zip(pads.boxes, (120 - 98.379, 520 + 98.379), strict=True)] == [True, True]  # fmt: skip
    assert [box.corner[2] for box in pads.boxes] == [-4 * MM, -4 * MM]


# ---- braces ----------------------------------------------------------------------------------------------------------


def tied(front: Fraction, side: Fraction, low: Fraction, thick: Fraction) -> dict[str, str]:
    where = "x 200 mm and 760 mm; y 150 mm and 750 mm; z from 0 mm up to 700 mm"
    on_legs = f"220 mm - (700 mm - {low} mm) * tan({front}) - {thick / 2} mm"
    before_them = f"170 mm - (700 mm - {low} mm) * tan({side}) - {thick / 2} mm"
    return {
        "leg": f"{LEGS}; {where}; splayed {front} degrees from the front, {side} degrees from the side",
        "tie": f"of wood; long along y; wide 20 mm along z; thick {thick} mm; x {on_legs}; z {low - 10} mm; "
               "cut against leg at both ends",
        "brace": f"of wood; long along x; wide 20 mm along z; thick {thick} mm; x from 300 mm to 400 mm and mirrored; "
                 f"y {before_them}; z from {low} mm up to {low + 25} mm; "
                 "cut against leg at the start, level at the end",
    }  # fmt: skip


def test_a_tie_and_a_brace_close_on_the_legs_that_they_meet_over_500_samples() -> None:
    chance = random.Random(20261130)
    for _ in range(500):
        front, side = (Fraction(chance.randint(0, 12_000), 1000) for _ in range(2))
        low, thick = Fraction(chance.randint(100_000, 400_000), 1000), Fraction(chance.randint(12_000, 24_000), 1000)
        design, wrong = read(tied(front or Fraction(1), side or Fraction(1), low, thick))
        assert design is not None, wrong
        taking = Taking(design, {}, {}, {}, catalogue(), default_rates(), Working(), "item/1", STEP_NM, SYSTEM)
        made = make_parts(taking)
        assert taking.problems == ()
        placed = [piece for one in made for piece in one.placed]
        meetings = Meetings(placed)
        solid = Solid(placed, meetings.bodies)
        ends = solid.bodies.ends
        for place, piece in enumerate(placed):
            if piece.part == "tie":
                assert all(end.touched for end in ends[place]), (front, side, low, thick)
            if piece.part == "brace":
                assert any(end.touched for end in ends[place]), (front, side, low, thick)
        gaps = [abs(one.aslant.widest) for one in meetings.between("tie", "leg") if one.aslant is not None]
        assert len(gaps) == 2
        assert max(gaps) <= 10_000
        assert solid.find_overlaps() == []


@pytest.mark.outside(kind="common practice", source="plane trigonometry: a 3-4-5 triangle, 53.130 and 36.870 degrees")
def test_a_brace_from_an_upright_to_a_top_is_as_long_and_cut_as_the_triangle_says() -> None:
    taken = take_off({
        "post": "of wood; long 1000 mm along z; wide 40 mm along x; thick 40 mm; z 0 mm",
        "top": "of wood; long 900 mm along x; wide 100 mm along y; thick 30 mm; x 40 mm; z 970 mm",
        "brace": "of wood; long along x; wide 20 mm along z; thick 20 mm; x from 40 mm to 340 mm; y 10 mm; "
                 "z from 570 mm up to 970 mm; cut against post and top",
    })  # fmt: skip
    brace = part_of(taken, "brace")
    assert brace.length.value == 500 * MM
    assert brace.sawn is not None
    start, end = brace.sawn.cuts
    assert (f"{abs(start.face_degrees):.3f}", f"{abs(end.face_degrees):.3f}") == ("53.130", "36.870")
    # Its edges run 10 mm beside its middle: at the start 10 tan 53.13 = 13.333 further, at the end 7.5.
    assert near(brace.sawn.length, 500 + 13.3333 + 7.5)
    assert said(taken) == []


def test_what_braces_share_with_others_makes_their_joints() -> None:
    taken = take_off(
        tied(Fraction(8), Fraction(5), Fraction(200), Fraction(20)),
        "joints: {held: Held; tie into leg; with peg; every 10 mm; ends 5 mm; glue}\n",
    )
    (held,) = taken.fastenings
    assert held.rows.value == 2
    # The end of a tie is 20 high and 20 thick, cut nearly square: hardly more than 400 mm2 each.
    (area,) = taken.glue.values()
    assert 800 < area.value * 10**6 < 810
    assert {"clear", "touch"} <= {check.name for check in taken.checks if check.outcome == "pass"}


def test_a_tube_that_leans_is_sawn_twice_welded_and_weighs_by_its_middle_line() -> None:
    taken = take_off(
        {"leg": "of tube; long along z; wide along x; x 100 mm and 500 mm; z from 0 mm up to 700 mm; "
                "splayed 8 degrees from the front",
         "rail": "of tube; long along x; wide along z; y 0 mm; z 300 mm; cut against leg at both ends",
         "bar": "of tube; long 640 mm along x; wide along z; z 700 mm"},
        "joints: {welded: Welded; rail into leg; weld all_round}\n",
    )  # fmt: skip
    (welds,) = taken.welds
    assert welds.count.value == 2
    # Two cuts for each of the two legs and the rail; the bar, square at both ends, is freed by one.
    assert taken.drivers["saw_tube"].value == 2 * 2 + 2 + 1
    leg = part_of(taken, "leg")
    metre = part_of(taken, "bar").mass
    assert leg.mass is not None
    assert metre is not None
    assert abs(float(leg.mass.value / metre.value) - 706.9 / 640) < 1e-9


def test_an_end_that_comes_short_is_named_by_its_gap() -> None:
    parts = {
        "post": "of wood; long 500 mm along z; wide 40 mm along x; thick 40 mm; x 0 mm and 400 mm; z 0 mm",
        "rail": "of wood; long along x; wide 20 mm along z; thick 20 mm; x from 40 mm to 399.8 mm; y 10 mm; z 100 mm",
    }
    taken = take_off(parts, "joints: {held: Held; rail into post; with peg; every 10 mm; ends 5 mm}\n")
    missed = [check.sentence for check in taken.checks if check.name == "meets/held"]
    assert missed == ["Held: “Rail” 1 meets at its start only; the far end stands 0.2 mm off “Post” 2."]


def test_what_stands_aslant_in_another_overlaps_it() -> None:
    block = "of wood; long 100 mm along x; wide 40 mm along y; thick 20 mm; x 20 mm"
    # The foot stands from 1.4 to 41.8 at the floor. At the block's top, 20 mm higher, it has moved to the right by
    # 20 tan 8 = 2.8, to 44.6: it reaches 24.6 into the block, that begins at 20.
    assert said(take_off({"leg": f"{LEGS}; {IN_A_ROW}", "block": f"{block}; z 0 mm"})) == [
        "The parts “Leg” 1 and “Block” 1 overlap by a space 24.6 mm wide, 40.0 mm deep and 20.0 mm high."
    ]
    # Over 100 mm from the foot it moves by 14.1, and is 15.5 to 55.9 there: of a block that begins at 50 it takes the
    # upper corner alone, 5.9 wide and 5.9 / tan 8 = 41.8 high.
    corner = "of wood; long 100 mm along x; wide 100 mm along z; thick 20 mm; x 50 mm; z 0 mm"
    assert said(take_off({"leg": f"{LEGS}; {IN_A_ROW}", "block": corner})) == [
        "The parts “Leg” 1 and “Block” 1 overlap by a space 5.9 mm wide, 20.0 mm deep and 41.8 mm high."
    ]
    beside = "of wood; long 10 mm along x; wide 40 mm along y; thick 20 mm; x 10 mm; z 300 mm"
    assert said(take_off({"leg": f"{LEGS}; {IN_A_ROW}", "block": beside})) == []


def test_what_is_coated_of_a_leaning_part_is_what_it_has() -> None:
    further = "finish: {coats: 'Oil; 1 coats of oil; on leg faces, leg long edges, leg ends'}\n"
    around = take_off({"leg": f"{LEGS}; {IN_A_ROW}"}, further).finishes[0].area.value
    # Broad faces 40 x 706.880, edges the same, ends 40 x 40 / cos 8; of two legs.
    assert abs(float(around) - 2 * (4 * 0.04 * 0.706880 + 2 * 0.04 * 0.040393)) < 1e-6
    free = take_off({"leg": f"{LEGS}; {IN_A_ROW}"}, "finish: {coats: Oil; 1 coats of oil; on leg}\n")
    assert abs(free.finishes[0].area.value - around) < Fraction(1, 10**9)
    board = "of wood; long 600 mm along x; wide 40 mm along y; thick 20 mm; x 50 mm; z 700 mm"
    all_of_it = "finish: {coats: 'Oil; 1 coats of oil; on leg, top'}\n"
    under = take_off({"leg": f"{LEGS}; {IN_A_ROW}", "top": board}, all_of_it)
    whole = float(around) + 2 * (0.6 * 0.04 + 0.6 * 0.02 + 0.04 * 0.02) - 4 * 0.04 * 0.040393
    assert abs(float(under.finishes[0].area.value) - whole) < 1e-6


def test_a_board_or_a_sheet_may_be_mitred_in_a_short_form() -> None:
    taken = take_off({
        "side": "of wood; long 500 mm along x; wide 60 mm along y; thick 20 mm; mitres start 45, end 45, long front",
        "panel": "of sheet; long 500 mm along x; wide 60 mm along y; z 100 mm; mitres start 30, long front",
    })  # fmt: skip
    side, panel = part_of(taken, "side"), part_of(taken, "panel")
    assert side.mitre_runs == (60 * MM, 60 * MM)
    assert near(panel.mitre_runs[0], 60 * tan(radians(30)))


def test_a_mitred_board_is_coated_over_its_mean_length() -> None:
    board = "of wood; long 500 mm along x; wide 60 mm along y; thick 20 mm; mitres start 45, end 45, long front"
    faces = take_off({"side": board}, "finish: {coats: 'Oil; 1 coats of oil; on side faces, side long edges'}\n")
    # A trapezium 500 and 380 long, 60 wide, twice; its edges of 500 and 380 by 20.
    assert faces.finishes[0].area.value * 10**6 == 2 * 440 * 60 + 880 * 20


def test_pieces_of_which_there_are_none_stand_nowhere_and_nothing_is_wrong() -> None:
    taken = take_off(
        {"leg": f"{LEGS}; x 10 evenly from 0 mm to 900 mm; z from 0 mm up to 500 mm; leans 5 degrees to the back",
         "stay": f"{LEGS}; count number_of; x 950 mm; z from 0 mm up to 500 mm; leans 5 degrees to the back"},
        "values: {number_of: 0}\n",
    )  # fmt: skip
    assert [part.name for part in taken.parts] == ["leg"]
    assert part_of(taken, "leg").count.value == 10
    assert said(taken) == []


def test_a_line_says_a_leaning_part_and_is_written_and_read_aloud_again() -> None:
    line = (
        "Leg; of wood; long along z; wide 40 mm along x; x left and right; z from 0 mm up to 700 mm; "
        "splayed lean degrees from the front, 5 degrees from the side; cut level at the start, square at the end"
    )
    fields, problems = entry_of("parts", line, "leg")
    assert problems == ()
    assert isinstance(fields, dict)
    assert fields["splayed"] == "lean degrees from the front, 5 degrees from the side"
    assert fields["cut"] == "level at the start, square at the end"
    assert entry_of("parts", line_of("parts", fields), "leg") == (fields, ())
    ((_, (sentence,)),) = read_aloud({"parts": {"leg": fields}})
    assert "splayed lean degrees from the front, 5 degrees from the side, the feet outwards" in sentence
    assert "its ends cut level at the start, square at the end" in sentence
