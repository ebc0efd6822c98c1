"""What is seen of a piece once all that hides it is cut out, and where in that a number has room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from webapp.pictures.bench.hiding import Hiding
from webapp.pictures.bench.looking import Seen
from webapp.pictures.bench.painting import Flat, Ring, area, cut_out
from webapp.pictures.bench.pieces import Numbers

#: A spot is looked for on so many lines each way over each of so many rings.
_LINES: Final = 9
_MOST_RINGS: Final = 4


@dataclass(frozen=True, slots=True)
class Spot:
    """A point in the picture, mm, and how far what shall stand there is from all that bounds it: below 0, no room."""

    at: Flat
    room: float


class Sight:
    """What one look shows of each piece."""

    def __init__(self, seen: Seen, hiding: Hiding) -> None:
        self._seen = seen
        self._hidden_by: dict[int, list[int]] = {}
        for near, far in zip(hiding.near.tolist(), hiding.far.tolist(), strict=True):
            self._hidden_by.setdefault(far, []).append(near)
        self._gone = hiding.gone
        self._cells = seen.heap.cells
        self._rings: dict[int, list[Ring]] = {}
        self._whole = [_tidy(outline) for outline in seen.rounds.tolist()]
        self._areas = [area(outline) for outline in self._whole]

    def rings(self, piece: int) -> list[Ring]:
        """What is seen of a piece, as convex rings."""
        if piece in self._cells:
            return [ring for cell in self._cells[piece] for ring in self.rings(cell)]
        if self._gone[piece]:
            return []
        if piece not in self._rings:
            # What hides most comes first: the sooner nothing is left.
            hiding = sorted(self._hidden_by.get(piece, ()), key=lambda near: -self._areas[near])
            self._rings[piece] = cut_out([self._whole[piece]], [self._whole[near] for near in hiding])
        return self._rings[piece]

    def area(self, piece: int) -> float:
        """How much of a piece is seen, mm2."""
        return sum(map(area, self.rings(piece)))

    def whole(self, piece: int) -> float:
        """How much would be seen if nothing hid it, mm2."""
        return self._areas[piece]

    def outline(self, piece: int) -> Ring:
        """The outline of a piece, hidden or not."""
        return self._whole[piece]

    def spot(self, piece: int, wide: float = 0.0, tall: float = 0.0) -> Spot:
        """Where in what is seen of a piece something `wide` by `tall` has the most room."""
        if piece in self._cells:
            # A cell alone: what goes over a joint is not looked for.
            return max((self.spot(cell, wide, tall) for cell in self._cells[piece] if self.rings(cell)),
                       key=lambda spot: spot.room, default=self.spot(self._cells[piece][0], wide, tall))  # fmt: skip
        rings = sorted(self.rings(piece), key=area, reverse=True)[:_MOST_RINGS] or [self._whole[piece]]
        points = np.array([point for ring in rings for point in _points(ring)])
        half = np.array([wide / 2, tall / 2])
        sides = self._seen.sides[piece]
        room = (sides[:, 2] - points @ sides[:, :2].T - np.abs(sides[:, :2]) @ half).min(axis=1)
        nears = self._hidden_by.get(piece, [])
        if nears and self.rings(piece):
            room = np.minimum(room, self._clear_of(nears, points, half))
        best = int(np.argmax(np.round(room, 6)))
        return Spot((float(points[best, 0]), float(points[best, 1])), float(room[best]))

    def _clear_of(self, nears: Sequence[int], points: Numbers, half: Numbers) -> Numbers:
        """How far rectangles about the points are from the nearest of what hides."""
        sides, rounds = self._seen.sides[nears], self._seen.rounds[nears]
        gaps = points @ sides[:, :, :2].transpose(0, 2, 1) - sides[:, None, :, 2] - np.abs(sides[:, None, :, :2]) @ half
        beyond = gaps.max(axis=2)
        low, high = rounds.min(axis=1)[:, None], rounds.max(axis=1)[:, None]
        apart = np.maximum(low - points - half, points - half - high).max(axis=2)
        clear: Numbers = np.maximum(beyond, apart).min(axis=0)
        return clear


def _tidy(outline: Sequence[Sequence[float]]) -> Ring:
    """A ring without the corners that only fill a row."""
    ring = [(u, v) for u, v in outline]
    while len(ring) > 1 and ring[-1] == ring[-2]:
        ring.pop()
    return ring


def _points(ring: Ring) -> list[Flat]:
    """Points over a ring: its middle first, then rows of them."""
    low_u, high_u = min(u for u, _ in ring), max(u for u, _ in ring)
    low_v, high_v = min(v for _, v in ring), max(v for _, v in ring)
    shares = [(place + 0.5) / _LINES for place in range(_LINES)]
    middle = (sum(u for u, _ in ring) / len(ring), sum(v for _, v in ring) / len(ring))
    return [middle] + [
        (low_u + (high_u - low_u) * across, low_v + (high_v - low_v) * up) for up in shares for across in shares
    ]
