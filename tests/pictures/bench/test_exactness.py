"""Hiding held against rays and points that are followed one by one, through nothing but each solid's own half-spaces.

What is compared with knows no order, no outline and no clipping: a ray goes through every solid, and the one it leaves
last is seen. Nothing may differ further than 0.01 mm from an edge.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import cos, hypot, pi, sin
from random import Random
from typing import Final

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.harness.examples import LONG, tried
from webapp.pictures.bench.hiding import Hiding, find_hiding
from webapp.pictures.bench.lines import Lines, lines_in_sight
from webapp.pictures.bench.looking import ABOVE, FRONT, ISOMETRIC, RIGHT_END, Look, Seen, look_at
from webapp.pictures.bench.painting import Ring, order_from_back, paint
from webapp.pictures.bench.panels import cells_of, rounded_ring
from webapp.pictures.bench.pieces import BOX_FACES, Faces, Piece, heap_of
from webapp.pictures.bench.room import Sight

Numbers = NDArray[np.float64]

LOOKS: Final = (*ISOMETRIC.values(), FRONT, RIGHT_END, ABOVE)
PROMISED: Final = 0.01
#: How far around a point one looks whether it is near an edge, and by how much solids are grown and shrunk for that.
BEYOND: Final = 0.0115
DOUBTFUL: Final = 0.02
RAYS: Final = 120

#: A box cut from edge to edge: two corners of the box are gone.
WEDGE: Final = ((-1, -1, -1), (1, -1, -1), (1, 1, -1), (-1, 1, -1), (-1, -1, 1), (-1, 1, 1))
WEDGE_FACES: Final[Faces] = ((0, 3, 2, 1), (0, 4, 5, 3), (0, 1, 4), (3, 5, 2), (1, 2, 5, 4))
BOX: Final = tuple((x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1))


@dataclass(frozen=True, slots=True)
class Solid:
    """A convex solid: all that lies behind each of its planes. Its corners are given beside them, not from them."""

    normals: Numbers
    reach: Numbers
    corners: Numbers
    faces: Faces

    @property
    def piece(self) -> Piece:
        return Piece("solid", 1, tuple((x, y, z) for x, y, z in self.corners.tolist()), self.faces)

    @property
    def edges(self) -> list[tuple[int, int]]:
        sides = {frozenset(side) for face in self.faces for side in zip(face, (*face[1:], face[0]), strict=True)}
        return sorted(tuple(sorted(side)) for side in sides)  # type: ignore[misc]


def _solid(middle: Sequence[float], half: Sequence[float], turn: Numbers, wedge: bool = False) -> Solid:
    """A box or a wedge about a middle, its own axes being the rows of `turn`."""
    size = np.array(half)
    corners = np.array(middle) + (np.array(WEDGE if wedge else BOX) * size) @ turn
    normals, reach = np.concatenate([turn, -turn]), np.concatenate([size, size])
    if wedge:
        slope = np.array([size[2], 0.0, size[0]])
        slope /= np.linalg.norm(slope)
        # The upper and the right face are cut away; the slope goes through the middle.
        normals = np.concatenate([turn[1:2], -turn, (slope @ turn)[None]])
        reach = np.array([size[1], *size, 0.0])
    return Solid(normals, reach + normals @ np.array(middle), corners, WEDGE_FACES if wedge else BOX_FACES)


def _level(low: Sequence[float], high: Sequence[float]) -> Solid:
    middle = [(one + other) / 2 for one, other in zip(low, high, strict=True)]
    half = [(other - one) / 2 for one, other in zip(low, high, strict=True)]
    return _solid(middle, half, np.eye(3))


def _any_turn(chance: Random) -> Numbers:
    """A turn about each axis in turn, each by any angle."""
    whole = np.eye(3)
    for axis in range(3):
        angle = chance.uniform(0, 2 * pi)
        one, other = (place for place in range(3) if place != axis)
        turn = np.eye(3)
        turn[one, one] = turn[other, other] = cos(angle)
        turn[one, other], turn[other, one] = -sin(angle), sin(angle)
        whole = whole @ turn
    return whole


def _share_no_space(one: Solid, other: Solid) -> bool:
    """Whether some plane parts two solids: along a face of either, or along an edge of both."""
    runs, others = (np.array([each.corners[b] - each.corners[a] for a, b in each.edges]) for each in (one, other))
    both = np.cross(runs[:, None], others[None]).reshape(-1, 3)
    ways = np.concatenate([one.normals, other.normals, both[np.linalg.norm(both, axis=1) > 1e-6]])
    here, there = one.corners @ ways.T, other.corners @ ways.T
    apart = (here.max(axis=0) <= there.min(axis=0) + 1e-9) | (there.max(axis=0) <= here.min(axis=0) + 1e-9)
    return bool(apart.any())


def _are_apart(one: Solid, other: Solid) -> bool:
    """The same of two that stand square to the axes."""
    low, high = one.corners.min(axis=0), one.corners.max(axis=0)
    return bool(((high <= other.corners.min(axis=0)) | (other.corners.max(axis=0) <= low)).any())


# ---- scenes -------------------------------------------------------------------------------------------------------


def cut_up_block(chance: Random, most: int) -> list[Solid]:
    """A block sawn into cells that touch, some taken out, some with a hair's breadth of air about them."""
    cells = [([0.0, 0.0, 0.0], [chance.uniform(200, 900) for _ in range(3)])]
    while len(cells) < most:
        low, high = cells.pop(chance.randrange(len(cells)))
        axis = chance.randrange(3)
        cut = low[axis] + (high[axis] - low[axis]) * chance.uniform(0.2, 0.8)
        cells.append((low, [cut if place == axis else end for place, end in enumerate(high)]))
        cells.append(([cut if place == axis else end for place, end in enumerate(low)], high))
    kept = [cell for cell in cells if chance.random() < 0.8]
    air = [chance.choice([0.0, 0.0, 1e-6, 0.005, 1.0]) for _ in kept]
    return [
        _level([end + gap for end in low], [end - gap for end in high])
        for (low, high), gap in zip(kept, air, strict=True)
        if all(other - one > 3 * gap for one, other in zip(low, high, strict=True))
    ]


