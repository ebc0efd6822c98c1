"""Parts drawn apart: moved back the way they come in, clear of each other, with a thread to their place."""

from __future__ import annotations

import numpy as np
import pytest

from webapp.costing.takeoff.model import Box
from webapp.pictures.bench.pieces import Piece, Point, piece_of
from webapp.pictures.bench.thing import ComingIn, Thing
from webapp.pictures.drawings.apart import draw_apart, outward, places_in_order, thread_body
from webapp.pictures.drawings.views import draw_bench

MM = 1_000_000


def _piece(part: str, corner: tuple[int, int, int], extent: tuple[int, int, int], number: int = 1) -> Piece:
    x, y, z = (one * MM for one in corner)
    wide, deep, tall = (one * MM for one in extent)
    return piece_of(Box(part, number, (x, y, z), (wide, deep, tall)))


PIECES = (
    _piece("side", (0, 0, 0), (20, 300, 400)), _piece("side", (580, 0, 0), (20, 300, 400), 2),
    _piece("shelf", (20, 0, 190), (560, 300, 20)), _piece("top", (0, 0, 400), (600, 300, 20)),
    _piece("plate", (100, 50, 420), (400, 200, 10)),
)  # fmt: skip
THING = Thing(PIECES, {"side": 1, "shelf": 2, "top": 3, "plate": 4}, {})


def _moved(order: list[ComingIn]) -> list[Point]:
    view, _ = draw_apart(THING, order, 0.3)
    moved = []
    for piece, whole in zip(view.seen.heap.pieces, PIECES, strict=True):
        x, y, z = (np.array(piece.corners[0]) - np.array(whole.corners[0])).tolist()
        moved.append((x, y, z))
    return moved


def test_each_goes_back_the_way_it_comes_in_and_what_comes_later_goes_further() -> None:
    side, other, shelf, top, plate = _moved([
        ((2,), (0, 0, 0)), ((0,), (1, 0, 0)), ((1,), (-1, 0, 0)), ((3,), (0, 0, -1)), ((4,), (0, 0, -1))
    ])  # fmt: skip
    assert shelf == (0, 0, 0)
    assert side[0] < 0 < other[0]
    assert side[1:] == other[1:] == (0, 0)
    assert top[:2] == plate[:2] == (0, 0)
    assert plate[2] > top[2] > 0


def test_nothing_that_is_drawn_apart_stands_in_another() -> None:
    view, _ = draw_apart(THING, outward(THING), 0.3)
    boxes = [(np.min(piece.corners, axis=0), np.max(piece.corners, axis=0)) for piece in view.seen.heap.pieces]
    for place, (low, high) in enumerate(boxes):
        for other_low, other_high in boxes[:place]:
            assert ((high <= other_low + 0.02) | (other_high <= low + 0.02)).any()


def test_without_an_order_parts_go_outwards_the_middle_one_stands() -> None:
    order = dict(outward(THING))
    assert order[0,] == (1, 0, 0)
    assert order[1,] == (-1, 0, 0)
    assert order[2,] == (0, 0, 0)
    assert order[4,] == (0, 0, -1)
    # What lies furthest out comes last.
    assert next(place for place, _ in outward(THING)) == (2,)


def test_what_is_moved_has_a_thread_and_what_stands_has_none() -> None:
    _, threads = draw_apart(THING, [((3,), (0, 0, -1)), ((4,), (0, 0, -1))], 0.3)
    assert "stroke-dasharray" in thread_body(threads, threads.frame)
    _, none = draw_apart(THING, [], 0.3)
    assert thread_body(none, none.frame) == ""


def test_the_first_stands_though_it_came_down_from_above() -> None:
    down = (0.0, 0.0, -1.0)
    side, _, shelf, *_ = _moved([((2,), down), ((0,), (1, 0, 0)), ((1,), (-1, 0, 0)), ((3,), down), ((4,), down)])
    assert shelf == (0, 0, 0)
    assert side[0] < 0


def test_what_was_put_together_before_comes_in_as_one() -> None:
    """The plate goes onto the top, both then down onto the sides: the plate is further from its place than the top."""
    side, other, shelf, top, plate = _moved([
        ((0,), (0, 0, -1)), ((1,), (-1, 0, 0)), ((2,), (0, 0, -1)), ((3,), (0, 0, -1)), ((4,), (0, 0, -1)),
        ((3, 4), (0, 0, -1)),
    ])  # fmt: skip
    assert side == (0, 0, 0)
    assert other[0] > 0 == other[2]
    assert shelf[2] > 0
    # Each by 5.5 hundredths of 600: the two as one over what stands, and the plate as much again over the top.
    assert top[2] == pytest.approx(33)
    assert plate[2] == pytest.approx(66)


def test_each_kind_has_its_place_in_the_order() -> None:
    order: tuple[ComingIn, ...] = (((2,), (0, 0, -1)), ((1,), (-1, 0, 0)), ((0,), (1, 0, 0)), ((3,), (0, 0, -1)))
    thing = Thing(PIECES, THING.numbers, {}, together=(*order, ((4,), (0, 0, -1))))
    assert places_in_order(thing) == {"shelf": 1, "side": 2, "top": 3, "plate": 4}
    drawn = draw_bench(thing, "A rack", "metric").apart
    for words in ("2 (1st)", "1 (2nd)", "3 (3rd)", "4 (4th)"):
        assert f">{words}</text>" in drawn
    assert "(1st)" not in draw_bench(THING, "A rack", "metric").apart
