"""Convex pieces in space, and many of them as rows of numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from math import cos, pi, sin
from typing import Final

import numpy as np
from numpy.typing import NDArray

from webapp.costing.takeoff.model import Box
from webapp.pictures.bench.seams import shown_edges

Point = tuple[float, float, float]
Faces = tuple[tuple[int, ...], ...]
#: A line on a face; and an edge, with the two faces that it is between, twice the same where the other is no face of
#: its piece.
Stroke = tuple[int, Point, Point]
Edge = tuple[int, int, Point, Point]
Numbers = NDArray[np.float64]
Places = NDArray[np.intp]

NM_PER_MM: Final = 1_000_000
#: A box by its corners: x counts slowest. Faces run anticlockwise as seen from outside: left, right, front, back,
#: bottom, top.
BOX_FACES: Final[Faces] = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))


@dataclass(frozen=True, slots=True)
class Piece:
    """One convex piece of a part, mm: its corners, and its faces as rounds of corners, anticlockwise from outside.

    `strokes` are lines drawn on a face: the place of the face, and the stroke's two ends. Those of one number and more
    than one `nth` are one piece: there is no line between them. A piece that one sees through is drawn by its `cells`,
    convex ones that touch; `edges` are those of a cell that are drawn, where they are not all between its faces. Of one
    that is `curved`, no edge is drawn where its faces hardly turn.
    """

    part: str
    number: int
    corners: tuple[Point, ...]
    faces: Faces = BOX_FACES
    strokes: tuple[Stroke, ...] = ()
    nth: int = 0
    edges: tuple[Edge, ...] | None = None
    cells: tuple[Piece, ...] = ()
    curved: bool = False


def moved(piece: Piece, by: Point) -> Piece:
    """The piece elsewhere, with all that is on it."""

    def there(point: Point) -> Point:
        return point[0] + by[0], point[1] + by[1], point[2] + by[2]

    return replace(
        piece, corners=tuple(there(corner) for corner in piece.corners),
        strokes=tuple((face, there(one), there(other)) for face, one, other in piece.strokes),
        edges=piece.edges and tuple((one, other, there(start), there(end)) for one, other, start, end in piece.edges),
        cells=tuple(moved(cell, by) for cell in piece.cells),
    )  # fmt: skip


def piece_of(box: Box, strokes: tuple[tuple[int, Point, Point], ...] = ()) -> Piece:
    """The piece of a placed box, or of what stands aslant in it."""
    if box.corners:
        aslant = tuple((x / NM_PER_MM, y / NM_PER_MM, z / NM_PER_MM) for x, y, z in box.corners)
        return Piece(box.part, box.number, aslant, box.faces, strokes, box.nth)
    low = [end / NM_PER_MM for end in box.corner]
    high = [(end + extent) / NM_PER_MM for end, extent in zip(box.corner, box.extent, strict=True)]
    corners = tuple((x, y, z) for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2]))
    return Piece(box.part, box.number, corners, BOX_FACES, strokes, box.nth)


#: A round bar is drawn with so many sides.
ROUND_SIDES: Final = 16


def round_piece(box: Box, along: int, diameter: int) -> Piece:
    """A round piece of a diameter, nm, in the middle of the square box that stands for it, along an axis."""
    first, second = (along + 1) % 3, (along + 2) % 3
    corners = []
    for end in (0, 1):
        for side in range(ROUND_SIDES):
            turn = 2 * pi * side / ROUND_SIDES
            at = [0.0, 0.0, 0.0]
            at[along] = (box.corner[along] + end * box.extent[along]) / NM_PER_MM
            for axis, way in ((first, cos(turn)), (second, sin(turn))):
                at[axis] = (box.corner[axis] + box.extent[axis] / 2 + way * diameter / 2) / NM_PER_MM
            corners.append((at[0], at[1], at[2]))
    return Piece(box.part, box.number, tuple(corners), _ROUND_FACES, curved=True)


_ROUND_FACES: Final[Faces] = (
    tuple(reversed(range(ROUND_SIDES))), tuple(range(ROUND_SIDES, 2 * ROUND_SIDES)),
    *((one, (one + 1) % ROUND_SIDES, ROUND_SIDES + (one + 1) % ROUND_SIDES, ROUND_SIDES + one)
      for one in range(ROUND_SIDES)),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Shape:
    """What pieces of one build share: each edge once, by its ends and the two faces that meet along it."""

    ends: tuple[tuple[int, int], ...]
    between: tuple[tuple[int, int], ...]


@lru_cache(maxsize=256)
def shape_of(faces: Faces) -> Shape:
    """The edges of pieces with these faces."""
    run_by = {(one, other): place for place, face in enumerate(faces) for one, other in _sides(face)}
    edges = [(one, other) for one, other in run_by if one < other]
    return Shape(tuple(edges), tuple((run_by[edge], run_by[edge[::-1]]) for edge in edges))


def _sides(face: Sequence[int]) -> list[tuple[int, int]]:
    return list(zip(face, (*face[1:], face[0]), strict=True))


@lru_cache(maxsize=1024)
def round_of(faces: Faces, turned: tuple[bool, ...]) -> tuple[int, ...]:
    """The outline of pieces of which these faces are turned to the eye: a round of corners, anticlockwise.

    It runs along the edges between a face that is turned to the eye and one that is not.
    """
    seen = {side for face, is_turned in zip(faces, turned, strict=True) if is_turned for side in _sides(face)}
    onward = {one: other for one, other in seen if (other, one) not in seen}
    if not onward:
        return ()
    found = [next(iter(onward))]
    while (following := onward[found[-1]]) != found[0]:
        found.append(following)
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Group:
    """Pieces of one build: their places among all, and their corners (piece, corner, axis)."""

    faces: Faces
    places: Places
    corners: Numbers


@dataclass(slots=True)
class Heap:
    """All pieces of a drawing as rows. `planes` are (piece, face, normal outwards and how far it lies along that).

    Rows of pieces with fewer faces end with planes that nothing lies beyond. `edge_ends` are (edge, end, axis);
    `edge_faces` the two faces an edge lies on, twice the same for a stroke on a face. A piece that is drawn by its
    `cells` keeps its row, and they have rows of their own after all others.
    """

    pieces: Sequence[Piece]
    groups: list[Group]
    planes: Numbers
    edge_piece: Places
    edge_ends: Numbers
    edge_faces: Places
    is_stroke: NDArray[np.bool_]
    by_part: Mapping[str, list[int]] = field(default_factory=dict)
    cells: Mapping[int, list[int]] = field(default_factory=dict)

    @property
    def is_cell(self) -> NDArray[np.bool_]:
        """Which rows are cells."""
        found = np.zeros(len(self.pieces), dtype=bool)
        found[[row for rows in self.cells.values() for row in rows]] = True
        return found


#: How far a plane lies that nothing reaches.
BEYOND: Final = 1e30


def heap_of(pieces: Sequence[Piece]) -> Heap:
    """Pieces as rows of numbers."""
    by_faces: dict[Faces, list[int]] = {}
    by_part: dict[str, list[int]] = {}
    cells: dict[int, list[int]] = {}
    rows = list(pieces)
    for place, piece in enumerate(pieces):
        by_part.setdefault(piece.part, []).append(place)
        if piece.cells:
            cells[place] = list(range(len(rows), len(rows) + len(piece.cells)))
            rows += piece.cells
    pieces = rows
    for place, piece in enumerate(pieces):
        by_faces.setdefault(piece.faces, []).append(place)
    most = max((len(faces) for faces in by_faces), default=0)
    planes = np.zeros((len(pieces), most, 4))
    planes[:, :, 3] = BEYOND
    groups, edge_piece, edge_ends, edge_faces = [], [], [], []
    for faces, listed in by_faces.items():
        places = np.array(listed)
        corners = np.array([pieces[place].corners for place in listed])
        groups.append(Group(faces, places, corners))
        planes[places, : len(faces)] = _planes(corners, faces)
        shape = shape_of(faces)
        own = np.array([pieces[place].edges is None for place in listed])
        edge_piece.append(np.repeat(places[own], len(shape.ends)))
        edge_ends.append(corners[own][:, np.array(shape.ends)].reshape(-1, 2, 3))
        edge_faces.append(np.tile(np.array(shape.between), (int(own.sum()), 1)))
    said = [(place, *edge) for place, piece in enumerate(pieces) for edge in piece.edges or ()]
    if said:
        edge_piece.append(np.array([place for place, *_ in said]))
        edge_ends.append(np.array([(start, end) for *_, start, end in said]))
        edge_faces.append(np.array([(one, other) for _, one, other, _, _ in said]))
    _leave_out_seams(pieces, planes, edge_piece, edge_ends, edge_faces)
    strokes = [(place, *stroke) for place, piece in enumerate(pieces) for stroke in piece.strokes]
    if strokes:
        edge_piece.append(np.array([place for place, _, _, _ in strokes]))
        edge_ends.append(np.array([(start, end) for _, _, start, end in strokes]))
        edge_faces.append(np.array([(face, face) for _, face, _, _ in strokes]))
    ends = np.concatenate(edge_ends) if edge_ends else np.zeros((0, 2, 3))
    is_stroke = np.zeros(len(ends), dtype=bool)
    is_stroke[len(ends) - len(strokes) :] = bool(strokes)
    return Heap(
        pieces,
        groups,
        planes,
        np.concatenate(edge_piece) if edge_piece else np.zeros(0, dtype=np.intp),
        ends,
        np.concatenate(edge_faces) if edge_faces else np.zeros((0, 2), dtype=np.intp),
        is_stroke,
        by_part,
        cells,
    )


def _leave_out_seams(
    pieces: Sequence[Piece], planes: Numbers, edge_piece: list[Places], edge_ends: list[Numbers],
    edge_faces: list[Places],
) -> None:  # fmt: skip
    """Put in place of the edges of what is several convex pieces those stretches of them that show."""
    together: dict[tuple[str, int], list[int]] = {}
    for place, piece in enumerate(pieces):
        if piece.edges is None and not piece.cells:
            together.setdefault((piece.part, piece.number), []).append(place)
    several = [places for places in together.values() if any(pieces[place].nth for place in places)]
    if not several:
        return
    owner, ends, faces = np.concatenate(edge_piece), np.concatenate(edge_ends), np.concatenate(edge_faces)
    kept = ~np.isin(owner, [place for places in several for place in places])
    found = [(owner[kept], ends[kept], faces[kept])]
    for places in several:
        rows = np.flatnonzero(np.isin(owner, places))
        own = [places.index(place) for place in owner[rows].tolist()]
        sides = [planes[place, : len(pieces[place].faces)] for place in places]
        for row, stretches in zip(rows.tolist(), shown_edges(ends[rows], own, sides), strict=True):
            begin, run = ends[row, 0], ends[row, 1] - ends[row, 0]
            for low, high in stretches:
                stretch = np.array([[begin + low * run, begin + high * run]])
                found.append((owner[row : row + 1], stretch, faces[row : row + 1]))
    edge_piece[:], edge_ends[:], edge_faces[:] = (list(each) for each in zip(*found, strict=True))


def _planes(corners: Numbers, faces: Faces) -> Numbers:
    """The plane of each face: its normal outwards, of length one, and how far along it the face lies."""
    first, second, third = (corners[:, [face[place] for face in faces]] for place in range(3))
    normals = np.cross(second - first, third - second)
    normals /= np.linalg.norm(normals, axis=2, keepdims=True)
    return np.concatenate([normals, np.einsum("pfa,pfa->pf", normals, first)[:, :, None]], axis=2)
