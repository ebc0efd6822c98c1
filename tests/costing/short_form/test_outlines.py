"""Flat parts cut to an outline by points and arcs: area, metres, weight and place by hand, and what is refused."""

from __future__ import annotations

from math import asin, pi

import pytest

from tests.costing.short_form.holes_case import TOP
from tests.costing.short_form.rack import MM, check_of, kilograms, refused, take
from webapp.costing.design_changes.rename import rename
from webapp.costing.design_changes.typed_units import write_units_in
from webapp.costing.design_lines.lines import entry_of, line_of
from webapp.costing.design_lines.read_aloud import read_aloud
from webapp.design_text import read_text
from webapp.pictures.bench.pieces import heap_of
from webapp.pictures.bench.thing import thing_of

#: The skin is 1760 x 860 x 11.8 of birch plywood, 680 kg/m3; a step of 400 x 300 is cut out of its corner at the back
#: on the right, its inner corner rounded by 50, and the corner at the front on the right by 100.
STEP = (
    "nook: 0 by 0, length by 0 rounded 100 mm, length by 560 mm, 1360 mm by 560 mm rounded 50 mm, 1360 mm by 860 mm, "
    "0 by 860 mm of upper"
)
#: What is cut off a square corner by a radius of 1, and how much shorter that is.
OFF, LESS = 1 - pi / 4, 2 - pi / 2
AREA = 1760 * 860 - 400 * 300 - OFF * 100**2 + OFF * 50**2
FIELD = "holes:\n  field: Field; 20 mm holes through upper; 16 by 7; 100 mm apart each way\n"


def cut(line: str = STEP, further: str = "") -> str:
    assert FIELD in TOP
    text = TOP.replace(FIELD, "")
    at = text.index("  web: Long web")
    text = text[:at] + text[text.index("\n", at) + 1 :]
    return text.replace("scope:", f"outlines:\n  {line}\n{further}scope:")


@pytest.mark.parametrize(
    "line",
    [
        "0 mm by 0 mm, width by 0 mm, width by 300 mm rounded 50 mm, 0 mm by height of gusset",
        "Gusset; 0 mm by 0 mm, width - 2 * leg by 0 mm, 0 mm by 300 mm bowed -40 mm of gusset; when open",
    ],
)
def test_a_line_says_the_same_again(line: str) -> None:
    fields, wrong = entry_of("outlines", line)
    assert not wrong
    assert line_of("outlines", fields) == line


def test_it_is_read_aloud_takes_units_and_follows_new_names() -> None:
    document, _ = read_text(cut("nook: 0 by 0, length by 0 rounded 100, length by 860, 0 by 860 of upper"))
    assert document is not None
    written, _ = write_units_in(document, "metric")
    assert [corner["across"] for corner in written["outlines"]["nook"]["points"]] == ["0", "0", "860 mm", "860 mm"]
    said = dict(read_aloud(written))["Outlines"][0]
    assert said == (
        "Nook: “Skin” cut to the corners 0 along and 0 across, length along and 0 across (rounded by 100 mm), length "
        "along and 860 mm across and 0 along and 860 mm across."
    )
    renamed = rename(written, "sizes", "length", "reach")
    assert [corner["along"] for corner in renamed["outlines"]["nook"]["points"]] == ["0", "reach", "reach", "0"]


def test_weight_finish_and_metres_go_by_the_outline_and_the_blank_by_its_box() -> None:
    oil = "finish:\n  oiled: Oiled; 1 coat of oil; on upper faces and bare edges\n"
    found = take(cut(further=oil).replace("  dog:", "  oil: Oil; liquid oil_hard; needs wood_finish\n  dog:"))
    part = found.parts[0]
    assert part.blank_width is not None
    assert part.blank_length.value == 1760 * MM
    assert part.blank_width.value == 860 * MM
    assert kilograms(found) == pytest.approx(AREA * 11.8 * 680e-9, abs=1e-9)
    # Beside the blank's edges: 300 and 400 into the step less 2 x 50 for its arc of a quarter turn, and the other arc.
    beside = 300 + 400 - 100 + 50 * pi / 2 + 100 * pi / 2
    assert float(found.drivers["cut_outlines"].value) == pytest.approx(beside / 1000, abs=1e-9)
    around = 2 * (1760 + 860) - LESS * 100 - LESS * 50
    area = 2 * AREA + around * 11.8
    assert float(found.finishes[0].area.value) == pytest.approx(area * 1e-6, abs=1e-9)
    assert [problem.message for problem in found.problems] == []


def test_a_bowed_side_is_a_segment_of_a_circle() -> None:
    # 860 long, 100 high: radius (430² + 100²) / 200 = 974.5; the arc turns by 2 asin(430 / 974.5).
    found = take(cut("bow: 0 by 0, 1660 mm by 0, 1660 mm by 860 mm bowed 100 mm, 0 by 860 mm of upper"))
    radius, half = 974.5, asin(430 / 974.5)
    segment = radius**2 * half - 430 * (radius - 100)
    assert kilograms(found) == pytest.approx((1660 * 860 + segment) * 11.8 * 680e-9, rel=1e-9)
    assert float(found.drivers["cut_outlines"].value) == pytest.approx(2 * radius * half / 1000, rel=1e-9)
    hollow = take(cut("bow: 0 by 0, length by 0, length by 860 mm bowed -100 mm, 0 by 860 mm of upper"))
    assert kilograms(hollow) == pytest.approx((1760 * 860 - segment) * 11.8 * 680e-9, rel=1e-9)


