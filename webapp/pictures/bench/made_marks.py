"""Holes, pockets and openings as marks on the faces of pieces: strokes that are hidden by what stands before them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import cos, pi, sin
from typing import Final

from webapp.costing.space.stretches import Flat, Stretch, inside
from webapp.costing.takeoff.features import Marked
from webapp.costing.takeoff.model import Box
from webapp.pictures.bench.pieces import NM_PER_MM, Point

Stroke = tuple[int, Point, Point]

#: A circle has so many sides, and of more marks than these only every so manieth is drawn.
SIDES: Final = 12
MOST_MARKS: Final = 700
_ROUND: Final = [(cos(2 * pi * one / SIDES), sin(2 * pi * one / SIDES)) for one in range(SIDES)]


def strokes_by_piece(marked: Sequence[Marked]) -> Mapping[tuple[str, int], list[Marked]]:
    """The marks of each piece, as many as a drawing bears: those left out are spread evenly among all."""
    every = -(-len(marked) // MOST_MARKS) or 1
    found: dict[tuple[str, int], list[Marked]] = {}
    for mark in marked[::every]:
        found.setdefault((mark.part, mark.number), []).append(mark)
    return found


def strokes_of(box: Box, marks: Sequence[Marked]) -> tuple[Stroke, ...]:
    """The marks on a piece as strokes on its faces."""
    strokes: list[Stroke] = []
    for mark in (one for one in marks if not one.corners):
        plane = [axis for axis in range(3) if axis != mark.axis]
        level = (box.corner[mark.axis] + mark.end * box.extent[mark.axis]) / NM_PER_MM
        face = 2 * mark.axis + mark.end
        if mark.ring:
            sides = _sides(mark, (_flat(box.corner, plane), _flat(_far_corner(box), plane)))
            strokes += [(face, _point(level, plane, one), _point(level, plane, other)) for one, other in sides]
        else:
            # Most marks are holes, of which there may be hundreds: each corner is placed once.
            corners = [_point(level, plane, each) for each in _ring(mark)]
            strokes += [(face, one, other) for one, other in zip(corners, [*corners[1:], corners[0]], strict=True)]
    return tuple(strokes)


def strokes_on_leg(box: Box, marks: Sequence[Marked]) -> tuple[Stroke, ...]:
    """The marks on a piece of a folded part, by their corners in space: a circle goes within these."""
    strokes: list[Stroke] = []
    for mark in marks:
        if mark.nth != box.nth or not mark.corners:
            continue
        first, second, _, fourth = ([part / NM_PER_MM for part in corner] for corner in mark.corners)
        ring: list[Point] = [_place(first, second, fourth, *at) for at in ((0, 0), (1, 0), (1, 1), (0, 1))]
        if mark.is_round:
            ring = [_place(first, second, fourth, (1 + x) / 2, (1 + y) / 2) for x, y in _ROUND]
        strokes += [(mark.end, one, other) for one, other in zip(ring, [*ring[1:], ring[0]], strict=True)]
    return tuple(strokes)


def _place(corner: Sequence[float], along: Sequence[float], up: Sequence[float], far: float, high: float) -> Point:
    x, y, z = (
        begin + far * (one - begin) + high * (other - begin)
        for begin, one, other in zip(corner, along, up, strict=True)
    )
    return x, y, z


def _sides(mark: Marked, face: tuple[Flat, Flat]) -> Iterator[tuple[Flat, Flat]]:
    """What of each side of an outline lies on the face of its piece, nm."""
    for one, other in zip(mark.ring, [*mark.ring[1:], mark.ring[0]], strict=True):
        side = Stretch(one, other)
        for begin, end in inside(side, face):
            yield side.at(begin) if begin else one, side.at(end) if end < 1 else other


def _ring(mark: Marked) -> list[Flat]:
    (left, low), (right, high) = mark.low, mark.high
    if not mark.is_round:
        return [(left, low), (right, low), (right, high), (left, high)]
    radius = ((right - left) / 2, (high - low) / 2)
    return [(left + radius[0] * (1 + x), low + radius[1] * (1 + y)) for x, y in _ROUND]


def _flat(corner: Sequence[int], plane: Sequence[int]) -> Flat:
    return corner[plane[0]], corner[plane[1]]


def _far_corner(box: Box) -> list[int]:
    return [low + extent for low, extent in zip(box.corner, box.extent, strict=True)]


def _point(level: float, plane: Sequence[int], at: tuple[float, float]) -> Point:
    point = [level, level, level]
    point[plane[0]], point[plane[1]] = at[0] / NM_PER_MM, at[1] / NM_PER_MM
    return point[0], point[1], point[2]
