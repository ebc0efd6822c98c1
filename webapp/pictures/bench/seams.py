"""Where what is one piece is drawn of several convex ones: their edges without the seams between them.

An edge shows where the piece turns there. Along a line the wedges of all that meet in it add up to half a turn where
its surface runs on, and to a whole one within it: there is a seam, and no line.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import acos, pi
from typing import Final

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]

#: What lies within this of a plane lies on it, mm; stretches that are shorter are not looked at.
ON: Final = 1e-4
#: Wedges that add up to a half or a whole turn within this make a seam; and so far two directions are one.
_FLAT: Final = 1e-5
_SQUARE: Final = 1e-6

Stretch = tuple[float, float]


def shown_edges(ends: Numbers, own: Sequence[int], planes: Sequence[Numbers]) -> list[list[Stretch]]:
    """What shows of each edge of one piece, as stretches of it from 0 to 1.

    `ends` are (edge, end, axis), `own` which of the convex pieces each belongs to, and `planes` their (face, normal
    outwards, how far out it lies), mm.
    """
    return [list(_shown(begin, end, own[place], planes)) for place, (begin, end) in enumerate(ends)]


def _shown(begin: Numbers, end: Numbers, own: int, planes: Sequence[Numbers]) -> Iterator[Stretch]:
    run = end - begin
    length = float(np.linalg.norm(run))
    if length <= ON:
        return
    near = [each for place, each in enumerate(planes) if place == own or _reaches(begin, end, each)]
    cuts = {0.0, 1.0}
    for each in near:
        slope, before = each[:, :3] @ run, each[:, :3] @ begin - each[:, 3]
        across = np.abs(slope) > _SQUARE * length
        at = -before[across] / slope[across]
        cuts.update(at[(at > ON / length) & (at < 1 - ON / length)].tolist())
    joined: list[Stretch] = []
    places = sorted(cuts)
    for low, high in pairwise(places):
        if (high - low) * length <= ON or _is_seam(begin + (low + high) / 2 * run, run / length, near):
            continue
        if joined and joined[-1][1] == low:
            joined[-1] = (joined[-1][0], high)
        else:
            joined.append((low, high))
    yield from joined


def _reaches(begin: Numbers, end: Numbers, planes: Numbers) -> bool:
    """Whether an edge may lie on or in a convex piece: no face of it has both ends beyond."""
    beyond = np.minimum(planes[:, :3] @ begin, planes[:, :3] @ end) - planes[:, 3]
    return bool((beyond <= ON).all())


def _is_seam(point: Numbers, along: Numbers, near: Sequence[Numbers]) -> bool:
    """Whether what lies round a place on a line fills half a turn about it, or all of it."""
    turn = sum(_wedge(point, along, planes) for planes in near)
    return abs(turn - pi) < _FLAT or turn > 2 * pi - _FLAT


def _wedge(point: Numbers, along: Numbers, planes: Numbers) -> float:
    """The angle that a convex piece fills about a line through a place, in radians."""
    beyond = planes[:, :3] @ point - planes[:, 3]
    if (beyond > ON).any():
        return 0.0
    sides = planes[beyond > -ON, :3]
    sides = sides[np.abs(sides @ along) < _SQUARE]
    if not len(sides):
        return 2 * pi
    least = float(np.clip(sides @ sides.T, -1, 1).min())
    return pi - acos(least)
