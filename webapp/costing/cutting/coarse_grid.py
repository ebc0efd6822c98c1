"""Pieces and sheets on a grid coarse enough for the programme over a sheet's cuts.

Pieces and sheets are both rounded down, so whatever fits end to end still fits: what bounds the coarse problem bounds
the true one. (Floor of a scaled size is superadditive; Fekete and Schepers, Mathematical Programming 91, 2001.)
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from webapp.costing.cutting.guillotine_programme import Box, GuillotineProgramme, raster_points
from webapp.costing.cutting.sheet_problem import SheetProblem

MOST_UNITS: Final = 100_000
"""Sheets of more units are not even asked for their raster points."""

Sides = tuple[list[Box], list[tuple[int, int]]]


def pose_programme(problem: SheetProblem, most_sums: int) -> tuple[GuillotineProgramme, bool]:
    """A programme of at most about so many sums a sweep, and whether it is exact: only then are its patterns real."""
    boxes, sheets = _sides(problem)
    most_along, most_across = max(along for along, _ in sheets), max(across for _, across in sheets)
    points = _points_for(most_sums, most_along, most_across)
    if max(most_along, most_across) <= MOST_UNITS:
        along_points = len(raster_points((box.along for box in boxes), [one for one, _ in sheets]))
        across_points = len(raster_points((box.across for box in boxes), [one for _, one in sheets]))
        if along_points * across_points * (along_points + across_points) <= 4 * most_sums:
            return GuillotineProgramme(boxes, sheets), True
    weights = [problem.kinds[box.kind].count * problem.kinds[box.kind].area for box in boxes]
    along = _scale([box.along for box in boxes], weights, [one for one, _ in sheets], points[0])
    across = _scale([box.across for box in boxes], weights, [one for _, one in sheets], points[1])
    coarse = [
        Box(box.kind, box.shape, box.along * along // most_along, box.across * across // most_across) for box in boxes
    ]
    return (
        GuillotineProgramme(
            [box for box in coarse if box.along and box.across],
            [(one * along // most_along, other * across // most_across) for one, other in sheets],
        ),
        False,
    )


def _sides(problem: SheetProblem) -> Sides:
    sheets = [(sheet.along, sheet.across) for sheet in problem.sheets]
    boxes = [
        Box(number, shape, along, across)
        for number, kind in enumerate(problem.kinds)
        for shape, (along, across) in enumerate(kind.shapes)
        if any(along <= one and across <= other for one, other in sheets)
    ]
    return boxes, sheets


def _points_for(most_sums: int, along: int, across: int) -> tuple[int, int]:
    """How many points each way come to so many sums, the directions kept in proportion."""
    ratio = max(0.2, min(5.0, along / across))
    # With n points along and m across a sweep each way takes about n m (n + m) / 4 sums.
    across_points = (4 * most_sums / (ratio * (ratio + 1))) ** (1 / 3)
    return max(8, min(along, int(across_points * ratio))), max(8, min(across, int(across_points)))


def _scale(sizes: Sequence[int], weights: Sequence[int], wholes: Sequence[int], most: int) -> int:
    """The number of grid points, at most `most`, at which the sizes lose least against the largest whole."""
    largest = max(wholes)
    if largest <= most:
        return largest

    def kept(points: int) -> float:
        total = sum(weight * (size * points // largest) / size for size, weight in zip(sizes, weights, strict=True))
        lost = min((whole * points // largest) / whole for whole in wholes)
        return total / max(lost, points / largest)

    return max(range(max(1, most * 2 // 3), most + 1), key=kept)
