"""A panel with openings that one sees through, as convex cells that touch: each with those edges alone that are edges
of the panel. Between its cells nothing is drawn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import acos, cos, pi, sin
from typing import Final

import numpy as np

from webapp.costing.space.outlines import convex_parts
from webapp.costing.takeoff.features import Marked
from webapp.costing.takeoff.model import Box
from webapp.pictures.bench.lines import CURVE
from webapp.pictures.bench.painting import Flat, Ring, area, cut_out
from webapp.pictures.bench.pieces import NM_PER_MM, Edge, Numbers, Piece, Point, Stroke

#: A round outline is drawn by as many sides as keep it within this, mm, but by no fewer and no more than so many.
SAGITTA: Final = 0.5
FEWEST_SIDES: Final = 12
MOST_SIDES: Final = 32
#: One sees through what is at least so many times as wide as the panel is thick, and so wide, nm; and through the
#: largest of many.
TIMES_THICK: Final = 2
LEAST_WIDE: Final = 40_000_000
MOST_OPEN: Final = 12
#: An outline of more sides than these is a mark on a face.
MOST_ROUND: Final = 96
#: Corners and lines that are so near are one, mm.
ONE: Final = 1e-4


def seen_through(box: Box, marks: Sequence[Marked]) -> list[Marked]:
    """Which of the openings of a box one sees through in a drawing: those across its thickness, wide enough for what
    stands behind to show, and the largest where they are many. Smaller ones are marks on a face."""
    thin = min(range(3), key=lambda axis: box.extent[axis])
    least = max(TIMES_THICK * box.extent[thin], LEAST_WIDE)
    wide = [(_narrower(mark), place, mark) for place, mark in enumerate(marks)
            if mark.axis == thin and len(mark.ring) <= MOST_ROUND]  # fmt: skip
    return [mark for width, _, mark in sorted(wide, key=lambda one: (-one[0], one[1])) if width >= least][:MOST_OPEN]


def _narrower(mark: Marked) -> int:
    return min(mark.high[0] - mark.low[0], mark.high[1] - mark.low[1])


def rings_of(mark: Marked) -> list[Ring]:
    """An opening as convex rings, mm; of one by an outline they may run over the panel."""
    if mark.ring:
        ring = [(x / NM_PER_MM, y / NM_PER_MM) for x, y in mark.ring]
        return [[ring[at] for at in part] for part in convex_parts(ring)]
    low, high = ((one[0] / NM_PER_MM, one[1] / NM_PER_MM) for one in (mark.low, mark.high))
    return [rounded_ring(low, high, (_narrower(mark) / 2 if mark.is_round else mark.corner) / NM_PER_MM)]


def sides_round(radius: float) -> int:
    """How many sides a circle of a radius, mm, is drawn by; a whole number of them to a quarter."""
    needed = pi / acos(1 - SAGITTA / radius) if radius > SAGITTA else 0
    return 4 * round(min(max(needed, FEWEST_SIDES), MOST_SIDES) / 4 + 0.49)


def rounded_ring(low: Flat, high: Flat, radius: float) -> Ring:
    """A rectangle with rounded corners, or the circle in a square, anticlockwise, mm."""
    if radius <= 0:
        return [low, (high[0], low[1]), high, (low[0], high[1])]
    steps = sides_round(radius) // 4
    ring: Ring = []
    for quarter, (x, y) in enumerate((
        (high[0] - radius, high[1] - radius), (low[0] + radius, high[1] - radius),
        (low[0] + radius, low[1] + radius), (high[0] - radius, low[1] + radius),
    )):  # fmt: skip
        turns = [(quarter + step / steps) * pi / 2 for step in range(steps + 1)]
        ring += [(x + radius * cos(turn), y + radius * sin(turn)) for turn in turns]
    return tidy_ring(ring)


def cells_of(piece: Piece, axis: int, rings: Sequence[Ring]) -> tuple[Piece, ...]:
    """The cells of a box of which one sees through some convex openings across an axis, rings along the two others that
    are anticlockwise; none where nothing of it is left."""
    return cells_together([piece], axis, rings, piece.strokes)[0]


def cells_together(
    pieces: Sequence[Piece], axis: int, rings: Sequence[Ring], made: Sequence[Stroke]
) -> list[tuple[Piece, ...]]:
    """The cells of each of several prisms across an axis that are one panel together, cut to an outline, with the
    strokes made on it: between them nothing is drawn."""
    plane = [one for one in range(3) if one != axis]
    levels = tuple(pick(corner[axis] for corner in pieces[0].corners) for pick in (min, max))
    flats, owners = list[Ring](), list[int]()
    for owner, piece in enumerate(pieces):
        for ring in cut_out([_base(piece, plane, axis, levels[0])], rings):
            if len(tidy := tidy_ring(ring)) > 2:
                # x and z turn the other way round about y.
                flats.append(tidy[::-1] if axis == 1 else tidy)
                owners.append(owner)
    if not flats:
        return [() for _ in pieces]

    def at(point: Flat, level: float) -> Point:
        place = [level, level, level]
        place[plane[0]], place[plane[1]] = point
        return place[0], place[1], place[2]

    real = bounding_stretches(flats)
    edges: list[list[Edge]] = [[] for _ in flats]
    for cell, side, one, other in real:
        edges[cell] += [(end, 2 + side, at(one, levels[end]), at(other, levels[end])) for end in (0, 1)]
    for cell, first, second, point in _corners(real):
        edges[cell].append((2 + first, 2 + second, at(point, levels[0]), at(point, levels[1])))
    strokes, reaches = [list[Stroke]() for _ in flats], [_reach(ring) for ring in flats]
    for face, begin, end in made:
        ends = [(point[plane[0]], point[plane[1]]) for point in (begin, end)]
        for cell, place, one, other in _strokes_within(flats, reaches, real, face - 2 * axis, ends):
            levelled = [at(point, begin[axis]) for point in (one, other)] if place < 2 else [begin, end]
            strokes[cell].append((place, levelled[0], levelled[1]))
    found = [
        replace(pieces[owner], corners=tuple(at(point, level) for level in levels for point in ring),
                faces=_prism(len(ring)), strokes=tuple(strokes[cell]), edges=tuple(edges[cell]))
        for cell, (owner, ring) in enumerate(zip(owners, flats, strict=True))
    ]  # fmt: skip
    return [
        tuple(cell for cell, one in zip(found, owners, strict=True) if one == owner) for owner, _ in enumerate(pieces)
    ]


def _base(piece: Piece, plane: Sequence[int], axis: int, level: float) -> Ring:
    """What a prism stands on, anticlockwise along the two axes of a plane."""
    face = next(face for face in piece.faces if all(abs(piece.corners[at][axis] - level) < ONE for at in face))
    ring = [(piece.corners[at][plane[0]], piece.corners[at][plane[1]]) for at in face]
    return ring if area(ring) > 0 else ring[::-1]


def _prism(sides: int) -> tuple[tuple[int, ...], ...]:
    """The faces over a ring that is anticlockwise from above: below, above, and all around."""
    around = tuple((one, (one + 1) % sides, sides + (one + 1) % sides, sides + one) for one in range(sides))
    return (tuple(range(sides))[::-1], tuple(range(sides, 2 * sides)), *around)


#: How far points reach: the least and the greatest, each way.
_Reach = tuple[Flat, Flat]
#: A stretch of a side that bounds the panel: its cell, the side, and its two ends.
_Stretch = tuple[int, int, Flat, Flat]


def bounding_stretches(rings: Sequence[Ring]) -> list[_Stretch]:
    """What of the sides of all cells bounds the panel: all but where two of them lie against each other. The cells are
    tidy rings that go round alike."""
    owners = [(cell, side) for cell, ring in enumerate(rings) for side in range(len(ring))]
    begin = np.array([rings[cell][side] for cell, side in owners]).reshape(-1, 2)
    close = np.array([rings[cell][(side + 1) % len(rings[cell])] for cell, side in owners]).reshape(-1, 2)
    run = close - begin
    length = np.hypot(run[:, 0], run[:, 1])
    way = run / length[:, None]
    # How far along each side, and how far off it, the ends of every other side lie (side, other).
    along, off = [], []
    for ends in (begin, close):
        gap = ends[None] - begin[:, None]
        along.append((gap * way[:, None]).sum(axis=2))
        off.append(np.abs(gap[:, :, 0] * way[:, None, 1] - gap[:, :, 1] * way[:, None, 0]))
    against = (np.maximum(*off) < ONE) & (way @ way.T < 0)
    found: list[_Stretch] = []
    for place, (cell, side) in enumerate(owners):
        taken = sorted((along[1][place, other], along[0][place, other]) for other in np.flatnonzero(against[place]))
        reached, end = 0.0, float(length[place])
        for start, stop in (*taken, (end, end)):
            if min(start, end) > reached + ONE:
                ends_at = [begin[place] + way[place] * one for one in (reached, min(start, end))]
                one, other = ((float(x), float(y)) for x, y in ends_at)
                found.append((cell, side, one, other))
            reached = max(reached, stop)
    return found


def _corners(real: Sequence[_Stretch]) -> Iterator[tuple[int, int, int, Flat]]:
    """The corners of the panel's outline as edges between two sides of a cell; where the sides are of two cells, as an
    edge on either side."""
    met: dict[tuple[int, int], list[tuple[int, int, Flat, Flat]]] = {}
    for cell, side, one, other in real:
        for end in (one, other):
            way = _way(one, other)
            met.setdefault((round(end[0] / ONE / 10), round(end[1] / ONE / 10)), []).append((cell, side, end, way))
    for ends in met.values():
        if len(ends) == 2 and ends[0][3][0] * ends[1][3][0] + ends[0][3][1] * ends[1][3][1] > CURVE:
            continue
        if len(ends) == 2 and ends[0][0] == ends[1][0]:
            yield ends[0][0], ends[0][1], ends[1][1], ends[0][2]
            continue
        for cell, side, point, _ in ends:
            yield cell, side, side, point


def _way(one: Flat, other: Flat) -> Flat:
    length = float(np.hypot(other[0] - one[0], other[1] - one[1]))
    return (other[0] - one[0]) / length, (other[1] - one[1]) / length


def _strokes_within(
    rings: Sequence[Ring], reaches: Sequence[_Reach], real: Sequence[_Stretch], face: int, ends: Sequence[Flat]
) -> Iterator[tuple[int, int, Flat, Flat]]:
    """What of a stroke lies on each cell, and on which face of it; one on a narrow side stands on a whole stretch."""
    if face in (0, 1):
        (left, low), (right, high) = _reach(ends)
        for cell, ring in enumerate(rings):
            least, most = reaches[cell]
            if right < least[0] or most[0] < left or high < least[1] or most[1] < low:
                continue
            start, stop = _clipped(ends, ring)
            if stop > start:
                one, other = (tuple(a + share * (b - a) for a, b in zip(*ends, strict=True)) for share in (start, stop))
                yield cell, face, (one[0], one[1]), (other[0], other[1])
        return
    for cell, side, one, other in real:
        way, length = _way(one, other), float(np.hypot(other[0] - one[0], other[1] - one[1]))
        gaps = [(x - one[0], y - one[1]) for x, y in ends]
        on = [abs(x * way[1] - y * way[0]) < ONE and -ONE < x * way[0] + y * way[1] < length + ONE for x, y in gaps]
        if all(on):
            yield cell, 2 + side, ends[0], ends[1]
            return


def _reach(points: Sequence[Flat]) -> _Reach:
    across, up = zip(*points, strict=True)
    return (min(across), min(up)), (max(across), max(up))


def _clipped(ends: Sequence[Flat], ring: Ring) -> tuple[float, float]:
    """From which share to which a stroke lies within a convex ring."""
    (x1, y1), (x2, y2) = ends
    turn = area(ring)
    start, stop = 0.0, 1.0
    for (a, b), (c, d) in zip(ring, (*ring[1:], ring[0]), strict=True):
        normal = (d - b, a - c) if turn > 0 else (b - d, c - a)
        before = normal[0] * (x1 - a) + normal[1] * (y1 - b)
        change = normal[0] * (x2 - x1) + normal[1] * (y2 - y1)
        if abs(change) < 1e-12:
            if before > 0:
                return 1.0, 0.0
        elif change > 0:
            stop = min(stop, -before / change)
        else:
            start = max(start, -before / change)
    return start, stop


def tidy_ring(ring: Ring) -> Ring:
    """A ring without corners that lie on another or on the line between their neighbours, its sharpest corner second:
    so that the first three tell its plane."""
    kept = [one for one, other in zip(ring, (*ring[1:], ring[0]), strict=True) if _apart(one, other) > ONE]
    turns = [_turn(kept[place - 1], one, kept[(place + 1) % len(kept)]) for place, one in enumerate(kept)]
    kept = [one for one, turn in zip(kept, turns, strict=True) if abs(turn) > ONE]
    if len(kept) < 3:
        return []
    sharp: Numbers = np.array([_turn(kept[place - 1], one, kept[(place + 1) % len(kept)])
                               for place, one in enumerate(kept)])  # fmt: skip
    first = int(np.argmax(np.abs(sharp))) - 1
    return [*kept[first:], *kept[:first]] if first > 0 else kept[first:] + kept[:first] if first < 0 else kept


def _apart(one: Flat, other: Flat) -> float:
    return max(abs(one[0] - other[0]), abs(one[1] - other[1]))


def _turn(before: Flat, at: Flat, after: Flat) -> float:
    """How far a corner lies off the line between its neighbours, times how long that is, mm2."""
    return (at[0] - before[0]) * (after[1] - at[1]) - (at[1] - before[1]) * (after[0] - at[0])
