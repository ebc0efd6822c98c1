"""Hiding held against rays and points that are followed one by one, through nothing but each solid's own half-spaces.

What is compared with knows no order, no outline and no clipping: a ray goes through every solid, and the one it leaves
last is seen. Nothing may differ further than 0.01 mm from an edge.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import combinations
from math import cos, pi, sin
from random import Random
from typing import Final

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.harness.examples import LONG, tried
from tests.pictures.bench.rays_case import (
    BEYOND,
    DOUBTFUL,
    LOOKS,
    PROMISED,
    RAYS,
    Numbers,
    Solid,
    length_of,
    level_box,
    lies_in,
    nearest,
    solid_of,
    spots_over,
    stretches,
)
from webapp.pictures.bench.hiding import Hiding, find_hiding
from webapp.pictures.bench.lines import lines_in_sight
from webapp.pictures.bench.looking import FRONT, ISOMETRIC, Look, Seen, look_at
from webapp.pictures.bench.painting import order_from_back, paint
from webapp.pictures.bench.pieces import heap_of
from webapp.pictures.bench.room import Sight


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
        level_box([end + gap for end in low], [end - gap for end in high])
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
        box = level_box(low, [one + size for one, size in zip(low, sizes, strict=True)])
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
            found.append(solid_of(cell, half, _any_turn(chance), chance.random() < 0.4))
    return found


def long_sticks(chance: Random, most: int) -> list[Solid]:
    """Thin sticks across each other: they go round in circles."""
    found: list[Solid] = []
    for _ in range(6 * most):
        middle = [chance.uniform(-150, 150) for _ in range(3)]
        stick = solid_of(middle, [chance.uniform(150, 400), chance.uniform(4, 15), chance.uniform(4, 15)],
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


def _firm(solids: Sequence[Solid], look: Look, spots: Numbers) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """What is seen at each spot, and whether the same is seen all around it."""
    middle = nearest(solids, look, spots)
    same = np.ones(len(spots), dtype=bool)
    for step in range(8):
        aside = BEYOND * np.array([cos(step * pi / 4), sin(step * pi / 4)])
        same &= nearest(solids, look, spots + aside) == middle
    return middle, same


def _wrong_fills(solids: Sequence[Solid], seen: Seen, hiding: Hiding, spots: Numbers) -> int:
    painted = np.full(len(spots), -1)
    for layer in paint(seen, hiding):
        for fill in layer:
            for ring in fill.rings:
                painted[lies_in(ring, spots)] = fill.piece
    expected, firm = _firm(solids, seen.look, spots)
    return int((firm & (painted != expected)).sum())


def _wrong_rings(solids: Sequence[Solid], seen: Seen, hiding: Hiding, spots: Numbers) -> int:
    """Where what is said to be seen of a piece is not what is seen."""
    sight, expected, firm = Sight(seen, hiding), *_firm(solids, seen.look, spots)
    wrong = 0
    for piece in range(len(solids)):
        inside = np.zeros(len(spots), dtype=bool)
        for ring in sight.rings(piece):
            inside |= lies_in(ring, spots)
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
        _, own = stretches([solid], points, towards)
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
    entering, leaving = stretches(solids, points, towards, grown)
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
        spots = spots_over(seen, chance, RAYS)
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
        level_box((x, y, z), (x + dx, y + dy, z + dz))
        for x in range(0, 2500, 250) for y in range(0, deep, 200) for z in range(0, 2000, 200)
        for dx, dy, dz in [(chance.uniform(20, 250), chance.uniform(20, 200), chance.uniform(20, 200))]
    ]  # fmt: skip
    assert len(solids) == (2000 if LONG else 500)
    for look in (ISOMETRIC["front right"], FRONT):
        seen = look_at(heap_of([solid.piece for solid in solids]), look)
        hiding = find_hiding(seen)
        assert _wrong_fills(solids, seen, hiding, spots_over(seen, chance, 1500)) == 0
    tilted = [
        solid_of((x, y, z), [chance.uniform(10, 55) for _ in range(3)], _any_turn(chance), chance.random() < 0.3)
        for x in range(0, 2000, 200) for y in range(0, deep, 200) for z in range(0, 2000, 200)
    ]  # fmt: skip
    assert len(tilted) == len(solids)
    seen = look_at(heap_of([solid.piece for solid in tilted]), ISOMETRIC["back left"])
    assert _wrong_fills(tilted, seen, find_hiding(seen), spots_over(seen, chance, 1500)) == 0


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
        assert _wrong_fills(solids, seen, hiding, spots_over(seen, chance, 300)) == 0
    assert circles > 2


def _seen(solids: Sequence[Solid], look: Look) -> tuple[Seen, Hiding]:
    seen = look_at(heap_of([solid.piece for solid in solids]), look)
    return seen, find_hiding(seen)


@pytest.mark.parametrize("gap", [0.0, 1e-6, 0.005])
def test_equal_boxes_one_behind_the_other_show_the_near_one_alone(gap: float) -> None:
    boxes = [level_box((0, y * (20 + gap), 0), (100, y * (20 + gap) + 20, 50)) for y in range(4)]
    seen, hiding = _seen(boxes, FRONT)
    assert hiding.gone.tolist() == [False, True, True, True]
    drawn = lines_in_sight(seen, hiding)
    assert length_of(drawn.outlines) == pytest.approx(300)
    assert length_of(drawn.edges) == 0


@pytest.mark.parametrize("gap", [0.0, 1e-6, 0.005])
def test_pieces_flush_side_by_side_keep_the_joint_between_them(gap: float) -> None:
    boxes = [level_box((0, 0, 0), (100, 20, 50)), level_box((100 + gap, 0, 0), (200, 20, 50))]
    drawn = lines_in_sight(*_seen(boxes, FRONT))
    # Both draw the joint, and nothing of it lies against the ground.
    assert length_of(drawn.edges) == pytest.approx(100)
    assert length_of(drawn.outlines) == pytest.approx(500, abs=0.1)


def test_a_block_on_another_shows_what_is_between_them() -> None:
    below, upon = level_box((0, 0, 0), (100, 100, 20)), level_box((0, 0, 20), (100, 100, 40))
    seen, hiding = _seen([below, upon], ISOMETRIC["front right"])
    assert (hiding.near.tolist(), hiding.far.tolist()) in (([1], [0]), ([], []))
    drawn = lines_in_sight(seen, hiding)
    isometric = (2 / 3) ** 0.5
    # The round: two edges of 100 above, two below, and two heights of 40. Within: two joints and the upper front edges,
    # the joints drawn by both blocks, and the upright edge at the near corner.
    assert length_of(drawn.outlines) == pytest.approx(isometric * (4 * 100 + 2 * 40))
    assert length_of(drawn.edges) == pytest.approx(isometric * (2 * 200 + 200 + 40))


def test_pieces_that_stand_in_each_other_are_drawn_all_the_same() -> None:
    boxes = [level_box((at, at, at), (at + 100, at + 100, at + 100)) for at in (0, 50, 0)]
    for look in LOOKS:
        seen, hiding = _seen(boxes, look)
        assert paint(seen, hiding)
        assert len(lines_in_sight(seen, hiding).outlines.ends)


def test_reference_scenes_share_no_space() -> None:
    for scene in SCENES:
        solids = scene(Random("disjoint"), 14)
        assert all(_share_no_space(one, other) for one, other in combinations(solids, 2))
