"""A part by itself: to the scale that is written, with its bands, mitres, and what is made into it."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from tests.costing.space.laid import ORIGIN, mm, splayed_leg
from webapp.costing.space.bodies import box_body
from webapp.costing.space.saw_marks import saw_marks
from webapp.costing.takeoff.features import FastenedRow, Hole, Pocket
from webapp.pictures.drawings.detail import PartDrawn, draw_part

MM = 1_000_000
SVG = "{http://www.w3.org/2000/svg}"
RAIL = PartDrawn(3, "Rail <front>", ("2 pieces",), 800 * MM, 100 * MM, 18 * MM)


def _read(part: PartDrawn) -> ElementTree.Element:
    return ElementTree.fromstring(draw_part(part, "metric"))


def _texts(part: PartDrawn) -> list[str]:
    return [one.text or "" for one in _read(part).iter(f"{SVG}text")]


def _face(part: PartDrawn) -> list[tuple[float, float]]:
    path = next(one for one in _read(part).iter(f"{SVG}path") if one.get("class") == "drawn-line drawn-ground")
    numbers = [float(one) for one in re.findall(r"-?[0-9.]+", path.get("d", ""))]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


@pytest.mark.outside(source="CSS Values and Units Module Level 3 (2024), section 6.2: an inch is 96 px and 25.4 mm")
def test_the_scale_that_is_written_is_the_scale_on_paper() -> None:
    for part in (RAIL, replace(RAIL, length=2400 * MM), replace(RAIL, length=90 * MM, width=40 * MM)):
        ratio = int(next(re.fullmatch(r"drawn 1 : (\d+)", said)[1] for said in _texts(part) if ": " in said))  # type: ignore[index]
        wide = max(x for x, _ in _face(part)) - min(x for x, _ in _face(part))
        assert abs(wide / 96 * 25.4 * ratio - part.length / MM) < 0.005 * 25.4 / 96 * 2 * ratio + 0.5


def test_its_sizes_its_number_and_its_name_are_said() -> None:
    said = _texts(RAIL)
    assert {"800", "100", "18", "3", "Rail <front>", "2 pieces"} <= set(said)


def test_mitred_ends_slant_by_their_run_and_both_edges_are_measured() -> None:
    part = replace(RAIL, length=600 * MM, width=40 * MM, slants=(40 * MM, 40 * MM))
    (left, _), (right, _), (upper_right, _), (upper_left, _) = _face(part)
    run = 40 / 600 * (right - left)
    assert abs((upper_left - left) - run) < 0.02
    assert abs((right - upper_right) - run) < 0.02
    assert {"600", "520"} <= set(_texts(part))


def test_every_banded_edge_is_a_heavy_line() -> None:
    part = replace(RAIL, banded=("start", "low"))
    assert draw_part(part, "metric").count('class="drawn-line drawn-band"') == 2


def test_a_field_of_holes_is_one_entry_and_every_hole_is_drawn() -> None:
    field = Hole("face", 100 * MM, 20 * MM, 10 * MM, 0, "stops", 14, 3, 40 * MM, 30 * MM)
    part = replace(RAIL, made=(field, Pocket("back", 50 * MM, 20 * MM, 60 * MM, 40 * MM, 8 * MM, 5 * MM, "plate")))
    svg = draw_part(part, "metric")
    assert svg.count("0 1 0") == 2 * 14 * 3
    said = _texts(part)
    assert "14 × 3 holes 10, every 40 × 30" in said
    assert {"100, 20", "through", "stops", "A", "B", "pocket 60 × 40, corners 5 on the back", "plate"} <= set(said)


def test_an_outline_is_drawn_by_its_places_and_tells_where_its_sides_and_arcs_end() -> None:
    ring = ((0, 0), (60 * MM, 0), (60 * MM, 40 * MM), (20 * MM, 40 * MM))
    stations = ((60 * MM, 0, 0), (60 * MM, 40 * MM, 0), (20 * MM, 40 * MM, 0), (0, 0, 25 * MM))
    pocket = Pocket("face", 100 * MM, 20 * MM, 60 * MM, 40 * MM, 0, 0, "Grip", ring, stations)
    for drawn, xs in ((pocket, [100, 160, 160, 120]), (replace(pocket, side="back"), [700, 640, 640, 680])):
        part = replace(RAIL, made=(drawn,))
        paths = [one.get("d", "") for one in _read(part).iter(f"{SVG}path") if one.get("class") == "drawn-line"]
        numbers = [float(one) for one in re.findall(r"-?[0-9.]+", next(path for path in paths if path.count("L") == 3))]
        left = min(x for x, _ in _face(part))
        scale = (max(x for x, _ in _face(part)) - left) / 800
        assert [round((x - left) / scale) for x in numbers[::2]] == pytest.approx(xs, abs=1)
        said = _texts(part)
        assert f"opening 60 × 40 over all, by an outline{'' if drawn is pocket else ' on the back'}" in said
        assert "A goes round by 160, 20; 160, 60; 120, 60; arc 25 to 100, 20" in said


def test_ten_thousand_holes_draw_their_outer_rows() -> None:
    field = Hole("face", MM, MM, MM, 0, "", 100, 100, 5 * MM, MM // 2)
    svg = draw_part(replace(RAIL, made=(field,)), "metric")
    assert svg.count("0 1 0") == 2 * (4 * 100 - 4)
    assert len(svg) < 60_000


def test_a_row_of_fastenings_has_a_stroke_for_each() -> None:
    row = FastenedRow("low", (50 * MM, 9 * MM), (750 * MM, 9 * MM), 8, "screws 4 × 40")
    plain, marked = draw_part(RAIL, "metric"), draw_part(replace(RAIL, rows=(row,)), "metric")
    assert marked.count('stroke-width="1.1"') - plain.count('stroke-width="1.1"') == 8
    assert "8 in a row in the lower edge" in marked


def test_a_leg_with_two_tilts_is_drawn_as_it_is_sawn() -> None:
    """40 x 40, 8° from the front and 5° from the side over 700: by hand 718.6 from long point to long point, 700.4
    between the short ones; 40 tan 8° = 5.62 falls over the face and 40 tan 5° = 3.50 over the edge."""
    marks = saw_marks(splayed_leg(8, 5))
    leg = PartDrawn(3, "Leg", (), 718_600_000, 40 * MM, 40 * MM, sawn=marks)
    said = _texts(leg)
    assert {"718.6", "700.4"} <= set(said)
    assert (said.count("8.0°"), said.count("5.0°")) == (2, 2)
    corners = _face(leg)
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    unit = (right - left) / 718.6482
    bottom = max(y for _, y in corners)
    # Pages are written in tenths of a unit or finer.
    for foot, ends in ((True, (0, 713.0)), (False, (5.6, 718.6))):
        assert sorted((x - left) / unit for x, y in corners if (y == bottom) is foot) == pytest.approx(ends, abs=0.3)


def test_square_ends_are_drawn_without_angles() -> None:
    marks = saw_marks(box_body("rail", 1, mm(800, 100, 18), ORIGIN))
    assert not any("°" in said for said in _texts(replace(RAIL, sawn=marks)))
    assert len(_face(replace(RAIL, sawn=marks))) == 4