def test_it_stands_as_it_is_cut() -> None:
    # A block in the step touches nothing; where the skin is left it stands in it.
    block = "  block: Block; of web; long 200 mm along x; wide 200 mm along y; x {}; y {}; z 80 mm\noutlines:"
    clear = take(cut().replace("outlines:", block.format("1500 mm", "600 mm")))
    assert check_of(clear, "clear").outcome == "pass"
    found = take(cut().replace("outlines:", block.format("1200 mm", "600 mm")))
    assert check_of(found, "clear").outcome == "failure"
    boxes = found.parts[0].boxes
    assert {box.number for box in boxes} == {1}
    assert len(boxes) > 1
    assert all(box.corners for box in boxes)
    lowest = min(corner[2] for box in boxes for corner in box.corners)
    assert lowest == 80 * MM


def test_what_is_in_sight_is_its_faces_and_its_outline() -> None:
    oil = "finish:\n  oiled: Oiled; 1 coat of oil; on upper\n"
    step = "length by 560 mm, 1360 mm by 560 mm, 1360 mm by 860 mm, 0 by 860 mm"
    text = cut(f"cut: 0 by 0, length by 0, {step} of upper", oil)
    found = take(text.replace("  dog:", "  oil: Oil; liquid oil_hard; needs wood_finish\n  dog:"))
    area = 2 * (1760 * 860 - 400 * 300) + 2 * (1760 + 860) * 11.8
    assert float(found.finishes[0].area.value) == pytest.approx(area * 1e-6, abs=1e-9)
    # An L shows six corners: six edges above, six below and six upright, and no seam.
    edges = heap_of(thing_of(found).pieces).edge_ends.tolist()
    assert len({tuple(sorted(map(tuple, ends))) for ends in edges}) == 18


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("a: 0 by 0, 900 mm by 860 mm, 900 mm by 0, 0 by 860 mm of upper",
         "The outline “A” of “Skin” crosses itself: its side from 0.0 mm along and 0.0 mm across to 900.0 mm along and "
         "860.0 mm across meets that from 900.0 mm along and 0.0 mm across"),
        ("a: 0 by 0, 900 mm by 0, 400 mm by 0, 400 mm by 860 mm of upper",
         "turns back on itself at 900.0 mm along and 0.0 mm across"),
        ("a: 0 by 0, 900 mm by 0, 400 mm by 0 of upper", "turns back on itself"),
        ("a: 0 by 0, 0 by 0, 400 mm by 0, 400 mm by 860 mm of upper", "has its corner 1 where the next one is"),
        ("a: 0 by 0, 1800 mm by 0, 0 by 860 mm of upper", "reaches 40.0 mm beyond “Skin”, which is 1760 mm long"),
        ("a: 0 by 0, length by 0 rounded 900 mm, 0 by 860 mm of upper", "has no room for the radius 900.0 mm"),
        ("a: 0 by 0, length by 0, length by 860 mm bowed 500 mm, 0 by 860 mm of upper",
         "bows a side of 860.0 mm by 500.0 mm; half its length is the most"),
    ],
)  # fmt: skip
def test_an_outline_that_can_not_be_made_is_named_and_left_out(line: str, said: str) -> None:
    found = take(cut(line))
    assert any(said in problem.message for problem in found.problems if problem.field == "outlines.a"), found.problems
    assert kilograms(found) == pytest.approx(1760 * 860 * 11.8 * 680e-9, rel=1e-9)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("a: 0 by 0, length by 0 of upper", "there are 2 corners; an outline has from 3 to 200"),
        ("a: 0 by 0, 3 by 0, 0 by 860 mm of upper", "'3' is a plain number, and a length is needed"),
        ("a: 0 by 0, length by 0 rounded 5 mm bowed 5 mm, 0 by 9 mm of upper", "corner 2 is rounded, and the side"),
        ("a: 0 by 0, length by 0, 0 by 860 mm of uppr", "'uppr' is no part; did you mean 'upper'?"),
    ],
)
def test_what_is_no_outline_is_said(line: str, said: str) -> None:
    assert any(said in sentence for sentence in refused(cut(line)).values()), refused(cut(line))


def test_an_outline_smaller_than_its_part_is_said() -> None:
    found = take(cut("a: 0 by 0, 1700 mm by 0, 1700 mm by 860 mm, 0 by 860 mm of upper"))
    assert [(problem.severity, problem.message) for problem in found.problems] == [
        ("warning", "The outline “A” is 1700.0 mm long, and “Skin” 1760 mm: its blank is cut larger than it needs.")
    ]


def test_a_hole_outside_the_outline_is_named() -> None:
    hole = "holes:\n  peg: Peg; 20 mm hole through upper; {} from right, {} from back\n"
    # 30 from the step's side, less 10 of the hole itself.
    near = check_of(take(cut(further=hole.format("430 mm", "100 mm"))), "outlines/nook/peg")
    assert (near.outcome, "20.0 mm are left to the outline of “Skin”; 11.8 mm" in near.sentence) == ("pass", True)
    out = check_of(take(cut(further=hole.format("200 mm", "100 mm"))), "outlines/nook/peg")
    assert (out.outcome, "it reaches 210.0 mm beyond the outline of “Skin”" in out.sentence) == ("failure", True)


def test_an_outline_that_no_step_cuts_is_named() -> None:
    check = check_of(take(cut(further="operations:\n  cut_outlines: off\n")), "counted/outlined")
    assert (check.outcome, "Outlines of “Skin”, 1, are cut by no step" in check.sentence) == ("failure", True)
