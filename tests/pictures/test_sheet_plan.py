"""A cut sheet drawn to scale: pieces where the plan puts them, told apart by number and hatch, offcuts left blank."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from webapp.costing.cutting.ask.model import Trim
from webapp.pictures.saw_marks import DrawnCut, RunningOn
from webapp.pictures.sheet_plan import DIMENSION_ROOM, Offcut, PlacedPiece, sheet_plan

SVG = "{http://www.w3.org/2000/svg}"
MM = 1_000_000
NO_TRIM = Trim.all_round(0)


def millimetres(length: int) -> str:
    return f"{length / MM:g} mm"


def draw(
    *pieces: PlacedPiece,
    offcuts: tuple[Offcut, ...] = (),
    trim: Trim = NO_TRIM,
    cuts: tuple[DrawnCut, ...] = (),
    groups: tuple[RunningOn, ...] = (),
) -> ElementTree.Element:
    """A sheet of 2000 x 1000 mm at half a unit to the millimetre."""
    drawn = sheet_plan(
        2000 * MM, 1000 * MM, trim, pieces, offcuts, millimetres, drawn_length=1000, cuts=cuts, groups=groups
    )
    assert "style=" not in drawn
    return ElementTree.fromstring(drawn)


def groups(drawing: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [one for one in drawing.iter(f"{SVG}g") if one.get("class") == name]


def outline(group: ElementTree.Element) -> tuple[float, float, float, float]:
    """x, y, width and height in mm of the first rectangle drawn for a piece."""
    rectangle = group.find(f"{SVG}rect")
    assert rectangle is not None
    x, y, width, height = (float(rectangle.get(key, "")) for key in ("x", "y", "width", "height"))
    return (x - DIMENSION_ROOM) * 2, (y - DIMENSION_ROOM) * 2, width * 2, height * 2


def strokes(group: ElementTree.Element) -> list[tuple[float, float, float, float]]:
    path = next(one for one in group.iter(f"{SVG}path") if one.get("class") == "drawn-hatch")
    found = re.findall(r"M([-\d.]+) ([-\d.]+)L([-\d.]+) ([-\d.]+)", path.get("d", ""))
    return [(float(a), float(b), float(c), float(d)) for a, b, c, d in found]


def direction(group: ElementTree.Element) -> float:
    x1, y1, x2, y2 = max(strokes(group), key=lambda one: abs(one[0] - one[2]) + abs(one[1] - one[3]))
    return round((y2 - y1) / (x2 - x1), 1)


def side(number: int, x: int = 0, y: int = 0, turned: bool = False, grain: bool = False) -> PlacedPiece:
    return PlacedPiece(number, "Side", x * MM, y * MM, 600 * MM, 400 * MM, turned, grain)


def test_a_piece_lies_where_the_plan_puts_it_and_a_turned_one_across() -> None:
    straight, turned = groups(draw(side(1, 10, 20), side(1, 700, 20, turned=True)), "piece")
    assert outline(straight) == pytest.approx((10, 20, 600, 400), abs=0.1)
    assert outline(turned) == pytest.approx((700, 20, 400, 600), abs=0.1)


def test_a_piece_says_its_number_its_name_and_its_own_measures() -> None:
    (piece,) = groups(draw(side(7, turned=True)), "piece")
    assert piece.findtext(f"{SVG}title") == "7 Side, 600 mm by 400 mm"
    words = ["".join(one.itertext()) for one in piece.iter(f"{SVG}text")]
    assert "7  Side" in words
    assert {"400 mm", "600 mm"} <= set(words)


def test_equal_numbers_share_a_hatch_and_neighbouring_numbers_do_not() -> None:
    drawing = draw(side(1), side(1, 610), side(2, 1220), side(3, 0, 410))
    one, same, two, three = (direction(group) for group in groups(drawing, "piece"))
    assert one == same
    assert len({one, two, three}) == 3


def test_the_hatch_stays_inside_its_piece_and_fills_it() -> None:
    (piece,) = groups(draw(side(4, 100, 100)), "piece")
    left, top, right, bottom = (DIMENSION_ROOM + mm / 2 for mm in (100, 100, 700, 500))
    lines = strokes(piece)
    assert len(lines) > 20
    for x1, y1, x2, y2 in lines:
        assert left - 0.02 <= min(x1, x2) <= max(x1, x2) <= right + 0.02
        assert top - 0.02 <= min(y1, y2) <= max(y1, y2) <= bottom + 0.02


def test_an_offcut_is_blank_within_a_broken_outline_and_says_its_size() -> None:
    (offcut,) = groups(draw(offcuts=(Offcut(1000 * MM, 0, 800 * MM, 900 * MM),)), "offcut")
    rectangle = offcut.find(f"{SVG}rect")
    assert rectangle is not None
    assert rectangle.get("stroke-dasharray")
    assert not [one for one in offcut.iter(f"{SVG}path") if one.get("class") == "drawn-hatch"]
    assert offcut.findtext(f"{SVG}title") == "Offcut to keep, 800 mm × 900 mm"
    assert outline(offcut) == pytest.approx((1000, 0, 800, 900), abs=0.1)


def test_the_grain_is_shown_only_where_a_piece_is_bound_to_it() -> None:
    def words(drawing: ElementTree.Element) -> set[str]:
        return {"".join(one.itertext()) for one in drawing.iter(f"{SVG}text")}

    assert "Grain" in words(draw(side(1, grain=True)))
    assert "Grain" not in words(draw(side(1)))


def test_the_trim_is_drawn_within_the_sheet() -> None:
    broken = [
        one for one in draw(trim=Trim(10 * MM, 20 * MM, 0, 40 * MM)).iter(f"{SVG}rect") if one.get("stroke-dasharray")
    ]
    left, low = str(DIMENSION_ROOM + 5).removesuffix(".0"), str(DIMENSION_ROOM).removesuffix(".0")
    places = [tuple(one.get(key) for key in ("x", "y", "width", "height")) for one in broken]
    assert places == [(left, low, "985", "480")]
    assert not [one for one in draw().iter(f"{SVG}rect") if one.get("stroke-dasharray")]


def test_the_sheet_is_named_with_its_measures_and_its_count_of_pieces() -> None:
    drawing = draw(side(1), side(2, 700))
    assert drawing.findtext(f"{SVG}title") == "Cut sheet, 2000 mm by 1000 mm, 2 pieces"
    words = {"".join(one.itertext()).strip() for one in drawing.iter(f"{SVG}text")}
    assert {"2000 mm", "1000 mm"} <= words


def test_words_are_escaped() -> None:
    hostile = PlacedPiece(1, "<script>&", 0, 0, 900 * MM, 900 * MM, turned=False, grain=False)
    drawn = sheet_plan(2000 * MM, 1000 * MM, NO_TRIM, (hostile,), (), lambda _: '"<i>', title="</svg>")
    assert "<script" not in drawn
    assert "<i>" not in drawn
    ElementTree.fromstring(drawn)


def test_a_sheet_without_size_is_refused_with_its_measures() -> None:
    with pytest.raises(ValueError, match="0 by 5 nm"):
        sheet_plan(0, 5, NO_TRIM, (), (), millimetres)


def test_a_cut_is_a_line_in_the_middle_of_its_kerf_with_its_number_on_it() -> None:
    rip = DrawnCut(12, (0, 400 * MM, 2000 * MM, 404 * MM), rip=True)
    short = DrawnCut(13, (600 * MM, 0, 604 * MM, 40 * MM), rip=False)
    (layer,) = groups(draw(side(1), cuts=(rip, short)), "saw-cuts")
    lines = [one.get("d") for one in layer.findall(f"{SVG}path")]
    y = f"{DIMENSION_ROOM + 201:g}"
    assert lines[0] == f"M{DIMENSION_ROOM:g} {y}L{DIMENSION_ROOM + 1000:g} {y}".replace("1034", "1034.0")
    assert [one.findtext(f"{SVG}title") for one in groups(layer, "saw-cut")] == ["Cut 12"]


def test_numbers_of_cuts_that_end_together_stand_beside_each_other() -> None:
    cuts = tuple(DrawnCut(place, (0, 400 * MM, 2000 * MM, 404 * MM), rip=True) for place in (1, 2, 3))
    (layer,) = groups(draw(cuts=cuts), "saw-cuts")
    boxes = [(float(one.get("x", "")), float(one.get("width", ""))) for one in layer.iter(f"{SVG}rect")]
    assert len(boxes) == 3
    assert all(x + wide <= before for (x, wide), (before, _) in zip(boxes[1:], boxes, strict=False))


def test_pieces_whose_grain_runs_on_carry_a_letter_that_is_told_below() -> None:
    areas = ((0, 0, 600 * MM, 400 * MM), (700 * MM, 0, 1300 * MM, 400 * MM))
    drawing = draw(side(1), side(1, 700), groups=(RunningOn("fronts of cabinet 1", areas),))
    words = ["".join(one.itertext()) for one in drawing.iter(f"{SVG}text")]
    assert words.count("a") == 2
    assert "a: fronts of cabinet 1, grain-matched" in words
