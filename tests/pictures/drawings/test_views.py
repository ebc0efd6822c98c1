"""The drawings of a bench on paper: to scale, each kind numbered once where it is seen, what is hidden broken."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

from webapp.costing.takeoff.model import Box
from webapp.pictures.bench.picture import small_picture
from webapp.pictures.bench.pieces import heap_of, piece_of
from webapp.pictures.bench.thing import Thing
from webapp.pictures.drawings.numbering import view_of
from webapp.pictures.drawings.places import share_ends
from webapp.pictures.drawings.views import DRAWN, LOOKS, draw_bench

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
    _box("back", (18, 318, 18), (564, 18, 382)),
)
NUMBERS = {"side": 1, "bottom": 2, "inside": 3, "front": 4, "lid": 5, "back": 6}
WORDS = {kind: f"{number} <{kind}>" for kind, number in NUMBERS.items()}


def _thing(boxes: tuple[Box, ...] = CHEST, numbers: dict[str, int] = NUMBERS) -> Thing:
    return Thing(tuple(piece_of(box) for box in boxes), numbers, WORDS)


def _views() -> dict[str, ElementTree.Element]:
    drawn = draw_bench(_thing(), "A chest", "metric")
    return {view.name: ElementTree.fromstring(view.svg) for view in drawn.views}


def _texts(view: ElementTree.Element) -> list[str]:
    return [one.text or "" for one in view.iter(f"{SVG}text")]


def _paths(view: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [one for one in view.iter(f"{SVG}path") if one.get("class") == name]


def _corners(path: ElementTree.Element) -> list[tuple[float, float]]:
    """The corners of a ring that is written in steps of tenths."""
    x, y = 0.0, 0.0
    found = []
    for sign, told in re.findall(r"([Mhvl])([-0-9 ]+)", path.get("d") or ""):
        steps = [int(one) / 10 for one in re.findall("-?[0-9]+", told)]
        across, down = (steps[0], 0.0) if sign == "h" else (0.0, steps[0]) if sign == "v" else (steps[0], steps[1])
        x, y = (across, down) if sign == "M" else (x + across, y + down)
        found.append((x, y))
    return found


def test_every_kind_is_numbered_once_over_all_views() -> None:
    found = [
        one.text or "" for view in _views().values() for one in view.iter(f"{SVG}text")
        if one.get("class") == "drawn-text"
    ]  # fmt: skip
    assert sorted(found) == ["1", "2", "3", "4", "5", "6"]


def test_numbers_stand_in_the_view_that_shows_the_part_best() -> None:
    views = _views()
    assert "4" in _texts(views["From the front"])
    assert "1" in _texts(views["From the right end"])
    assert "5" in _texts(views["From above"])


def test_a_number_stands_where_its_part_is_in_sight() -> None:
    """A door covers the left nine tenths of a back; the back's number stands in what is left of it."""
    boxes = (_box("back", (0, 100, 0), (1000, 18, 500)), _box("door", (0, 0, 0), (850, 18, 500)))
    drawn = draw_bench(_thing(boxes, {"back": 1, "door": 2}), "A front", "metric")
    front = ElementTree.fromstring(drawn.views[0].svg)
    number = next(one for one in front.iter(f"{SVG}text") if one.text == "1")
    assert 850 * DRAWN / 1000 < float(number.get("x", "0")) < DRAWN


def test_overall_sizes_are_given_once() -> None:
    said = [text for view in _views().values() for text in _texts(view) if text.endswith("mm")]
    assert sorted(said) == ["336 mm", "418 mm", "600 mm"]


