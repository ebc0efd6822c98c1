"""The outline about points of a plane: of a footprint, of a piece as it shows from a side."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TypeVar

Number = TypeVar("Number", int, Fraction)


def outline(points: Sequence[tuple[Number, Number]]) -> list[tuple[Number, Number]]:
    """The corners of the least convex outline about points, going round against the clock from the leftmost; exact.

    A point on an edge is no corner. Fewer than three corners are no footprint.

    >>> outline([(0, 0), (4, 0), (2, 0), (4, 4), (2, 1), (0, 4)])
    [(0, 0), (4, 0), (4, 4), (0, 4)]
    """
    ordered = sorted(set(points))
    return _half(ordered) + _half(ordered[::-1]) if len(ordered) > 2 else ordered


def _half(ordered: Sequence[tuple[Number, Number]]) -> list[tuple[Number, Number]]:
    """One side of the outline of points in order, without its last."""
    kept = list[tuple[Number, Number]]()
    for point in ordered:
        while len(kept) > 1 and _turn(kept[-2], kept[-1], point) <= 0:
            kept.pop()
        kept.append(point)
    return kept[:-1]


def _turn(one: tuple[Number, Number], two: tuple[Number, Number], three: tuple[Number, Number]) -> Number:
    return (two[0] - one[0]) * (three[1] - one[1]) - (three[0] - one[0]) * (two[1] - one[1])
