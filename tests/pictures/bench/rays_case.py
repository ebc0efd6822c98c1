"""Convex solids by their planes, and rays through them: what drawn scenes are held against."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from typing import Final

import numpy as np
from numpy.typing import NDArray

from webapp.pictures.bench.lines import Lines
from webapp.pictures.bench.looking import ABOVE, FRONT, ISOMETRIC, RIGHT_END, Look, Seen
from webapp.pictures.bench.painting import Ring
from webapp.pictures.bench.pieces import BOX_FACES, Faces, Piece

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


def solid_of(middle: Sequence[float], half: Sequence[float], turn: Numbers, wedge: bool = False) -> Solid:
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


def level_box(low: Sequence[float], high: Sequence[float]) -> Solid:
    middle = [(one + other) / 2 for one, other in zip(low, high, strict=True)]
    half = [(other - one) / 2 for one, other in zip(low, high, strict=True)]
    return solid_of(middle, half, np.eye(3))


def stretches(
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


def nearest(solids: Sequence[Solid], look: Look, spots: Numbers) -> NDArray[np.int64]:
    """The solid that is seen at each spot of the picture, -1 for none."""
    towards = np.array(look.towards)
    entering, leaving = stretches(solids, spots @ np.array([look.across, look.up]), towards)
    leaving[leaving <= entering] = -np.inf
    found = leaving.argmax(axis=0)
    return np.where(np.isneginf(leaving.max(axis=0)), -1, found)


def lies_in(ring: Ring, spots: Numbers) -> NDArray[np.bool_]:
    inside = np.ones(len(spots), dtype=bool)
    for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True):
        inside &= (x2 - x1) * (spots[:, 1] - y1) - (y2 - y1) * (spots[:, 0] - x1) >= -1e-9
    return inside


def spots_over(seen: Seen, chance: Random, count: int) -> Numbers:
    low, high = seen.rounds.min(axis=(0, 1)), seen.rounds.max(axis=(0, 1))
    return np.array([[chance.uniform(low[axis], high[axis]) for axis in (0, 1)] for _ in range(count)])


def length_of(lines: Lines) -> float:
    return float(np.linalg.norm(lines.ends[:, 1] - lines.ends[:, 0], axis=1).sum())
