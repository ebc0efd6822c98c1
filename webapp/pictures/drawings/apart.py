"""A bench drawn apart: its pieces moved back along the way that each comes in, with a thin line to where it belongs.

They go together in the order that the check found which looks for one; each kind of part has its place in it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import sqrt
from typing import Final

import numpy as np

from webapp.pictures.bench.lines import Lines, lines_in_sight
from webapp.pictures.bench.looking import ISOMETRIC
from webapp.pictures.bench.page import Frame, drawn_lines
from webapp.pictures.bench.pieces import Heap, Numbers, Piece, Point, heap_of, moved
from webapp.pictures.bench.thing import ComingIn, Thing
from webapp.pictures.drawings.numbering import View, view_of

#: What stays free between what is drawn apart, as a share of the longest side of the whole.
FREE: Final = 0.055
#: Nearer to the middle than this share of the half, a piece stands there.
STANDS: Final = 0.08
#: How wide the thread of a piece is, mm, and how far from the corner of its face it begins, as a share of the face.
THREAD: Final = 0.05
FROM_CORNER: Final = 0.06
#: A thread shorter than this is not drawn, mm.
SHORTEST: Final = 4.0
THREAD_WIDTH: Final = 0.6
CHAIN: Final = "90 25 20 25"
_THREAD_PART: Final = "\x00thread"


def outward(thing: Thing) -> list[ComingIn]:
    """An order where none was found: from the middle outwards, each along the axis where it lies furthest out."""
    low, high = thing.low, thing.high
    found: list[tuple[float, int, Point]] = []
    corners: dict[tuple[str, int], list[Point]] = {}
    for piece in thing.pieces:
        corners.setdefault((piece.part, piece.number), []).extend(piece.corners)
    for place, piece in enumerate(thing.pieces):
        shares = []
        for axis in range(3):
            ends = [corner[axis] for corner in corners[piece.part, piece.number]]
            half = (high[axis] - low[axis]) / 2 or 1.0
            shares.append((min(ends) + max(ends) - low[axis] - high[axis]) / 2 / half)
        furthest = max(range(3), key=lambda axis: abs(shares[axis]))
        way = [0.0, 0.0, 0.0]
        if abs(shares[furthest]) > STANDS:
            way[furthest] = -1.0 if shares[furthest] > 0 else 1.0
        found.append((abs(shares[furthest]), place, (way[0], way[1], way[2])))
    return [((place,), way) for _, place, way in sorted(found)]


def places_in_order(thing: Thing) -> dict[str, int]:
    """When each kind of part comes in where the thing is put together: first, second and so on; {} without an order."""
    coming = (thing.pieces[place].part for places, _ in thing.together for place in places)
    kinds = dict.fromkeys(part for part in coming if part in thing.numbers)
    return {kind: place for place, kind in enumerate(kinds, 1)}


def draw_apart(thing: Thing, order: Sequence[ComingIn], scale: float) -> tuple[View, View]:
    """The view of the pieces moved apart, and the view of the same with their threads among them."""
    pieces = list(thing.pieces)
    back = _moved_back(pieces, order, FREE * max(b - a for a, b in zip(thing.low, thing.high, strict=True)))
    apart = [moved(piece, by) for piece, by in zip(pieces, back, strict=True)]
    look = ISOMETRIC["front right"]
    bare = heap_of(apart)
    threads = [
        thread
        for place, by in enumerate(back) if any(by)
        for begin, end in _ways_in(apart[place], by)
        for thread in _clear(begin, end, bare)
    ]  # fmt: skip
    view = view_of(bare, look, scale)
    return view, view_of(heap_of([*apart, *(_thread(*ends) for ends in threads)]), look, scale)


def thread_body(with_threads: View, frame: Frame) -> str:
    """The threads that are in sight."""
    drawn = lines_in_sight(with_threads.seen, with_threads.hiding)
    pieces = with_threads.seen.heap.pieces
    is_thread = np.array([piece.part == _THREAD_PART for piece in pieces], dtype=bool)
    ends = [lines.ends[is_thread[lines.piece]] for lines in (drawn.outlines, drawn.edges)]
    kept = np.concatenate(ends)
    return drawn_lines(Lines(kept, np.zeros(len(kept), dtype=np.intp)), frame, THREAD_WIDTH, dashes=CHAIN)


def _moved_back(pieces: Sequence[Piece], order: Sequence[ComingIn], free: float) -> list[Point]:
    """How far each piece is moved: back from where it comes in, clear of all that stood there before it.

    What is not named stands where it is, and so does the first of all that is put together. Pieces of one kind that
    come in the same way one after another are moved alike, as far as the furthest has to be.
    """
    back: list[Point] = [(0.0, 0.0, 0.0)] * len(pieces)
    named = {place for places, _ in order for place in places}
    hosts = _hosts(order)
    # What stands by now of the whole (-1), and of each that is put together apart from the rest.
    standing: dict[int, list[int]] = {-1: [place for place in range(len(pieces)) if place not in named]}
    for run in _runs(pieces, order, hosts):
        host, way = hosts[run[0]], order[run[0]][1]
        coming = [place for step in run for place in order[step][0]]
        there = [_box(pieces[place], back[place]) for place in standing.setdefault(host, [])]
        length = sqrt(sum(one * one for one in way))
        if length and there:
            out = (-way[0] / length, -way[1] / length, -way[2] / length)
            by = max(_clear_by(_box(pieces[place], back[place]), out, there, free) for place in coming)
            for place in coming:
                back[place] = _add(back[place], (out[0] * by, out[1] * by, out[2] * by))
        standing[host] += coming
    return back


def _hosts(order: Sequence[ComingIn]) -> list[int]:
    """By step, the later one as part of which all that comes in by it moves again; -1 where it stays."""
    sets = [{*places} for places, _ in order]
    return [
        next((later for later in range(step + 1, len(sets)) if one <= sets[later]), -1) for step, one in enumerate(sets)
    ]


def _runs(pieces: Sequence[Piece], order: Sequence[ComingIn], hosts: Sequence[int]) -> Iterator[list[int]]:
    """The steps, those together by which pieces of one kind come in alike."""
    run: list[int] = []
    for step, (places, way) in enumerate(order):
        same = run and len(places) == 1 and len(order[run[0]][0]) == 1 and hosts[step] == hosts[run[0]]
        if not same or (pieces[places[0]].part, way) != (pieces[order[run[0]][0][0]].part, order[run[0]][1]):
            if run:
                yield run
            run = []
        run.append(step)
    if run:
        yield run


_Box = tuple[Point, Point]


def _box(piece: Piece, by: Point) -> _Box:
    ends = [[corner[axis] + by[axis] for corner in piece.corners] for axis in range(3)]
    return (min(ends[0]), min(ends[1]), min(ends[2])), (max(ends[0]), max(ends[1]), max(ends[2]))


def _clear_by(box: _Box, out: Point, standing: Sequence[_Box], free: float) -> float:
    """How far a box has to go out to pass all that stands in its way, and to have room behind it."""
    by = free
    for _ in range(len(standing) + 1):
        moved = tuple(tuple(one + by * way for one, way in zip(end, out, strict=True)) for end in box)
        further = by
        for low, high in standing:
            # How far on until no axis meets any more: the nearest way out of that box.
            if all(moved[0][a] < high[a] + _air(out[a], free) and low[a] - _air(out[a], free) < moved[1][a]
                   for a in range(3)):  # fmt: skip
                steps = [
                    ((high[a] + free - moved[0][a]) if out[a] > 0 else (moved[1][a] + free - low[a])) / abs(out[a])
                    for a in range(3) if abs(out[a]) > 1e-9
                ]  # fmt: skip
                further = max(further, by + min(steps))
        if further <= by + 1e-6:
            break
        by = further
    return by


def _air(way: float, free: float) -> float:
    """What stays free along the way out; across it pieces may touch."""
    return free - 1e-6 if abs(way) > 1e-9 else -0.01


def _ways_in(piece: Piece, by: Point) -> list[tuple[Point, Point]]:
    """Where threads run: from the face that goes in first, near its two corners furthest apart across the picture."""
    length = sqrt(sum(one * one for one in by))
    way = (-by[0] / length, -by[1] / length, -by[2] / length)
    face = max(piece.faces, key=lambda one: _lean(piece, one, way))
    corners = [piece.corners[place] for place in face]
    middle = _mean(corners)
    across = ISOMETRIC["front right"].across
    corners.sort(key=lambda corner: sum(one * along for one, along in zip(corner, across, strict=True)))
    begins = [corners[0], corners[-1]]
    begins = [_between(corner, middle, FROM_CORNER) for corner in begins]
    if sum((one - other) ** 2 for one, other in zip(*begins, strict=True)) < length**2 / 16:
        begins = [middle]
    return [(begin, (begin[0] - by[0], begin[1] - by[1], begin[2] - by[2])) for begin in begins]


def _lean(piece: Piece, face: Sequence[int], way: Point) -> float:
    """How far along the way in the middle of a face lies."""
    return sum(one * along for one, along in zip(_mean([piece.corners[at] for at in face]), way, strict=True))


def _clear(begin: Point, end: Point, heap: Heap) -> Iterator[tuple[Point, Point]]:
    """What of a thread runs through no piece."""
    start, run = np.array(begin), np.array(end) - np.array(begin)
    slope = heap.planes[:, :, :3] @ run
    rest = heap.planes[:, :, 3] - heap.planes[:, :, :3] @ start
    along = rest / np.where(np.abs(slope) > 1e-9, slope, 1.0)
    enters: Numbers = np.where(slope < -1e-9, along, -np.inf).max(axis=1)
    leaves: Numbers = np.where(slope > 1e-9, along, np.inf).min(axis=1)
    outside = ((np.abs(slope) <= 1e-9) & (rest < 0)).any(axis=1)
    within = sorted(
        (max(0.0, float(one)), min(1.0, float(other)))
        for one, other, away in zip(enters, leaves, outside, strict=True) if not away and one < other
        and other > 0 and one < 1
    )  # fmt: skip
    long = float(np.linalg.norm(run))
    at = 0.0
    for one, other in (*within, (1.0, 1.0)):
        if (one - at) * long > SHORTEST:
            yield _between(begin, end, at), _between(begin, end, one)
        at = max(at, other)


def _thread(begin: Point, end: Point) -> Piece:
    """A thread as a piece so thin that it is seen as a line: what stands before it hides it."""
    run = _long((end[0] - begin[0], end[1] - begin[1], end[2] - begin[2]), 1.0)
    aside = _long(_cross(run, (0.0, 0.0, 1.0) if abs(run[2]) < 0.9 else (1.0, 0.0, 0.0)), THREAD)
    up = _cross(run, aside)
    corners = tuple(
        (x + i * aside[0] + j * up[0], y + i * aside[1] + j * up[1], z + i * aside[2] + j * up[2])
        for x, y, z in (begin, end) for i in (-1, 1) for j in (-1, 1)
    )  # fmt: skip
    return Piece(_THREAD_PART, 0, corners)


def _cross(one: Point, other: Point) -> Point:
    return (
        one[1] * other[2] - one[2] * other[1], one[2] * other[0] - one[0] * other[2],
        one[0] * other[1] - one[1] * other[0],
    )  # fmt: skip


def _long(way: Point, length: float) -> Point:
    share = length / sqrt(way[0] ** 2 + way[1] ** 2 + way[2] ** 2)
    return way[0] * share, way[1] * share, way[2] * share


def _add(point: Point, by: Point) -> Point:
    return point[0] + by[0], point[1] + by[1], point[2] + by[2]


def _mean(points: Sequence[Point]) -> Point:
    x, y, z = (sum(point[axis] for point in points) / len(points) for axis in range(3))
    return x, y, z


def _between(one: Point, other: Point, share: float) -> Point:
    x, y, z = (a + share * (b - a) for a, b in zip(one, other, strict=True))
    return x, y, z
