"""Holes are marks on a face: their rims lie on it, where they were typed, and are hidden as the face is."""

from __future__ import annotations

from math import hypot

from webapp.costing.takeoff.features import FastenedRow, Hole, Pocket
from webapp.costing.takeoff.model import Box
from webapp.pictures.bench.hiding import find_hiding
from webapp.pictures.bench.holes import SIDES, hole_strokes
from webapp.pictures.bench.lines import lines_in_sight
from webapp.pictures.bench.looking import ABOVE, look_at
from webapp.pictures.bench.pieces import heap_of, piece_of

MM = 1_000_000
TOP = Box("top", 1, (100 * MM, 0, 800 * MM), (600 * MM, 300 * MM, 20 * MM))


def test_a_field_lies_on_the_face_where_it_was_typed() -> None:
    field = Hole("face", 50 * MM, 40 * MM, 20 * MM, 10 * MM, "", 3, 2, 100 * MM, 80 * MM)
    strokes = hole_strokes(TOP, "x", "y", [field])
    assert len(strokes) == 6 * SIDES
    assert {face for face, _, _ in strokes} == {5}
    assert {round(point[2], 6) for _, *ends in strokes for point in ends} == {820.0}
    middles = {(150 + 100 * column, 40 + 80 * row) for column in range(3) for row in range(2)}
    for _, begin, _ in strokes:
        assert min(abs(hypot(begin[0] - x, begin[1] - y) - 10) for x, y in middles) < 1e-9


def test_what_goes_through_shows_on_both_faces_and_what_is_in_an_edge_on_none() -> None:
    through = hole_strokes(TOP, "x", "y", [Pocket("face", 0, 0, 50 * MM, 50 * MM)])
    assert {face for face, _, _ in through} == {4, 5}
    assert hole_strokes(TOP, "x", "y", [Hole("low", 50 * MM, 10 * MM, 8 * MM, 30 * MM)]) == ()
    assert hole_strokes(TOP, "x", "y", [FastenedRow("face", (0, 0), (100 * MM, 0), 4)]) == ()


def test_a_hole_under_a_block_is_hidden() -> None:
    """A block of 100 stands over the left one of two holes."""
    holes = hole_strokes(TOP, "x", "y", [Hole("face", 50 * MM, 50 * MM, 20 * MM, 0, "", 2, 1, 300 * MM)])
    block = piece_of(Box("block", 1, (100 * MM, 0, 820 * MM), (100 * MM, 100 * MM, 50 * MM)))
    seen = look_at(heap_of([piece_of(TOP, holes), block]), ABOVE)
    drawn = lines_in_sight(seen, find_hiding(seen)).strokes.ends
    assert len(drawn) == SIDES
    assert drawn[:, :, 0].min() > 400
