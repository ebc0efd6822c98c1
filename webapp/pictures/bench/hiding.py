"""Which piece hides which: pair by pair, by one ray through the middle of what they share in the picture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from webapp.pictures.bench.looking import EDGE_ON, Seen
from webapp.pictures.bench.pieces import BEYOND, Numbers, Places

Held = NDArray[np.bool_]

#: Outlines that meet by less than this are no pair, mm.
MEETS: Final = 0.01
#: Outlines lie on each other within this, mm: as near as whole nanometres keep them.
ALIKE: Final = 2e-6
#: How far beside an outline its neighbours are looked for, mm.
BESIDE: Final = 0.05
#: So many pairs are settled at once.
_AT_ONCE: Final = 20_000


@dataclass(frozen=True, slots=True)
class Hiding:
    """Pairs of pieces, the near one hiding something of the far one, without those that are `gone` altogether.

    `one` and `other` are pieces whose outlines overlap or lie beside each other, each pair once.
    """

    near: Places
    far: Places
    gone: Held
    one: Places
    other: Places


def find_hiding(seen: Seen) -> Hiding:
    """Settle for every pair which hides the other.

    What one other piece hides altogether is left out: whatever it hides, that one hides too.
    """
    one, other = _neighbours(seen)
    gone = np.zeros(len(seen.rounds), dtype=bool)
    # What is drawn by its cells is nothing beside them.
    gone[list(seen.heap.cells)] = True
    there = ~(gone[one] | gone[other])
    one, other = one[there], other[there]
    nears, fars = [], []
    for start in range(0, len(one), _AT_ONCE):
        near, far, covered = _settle(seen, one[start : start + _AT_ONCE], other[start : start + _AT_ONCE])
        gone[far[covered]] = True
        nears.append(near)
        fars.append(far)
    near = np.concatenate(nears) if nears else one
    far = np.concatenate(fars) if fars else other
    kept, stay = ~(gone[near] | gone[far]), ~(gone[one] | gone[other])
    return Hiding(near[kept], far[kept], gone, one[stay], other[stay])


def _neighbours(seen: Seen) -> tuple[Places, Places]:
    """Pairs whose rectangles in the picture overlap or nearly touch, by a sweep across it."""
    low, high = seen.rounds.min(axis=1), seen.rounds.max(axis=1) + BESIDE
    order = np.argsort(low[:, 0], kind="stable")
    count = np.searchsorted(low[order, 0], high[order, 0], side="right") - np.arange(len(order)) - 1
    first = np.repeat(np.arange(len(order)), count)
    onward = np.arange(len(first)) - np.repeat(np.cumsum(count) - count, count)
    one, other = order[first], order[first + 1 + onward]
    level = (low[one, 1] < high[other, 1]) & (low[other, 1] < high[one, 1])
    return one[level], other[level]


def _settle(seen: Seen, one: Places, other: Places) -> tuple[Places, Places, Held]:
    """The near and the far one of each pair that shares something, and whether the far one is covered altogether."""
    beyond = _distances(seen, one, other)
    back = _distances(seen, other, one)
    meeting = ~(_apart(beyond) | _apart(back))
    one, other, beyond, back = one[meeting], other[meeting], beyond[meeting], back[meeting]
    within, others_within = _within(beyond), _within(back)
    middle = _middles(seen, one, other, within, others_within)
    is_near = _depths(seen, one, middle) >= _depths(seen, other, middle)
    covered = np.where(is_near, within.all(axis=1), others_within.all(axis=1))
    return np.where(is_near, one, other), np.where(is_near, other, one), covered


def _distances(seen: Seen, bounding: Places, inside: Places) -> Numbers:
    """How far each corner of one outline lies beyond each side of another (pair, side, corner)."""
    sides = seen.sides[bounding]
    return sides[:, :, :2] @ seen.rounds[inside].transpose(0, 2, 1) - sides[:, :, 2:]


def _apart(distances: Numbers) -> Held:
    """Whether a side of an outline has the other wholly beyond it."""
    apart: Held = (distances.min(axis=2) > -MEETS).any(axis=1)
    return apart


def _within(distances: Numbers) -> Held:
    """Whether each corner lies inside the other's outline (pair, corner)."""
    within: Held = distances.max(axis=1) <= np.float64(ALIKE)
    return within


def _middles(seen: Seen, one: Places, other: Places, within: Held, back: Held) -> Numbers:
    """A point inside both outlines: the mean of the corners of each inside the other and of the crossings of sides.

    Corners on an outline count as inside: equal outlines have no crossings.
    """
    corners, others = seen.rounds[one], seen.rounds[other]
    run, others_run = np.roll(corners, -1, axis=1) - corners, np.roll(others, -1, axis=1) - others
    gap = others[:, None, :, :] - corners[:, :, None, :]
    turn = _cross(run[:, :, None, :], others_run[:, None, :, :])
    level = np.abs(turn) < 1e-12
    turn[level] = 1.0
    along = _cross(gap, others_run[:, None, :, :]) / turn
    others_along = _cross(gap, run[:, :, None, :]) / turn
    crossing = ~level & (along >= 0) & (along <= 1) & (others_along >= 0) & (others_along <= 1)
    where = np.where(crossing, along, 0.0)
    # The sum over the crossings is that of where their sides begin, and of how far along those they lie.
    total = _weighed(crossing.sum(axis=2), corners) + _weighed(where.sum(axis=2), run)
    total += _weighed(within, others) + _weighed(back, corners)
    count = crossing.sum(axis=(1, 2)) + within.sum(axis=1) + back.sum(axis=1)
    middle: Numbers = total / np.maximum(count, 1)[:, None]
    return middle


def _weighed(weights: NDArray[Any], points: Numbers) -> Numbers:
    """The sum of points, each so many times (pair, point)."""
    total: Numbers = (weights[:, :, None] * points).sum(axis=1)
    return total


def _cross(one: Numbers, other: Numbers) -> Numbers:
    turn: Numbers = one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0]
    return turn


def _depths(seen: Seen, places: Places, points: Numbers) -> Numbers:
    """Where the line of sight at each point is in the middle of its stretch through the piece."""
    planes = seen.planes[places]
    rest = planes[:, :, 3] - planes[:, :, 0] * points[:, None, 0] - planes[:, :, 1] * points[:, None, 1]
    slope = planes[:, :, 2]
    along = rest / np.where(np.abs(slope) > EDGE_ON, slope, 1.0)
    leaving = np.where(slope > EDGE_ON, along, BEYOND).min(axis=1)
    entering = np.where(slope < -EDGE_ON, along, -BEYOND).max(axis=1)
    middle: Numbers = (leaving + entering) / 2
    return middle