def level_boxes(chance: Random, most: int) -> list[Solid]:
    """Boards and posts that stand anywhere, square to the axes, none in another; many end on common planes."""
    grid = [chance.uniform(0, 800) for _ in range(6)]
    found: list[Solid] = []
    for _ in range(4 * most):
        sizes = sorted(chance.uniform(8, 500) for _ in range(3))
        chance.shuffle(sizes)
        low = [chance.choice(grid) if chance.random() < 0.5 else chance.uniform(0, 800) for _ in range(3)]
        box = _level(low, [one + size for one, size in zip(low, sizes, strict=True)])
        if len(found) < most and all(_are_apart(box, other) for other in found):
            found.append(box)
    return found


def tilted_heap(chance: Random, most: int) -> list[Solid]:
    """Boxes and wedges turned any way, each within its own cell."""
    found: list[Solid] = []
    for _ in range(most):
        cell = [chance.randrange(5) * 200.0 for _ in range(3)]
        if all(abs(cell - other).max() > 1 for other in (one.corners.mean(axis=0).round(-2) for one in found)):
            half = [chance.uniform(5, 57) for _ in range(3)]
            found.append(_solid(cell, half, _any_turn(chance), chance.random() < 0.4))
    return found


def long_sticks(chance: Random, most: int) -> list[Solid]:
    """Thin sticks across each other: they go round in circles."""
    found: list[Solid] = []
    for _ in range(6 * most):
        middle = [chance.uniform(-150, 150) for _ in range(3)]
        stick = _solid(middle, [chance.uniform(150, 400), chance.uniform(4, 15), chance.uniform(4, 15)],
                       _any_turn(chance), chance.random() < 0.2)  # fmt: skip
        if len(found) < min(most, 22) and all(_share_no_space(stick, other) for other in found):
            found.append(stick)
    return found


SCENES: Final[tuple[Callable[[Random, int], list[Solid]], ...]] = (cut_up_block, level_boxes, tilted_heap, long_sticks)


def _drawn_by(scene: Callable[[Random, int], list[Solid]], chance: Random) -> list[Solid]:
    """A scene of 5 to 60 solids, in a short run to 40; some are left out again, standing in others or sawn away."""
    solids: list[Solid] = []
    while len(solids) < 5:
        solids = scene(chance, chance.randrange(6, 76 if LONG else 41))[:60]
    return solids


# ---- what is compared with ----------------------------------------------------------------------------------------


