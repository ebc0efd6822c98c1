"""Panels with openings held against rays that are followed one by one: one sees through them, and no seam is drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, dist, hypot, pi, sin
from random import Random

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.harness.examples import tried
from tests.pictures.bench.rays_case import (
    BEYOND,
    LOOKS,
    PROMISED,
    RAYS,
    Numbers,
    Solid,
    length_of,
    level_box,
    lies_in,
    nearest,
    spots_over,
    stretches,
)
from webapp.costing.space.outlines import Corner, convex_parts, lay_out
from webapp.costing.takeoff.features import Marked
from webapp.pictures.bench.hiding import Hiding, find_hiding
from webapp.pictures.bench.lines import lines_in_sight
from webapp.pictures.bench.looking import FRONT, Look, Seen, look_at
from webapp.pictures.bench.painting import Ring, paint
from webapp.pictures.bench.panels import cells_of, rings_of, rounded_ring
from webapp.pictures.bench.pieces import Piece, heap_of
from webapp.pictures.bench.room import Sight

MM = 10**6
NOISE = 1e-9


@dataclass(frozen=True, slots=True)
class Panel:
    """A board with openings through it across an axis: a ray meets it where it meets the board outside all of them.
    `rounds` go round each opening, which may be several solids."""

    board: Solid
    openings: tuple[Solid, ...]
    piece: Piece
    rounds: tuple[Ring, ...]


def panel(chance: Random, axis: int, level: float) -> Panel:
    """A board some 400 each way with one to three rectangles, rounded or not, circles, and outlines with a notch, in
    cells of a grid of it."""
    plane = [one for one in range(3) if one != axis]
    low, high = [0.0] * 3, [400.0] * 3
    low[axis], high[axis] = level, level + chance.uniform(5, 40)
    rounds, rings, solids = list[Ring](), list[Ring](), []
    for cell in chance.sample([(0, 0), (0, 1), (1, 0), (1, 1)], chance.randrange(1, 4)):
        start = [200 * one + chance.uniform(5, 40) for one in cell]
        stop = [200 * one + chance.uniform(110, 190) for one in cell]
        radius = chance.choice([0.0, chance.uniform(2, 30), min(b - a for a, b in zip(start, stop, strict=True)) / 2])
        ring = rounded_ring((start[0], start[1]), (stop[0], stop[1]), radius)
        if chance.random() < 0.4:
            at = [low_ + chance.uniform(0.2, 0.8) * (high_ - low_) for low_, high_ in zip(start, stop, strict=True)]
            ring = [(start[0], start[1]), (stop[0], start[1]), (stop[0], stop[1]), (at[0], at[1]), (start[0], stop[1])]
        rounds.append(ring)
        rings += [[ring[place] for place in part] for part in convex_parts(ring)]
    for ring in rings:
        normals, reach = [], []
        for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True):
            normal, length = [0.0] * 3, hypot(x2 - x1, y2 - y1)
            normal[plane[0]], normal[plane[1]] = (y2 - y1) / length, (x1 - x2) / length
            normals.append(normal)
            reach.append(normal[plane[0]] * x1 + normal[plane[1]] * y1)
        # It goes on a little beyond the board at either side.
        for sign, end in ((-1.0, 1 - low[axis]), (1.0, high[axis] + 1)):
            normals.append([sign * (one == axis) for one in range(3)])
            reach.append(end)
        solids.append(Solid(np.array(normals), np.array(reach), np.zeros((0, 3)), ()))
    board = level_box(low, high)
    return Panel(board, tuple(solids), replace(board.piece, cells=cells_of(board.piece, axis, rings)), tuple(rounds))


def _panel_stretches(one: Panel, points: Numbers, towards: Numbers) -> list[tuple[Numbers, Numbers]]:
    """Where rays run in the wood: from the back of the board into each opening, and out of it to the front, in turn."""
    entering, leaving = stretches([one.board], points, towards)
    missed = entering[0] >= leaving[0]
    start, stop = np.where(missed, np.inf, entering[0]), np.where(missed, -np.inf, leaving[0])
    wood = [(start, stop)]
    for solid in one.openings:
        into, out = stretches([solid], points, towards)
        opened = into[0] < out[0]
        into, out = np.where(opened, into[0], np.inf), np.where(opened, out[0], np.inf)
        wood = [
            part for begin, end in wood
            for part in ((begin, np.minimum(end, into)), (np.where(opened, np.maximum(begin, out), np.inf), end))
        ]  # fmt: skip
    return wood


def _nearest_wood(panels: Sequence[Panel], solids: Sequence[Solid], look: Look, spots: Numbers) -> NDArray[np.int64]:
    towards, points = np.array(look.towards), spots @ np.array([look.across, look.up])
    rows = []
    for one in panels:
        left = np.full(len(spots), -np.inf)
        for begin, end in _panel_stretches(one, points, towards):
            # Solids that touch leave nothing between them but what is noise.
            left = np.where(begin < end - NOISE, np.maximum(left, end), left)
        rows.append(left)
    if solids:
        entering, leaving = stretches(solids, points, towards)
        rows += list(np.where(leaving > entering, leaving, -np.inf))
    depth = np.array(rows)
    return np.where(np.isneginf(depth.max(axis=0)), -1, depth.argmax(axis=0))


def test_one_sees_through_the_openings_of_panels_and_no_ray_is_wrong() -> None:
    """Two or three boards one behind the other across any axis, and boxes between them."""
    chance, through = Random("panels"), 0
    for _ in range(tried(45)):
        axis, look = chance.randrange(3), chance.choice(LOOKS)
        panels = [panel(chance, axis, 120.0 * place) for place in range(chance.randrange(2, 4))]
        solids = []
        for place in range(len(panels)):
            low, high = ([chance.uniform(*ends) for _ in range(3)] for ends in ((0, 150), (200, 400)))
            low[axis], high[axis] = 120.0 * place + 45, 120.0 * place + chance.uniform(60, 115)
            solids.append(level_box(low, high))
        heap = heap_of([*(one.piece for one in panels), *(one.piece for one in solids)])
        seen = look_at(heap, look)
        hiding, spots = find_hiding(seen), spots_over(seen, chance, RAYS)
        whole = {row: place for place, rows in heap.cells.items() for row in rows}
        painted = np.full(len(spots), -1)
        for layer in paint(seen, hiding):
            for fill in layer:
                for ring in fill.rings:
                    painted[lies_in(ring, spots)] = whole.get(fill.piece, fill.piece)
        expected = _nearest_wood(panels, solids, look, spots)
        firm = np.ones(len(spots), dtype=bool)
        for step in range(8):
            aside = BEYOND * np.array([cos(step * pi / 4), sin(step * pi / 4)])
            firm &= _nearest_wood(panels, solids, look, spots + aside) == expected
        assert int((firm & (painted != expected)).sum()) == 0
        closed = nearest([*(one.board for one in panels), *solids], look, spots)
        through += int((firm & (closed != expected)).sum())
        sight = Sight(seen, hiding)
        for piece in range(len(panels) + len(solids)):
            inside = np.zeros(len(spots), dtype=bool)
            for ring in sight.rings(piece):
                inside |= lies_in(ring, spots)
            assert int((firm & (inside != (expected == piece))).sum()) == 0
    assert through > 60


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.name)
def test_no_seam_is_drawn_between_the_cells_of_a_panel(look: Look) -> None:
    """Each drawn stretch lies on an edge of the board or on the rim of its opening, at either side."""
    chance = Random("seams")
    for axis in range(3):
        one = panel(chance, axis, 0.0)
        seen = look_at(heap_of([one.piece]), look)
        drawn = lines_in_sight(seen, find_hiding(seen))
        flat, plane = np.array([look.across, look.up]), [each for each in range(3) if each != axis]
        low, high = one.board.corners.min(axis=0), one.board.corners.max(axis=0)
        rims = [(low[plane[0]], low[plane[1]]), (high[plane[0]], low[plane[1]]),
                (high[plane[0]], high[plane[1]]), (low[plane[0]], high[plane[1]])]  # fmt: skip
        rounds = [rims, *one.rounds]
        edges = []
        for ring in rounds:
            for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True):
                for ends in (((x1, y1, 0), (x2, y2, 0)), ((x1, y1, 1), (x2, y2, 1)), ((x1, y1, 0), (x1, y1, 1))):
                    places = np.zeros((2, 3))
                    for row, (x, y, end) in enumerate(ends):
                        places[row, plane[0]], places[row, plane[1]] = x, y
                        places[row, axis] = (low, high)[end][axis]
                    edges.append(places @ flat.T)
        lines = np.concatenate([drawn.outlines.ends, drawn.edges.ends])
        assert len(lines)
        for begin, end in lines:
            assert any(_lies_on(begin, edge) and _lies_on(end, edge) for edge in edges)


def test_the_rim_of_an_opening_is_drawn_all_round() -> None:
    """From the front: the board's own outline, 2 (400 + 400), and 2 (150 + 100) of a rectangle in it."""
    board = level_box((0, 0, 0), (400, 20, 400)).piece
    with_one = replace(board, cells=cells_of(board, 1, [rounded_ring((50, 60), (200, 160), 0)]))
    drawn = lines_in_sight(*_seen_pieces([with_one], FRONT))
    assert length_of(drawn.outlines) + length_of(drawn.edges) == pytest.approx(1600 + 500, abs=0.1)
    assert length_of(drawn.edges) < 0.1
    # A circle of 60 by the sides it is drawn by, 0.5 mm within at most: 28 of 120 sin(pi / 28).
    with_round = replace(board, cells=cells_of(board, 1, [rounded_ring((50, 60), (170, 180), 60)]))
    drawn = lines_in_sight(*_seen_pieces([with_round], FRONT))
    assert length_of(drawn.outlines) + length_of(drawn.edges) == pytest.approx(1600 + 28 * 120 * sin(pi / 28), abs=0.5)


