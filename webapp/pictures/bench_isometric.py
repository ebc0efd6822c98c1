"""A bench as one sees it standing before it: an isometric picture of its placed parts, from the front right above."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from math import cos, radians
from typing import Final

from webapp.costing.takeoff.model import Box
from webapp.pictures.marks import number

COSINE: Final = cos(radians(30))
DRAWN_WIDE: Final = 370.0
DRAWN_TALL: Final = 330.0
ROOM: Final = 4.0
#: Above this many pieces they are ordered by how far their middles are away, which is quick and seldom wrong.
MOST_COMPARED: Final = 400

Point = tuple[float, float, float]


def bench_picture(boxes: Sequence[Box], words: str, wide: float = DRAWN_WIDE, tall: float = DRAWN_TALL) -> str:
    """The picture as SVG within `wide` by `tall`, empty where nothing is placed. `words` say what is seen."""
    if not boxes:
        return ""
    corners = [_flat(corner) for box in boxes for corner in _corners(box)]
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    top, bottom = min(y for _, y in corners), max(y for _, y in corners)
    scale = min(wide / (right - left), tall / (bottom - top))

    def path(points: Sequence[Point]) -> str:
        placed = ((x - left, y - top) for x, y in map(_flat, points))
        return "M" + "L".join(f"{number(x * scale)} {number(y * scale)}" for x, y in placed) + "Z"

    body = []
    for box in _from_the_back(boxes):
        faces = "".join(path(face) for face in _faces(box))
        body.append(
            f'<path class="drawn-line drawn-ground" d="{faces}" fill="#FFFFFF" stroke="#2B2D30" stroke-width="0.9"'
            ' stroke-linejoin="round"/>'
        )
    across, down = (right - left) * scale + 2 * ROOM, (bottom - top) * scale + 2 * ROOM
    said = escape(words)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="bench-picture" viewBox="{number(-ROOM)} {number(-ROOM)}'
        f' {number(across)} {number(down)}" width="{number(across)}" height="{number(down)}" role="img"'
        f' aria-label="{said}"><title>{said}</title>{"".join(body)}</svg>'
    )


def _flat(point: Point) -> tuple[float, float]:
    """Where a point in space stands on the paper, down the paper counting up."""
    x, y, z = point
    return (x + y) * COSINE, (x - y) / 2 - z


def _corners(box: Box) -> list[Point]:
    (x, y, z), (wide, deep, tall) = box.corner, box.extent
    return [(x + i * wide, y + j * deep, z + k * tall) for i in (0, 1) for j in (0, 1) for k in (0, 1)]


def _faces(box: Box) -> tuple[tuple[Point, ...], ...]:
    """The three faces that are turned to whoever looks: front, right end, top."""
    x, y, z = box.corner
    far_x, far_y, far_z = x + box.extent[0], y + box.extent[1], z + box.extent[2]
    return (
        ((x, y, z), (far_x, y, z), (far_x, y, far_z), (x, y, far_z)),
        ((far_x, y, z), (far_x, far_y, z), (far_x, far_y, far_z), (far_x, y, far_z)),
        ((x, y, far_z), (far_x, y, far_z), (far_x, far_y, far_z), (x, far_y, far_z)),
    )


def _from_the_back(boxes: Sequence[Box]) -> list[Box]:
    """The pieces so that each comes after all that it covers; where they go round in a circle, the furthest first."""
    ordered = sorted(boxes, key=_nearness)
    if len(ordered) > MOST_COMPARED:
        return ordered
    behind = {
        place: {other for other, far in enumerate(ordered) if other != place and _covers(near, far)}
        for place, near in enumerate(ordered)
    }
    drawn: list[int] = []
    waiting = list(range(len(ordered)))
    done: set[int] = set()
    while waiting:
        following = next((place for place in waiting if behind[place] <= done), waiting[0])
        waiting.remove(following)
        done.add(following)
        drawn.append(following)
    return [ordered[place] for place in drawn]


def _nearness(box: Box) -> float:
    x, y, z = (corner + extent / 2 for corner, extent in zip(box.corner, box.extent, strict=True))
    return x - y + z


def _covers(near: Box, far: Box) -> bool:
    """Whether one piece may cover another: it lies wholly on the near side of it on an axis, and on none beyond it."""
    return _before(near, far) and not _before(far, near)


def _before(one: Box, other: Box) -> bool:
    return (
        one.corner[0] >= other.corner[0] + other.extent[0]
        or one.corner[1] + one.extent[1] <= other.corner[1]
        or one.corner[2] >= other.corner[2] + other.extent[2]
    )