def _stretches(
    solids: Sequence[Solid], points: Numbers, towards: Numbers, grown: float = 0.0
) -> tuple[Numbers, Numbers]:
    """Where the ray from each point towards the eye enters each solid and where it leaves it (solid, ray)."""
    entering, leaving = np.empty((len(solids), len(points))), np.empty((len(solids), len(points)))
    for row, solid in enumerate(solids):
        slope = solid.normals @ towards
        rest = (solid.reach + grown)[:, None] - solid.normals @ points.T
        along = rest / np.where(np.abs(slope) > 1e-9, slope, 1.0)[:, None]
        entering[row] = along[slope < -1e-9].max(axis=0)
        leaving[row] = along[slope > 1e-9].min(axis=0)
        outside = (rest[np.abs(slope) <= 1e-9] < 0).any(axis=0)
        leaving[row][outside] = -np.inf
    return entering, leaving


def _nearest(solids: Sequence[Solid], look: Look, spots: Numbers) -> NDArray[np.int64]:
    """The solid that is seen at each spot of the picture, -1 for none."""
    towards = np.array(look.towards)
    entering, leaving = _stretches(solids, spots @ np.array([look.across, look.up]), towards)
    leaving[leaving <= entering] = -np.inf
    found = leaving.argmax(axis=0)
    return np.where(np.isneginf(leaving.max(axis=0)), -1, found)


def _firm(solids: Sequence[Solid], look: Look, spots: Numbers) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """What is seen at each spot, and whether the same is seen all around it."""
    middle = _nearest(solids, look, spots)
    same = np.ones(len(spots), dtype=bool)
    for step in range(8):
        aside = BEYOND * np.array([cos(step * pi / 4), sin(step * pi / 4)])
        same &= _nearest(solids, look, spots + aside) == middle
    return middle, same


def _lies_in(ring: Ring, spots: Numbers) -> NDArray[np.bool_]:
    inside = np.ones(len(spots), dtype=bool)
    for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True):
        inside &= (x2 - x1) * (spots[:, 1] - y1) - (y2 - y1) * (spots[:, 0] - x1) >= -1e-9
    return inside


def _spots(seen: Seen, chance: Random, count: int) -> Numbers:
    low, high = seen.rounds.min(axis=(0, 1)), seen.rounds.max(axis=(0, 1))
    return np.array([[chance.uniform(low[axis], high[axis]) for axis in (0, 1)] for _ in range(count)])


def _wrong_fills(solids: Sequence[Solid], seen: Seen, hiding: Hiding, spots: Numbers) -> int:
    painted = np.full(len(spots), -1)
    for layer in paint(seen, hiding):
        for fill in layer:
            for ring in fill.rings:
                painted[_lies_in(ring, spots)] = fill.piece
    expected, firm = _firm(solids, seen.look, spots)
    return int((firm & (painted != expected)).sum())


def _wrong_rings(solids: Sequence[Solid], seen: Seen, hiding: Hiding, spots: Numbers) -> int:
    """Where what is said to be seen of a piece is not what is seen."""
    sight, expected, firm = Sight(seen, hiding), *_firm(solids, seen.look, spots)
    wrong = 0
    for piece in range(len(solids)):
        inside = np.zeros(len(spots), dtype=bool)
        for ring in sight.rings(piece):
            inside |= _lies_in(ring, spots)
        wrong += int((firm & (inside != (expected == piece))).sum())
    return wrong


def _wrong_lines(solids: Sequence[Solid], seen: Seen, hiding: Hiding, chance: Random) -> tuple[int, int]:
    """Points on edges that are drawn and hidden, or seen and not drawn; and how many could be judged."""
    look, drawn = seen.look, lines_in_sight(seen, hiding)
    towards, flat = np.array(look.towards), np.array([look.across, look.up])
    wrong = judged = 0
    for place, solid in enumerate(solids):
        begin, end = (np.array([solid.corners[edge[at]] for edge in solid.edges]) for at in (0, 1))
        along = np.array([chance.uniform(0.03, 0.97) for _ in solid.edges])[:, None]
        points = begin + along * (end - begin)
        _, own = _stretches([solid], points, towards)
        others = [other for other in solids if other is not solid]
        surely, perhaps = (_are_hidden(others, points, towards, grown) for grown in (-DOUBTFUL, DOUBTFUL))
        # An edge that is seen end-on, no longer than what is promised, is a point.
        level = np.linalg.norm((end - begin) @ flat.T, axis=1) < PROMISED
        mine = np.concatenate([lines.ends[lines.piece == place] for lines in (drawn.outlines, drawn.edges)])
        for row in np.flatnonzero((own[0] < 1e-7) & (surely == perhaps) & ~level):
            judged += 1
            wrong += _is_drawn(mine, begin[row] @ flat.T, end[row] @ flat.T, points[row] @ flat.T) == surely[row]
    return wrong, judged


