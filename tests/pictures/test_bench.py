"""The drawings of a bench: to scale, each kind numbered once, what is behind covered, what is hidden broken."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

from webapp.costing.takeoff.model import Box
from webapp.pictures.bench_isometric import _from_the_back, bench_picture
from webapp.pictures.bench_views import DRAWN, bench_views

MM = 1_000_000
SVG = "{http://www.w3.org/2000/svg}"


def _box(part: str, corner: tuple[int, int, int], extent: tuple[int, int, int], number: int = 1) -> Box:
    return Box(part, number, tuple(one * MM for one in corner), tuple(one * MM for one in extent))  # type: ignore[arg-type]


#: A chest: two sides, a bottom between them, a lid over all, a thing inside that nothing shows, a front before it.
CHEST = (
    _box("side", (0, 18, 0), (18, 300, 400)),
    _box("side", (582, 18, 0), (18, 300, 400), 2),
    _box("bottom", (18, 18, 0), (564, 300, 18)),
    _box("inside", (100, 100, 18), (100, 100, 100)),
    _box("front", (0, 0, 0), (600, 18, 400)),
    _box("lid", (0, 0, 400), (600, 318, 18)),
    _box("back", (18, 300, 18), (564, 18, 382)),
)
NUMBERS = {"side": 1, "bottom": 2, "inside": 3, "front": 4, "lid": 5, "back": 6}
WORDS = {kind: f"{number} <{kind}>" for kind, number in NUMBERS.items()}


def _views() -> dict[str, ElementTree.Element]:
    views = bench_views(CHEST, NUMBERS, WORDS, lambda nm: f"{nm // MM} mm")
    return {view.name: ElementTree.fromstring(view.svg) for view in views}


def _texts(view: ElementTree.Element) -> list[str]:
    return [one.text or "" for one in view.iter(f"{SVG}text")]


def test_every_kind_is_numbered_once_over_all_views() -> None:
    found = [text for view in _views().values() for text in _texts(view) if text.isdigit()]
    assert sorted(found) == ["1", "2", "3", "4", "5", "6"]


def test_numbers_stand_in_the_view_that_shows_the_part_best() -> None:
    views = _views()
    assert "4" in _texts(views["From the front"])
    assert "1" in _texts(views["From the right end"])
    assert "5" in _texts(views["From above"])


def test_overall_sizes_are_given_once() -> None:
    said = [text for view in _views().values() for text in _texts(view) if text.endswith("mm")]
    assert sorted(said) == ["318 mm", "418 mm", "600 mm"]


def test_rectangles_are_to_scale() -> None:
    front = _views()["From the front"]
    scale = DRAWN / 600
    lid = next(one for one in front.iter(f"{SVG}rect") if (one.findtext(f"{SVG}title") or "").startswith("5"))
    assert abs(float(lid.get("width", "0")) - 600 * scale) < 0.02
    assert abs(float(lid.get("height", "0")) - 18 * scale) < 0.02
    assert float(lid.get("y", "1")) == 0, "the lid is the uppermost part"


def test_what_is_nearer_is_drawn_later() -> None:
    front = [one.findtext(f"{SVG}title") or "" for one in _views()["From the front"].iter(f"{SVG}rect")]
    pieces = [title for title in front if title]
    assert pieces.index("6 <back>") < pieces.index("3 <inside>") < pieces.index("4 <front>")
    above = [one.findtext(f"{SVG}title") or "" for one in _views()["From above"].iter(f"{SVG}rect")]
    assert [title for title in above if title][-1] == "5 <lid>"


def test_only_hidden_parts_are_broken() -> None:
    views = bench_views(CHEST, NUMBERS, WORDS, lambda nm: str(nm))
    broken = sum(view.svg.count("stroke-dasharray") for view in views)
    # The thing inside and the bottom behind the front are seen from nowhere; the back is seen by no one either.
    assert broken == 3
    visible = bench_views(CHEST[:2], {"side": 1}, WORDS, lambda nm: str(nm))
    assert not any("stroke-dasharray" in view.svg for view in visible)


def test_words_are_escaped() -> None:
    assert all("<front>" not in view.svg for view in bench_views(CHEST, NUMBERS, WORDS, str))
    assert "&lt;chest&gt;" in bench_picture(CHEST, "A <chest>")


def test_nothing_placed_draws_nothing() -> None:
    assert bench_views((), {}, {}, str) == ()
    assert bench_picture((), "Nothing") == ""


def test_many_numbers_beside_a_flat_thing_stay_apart() -> None:
    slats = tuple(_box(f"slat_{place}", (place * 10, 0, 0), (8, 900, 4)) for place in range(12))
    numbers = {f"slat_{place}": place + 1 for place in range(12)}
    for view in bench_views(slats, numbers, {}, str):
        drawn = ElementTree.fromstring(view.svg)
        heights: dict[str, list[float]] = {}
        for one in drawn.iter(f"{SVG}text"):
            if (one.text or "").isdigit() and one.get("text-anchor") != "middle":
                heights.setdefault(one.get("text-anchor", ""), []).append(float(one.get("y", "0")))
        for column in heights.values():
            ordered = sorted(column)
            assert all(later - earlier > 16.9 for earlier, later in pairwise(ordered))
        box = [float(one) for one in drawn.get("viewBox", "").split()]
        assert all(box[1] <= y <= box[1] + box[3] for column in heights.values() for y in column)


def test_the_picture_draws_each_piece_after_what_it_covers() -> None:
    order = [(box.part, box.number) for box in _from_the_back(CHEST)]
    for behind, before in [
        (("back", 1), ("inside", 1)),
        (("bottom", 1), ("inside", 1)),
        (("inside", 1), ("front", 1)),
        (("inside", 1), ("lid", 1)),
        (("inside", 1), ("side", 2)),
    ]:
        assert order.index(behind) < order.index(before)
    size = re.search(r'width="([0-9.]+)" height="([0-9.]+)"', bench_picture(CHEST, "Chest", 100, 80))
    assert size is not None
    assert float(size[1]) <= 108.01
    assert float(size[2]) <= 88.01
