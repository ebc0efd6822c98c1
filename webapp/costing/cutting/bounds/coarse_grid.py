"""Pieces and sheets on a grid coarse enough for the programme over a sheet's cuts.

Pieces and sheets are both rounded down, so whatever fits end to end still fits: what bounds the coarse problem bounds
the true one. (Sizes rounded to below their scaled value add up to less than the scaled whole; the idea is that of the
rounding function in 'New classes of fast lower bounds for bin packing problems', 2001.) With pieces rounded up and
sheets down, whatever fits on the grid fits in truth: its patterns can be laid.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from webapp.costing.cutting.bounds.guillotine_programme import Box, GuillotineProgramme, Leaf
from webapp.costing.cutting.bounds.guillotine_table import raster_points
from webapp.costing.cutting.laying.problem import SheetProblem

MOST_UNITS: Final = 100_000
"""Sheets of more units are not even asked for their raster points."""

Rounded = Literal["down", "up", "exact"]
Sides = tuple[list[Box], list[tuple[int, int]]]


@dataclass(frozen=True, slots=True)
class Grid:
    """A programme and how its units lie on the sheets: `along` and `across` of them on the largest size each way.

    Rounded down, its values bound the true ones; rounded up, its patterns can be laid; exact, both.
    """

    programme: GuillotineProgramme
    rounded: Rounded
    along: tuple[int, int]
    across: tuple[int, int]

    @property
    def bounds(self) -> bool:
        """Whether what the programme finds is at least what any real sheet can hold."""
        return self.rounded != "up"

    @property
    def real(self) -> bool:
        """Whether a pattern of the programme can be laid on a real sheet."""
        return self.rounded != "down"

    def laid(self, leaf: Leaf) -> Leaf:
        """A leaf of a pattern in the problem's own units, its box still that of the grid."""
        if self.rounded == "exact":
            return leaf
        x, y = _on_sheet(leaf.x, self.along), _on_sheet(leaf.y, self.across)
        right, high = _on_sheet(leaf.x + leaf.along, self.along), _on_sheet(leaf.y + leaf.across, self.across)
        return Leaf(leaf.box, x, y, right - x, high - y)


def pose_grid(problem: SheetProblem, most_sums: int, rounding: Rounded) -> Grid:
    """A programme of at most about so many sums a sweep; exact where the problem itself needs no more."""
    boxes, sheets = _sides(problem)
    most_along, most_across = max(along for along, _ in sheets), max(across for _, across in sheets)
    if max(most_along, most_across) <= MOST_UNITS:
        along_points = len(raster_points((box.along for box in boxes), [one for one, _ in sheets]))
        across_points = len(raster_points((box.across for box in boxes), [one for _, one in sheets]))
        if along_points * across_points * (along_points + across_points) <= 4 * most_sums:
            return Grid(GuillotineProgramme(boxes, sheets), "exact", (1, 1), (1, 1))
    points = _points_for(most_sums, most_along, most_across)
    weights = [problem.kinds[box.kind].count * problem.kinds[box.kind].area for box in boxes]
    up = rounding == "up"
    along = _scale([box.along for box in boxes], weights, [one for one, _ in sheets], points[0], up)
    across = _scale([box.across for box in boxes], weights, [one for _, one in sheets], points[1], up)
    scales = (along, most_along), (across, most_across)
    coarse = [
        Box(box.kind, box.shape, _on_grid(box.along, scales[0], up), _on_grid(box.across, scales[1], up))
        for box in boxes
    ]
    usable = [(_cells(one, scales[0], up), _cells(other, scales[1], up)) for one, other in sheets]
    fitting = [box for box in coarse if box.along and box.across and any(_holds(sides, box) for sides in usable)]
    return Grid(GuillotineProgramme(fitting, usable), rounding, *scales)


def _on_grid(size: int, scale: tuple[int, int], up: bool) -> int:
    """A size in cells: rounded up, or else to the whole number below it, one less where it is whole itself."""
    points, largest = scale
    return -(-size * points // largest) - (not up)


def _cells(whole: int, scale: tuple[int, int], up: bool) -> int:
    """How many cells a sheet has. Sizes that add up to no more than it come to less than it, once each is rounded."""
    points, largest = scale
    return whole * points // largest if up else -(-whole * points // largest) - 1


def _on_sheet(place: int, scale: tuple[int, int]) -> int:
    points, largest = scale
    return -(-place * largest // points)


def _holds(sides: tuple[int, int], box: Box) -> bool:
    return box.along <= sides[0] and box.across <= sides[1]


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


def _scale(sizes: Sequence[int], weights: Sequence[int], wholes: Sequence[int], most: int, up: bool) -> int:
    """The number of grid points, at most `most`, at which the sizes lose least against the largest whole."""
    largest = max(wholes)
    if largest <= most:
        return largest if up else largest + 1

    def kept(points: int) -> float:
        scale = points, largest
        total = sum(weight * _on_grid(size, scale, up) / size for size, weight in zip(sizes, weights, strict=True))
        cells = [_cells(whole, scale, up) / whole for whole in wholes]
        return -total / min(cells) if up else total / max(cells)

    return max(range(max(2, most * 2 // 3), most + 1), key=kept)