def _are_hidden(solids: Sequence[Solid], points: Numbers, towards: Numbers, grown: float) -> NDArray[np.bool_]:
    """Whether any solid stands between each point and the eye."""
    entering, leaving = _stretches(solids, points, towards, grown)
    hidden: NDArray[np.bool_] = np.greater(leaving, np.maximum(entering, 0.0)).max(axis=0)
    return hidden


def _is_drawn(ends: Numbers, begin: Numbers, end: Numbers, spot: Numbers) -> bool:
    """Whether a stretch of that very edge reaches the spot."""
    way = (end - begin) / np.linalg.norm(end - begin)
    for one, other in ends:
        aside = [abs(way[0] * (at - begin)[1] - way[1] * (at - begin)[0]) for at in (one, other)]
        start, stop = sorted(float(way @ (at - spot)) for at in (one, other))
        if max(aside) < 1e-6 and start < PROMISED and stop > -PROMISED:
            return True
    return False


# ---- the tests ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("scene", SCENES)
def test_no_ray_and_no_point_of_an_edge_is_wrong(scene: Callable[[Random, int], list[Solid]]) -> None:
    chance, judged = Random(scene.__name__), 0
    for _ in range(tried(90)):
        solids = _drawn_by(scene, chance)
        seen, hiding = _seen(solids, chance.choice(LOOKS))
        spots = _spots(seen, chance, RAYS)
        assert _wrong_fills(solids, seen, hiding, spots) == 0
        assert _wrong_rings(solids, seen, hiding, spots) == 0
        wrong, points = _wrong_lines(solids, seen, hiding, chance)
        assert wrong == 0
        judged += points
    assert judged > 1000


def test_many_pieces_are_as_exact_as_few() -> None:
    """A long run draws two thousand at once, both ways; a short one some five hundred."""
    chance = Random(400)
    deep = 4000 if LONG else 1000
    solids = [
        _level((x, y, z), (x + dx, y + dy, z + dz))
        for x in range(0, 2500, 250) for y in range(0, deep, 200) for z in range(0, 2000, 200)
        for dx, dy, dz in [(chance.uniform(20, 250), chance.uniform(20, 200), chance.uniform(20, 200))]
    ]  # fmt: skip
    assert len(solids) == (2000 if LONG else 500)
    for look in (ISOMETRIC["front right"], FRONT):
        seen = look_at(heap_of([solid.piece for solid in solids]), look)
        hiding = find_hiding(seen)
        assert _wrong_fills(solids, seen, hiding, _spots(seen, chance, 1500)) == 0
    tilted = [
        _solid((x, y, z), [chance.uniform(10, 55) for _ in range(3)], _any_turn(chance), chance.random() < 0.3)
        for x in range(0, 2000, 200) for y in range(0, deep, 200) for z in range(0, 2000, 200)
    ]  # fmt: skip
    assert len(tilted) == len(solids)
    seen = look_at(heap_of([solid.piece for solid in tilted]), ISOMETRIC["back left"])
    assert _wrong_fills(tilted, seen, find_hiding(seen), _spots(seen, chance, 1500)) == 0


def test_pieces_that_go_round_in_a_circle_are_cut_out_of_each_other() -> None:
    layers, late = order_from_back([0, 1, 2], [0, 1, 2], [1, 2, 0])
    assert sum(map(len, layers)) == 3
    assert sum(map(len, late.values())) == 1
    # Whatever is painted too late is cut by what it should have stood behind.
    chance, circles = Random(3), 0
    for _ in range(tried(60)):
        solids = long_sticks(chance, 20)
        seen, hiding = _seen(solids, chance.choice(LOOKS))
        pieces = [place for place in range(len(solids)) if not hiding.gone[place]]
        circles += bool(order_from_back(pieces, hiding.near.tolist(), hiding.far.tolist())[1])
        assert _wrong_fills(solids, seen, hiding, _spots(seen, chance, 300)) == 0
    assert circles > 2


def _seen(solids: Sequence[Solid], look: Look) -> tuple[Seen, Hiding]:
    seen = look_at(heap_of([solid.piece for solid in solids]), look)
    return seen, find_hiding(seen)


def _length(lines: Lines) -> float:
    return float(np.linalg.norm(lines.ends[:, 1] - lines.ends[:, 0], axis=1).sum())


