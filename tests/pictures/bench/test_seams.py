"""Lines of what is drawn of several convex pieces: those where it turns, and none between them."""

from __future__ import annotations

from math import dist

from tests.costing.short_form.folds_case import TRAY, take_tray, tray
from webapp.pictures.bench.pieces import heap_of
from webapp.pictures.bench.thing import thing_of
from webapp.pictures.drawings.apart import draw_apart, outward

_ALL_ROUND = ("front and back of tray", "front, back, left and right of tray")


def edges(text: str) -> set[tuple[tuple[float, ...], tuple[float, ...]]]:
    """The edges that may be drawn, each from its lower end, mm."""
    heap = heap_of(thing_of(take_tray(text)).pieces)
    found = {tuple(sorted(tuple(round(part, 6) for part in end) for end in ends)) for ends in heap.edge_ends.tolist()}
    return {(one, other) for one, other in found}


def length(found: set[tuple[tuple[float, ...], tuple[float, ...]]]) -> float:
    return sum(dist(one, other) for one, other in found)


def test_a_tray_has_the_edges_of_a_box_open_at_its_top() -> None:
    # 400 x 300 x 30 outside, 1.5 thick: round the foot and the rim 1400 each, inside 1388 twice; four corners of 30
    # outside and of 28.5 inside.
    assert abs(length(edges(tray(_ALL_ROUND))) - (2 * 1400 + 2 * 1388 + 4 * 30 + 4 * 28.5)) < 1e-6


def test_a_channel_shows_its_end_as_one_outline() -> None:
    found = edges(TRAY)
    # Where the leg stands on the flat, neither its front nor its end has a line.
    assert ((0.0, 0.0, 1.5), (400.0, 0.0, 1.5)) not in found
    assert ((0.0, 0.0, 1.5), (0.0, 1.5, 1.5)) not in found
    assert ((0.0, 1.5, 1.5), (400.0, 1.5, 1.5)) in found
    # Eight lines of 400, and at both ends 300, 297, 2 x 30, 2 x 28.5 and 2 x 1.5.
    assert abs(length(found) - (8 * 400 + 2 * (300 + 297 + 60 + 57 + 3))) < 1e-6


def test_legs_go_with_their_flat_where_a_thing_is_drawn_apart() -> None:
    block = "  block: Block; of sheet; long 50 mm along x; wide 50 mm along y; x 500 mm\nfolds:"
    thing = thing_of(take_tray(tray(("folds:", block))))
    view, _ = draw_apart(thing, outward(thing), 1.0)
    moved = [piece for piece in view.seen.heap.pieces if piece.part == "tray"]
    stood = [piece for piece in thing.pieces if piece.part == "tray"]
    by = {
        tuple(round(a - b, 6) for a, b in zip(one.corners[0], other.corners[0], strict=True))
        for one, other in zip(moved, stood, strict=True)
    }
    assert len(by) == 1
