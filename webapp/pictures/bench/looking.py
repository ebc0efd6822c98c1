"""Pieces as they are seen from one side: turned to the eye, with their outlines in the picture."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from webapp.pictures.bench.pieces import BEYOND, Faces, Group, Heap, Numbers, Places, Point, round_of

Corner = Literal["front right", "front left", "back left", "back right"]

#: Faces that lie along the line of sight to within this are neither turned to the eye nor away from it.
EDGE_ON: Final = 1e-9
#: What hides is shrunk by so much, mm: a face that lies on another is not lost to noise.
SHRUNK: Final = 0.005
#: By how much the cells of one panel reach into each other in what they hide, mm.
JOINED: Final = 0.001


@dataclass(frozen=True, slots=True)
class Look:
    """One way of looking: the directions across and up the picture and towards the eye, each square to the others."""

    name: str
    across: Point
    up: Point
    towards: Point


FRONT: Final = Look("From the front", (1, 0, 0), (0, 0, 1), (0, -1, 0))
RIGHT_END: Final = Look("From the right end", (0, 1, 0), (0, 0, 1), (1, 0, 0))
ABOVE: Final = Look("From above", (1, 0, 0), (0, 1, 0), (0, 0, 1))


def _isometric(corner: Corner, x: int, y: int) -> Look:
    """The isometric from the corner of the bench that stands at (x, y), each 1 or -1, and from above."""
    root2, root3, root6 = sqrt(2), sqrt(3), sqrt(6)
    return Look(
        f"From the {corner}",
        (-y / root2, x / root2, 0),
        (-x / root6, -y / root6, 2 / root6),
        (x / root3, y / root3, 1 / root3),
    )


ISOMETRIC: Final[dict[Corner, Look]] = {
    "front right": _isometric("front right", 1, -1),
    "front left": _isometric("front left", -1, -1),
    "back left": _isometric("back left", -1, 1),
    "back right": _isometric("back right", 1, 1),
}


@dataclass(slots=True)
class Seen:
    """A heap of pieces as one look shows it: u across the picture, v up it, w towards the eye, mm.

    `planes` are those of the heap, turned; `turned` says which faces look at the eye. Each outline is an anticlockwise
    round of corners in `rounds` (piece, corner, u v), the last repeated where others have more; `sides` are what bounds
    it (piece, side, a b c): inside, a u + b v <= c. `shadows` bound what a piece hides (piece, bound, a b c d).
    """

    heap: Heap
    look: Look
    planes: Numbers
    turned: NDArray[np.bool_]
    corners: list[Numbers]
    rounds: Numbers
    sides: Numbers
    shadows: Numbers


def look_at(heap: Heap, look: Look) -> Seen:
    """The heap as seen that way."""
    turn = np.array([look.across, look.up, look.towards])
    planes = np.concatenate([heap.planes[:, :, :3] @ turn.T, heap.planes[:, :, 3:]], axis=2)
    turned = planes[:, :, 2] > EDGE_ON
    corners = [group.corners @ turn.T for group in heap.groups]
    rounds = _rounds(heap, turned, corners)
    sides = _sides(rounds)
    return Seen(heap, look, planes, turned, corners, rounds, sides, _shadows(planes, turned, sides, heap.is_cell))


def _rounds(heap: Heap, turned: NDArray[np.bool_], corners: list[Numbers]) -> Numbers:
    found: list[tuple[Places, Numbers]] = []
    for group, flat in zip(heap.groups, corners, strict=True):
        for mask, chosen in _alike(group, turned):
            order = np.array(round_of(group.faces, mask), dtype=np.intp)
            found.append((group.places[chosen], flat[chosen][:, order, :2]))
    most = max((outline.shape[1] for _, outline in found), default=0)
    rounds = np.zeros((len(heap.pieces), most, 2))
    for places, outline in found:
        rounds[places, : outline.shape[1]] = outline
        rounds[places, outline.shape[1] :] = outline[:, -1:]
    return rounds


def _alike(group: Group, turned: NDArray[np.bool_]) -> list[tuple[tuple[bool, ...], Places]]:
    """The pieces of a group by which of their faces are turned to the eye."""
    masks = turned[group.places, : len(group.faces)]
    if len(masks) and (masks == masks[0]).all():
        return [(tuple(masks[0].tolist()), np.arange(len(masks)))]
    kinds, which = np.unique(masks, axis=0, return_inverse=True)
    return [(tuple(kind.tolist()), np.flatnonzero(which.ravel() == place)) for place, kind in enumerate(kinds)]


def faces_of(faces: Faces, mask: NDArray[np.bool_]) -> list[int]:
    """The places of the faces that are turned to the eye."""
    return [place for place in range(len(faces)) if mask[place]]


def _sides(rounds: Numbers) -> Numbers:
    """What bounds each outline: the normal outwards of each side, of length one, and how far along it the side lies."""
    along = np.roll(rounds, -1, axis=1) - rounds
    length = np.hypot(along[:, :, 0], along[:, :, 1])
    none = length < 1e-12
    length[none] = 1.0
    normals = np.stack([along[:, :, 1], -along[:, :, 0]], axis=2) / length[:, :, None]
    reach = (normals * rounds).sum(axis=2)
    # A corner that is repeated makes no side: nothing lies beyond it.
    normals[none], reach[none] = 0.0, BEYOND
    return np.concatenate([normals, reach[:, :, None]], axis=2)


def _shadows(
    planes: Numbers, turned: NDArray[np.bool_], sides: Numbers, is_cell: NDArray[np.bool_]
) -> Numbers:  # fmt: skip
    """What bounds the space that each piece hides: its outline, and behind the faces that it turns to the eye."""
    most = int(turned.sum(axis=1).max()) if turned.size else 0
    first = np.argsort(~turned, axis=1, kind="stable")[:, :most]
    fronts = np.take_along_axis(planes, first[:, :, None], axis=1).copy()
    fronts[~np.take_along_axis(turned, first, axis=1)] = (0.0, 0.0, 0.0, BEYOND)
    around = np.zeros((len(sides), sides.shape[1], 4))
    around[:, :, :2], around[:, :, 3] = sides[:, :, :2], sides[:, :, 2]
    shadows = np.concatenate([around, fronts], axis=1)
    shadows[:, :, 3] -= SHRUNK
    # Cells of one panel hide together: what runs behind their joint is not seen through it.
    shadows[is_cell, : sides.shape[1], 3] += SHRUNK + JOINED
    return shadows