@pytest.mark.parametrize("gap", [0.0, 1e-6, 0.005])
def test_equal_boxes_one_behind_the_other_show_the_near_one_alone(gap: float) -> None:
    boxes = [_level((0, y * (20 + gap), 0), (100, y * (20 + gap) + 20, 50)) for y in range(4)]
    seen, hiding = _seen(boxes, FRONT)
    assert hiding.gone.tolist() == [False, True, True, True]
    drawn = lines_in_sight(seen, hiding)
    assert _length(drawn.outlines) == pytest.approx(300)
    assert _length(drawn.edges) == 0


@pytest.mark.parametrize("gap", [0.0, 1e-6, 0.005])
def test_pieces_flush_side_by_side_keep_the_joint_between_them(gap: float) -> None:
    boxes = [_level((0, 0, 0), (100, 20, 50)), _level((100 + gap, 0, 0), (200, 20, 50))]
    drawn = lines_in_sight(*_seen(boxes, FRONT))
    # Both draw the joint, and nothing of it lies against the ground.
    assert _length(drawn.edges) == pytest.approx(100)
    assert _length(drawn.outlines) == pytest.approx(500, abs=0.1)


def test_a_block_on_another_shows_what_is_between_them() -> None:
    below, upon = _level((0, 0, 0), (100, 100, 20)), _level((0, 0, 20), (100, 100, 40))
    seen, hiding = _seen([below, upon], ISOMETRIC["front right"])
    assert (hiding.near.tolist(), hiding.far.tolist()) in (([1], [0]), ([], []))
    drawn = lines_in_sight(seen, hiding)
    isometric = (2 / 3) ** 0.5
    # The round: two edges of 100 above, two below, and two heights of 40. Within: two joints and the upper front edges,
    # the joints drawn by both blocks, and the upright edge at the near corner.
    assert _length(drawn.outlines) == pytest.approx(isometric * (4 * 100 + 2 * 40))
    assert _length(drawn.edges) == pytest.approx(isometric * (2 * 200 + 200 + 40))


def test_pieces_that_stand_in_each_other_are_drawn_all_the_same() -> None:
    boxes = [_level((at, at, at), (at + 100, at + 100, at + 100)) for at in (0, 50, 0)]
    for look in LOOKS:
        seen, hiding = _seen(boxes, look)
        assert paint(seen, hiding)
        assert len(lines_in_sight(seen, hiding).outlines.ends)


def test_reference_scenes_share_no_space() -> None:
    for scene in SCENES:
        solids = scene(Random("disjoint"), 14)
        assert all(_share_no_space(one, other) for one, other in combinations(solids, 2))


# ---- panels with openings -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Panel:
    """A board with openings through it across an axis: a ray meets it where it meets the board outside all of them."""

    board: Solid
    openings: tuple[Solid, ...]
    piece: Piece


def panel(chance: Random, axis: int, level: float) -> Panel:
    """A board some 400 each way with one to three rectangles, rounded or not, and circles in cells of a grid of it."""
    plane = [one for one in range(3) if one != axis]
    low, high = [0.0] * 3, [400.0] * 3
    low[axis], high[axis] = level, level + chance.uniform(5, 40)
    rings, solids = [], []
    for cell in chance.sample([(0, 0), (0, 1), (1, 0), (1, 1)], chance.randrange(1, 4)):
        start = [200 * one + chance.uniform(5, 40) for one in cell]
        stop = [200 * one + chance.uniform(110, 190) for one in cell]
        radius = chance.choice([0.0, chance.uniform(2, 30), min(b - a for a, b in zip(start, stop, strict=True)) / 2])
        ring = rounded_ring((start[0], start[1]), (stop[0], stop[1]), radius)
        rings.append(ring)
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
    board = _level(low, high)
    return Panel(board, tuple(solids), replace(board.piece, cells=cells_of(board.piece, axis, rings)))


def _panel_stretches(one: Panel, points: Numbers, towards: Numbers) -> list[tuple[Numbers, Numbers]]:
    """Where rays run in the wood: from the back of the board into each opening, and out of it to the front, in turn."""
    entering, leaving = _stretches([one.board], points, towards)
    missed = entering[0] >= leaving[0]
    start, stop = np.where(missed, np.inf, entering[0]), np.where(missed, -np.inf, leaving[0])
    stretches = [(start, stop)]
    for solid in one.openings:
        into, out = _stretches([solid], points, towards)
        opened = into[0] < out[0]
        into, out = np.where(opened, into[0], np.inf), np.where(opened, out[0], np.inf)
        stretches = [
            part for begin, end in stretches
            for part in ((begin, np.minimum(end, into)), (np.where(opened, np.maximum(begin, out), np.inf), end))
        ]  # fmt: skip
    return stretches


