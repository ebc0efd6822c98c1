"""The drawings of all starters: they follow each size, keep their words apart, and lead to each part once."""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction
from functools import cache
from itertools import combinations
from xml.etree import ElementTree

import pytest

from webapp.benches import draw_at_head, picture_with_sizes
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Working
from webapp.costing.measures.written import STEP_NM, System, format_length
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.model import TakeOff
from webapp.pictures.bench.thing import thing_of
from webapp.pictures.drawings.views import BenchDrawn, draw_bench
from webapp.pictures.marks import text_width
from webapp.seed import load_catalogue, load_designs

CATALOGUE, RATES = load_catalogue(date(2026, 11, 25)), default_rates()
CODES = sorted(str(one["design"]) for one in load_designs())
SVG = "{http://www.w3.org/2000/svg}"
Box = tuple[float, float, float, float]


@cache
def _design(code: str) -> Design:
    (document,) = [one for one in load_designs() if one["design"] == code]
    design, _ = read_design(document)
    assert design is not None
    return design


def _taken(code: str, system: System = "metric", sizes: dict[str, Fraction] | None = None) -> TakeOff:
    return expand(
        _design(code), sizes or {}, {}, {}, CATALOGUE, RATES, Working(), "x", STEP_NM[system], system
    )  # fmt: skip


@cache
def _drawn(code: str, system: System) -> BenchDrawn:
    return draw_bench(thing_of(_taken(code, system)), code, system, called="bench")


def _plain(nm: int) -> str:
    return format_length(nm, "metric")


@pytest.mark.parametrize("code", CODES)
def test_every_drawing_follows_each_size_that_moves_a_part(code: str) -> None:
    usual = _taken(code)
    moved = 0
    for size in _design(code).sizes.values():
        other = size.least if size.least != size.usual else size.most
        changed = _taken(code, sizes={size.name: other})
        if [part.boxes for part in changed.parts] == [part.boxes for part in usual.parts]:
            continue
        moved += 1
        before, after = (draw_at_head(one, code, CATALOGUE, RATES, "metric") for one in (usual, changed))
        assert before.svg != after.svg, size.name
        assert any(one.words != two.words for one, two in zip(before.dimensions, after.dimensions, strict=False)) or (
            re.sub(r"<text.*?</text>", "", before.svg) != re.sub(r"<text.*?</text>", "", after.svg)
        )
        # The quote's picture is drawn to fit its room: it changes wherever the bench does not merely grow.
        assert picture_with_sizes(usual, code, _plain) != picture_with_sizes(changed, code, _plain), size.name
    assert moved


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize("code", CODES)
def test_no_number_stands_on_another(code: str, system: System) -> None:
    drawn = _drawn(code, system)
    for svg in (*(view.svg for view in drawn.views), drawn.apart):
        view = ElementTree.fromstring(svg)
        left, top, wide, tall = (float(one) for one in view.get("viewBox", "").split())
        boxes = [_box(one) for one in view.iter(f"{SVG}text")]
        for (one, said), (other, too) in combinations(boxes, 2):
            apart = one[2] <= other[0] + 1 or other[2] <= one[0] + 1 or one[3] <= other[1] + 1 or other[3] <= one[1] + 1
            assert apart, (view.get("aria-label"), said, too)
        for box, said in boxes:
            assert left - 1 <= box[0], said
            assert box[2] <= left + wide + 1, said
            assert top - 1 <= box[1], said
            assert box[3] <= top + tall + 1, said


def _box(one: ElementTree.Element) -> tuple[Box, str]:
    said, size = one.text or "", float(one.get("font-size", "0"))
    x, y, wide = float(one.get("x", "0")), float(one.get("y", "0")) - size * 0.35, text_width(said, size)
    left = x - {"middle": wide / 2, "end": wide, "start": 0.0}[one.get("text-anchor", "start")]
    return (left, y - size * 0.36, left + wide, y + size * 0.36), said


@pytest.mark.parametrize("code", CODES)
def test_each_kind_of_part_is_named_in_every_drawing_that_shows_it(code: str) -> None:
    drawn = _drawn(code, "metric")
    ids: list[str] = []
    named: set[str] = set()
    for svg in (drawn.picture, *(view.svg for view in drawn.views), drawn.apart):
        view = ElementTree.fromstring(svg)
        assert view.get("role") == "group"
        for one in view.iter(f"{SVG}a"):
            ids.append(one.get("id", ""))
            named.add(one.get("data-part", ""))
            assert one.get("href") == f"#part-{one.get('data-part')}"
            assert one.get("aria-label")
    assert len(set(ids)) == len(ids)
    placed = {str(place) for place, part in enumerate(_taken(code).parts, 1) if any(min(b.extent) for b in part.boxes)}
    assert named == placed


@pytest.mark.parametrize("code", CODES)
def test_parts_are_drawn_apart_in_the_order_that_the_check_found(code: str) -> None:
    taken = _taken(code)
    numbers = {part.name: place for place, part in enumerate(taken.parts, 1)}
    # Castors and feet stand in the order too, and are not drawn.
    coming = (part for step in taken.assembly for part, _ in step.pieces if part in numbers)
    kinds = list(dict.fromkeys(coming))
    drawn = re.findall(r">(\d+) \((\d+)(?:st|nd|rd|th)\)</text>", _drawn(code, "metric").apart)
    assert drawn
    # What other parts hide all round has no number there; what has one has its own place.
    assert {(int(number), int(place)) for number, place in drawn} <= {
        (numbers[kind], place) for place, kind in enumerate(kinds, 1)
    }
    assert len(drawn) >= len(kinds) - 2