def test_the_rim_of_an_outline_is_drawn_all_round_and_nothing_within_it() -> None:
    """A comb of five teeth with round tips and a bowed back, by the straight sides that it is drawn by."""
    tooth = ((40, 300), (70, 300), (70, 120), (100, 120))
    corners = [Corner((x + 60 * nth, y), radius=10) for nth in range(5) for x, y in tooth][:-2]
    laid = lay_out([Corner((40, 60)), *corners, Corner((310, 60), 0), Corner((175, 60), bow=9)])
    mark = Marked("board", 1, 1, 0, (0, 0), (400 * MM, 400 * MM), is_round=False, open=True,
                  ring=tuple((round(x * MM), round(y * MM)) for x, y in laid.ring))  # fmt: skip
    board = level_box((0, 0, 0), (400, 20, 400)).piece
    drawn = lines_in_sight(*_seen_pieces([replace(board, cells=cells_of(board, 1, rings_of(mark)))], FRONT))
    around = sum(dist(one, other) for one, other in zip(laid.ring, (*laid.ring[1:], laid.ring[0]), strict=True))
    assert length_of(drawn.outlines) + length_of(drawn.edges) == pytest.approx(1600 + around, abs=0.5)
    assert length_of(drawn.edges) < 0.5


def _seen_pieces(pieces: Sequence[Piece], look: Look) -> tuple[Seen, Hiding]:
    seen = look_at(heap_of(pieces), look)
    return seen, find_hiding(seen)


def _lies_on(spot: Numbers, edge: Numbers) -> bool:
    run = edge[1] - edge[0]
    length = float(np.linalg.norm(run))
    if length < 1e-9:
        return float(np.linalg.norm(spot - edge[0])) < PROMISED
    along = float((spot - edge[0]) @ run) / length
    aside = abs(float(run[0] * (spot - edge[0])[1] - run[1] * (spot - edge[0])[0])) / length
    return aside < 1e-3 and -PROMISED < along < length + PROMISED