def _nearest_wood(panels: Sequence[Panel], solids: Sequence[Solid], look: Look, spots: Numbers) -> NDArray[np.int64]:
    towards, points = np.array(look.towards), spots @ np.array([look.across, look.up])
    rows = []
    for one in panels:
        left = np.full(len(spots), -np.inf)
        for begin, end in _panel_stretches(one, points, towards):
            left = np.where(begin < end, np.maximum(left, end), left)
        rows.append(left)
    if solids:
        entering, leaving = _stretches(solids, points, towards)
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
            solids.append(_level(low, high))
        heap = heap_of([*(one.piece for one in panels), *(one.piece for one in solids)])
        seen = look_at(heap, look)
        hiding, spots = find_hiding(seen), _spots(seen, chance, RAYS)
        whole = {row: place for place, rows in heap.cells.items() for row in rows}
        painted = np.full(len(spots), -1)
        for layer in paint(seen, hiding):
            for fill in layer:
                for ring in fill.rings:
                    painted[_lies_in(ring, spots)] = whole.get(fill.piece, fill.piece)
        expected = _nearest_wood(panels, solids, look, spots)
        firm = np.ones(len(spots), dtype=bool)
        for step in range(8):
            aside = BEYOND * np.array([cos(step * pi / 4), sin(step * pi / 4)])
            firm &= _nearest_wood(panels, solids, look, spots + aside) == expected
        assert int((firm & (painted != expected)).sum()) == 0
        closed = _nearest([*(one.board for one in panels), *solids], look, spots)
        through += int((firm & (closed != expected)).sum())
        sight = Sight(seen, hiding)
        for piece in range(len(panels) + len(solids)):
            inside = np.zeros(len(spots), dtype=bool)
            for ring in sight.rings(piece):
                inside |= _lies_in(ring, spots)
            assert int((firm & (inside != (expected == piece))).sum()) == 0
    assert through > 100


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
        rounds = [rims, *_rings_of(one, plane)]
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
    board = _level((0, 0, 0), (400, 20, 400)).piece
    with_one = replace(board, cells=cells_of(board, 1, [rounded_ring((50, 60), (200, 160), 0)]))
    drawn = lines_in_sight(*_seen_pieces([with_one], FRONT))
    assert _length(drawn.outlines) + _length(drawn.edges) == pytest.approx(1600 + 500, abs=0.1)
    assert _length(drawn.edges) < 0.1
    # A circle of 60 by the sides it is drawn by, 0.5 mm within at most: 28 of 120 sin(pi / 28).
    with_round = replace(board, cells=cells_of(board, 1, [rounded_ring((50, 60), (170, 180), 60)]))
    drawn = lines_in_sight(*_seen_pieces([with_round], FRONT))
    assert _length(drawn.outlines) + _length(drawn.edges) == pytest.approx(1600 + 28 * 120 * sin(pi / 28), abs=0.5)


def _seen_pieces(pieces: Sequence[Piece], look: Look) -> tuple[Seen, Hiding]:
    seen = look_at(heap_of(pieces), look)
    return seen, find_hiding(seen)


def _rings_of(one: Panel, plane: Sequence[int]) -> list[list[tuple[float, float]]]:
    """The corners of each opening: where two of its sides that follow each other cross."""
    found = []
    for solid in one.openings:
        normals, reach = solid.normals[:, plane], solid.reach
        # The last two are its ends.
        count = len(reach) - 2
        pairs = [[(place - 1) % count, place] for place in range(count)]
        corners = [np.linalg.solve(normals[pair], reach[pair]) for pair in pairs]
        found.append([(float(x), float(y)) for x, y in corners])
    return found


def _lies_on(spot: Numbers, edge: Numbers) -> bool:
    run = edge[1] - edge[0]
    length = float(np.linalg.norm(run))
    if length < 1e-9:
        return float(np.linalg.norm(spot - edge[0])) < PROMISED
    along = float((spot - edge[0]) @ run) / length
    aside = abs(float(run[0] * (spot - edge[0])[1] - run[1] * (spot - edge[0])[0])) / length
    return aside < 1e-3 and -PROMISED < along < length + PROMISED