def test_all_drawings_of_one_paper_have_one_scale() -> None:
    drawn = draw_bench(_thing(), "A chest", "metric")
    scale = DRAWN / 600
    front = ElementTree.fromstring(drawn.views[0].svg)
    lid = next(one for one in _paths(front, "drawn-ground") if (one.findtext(f"{SVG}title") or "").startswith("5"))
    corners = _corners(lid)
    assert max(x for x, _ in corners) - min(x for x, _ in corners) == 600 * scale
    assert abs(max(y for _, y in corners) - min(y for _, y in corners) - 18 * scale) < 0.11
    assert min(y for _, y in corners) == 0, "the lid is the uppermost part"
    # An isometric is 0.8165 of that: width and depth show by root(1/2) each across the page, here to the lid's corner.
    wide = float(ElementTree.fromstring(drawn.picture).get("viewBox", "").split()[2]) - 8
    assert abs(wide - (600 + 318) * 0.5**0.5 * scale) < 0.11


def test_what_is_hidden_altogether_is_not_painted_and_what_is_nearer_comes_later() -> None:
    front = [one.findtext(f"{SVG}title") for one in _paths(_views()["From the front"], "drawn-ground")]
    assert front == ["4 <front>", "5 <lid>"]
    end = [one.findtext(f"{SVG}title") for one in _paths(_views()["From the right end"], "drawn-ground")]
    assert set(end) == {"1 <side>", "4 <front>", "5 <lid>", "6 <back>"}


def test_what_no_view_shows_is_shown_and_numbered_where_the_chest_is_cut_through() -> None:
    views = _views()
    (cut,) = [name for name in views if name.startswith("Cut through")]
    # The thing inside and the bottom are seen from nowhere; the back is seen beyond the side.
    assert {"2", "3"} <= set(_texts(views[cut]))
    assert _paths(views[cut], "drawn-hatch")
    painted = {one.findtext(f"{SVG}title") for one in _paths(views[cut], "drawn-ground")}
    assert {"2 <bottom>", "3 <inside>"} <= painted


def test_every_place_of_every_part_is_told_once() -> None:
    """By hand, mm. Across: 18, 100, 200, 582. From the front: 18, 100, 200, 318. Up: 18, 118, 400; ends are overall."""
    thing = _thing()
    heap = heap_of(thing.pieces)
    views = [view_of(heap, look, 0.5) for look in LOOKS]
    hidden = set(heap.by_part["inside"])
    told = share_ends(views, thing, MM, [hidden, set(), set()])
    found: dict[int, list[int]] = {0: [], 1: [], 2: []}
    for here in told:
        for ends in (here.shown, here.behind):
            for axis, places in ends.items():
                found[axis] += [place // MM for place in places]
    assert sorted(found[0]) == [18, 100, 200, 582]
    assert sorted(found[1]) == [18, 100, 200, 318]
    assert sorted(found[2]) == [18, 118, 400]
    # What is drawn broken has its ends told in the view where it is drawn.
    assert {100 * MM, 200 * MM} <= told[0].behind[0]


def test_only_parts_with_a_place_that_no_view_shows_are_broken() -> None:
    visible = draw_bench(_thing(CHEST[:2], {"side": 1}), "Two sides", "metric")
    assert not any("stroke-dasharray" in view.svg for view in visible.views)


def test_words_are_escaped() -> None:
    assert all("<front>" not in view.svg for view in draw_bench(_thing(), "A chest", "metric").views)
    assert "&lt;chest&gt;" in small_picture(_thing(), "A <chest>", 130, 84)


def test_nothing_placed_draws_nothing() -> None:
    nothing = Thing((), {}, {})
    assert draw_bench(nothing, "Nothing", "metric").views == ()
    assert draw_bench(nothing, "Nothing", "metric").picture == ""
    assert small_picture(nothing, "Nothing", 130, 84) == ""


def test_many_numbers_beside_a_flat_thing_stay_apart() -> None:
    slats = tuple(_box(f"slat_{place}", (place * 10, 0, 0), (8, 900, 4)) for place in range(12))
    thing = _thing(slats, {f"slat_{place}": place + 1 for place in range(12)})
    for view in draw_bench(thing, "Slats", "metric").views:
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


def test_a_picture_keeps_within_its_room() -> None:
    size = re.search(r'width="([0-9.]+)" height="([0-9.]+)"', small_picture(_thing(), "Chest", 100, 80))
    assert size is not None
    assert float(size[1]) <= 100.01
    assert float(size[2]) <= 80.01
