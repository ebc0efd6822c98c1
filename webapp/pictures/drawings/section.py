"""A cut through a bench where parts are hidden: what is cut is hatched, what lies behind the cut is drawn.

The plane lies square to x, y or z through the middle of a hidden part, where most kinds show that no view shows.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import cos, radians, sin
from typing import Final

import numpy as np

from webapp.pictures.bench.lines import Lines
from webapp.pictures.bench.looking import ABOVE, FRONT, RIGHT_END, Look
from webapp.pictures.bench.page import Frame, drawn_lines
from webapp.pictures.bench.painting import Flat, Ring
from webapp.pictures.bench.panels import bounding_stretches, tidy_ring
from webapp.pictures.bench.pieces import Edge, Heap, Piece, Point, heap_of
from webapp.pictures.bench.thing import Thing
from webapp.pictures.drawings.numbering import View, view_of

#: A plane nearer to a face than this does not cut the piece, mm.
NEAR: Final = 0.01
#: From which way each cut is looked at, by its axis.
LOOKS: Final[tuple[Look, Look, Look]] = (RIGHT_END, FRONT, ABOVE)
#: Of each axis so many planes are tried, those that cut most kinds.
MOST_TRIED: Final = 2
#: From stroke to stroke of the hatch on the page, and closer on what is thin.
GAP: Final = 5.0
CLOSE: Final = 3.2
THIN: Final = 9.0
CUT_WIDTH: Final = 2.1
HATCH_WIDTH: Final = 0.5
_ON: Final = 1e-6


@dataclass(slots=True)
class Section:
    """A cut: square to which axis, how far along it, mm; its view, and the cut faces by kind of part, convex rings; the
    `rims` are the lines about these, without those between two of one piece."""

    axis: int
    at: float
    view: View
    faces: tuple[tuple[str, Ring], ...]
    rims: tuple[tuple[Flat, Flat], ...] = ()


def best_section(thing: Thing, heap: Heap, hidden: Sequence[str], scale: float) -> Section | None:
    """The cut that shows most of the kinds of part that are hidden; None where none shows any."""
    best: Section | None = None
    most = (0, 0)
    for axis in range(3):
        for at in _planes(heap, hidden, axis):
            one = cut_at(thing, axis, at, scale)
            if one is None:
                continue
            shown = sum(one.view.shows(kind) for kind in hidden)
            cut = len({kind for kind, _ in one.faces if kind in hidden})
            if (shown, cut) > most:
                best, most = one, (shown, cut)
    return best


def _planes(heap: Heap, hidden: Sequence[str], axis: int) -> list[float]:
    """Planes through the middle of hidden pieces, those first that cut most kinds of hidden part."""
    reach = {
        kind: [_reach(heap.pieces[piece], axis) for piece in heap.by_part.get(kind, ())] for kind in hidden
    }  # fmt: skip
    tried = {round((low + high) / 2, 3) for ends in reach.values() for low, high in ends}

    def kinds_cut(at: float) -> int:
        return sum(any(low + NEAR < at < high - NEAR for low, high in ends) for ends in reach.values())

    middle = sum(tried) / max(len(tried), 1)
    return sorted(tried, key=lambda at: (-kinds_cut(at), abs(at - middle), at))[:MOST_TRIED]


def _reach(piece: Piece, axis: int) -> tuple[float, float]:
    ends = [corner[axis] for corner in piece.corners]
    return min(ends), max(ends)


def cut_at(thing: Thing, axis: int, at: float, scale: float) -> Section | None:
    """The cut square to an axis so far along it; None where nothing is left behind it."""
    look = LOOKS[axis]
    pieces = []
    cut: dict[tuple[str, int], list[Ring]] = {}
    for piece in thing.pieces:
        kept, faces = _cut_cells(piece, axis, at, keep_above=look.towards[axis] < 0)
        if kept is not None:
            # Grain and rims of holes behind a cut would be taken for hatch.
            pieces.append(replace(kept, strokes=(), cells=tuple(replace(cell, strokes=()) for cell in kept.cells)))
        rings = (tidy_ring([_flat(look, point) for point in face]) for face in faces)
        cut.setdefault((piece.part, piece.number), []).extend(ring for ring in rings if ring)
    if not pieces:
        return None
    return Section(
        axis, at, view_of(heap_of(pieces), look, scale),
        tuple((part, ring) for (part, _), rings in cut.items() for ring in rings),
        tuple((one, other) for rings in cut.values() if rings for _, _, one, other in bounding_stretches(rings)),
    )  # fmt: skip


def _cut_cells(
    piece: Piece, axis: int, at: float, *, keep_above: bool
) -> tuple[Piece | None, list[tuple[Point, ...]]]:
    """A piece cut as it is drawn: cell by cell, where one sees through it."""
    kept, face = cut_piece(piece, axis, at, keep_above=keep_above)
    if not face or not piece.cells:
        return kept, [face] if face else []
    cut = [cut_piece(cell, axis, at, keep_above=keep_above) for cell in piece.cells]
    cells = tuple(cell for cell, _ in cut if cell is not None)
    return None if kept is None or not cells else replace(kept, cells=cells), [each for _, each in cut if each]


def _flat(look: Look, point: Sequence[float]) -> Flat:
    return (
        sum(one * way for one, way in zip(point, look.across, strict=True)),
        sum(one * way for one, way in zip(point, look.up, strict=True)),
    )


def cut_piece(piece: Piece, axis: int, at: float, *, keep_above: bool) -> tuple[Piece | None, tuple[Point, ...]]:
    """What is left of a convex piece on one side of a plane square to an axis, and the face that was cut.

    None where nothing is left; no face where the plane misses the piece.
    """
    low, high = _reach(piece, axis)
    if (low if keep_above else -high) >= (at if keep_above else -at) - NEAR:
        return piece, ()
    if (high if keep_above else -low) <= (at if keep_above else -at) + NEAR:
        return None, ()
    sign = -1.0 if keep_above else 1.0
    # A corner on the plane is taken as just beyond it, so that every edge is cut or is not.
    beyond = [way if abs(way := sign * (corner[axis] - at)) > _ON else _ON for corner in piece.corners]
    corners: list[Point] = []
    found: dict[tuple[int, int], int] = {}

    def corner(one: int, other: int) -> int:
        """The new place of a corner, or of where an edge crosses the plane."""
        key = (min(one, other), max(one, other))
        if key not in found:
            found[key] = len(corners)
            share = 0.0 if one == other else beyond[key[0]] / (beyond[key[0]] - beyond[key[1]])
            (a, b, c), (d, e, f) = piece.corners[key[0]], piece.corners[key[1]]
            corners.append((a + share * (d - a), b + share * (e - b), c + share * (f - c)))
        return found[key]

    faces, onward, places = list[tuple[int, ...]](), {}, dict[int, int]()
    for place, face in enumerate(piece.faces):
        kept: list[int] = []
        leaves = enters = -1
        for one, other in zip(face, (*face[1:], face[0]), strict=True):
            if beyond[one] < 0:
                kept.append(corner(one, one))
            if (beyond[one] < 0) != (beyond[other] < 0):
                crossing = corner(one, other)
                kept.append(crossing)
                leaves, enters = (crossing, enters) if beyond[one] < 0 else (leaves, crossing)
        if len(kept) > 2:
            places[place] = len(faces)
            faces.append(tuple(kept))
            if leaves >= 0:
                # The cut face runs along the same edge the other way.
                onward[enters] = leaves
    ring = [next(iter(onward))]
    while (following := onward[ring[-1]]) != ring[0]:
        ring.append(following)
    faces.append(tuple(ring))
    kept_piece = Piece(piece.part, piece.number, tuple(corners), tuple(faces), nth=piece.nth, curved=piece.curved)
    if piece.edges is not None:
        edges = _cut_edges(piece.edges, places, lambda point: sign * (point[axis] - at))
        kept_piece = replace(kept_piece, faces=tuple(_sharpest_first(face, corners) for face in faces),
                             edges=tuple(edges))  # fmt: skip
    return kept_piece, tuple(corners[place] for place in ring)


def _cut_edges(
    edges: Sequence[Edge], places: Mapping[int, int], beyond: Callable[[Point], float]
) -> Iterator[Edge]:
    """What is left of edges that a piece says itself, between its faces as they are numbered by now."""
    for one, other, start, end in edges:
        between = [places[face] for face in (one, other) if face in places]
        ends = [start, end]
        far = [beyond(point) for point in ends]
        if not between or min(far) >= 0:
            continue
        for place in (0, 1):
            if far[place] > 0:
                share = far[place] / (far[place] - far[1 - place])
                a, b, c = (near + share * (out - near) for near, out in zip(ends[place], ends[1 - place], strict=True))
                ends[place] = (a, b, c)
        yield between[0], between[-1], ends[0], ends[1]


def _sharpest_first(face: Sequence[int], corners: Sequence[Point]) -> tuple[int, ...]:
    """A face with its sharpest corner second, so that the first three tell its plane."""

    def spread(at: int) -> float:
        before, here, after = (np.array(corners[face[place % len(face)]]) for place in (at - 1, at, at + 1))
        return float(np.linalg.norm(np.cross(here - before, after - here)))

    first = max(range(len(face)), key=spread) - 1
    return (*face[first:], *face[:first]) if first >= 0 else (face[-1], *face[:-1])


def drawn_cut(section: Section, frame: Frame, thing: Thing) -> str:
    """The hatch of what is cut, its direction by kind of part, and the outlines of the cut faces, drawn heavier."""
    hatch = [stroke for kind, ring in section.faces for stroke in _hatch(ring, thing.numbers.get(kind, 0), frame.scale)]
    return drawn_lines(_lines(hatch), frame, HATCH_WIDTH, name="drawn-hatch", near=0.0) + drawn_lines(
        _lines(section.rims), frame, CUT_WIDTH
    )


def _lines(ends: Sequence[tuple[Flat, Flat]]) -> Lines:
    return Lines(np.array(ends, dtype=np.float64).reshape(-1, 2, 2), np.zeros(len(ends), dtype=np.intp))


def _hatch(ring: Ring, number: int, scale: float) -> list[tuple[Flat, Flat]]:
    """Strokes across a convex ring at 45 degrees, one way or the other by the part's number."""
    turn = radians(45 if number % 2 else 135)
    along, normal = (cos(turn), sin(turn)), (-sin(turn), cos(turn))
    wide = min(max(one[axis] for one in ring) - min(one[axis] for one in ring) for axis in (0, 1)) * scale
    gap = (CLOSE if wide < THIN else GAP) / scale
    distances = [x * normal[0] + y * normal[1] for x, y in ring]
    strokes = []
    at = (min(distances) // gap + 0.5) * gap
    while at < max(distances):
        crossings = []
        for (one, far), (other, further) in zip(
            zip(ring, distances, strict=True), zip((*ring[1:], ring[0]), (*distances[1:], distances[0]), strict=True),
            strict=True,
        ):  # fmt: skip
            if (far < at) != (further < at):
                share = (at - far) / (further - far)
                crossings.append((one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1])))
        if len(crossings) == 2:
            crossings.sort(key=lambda point: point[0] * along[0] + point[1] * along[1])
            strokes.append((crossings[0], crossings[1]))
        at += gap
    return strokes
