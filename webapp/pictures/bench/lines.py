"""The edges of the pieces as far as they are in sight, told apart by what lies beside them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from webapp.pictures.bench.hiding import Hiding
from webapp.pictures.bench.looking import Seen
from webapp.pictures.bench.pieces import BEYOND, Numbers, Places

#: Stretches shorter than this are not drawn, mm.
SHORTEST: Final = 0.01
#: How far beside an edge one looks for what lies there, mm, and by how much what lies there is grown.
ASIDE: Final = 0.03
GROWN: Final = 0.01
#: Faces that turn by less belong to one curve: the cosine of 25 degrees.
CURVE: Final = 0.906
_AT_ONCE: Final = 40_000


@dataclass(frozen=True, slots=True)
class Lines:
    """Stretches in the picture (line, end, u v), and the piece that each belongs to."""

    ends: Numbers
    piece: Places


@dataclass(frozen=True, slots=True)
class Drawn:
    """What is in sight: `outlines` have nothing of the bench beside them, `edges` have; `strokes` lie on faces."""

    outlines: Lines
    edges: Lines
    strokes: Lines


@dataclass(frozen=True, slots=True)
class _Edges:
    """The edges that a look may show: ends turned (edge, end, u v w), piece, place among all, and length there."""

    ends: Numbers
    piece: Places
    place: Places
    length: Numbers


def lines_in_sight(seen: Seen, hiding: Hiding) -> Drawn:
    """Every edge clipped by what hides it, and sorted by what lies beside it."""
    edges = _edges(seen, ~hiding.gone)
    every = np.arange(len(edges.length))
    owner, start, end = _left(every, edges.length, *_clipped(seen, edges, seen.shadows, hiding.near, hiding.far))
    first, second = seen.heap.edge_faces[edges.place].T
    is_round = (seen.turned[edges.piece, first] != seen.turned[edges.piece, second])[owner]
    is_stroke = seen.heap.is_stroke[edges.place][owner]
    outer, inner = _beside(seen, hiding, edges, (owner[is_round], start[is_round], end[is_round]))
    rest = ~(is_round | is_stroke)
    within = tuple(np.concatenate([found, one[rest]]) for found, one in zip(inner, (owner, start, end), strict=True))
    return Drawn(
        _cut(edges, *outer), _cut(edges, *within), _cut(edges, owner[is_stroke], start[is_stroke], end[is_stroke])
    )


def outlines_hidden(seen: Seen, pieces: Places) -> Lines:
    """The whole outlines of some pieces, in sight or not."""
    rounds = seen.rounds[pieces]
    ends = np.stack([rounds, np.roll(rounds, -1, axis=1)], axis=2).reshape(-1, 2, 2)
    piece = np.repeat(pieces, rounds.shape[1])
    real = np.abs(ends[:, 1] - ends[:, 0]).max(axis=1) > SHORTEST
    return Lines(ends[real], piece[real])


def _edges(seen: Seen, wanted: NDArray[np.bool_]) -> _Edges:
    heap = seen.heap
    turn = np.array([seen.look.across, seen.look.up, seen.look.towards])
    first, second = heap.edge_faces.T
    shown = wanted[heap.edge_piece] & (seen.turned[heap.edge_piece, first] | seen.turned[heap.edge_piece, second])
    shown &= ~_is_smooth(seen)
    place = np.flatnonzero(shown)
    ends = heap.edge_ends[place] @ turn.T
    length = np.hypot(ends[:, 1, 0] - ends[:, 0, 0], ends[:, 1, 1] - ends[:, 0, 1])
    real = length > SHORTEST
    place = place[real]
    order = np.argsort(heap.edge_piece[place], kind="stable")
    place = place[order]
    return _Edges(ends[real][order], heap.edge_piece[place], place, length[real][order])


def _is_smooth(seen: Seen) -> NDArray[np.bool_]:
    """Which edges lie within a curve that is turned this way: of a curved piece, between faces that hardly turn."""
    heap = seen.heap
    first, second = heap.edge_faces.T
    curved = np.array([piece.curved for piece in heap.pieces], dtype=bool)
    found: NDArray[np.bool_] = np.zeros(len(first), dtype=bool)
    if not curved.any():
        return found
    alike = seen.turned[heap.edge_piece, first] == seen.turned[heap.edge_piece, second]
    found = curved[heap.edge_piece] & (first != second) & alike
    place = np.flatnonzero(found)
    one, other = (heap.planes[heap.edge_piece[place], face[place], :3] for face in (first, second))
    found[place] = (one * other).sum(axis=1) > CURVE
    return found


def _clipped(seen: Seen, edges: _Edges, bounds: Numbers, near: Places, far: Places) -> tuple[Places, Numbers, Numbers]:
    """The stretches of edges that lie within the bounds of a near piece, as (edge, from, to), ends between 0 and 1."""
    first = np.searchsorted(edges.piece, far, side="left")
    count = np.searchsorted(edges.piece, far, side="right") - first
    pair = np.repeat(np.arange(len(near)), count)
    edge = first[pair] + np.arange(len(pair)) - np.repeat(np.cumsum(count) - count, count)
    # Most edges of a far piece run clear of the near one.
    by = near[pair]
    low, high = edges.ends[:, :, :2].min(axis=1)[edge], edges.ends[:, :, :2].max(axis=1)[edge]
    outlines = seen.rounds.min(axis=1)[by] - GROWN, seen.rounds.max(axis=1)[by] + GROWN
    meeting = ((low <= outlines[1]) & (high >= outlines[0])).all(axis=1)
    return _within(edges.ends, edge[meeting], bounds, by[meeting])


def _within(ends: Numbers, edge: Places, bounds: Numbers, by: Places) -> tuple[Places, Numbers, Numbers]:
    """What of each edge lies within the bounds beside it; rows that have nothing there are left out."""
    found = [_within_some(ends, edge[at : at + _AT_ONCE], bounds, by[at : at + _AT_ONCE])
             for at in range(0, len(edge), _AT_ONCE)]  # fmt: skip
    if not found:
        return edge, np.zeros(0), np.zeros(0)
    places, starts, stops = zip(*found, strict=True)
    return np.concatenate(places), np.concatenate(starts), np.concatenate(stops)


def _within_some(ends: Numbers, edge: Places, bounds: Numbers, by: Places) -> tuple[Places, Numbers, Numbers]:
    space = bounds[by]
    axes = ends.shape[2]
    begin, close = ends[edge, 0], ends[edge, 1]
    before = (space[:, :, :axes] @ begin[:, :, None])[:, :, 0] - space[:, :, -1]
    change = (space[:, :, :axes] @ (close - begin)[:, :, None])[:, :, 0]
    level = np.abs(change) < 1e-12
    along = -before / np.where(level, 1.0, change)
    start = np.where(~level & (change < 0), along, -BEYOND).max(axis=1).clip(min=0.0)
    stop = np.where(~level & (change > 0), along, BEYOND).min(axis=1).clip(max=1.0)
    inside = (stop > start) & ~(level & (before > 0)).any(axis=1)
    return edge[inside], start[inside], stop[inside]


def _left(
    owners: Places, lengths: Numbers, covered: Places, start: Numbers, stop: Numbers
) -> tuple[Places, Numbers, Numbers]:
    """Of each owner, from 0 to 1, what no covered stretch takes.

    Owners' stretches are laid one after another on one line, so that one running maximum joins all of them.
    """
    row = np.concatenate([owners, owners, covered])
    begins = np.concatenate([np.zeros(len(owners)), np.ones(len(owners)), start]) + 2.0 * row
    ends = np.concatenate([np.zeros(len(owners)), np.ones(len(owners)), stop]) + 2.0 * row
    order = np.argsort(begins, kind="stable")
    row, begins, reached = row[order], begins[order], np.maximum.accumulate(ends[order])
    gap = (row[1:] == row[:-1]) & ((begins[1:] - reached[:-1]) * lengths[row[1:]] > SHORTEST)
    owner = row[1:][gap]
    return owner, reached[:-1][gap] - 2.0 * owner, begins[1:][gap] - 2.0 * owner


def _beside(
    seen: Seen, hiding: Hiding, edges: _Edges, stretches: tuple[Places, Numbers, Numbers]
) -> tuple[tuple[Places, Numbers, Numbers], tuple[Places, Numbers, Numbers]]:
    """Stretches of outlines, parted into those with nothing beside them and those with another piece there."""
    owner, start, stop = stretches
    # Each stretch moved a little outwards, and clipped by the outlines of its piece's neighbours.
    ends = edges.ends[owner, :, :2]
    run = ends[:, 1] - ends[:, 0]
    ends = ends[:, :1] + np.stack([start, stop], axis=1)[:, :, None] * run[:, None]
    ends = ends + ASIDE * _outwards(seen, edges.piece[owner], run, ends)[:, None]
    rows = _Edges(ends, edges.piece[owner], owner, edges.length[owner] * (stop - start))
    bounds = seen.sides + np.array([0.0, 0.0, GROWN])
    near = np.concatenate([hiding.one, hiding.other])
    far = np.concatenate([hiding.other, hiding.one])
    covered = _clipped(seen, rows, bounds, near, far)
    every = np.arange(len(owner))
    free = _left(every, rows.length, *covered)
    taken = _left(every, rows.length, *free)

    def back(found: tuple[Places, Numbers, Numbers]) -> tuple[Places, Numbers, Numbers]:
        row, low, high = found
        width = (stop - start)[row]
        return owner[row], start[row] + low * width, start[row] + high * width

    return back(free), back(taken)


def _outwards(seen: Seen, piece: Places, run: Numbers, ends: Numbers) -> Numbers:
    """The direction away from the piece, square to an edge of its outline."""
    normal = np.stack([run[:, 1], -run[:, 0]], axis=1)
    normal /= np.maximum(np.hypot(normal[:, 0], normal[:, 1]), 1e-12)[:, None]
    inward = seen.rounds[piece].mean(axis=1) - ends[:, 0]
    away = np.where((normal * inward).sum(axis=1) > 0, -1.0, 1.0)
    return normal * away[:, None]


def _cut(edges: _Edges, owner: Places, start: Numbers, stop: Numbers) -> Lines:
    begin = edges.ends[owner, 0, :2]
    run = edges.ends[owner, 1, :2] - begin
    return Lines(np.stack([begin + start[:, None] * run, begin + stop[:, None] * run], axis=1), edges.piece[owner])
