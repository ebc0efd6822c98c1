"""Chains of dimension lines: every place said once, words that stand on nothing, small stretches collected."""

from __future__ import annotations

import re
from itertools import combinations, pairwise
from random import Random
from xml.etree import ElementTree

from tests.harness.examples import tried
from webapp.costing.measures.written import format_length
from webapp.pictures.drawings.chains import Chain, Place, apart, draw_chain
from webapp.pictures.marks import text_width

MM = 1_000_000
SIZE = 13.0


def _chain(ends: list[int], scale: float = 0.3, upright: bool = False) -> Chain:
    places = [Place(end * MM, end * scale) for end in ends]
    return draw_chain(places, 100.0, 0.0, -1 if upright else 1, upright, lambda nm: format_length(nm, "metric",
                                                                                                 with_unit=False))  # fmt: skip


def _texts(svg: str) -> list[ElementTree.Element]:
    return list(ElementTree.fromstring(f"<svg>{svg}</svg>").iter("text"))


def _said(svg: str) -> list[str]:
    return [one.text or "" for one in _texts(svg)]


def _boxes(svg: str) -> list[tuple[float, float, float, float]]:
    found = []
    for one in _texts(svg):
        x, y, wide = float(one.get("x", "")), float(one.get("y", "")) - SIZE * 0.35, text_width(one.text or "", SIZE)
        left = x - {"middle": wide / 2, "end": wide, "start": 0.0}[one.get("text-anchor", "")]
        found.append((left, y - 5, left + wide, y + 5))
    return found


def test_each_stretch_between_neighbouring_places_is_said() -> None:
    assert sorted(_said(_chain([0, 100, 400, 600]).svg)) == ["100", "200", "300"]


def test_words_without_room_in_their_stretch_stand_beyond_the_chain() -> None:
    svg = _chain([0, 18, 882, 900]).svg
    assert sorted(_said(svg)) == ["18", "18", "864"]
    heights = {one.text: float(one.get("y", "")) for one in _texts(svg)}
    assert heights["18"] > heights["864"] + 10


def test_neighbouring_small_stretches_are_collected_and_equal_ones_counted() -> None:
    said = _said(_chain([0, 400, 406, 412, 418, 424, 430, 1000], scale=0.2).svg)
    assert sorted(said) == ["400", "5 × 6", "570"]


def test_what_a_collected_word_says_adds_up_to_its_stretches() -> None:
    chance = Random("chains")
    for _ in range(tried(300)):
        ends = sorted(chance.sample(range(1, 2000), chance.randrange(1, 40)))
        chain = _chain([0, *ends, 2000], scale=0.15, upright=chance.random() < 0.5)
        total = 0.0
        for said in _said(chain.svg):
            for term in said.split(" + "):
                count, _, size = term.rpartition(" × ")
                total += float(size) * int(count or 1)
        assert abs(total - 2000) < 1e-6
        assert [low for low, _ in chain.said][1:] == [high for _, high in chain.said][:-1]


def test_no_word_stands_on_another_and_all_within_the_room() -> None:
    chance = Random("room")
    for _ in range(tried(300)):
        ends = sorted(chance.sample(range(1, 2000), chance.randrange(1, 40)))
        upright = chance.random() < 0.5
        chain = _chain([0, *ends, 2000], scale=0.15, upright=upright)
        boxes = _boxes(chain.svg)
        for one, other in combinations(boxes, 2):
            assert one[2] <= other[0] + 0.1 or other[2] <= one[0] + 0.1 or one[3] <= other[1] + 0.1 or (
                other[3] <= one[1] + 0.1
            ), (one, other)  # fmt: skip
        area = chain.area
        assert all(area.left <= box[0] + 2 and box[2] <= area.right + 2 for box in boxes)
        assert all(area.top <= box[1] + 2 and box[3] <= area.bottom + 2 for box in boxes)


def test_every_place_that_is_not_within_a_sum_has_its_tick() -> None:
    svg = _chain([0, 300, 318, 600]).svg
    assert len(re.findall(r'stroke-width="1.6"', svg)) == 4


def test_words_are_moved_apart_no_further_than_they_have_to_be() -> None:
    assert apart([10, 50], [20, 20]) == [10, 50]
    assert apart([10, 10], [20, 20]) == [0, 20]
    assert apart([0, 1, 100], [10, 30, 10]) == [-9.5, 10.5, 100]
    found = apart([5, 5, 5, 6], [4, 6, 8, 2])
    assert all(after - before >= 0 for before, after in pairwise(found))
