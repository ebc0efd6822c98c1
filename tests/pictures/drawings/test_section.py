"""The cut where parts hide: the right plane, what is left of a piece, and its hatch."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from math import hypot, isclose
from random import Random

import numpy as np
import pytest

from tests.harness.examples import tried
from webapp.costing.takeoff.features import Marked
from webapp.costing.takeoff.model import Box
from webapp.pictures.bench.page import Frame
from webapp.pictures.bench.painting import Flat, area
from webapp.pictures.bench.panels import cells_of, rings_of
from webapp.pictures.bench.pieces import Piece, heap_of, piece_of
from webapp.pictures.bench.thing import Thing
from webapp.pictures.drawings.section import best_section, cut_at, cut_piece, drawn_cut

MM = 1_000_000


def _piece(part: str, corner: tuple[int, int, int], extent: tuple[int, int, int], number: int = 1) -> Piece:
    x, y, z = (one * MM for one in corner)
    wide, deep, tall = (one * MM for one in extent)
    return piece_of(Box(part, number, (x, y, z), (wide, deep, tall)))


def _volume(piece: Piece) -> float:
    """By tetrahedra from a corner to each face."""
    corners = np.array(piece.corners)
    total = 0.0
    for face in piece.faces:
        for one, other in pairwise(face[1:]):
            total += float(np.linalg.det(corners[[face[0], one, other]] - corners[0]))
    return total / 6


def _closed() -> tuple[Piece, ...]:
    """A box of six panels, within it a shelf along and a post across: neither is seen from outside."""
    return (
        _piece("end", (0, 0, 0), (18, 400, 600)), _piece("end", (782, 0, 0), (18, 400, 600), 2),
        _piece("floor", (18, 0, 0), (764, 400, 18)), _piece("lid", (18, 0, 582), (764, 400, 18)),
        _piece("front", (18, 0, 18), (764, 18, 564)), _piece("back", (18, 382, 18), (764, 18, 564)),
        _piece("shelf", (18, 18, 300), (764, 364, 18)), _piece("post", (300, 150, 18), (60, 60, 282)),
    )  # fmt: skip


def _thing(pieces: tuple[Piece, ...]) -> Thing:
    kinds = list(dict.fromkeys(piece.part for piece in pieces))
    return Thing(pieces, {kind: place for place, kind in enumerate(kinds, 1)}, {kind: kind for kind in kinds})


def test_the_plane_that_shows_most_hidden_kinds_is_taken() -> None:
    thing = _thing(_closed())
    found = best_section(thing, heap_of(thing.pieces), ["shelf", "post"], 0.3)
    assert found is not None
    # A level cut through the post's middle shows no shelf, and one through the shelf's no post: both upright ones do.
    assert found.axis in (0, 1)
    assert found.at in (330, 400, 180, 200)
    assert {kind for kind, _ in found.faces} >= {"shelf", "post"}
    assert found.view.shows("shelf")
    assert found.view.shows("post")


def test_nothing_hidden_needs_no_cut() -> None:
    thing = _thing(_closed())
    assert best_section(thing, heap_of(thing.pieces), [], 0.3) is None


def test_both_sides_of_a_cut_make_the_whole() -> None:
    chance = Random("cut")
    for _ in range(tried(200)):
        turn, _ = np.linalg.qr(np.array([[chance.gauss(0, 1) for _ in range(3)] for _ in range(3)]))
        if np.linalg.det(turn) < 0:
            turn[:, 0] *= -1
        box = _piece("one", (0, 0, 0), (chance.randrange(10, 400), chance.randrange(10, 400), chance.randrange(10, 99)))
        corners = (np.array(box.corners) @ turn.T).tolist()
        piece = Piece("one", 1, tuple((x, y, z) for x, y, z in corners), box.faces)
        axis = chance.randrange(3)
        low, high = min(one[axis] for one in corners), max(one[axis] for one in corners)
        at = low + (high - low) * chance.uniform(0.05, 0.95)
        (above, face), (below, _) = (cut_piece(piece, axis, at, keep_above=way) for way in (True, False))
        assert above is not None
        assert below is not None
        assert isclose(_volume(above) + _volume(below), _volume(piece), rel_tol=1e-6)
        assert all(abs(point[axis] - at) < 1e-6 for point in face)
        # Each edge runs once each way: the solid is closed.
        for part in (above, below):
            sides = [side for one in part.faces for side in zip(one, (*one[1:], one[0]), strict=True)]
            assert len(set(sides)) == len(sides)
            assert {(b, a) for a, b in sides} == set(sides)


def test_a_plane_beside_a_piece_leaves_all_or_nothing() -> None:
    piece = _piece("one", (0, 0, 0), (10, 10, 10))
    assert cut_piece(piece, 0, 20.0, keep_above=False) == (piece, ())
    assert cut_piece(piece, 0, 20.0, keep_above=True) == (None, ())
    assert cut_piece(piece, 0, 10.0, keep_above=True) == (None, ())


def _open_panel() -> Piece:
    """A board of 400 x 300 x 20 with an L open in it: 200 x 150 from 100, 50 on, less its corner of 80 x 60."""
    board = _piece("board", (0, 0, 0), (400, 300, 20))
    ring = ((100, 50), (300, 50), (300, 140), (220, 140), (220, 200), (100, 200))
    mark = Marked("board", 1, 2, 0, (100 * MM, 50 * MM), (300 * MM, 200 * MM), is_round=False, open=True,
                  ring=tuple((x * MM, y * MM) for x, y in ring))  # fmt: skip
    return replace(board, cells=cells_of(board, 2, rings_of(mark)))


def _long(ends: Sequence[tuple[Flat, Flat]]) -> float:
    return sum(hypot(x2 - x1, y2 - y1) for (x1, y1), (x2, y2) in ends)


def test_what_is_open_is_not_hatched_and_no_seam_is_drawn_in_a_cut() -> None:
    """Hidden between two lids: cut level, what is left is 400 x 300 less 30000 - 4800 within 1400 and 700 round the L;
    cut across from 160 on, it goes from 0 to 50 and from 200 to 300."""
    lids = (_piece("lid", (0, 0, 20), (400, 300, 20)), _piece("lid", (0, 0, -20), (400, 300, 20), 2))
    thing = _thing((_open_panel(), *lids))
    level = cut_at(thing, 2, 10.0, 1.0)
    assert level is not None
    rings = [ring for kind, ring in level.faces if kind == "board"]
    assert sum(abs(area(ring)) for ring in rings) == pytest.approx(400 * 300 - 25200)
    assert len(rings) > 1
    assert _long(level.rims) == pytest.approx(1400 + 700)
    across = cut_at(thing, 0, 160.0, 1.0)
    assert across is not None
    ways = [[round(x) for x, _ in ring] for kind, ring in across.faces if kind == "board"]
    spans = sorted((min(way), max(way)) for way in ways)
    assert (spans[0][0], spans[-1][1]) == (0, 300)
    assert not any(low < 199 and high > 51 for low, high in spans)
    # The board's own two faces, and 640 round each lid.
    assert _long(across.rims) == pytest.approx(2 * (50 + 20) + 2 * (100 + 20) + 2 * 640)
    kept = next(piece for piece in across.view.seen.heap.pieces if piece.cells)
    ends = [point[0] for cell in kept.cells for edge in cell.edges or () for point in edge[2:]]
    assert min(ends) == pytest.approx(0) or max(ends) == pytest.approx(400)
    assert max(ends) <= 160 + 1e-9 or min(ends) >= 160 - 1e-9


def test_neighbours_by_number_are_hatched_the_other_way() -> None:
    thing = _thing((_piece("a", (0, 0, 0), (50, 100, 50)), _piece("b", (50, 0, 0), (50, 100, 50))))
    heap = heap_of(thing.pieces)
    found = best_section(thing, heap, ["a", "b"], 1.0)
    assert found is not None
    assert found.axis == 1, "only a plane across both shows both cut"
    svg = drawn_cut(found, Frame(1.0, 0.0, 100.0), thing)
    (hatch,) = re.findall(r'class="drawn-hatch" d="([^"]+)"', svg)
    slopes = {int(across) * int(down) > 0 for across, down in re.findall(r"l(-?\d+) ?(-?\d+)", hatch)}
    assert slopes == {True, False}
