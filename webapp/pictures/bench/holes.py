"""Holes as marks on the faces of a placed part: their circles are drawn and clipped as grain is, nothing is cut."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, pi, sin
from typing import Final

from webapp.costing.takeoff.features import FastenedRow, Hole, Pocket
from webapp.costing.takeoff.model import Box
from webapp.pictures.bench.pieces import NM_PER_MM, Point

#: A circle is drawn with so many sides.
SIDES: Final = 12
Stroke = tuple[int, Point, Point]


def hole_strokes(
    box: Box, length_axis: str, width_axis: str, made: Sequence[Hole | Pocket | FastenedRow]
) -> tuple[Stroke, ...]:
    """The rims of holes and pockets in the broad faces of a part that lies along these axes.

    Its face is the one further along the third axis; `along` and `up` are measured from the lower ends of the others.
    """
    axes = ("xyz".index(length_axis), "xyz".index(width_axis))
    found: list[Stroke] = []
    for one in made:
        if isinstance(one, FastenedRow) or one.side not in ("face", "back"):
            continue
        ends = (0, 1) if not one.depth else (1,) if one.side == "face" else (0,)
        for ring in _rings(one):
            for end in ends:
                found += _on_face(box, axes, end, ring)
    return tuple(found)


def _rings(one: Hole | Pocket) -> Iterator[list[tuple[float, float]]]:
    """The rims in the face, mm."""
    if isinstance(one, Pocket):
        low, up = one.along / NM_PER_MM, one.up / NM_PER_MM
        far, high = low + one.length / NM_PER_MM, up + one.width / NM_PER_MM
        yield [(low, up), (far, up), (far, high), (low, high)]
        return
    radius = one.diameter / NM_PER_MM / 2
    turn = [(radius * cos(2 * pi * side / SIDES), radius * sin(2 * pi * side / SIDES)) for side in range(SIDES)]
    for column in range(one.columns):
        for row in range(one.rows):
            along = (one.along + column * one.column_step) / NM_PER_MM
            up = (one.up + row * one.row_step) / NM_PER_MM
            yield [(along + x, up + y) for x, y in turn]


def _on_face(box: Box, axes: tuple[int, int], end: int, ring: Sequence[tuple[float, float]]) -> Iterator[Stroke]:
    """A rim as strokes on one of the broad faces."""
    thin = 3 - sum(axes)
    low = [one / NM_PER_MM for one in box.corner]
    placed = []
    for along, up in ring:
        point = list(low)
        point[axes[0]] += along
        point[axes[1]] += up
        point[thin] += end * box.extent[thin] / NM_PER_MM
        placed.append((point[0], point[1], point[2]))
    for begin, close in zip(placed, (*placed[1:], placed[0]), strict=True):
        yield 2 * thin + end, begin, close
