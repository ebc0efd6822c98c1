"""The cut where parts hide: the right plane, what is left of a piece, and its hatch."""

from __future__ import annotations

from itertools import pairwise
from math import isclose
from random import Random

import numpy as np

from tests.harness.examples import tried
from webapp.costing.takeoff.model import Box
from webapp.pictures.bench.page import Frame
from webapp.pictures.bench.pieces import Piece, heap_of, piece_of
from webapp.pictures.bench.thing import Thing
from webapp.pictures.drawings.section import best_section, cut_piece, drawn_cut

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


def test_neighbours_by_number_are_hatched_the_other_way() -> None:
    thing = _thing((_piece("a", (0, 0, 0), (50, 100, 50)), _piece("b", (50, 0, 0), (50, 100, 50))))
    heap = heap_of(thing.pieces)
    found = best_section(thing, heap, ["a", "b"], 1.0)
    assert found is not None
    svg = drawn_cut(found, Frame(1.0, 0.0, 100.0), thing)
    assert 'class="drawn-hatch"' in svg
    if len({kind for kind, _ in found.faces}) == 2:
        # Both slopes stand in it: down to the right, and up.
        assert "l" in svg
        assert any(step.startswith("-") for step in svg.split("l")[1:]) or "-" in svg
