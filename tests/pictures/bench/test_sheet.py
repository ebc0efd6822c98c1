"""The drawing at the head of a sheet: its dimensions stand where they say, at any size and from each corner."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from webapp.costing.takeoff.measured import Measured
from webapp.costing.takeoff.model import Box
from webapp.pictures.bench.looking import ISOMETRIC, Corner
from webapp.pictures.bench.pieces import piece_of
from webapp.pictures.bench.sheet import SheetDrawing, bench_sheet, bench_with_sizes
from webapp.pictures.bench.thing import Thing
from webapp.pictures.marks import text_width

MM = 1_000_000
SVG = "{http://www.w3.org/2000/svg}"
SIZES = {"length": Measured(0, 0, 900 * MM), "depth": Measured(1, 0, 500 * MM)}


def _box(corner: tuple[int, int, int], extent: tuple[int, int, int], number: int = 1) -> Box:
    x, y, z = (one * MM for one in corner)
    wide, deep, tall = (one * MM for one in extent)
    return Box("part", number, (x, y, z), (wide, deep, tall))


def _thing(*boxes: Box, without: tuple[str, ...] = ()) -> Thing:
    return Thing(tuple(piece_of(box) for box in boxes), {"part": 1}, {"part": "1 Part"}, without, without)


CART = _thing(
    _box((0, 0, 125), (900, 500, 30)), _box((0, 0, 155), (40, 40, 800), 2), _box((940, 0, 700), (40, 500, 40), 3),
    without=("castors",),
)  # fmt: skip


def _sheet(
    thing: Thing = CART, corner: Corner = "front right", wide: float = 700.0, tall: float = 400.0
) -> SheetDrawing:
    return bench_sheet(thing, SIZES, lambda nm: f"{nm // MM}", "A cart", corner, wide, tall)


@pytest.mark.parametrize("corner", ISOMETRIC)
@pytest.mark.parametrize(("wide", "tall"), [(700.0, 400.0), (358.0, 220.0)])
def test_it_keeps_within_its_room_and_every_dimension_within_it(corner: Corner, wide: float, tall: float) -> None:
    sheet = _sheet(corner=corner, wide=wide, tall=tall)
    assert sheet.wide <= wide + 0.1
    assert sheet.tall <= tall + 0.1
    assert all(0 < one.across < sheet.wide and 0 < one.down < sheet.tall for one in sheet.dimensions)


def test_sizes_that_are_measured_are_named_and_overall_ones_are_only_written() -> None:
    told = {(one.size, one.words, one.upright) for one in _sheet().dimensions}
    assert told == {("length", "900", False), ("", "980", False), ("depth", "500", False), ("", "830", True)}


def test_a_dimension_stands_where_its_words_are_written() -> None:
    sheet = _sheet()
    drawn = ElementTree.fromstring(sheet.svg)
    left, top = map(float, drawn.get("viewBox", "").split()[:2])
    written = {
        one.text: (float(one.get("x", "")) - left, float(one.get("y", "")) - top)
        for one in drawn.iter(f"{SVG}text") if "drawn-size" in (one.get("class") or "")
    }  # fmt: skip
    for one in sheet.dimensions:
        across, down = written[one.words]
        assert (across, down - 13 * 0.35) == pytest.approx((one.across, one.down), abs=0.2)


def test_words_that_are_wider_than_their_line_stand_beside_it() -> None:
    thin = _thing(_box((0, 0, 0), (20, 500, 900)))
    sheet = bench_sheet(thin, {}, lambda nm: f"{nm // MM} millimetres", "A board")
    narrow = next(one for one in sheet.dimensions if one.words == "20 millimetres")
    assert narrow.room < text_width(narrow.words, 13)
    assert 0 < narrow.across < sheet.wide


def test_it_says_what_is_fitted_and_not_drawn() -> None:
    assert _sheet().without == "Drawn without castors."
    assert "drawn without castors" in _sheet().svg
    assert "drawn without castors" in bench_with_sizes(CART, lambda nm: f"{nm // MM} mm", "A cart", 330, 290)
    assert _sheet(_thing(_box((0, 0, 0), (9, 9, 9)))).without == ""


def test_a_picture_with_sizes_gives_each_overall_size_once_as_it_is_drawn() -> None:
    drawn = ElementTree.fromstring(bench_with_sizes(CART, lambda nm: f"{nm // MM} mm", "A cart", 330, 290))
    said = [one.text for one in drawn.iter(f"{SVG}text") if (one.text or "").endswith(" mm")]
    assert sorted(said, key=str) == ["500 mm", "830 mm", "980 mm"]
    assert float(drawn.get("width", "")) <= 330.1
    assert float(drawn.get("height", "")) <= 290.1


def test_four_hundred_parts_are_drawn() -> None:
    slats = tuple(_box((x * 40, y * 40, 0), (30, 30, 700), x * 20 + y) for x in range(20) for y in range(20))
    assert len(_sheet(_thing(*slats)).dimensions) >= 3


def test_nothing_placed_draws_nothing() -> None:
    sheet = _sheet(_thing(without=("castors",)))
    assert (sheet.svg, sheet.dimensions, sheet.without) == ("", (), "")
    assert bench_with_sizes(_thing(), str, "Nothing", 330, 290) == ""
