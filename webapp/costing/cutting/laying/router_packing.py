"""Lay pieces on sheets for the router, which cuts round each: they need not part from edge to edge.

All the largest empty rectangles of each open sheet are kept, overlapping as they may; a piece goes into the corner of
one of them. Same signature and answer as `packing.pack`; here `fit` and `split` choose which corner is the best.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from webapp.costing.cutting.ask.effort import Effort
from webapp.costing.cutting.laying.packing import Fit, PackedSheet, Split
from webapp.costing.cutting.laying.problem import Kind, SheetProblem

Empty = tuple[int, int, int, int]
"""An empty rectangle: left, low, right, high."""

MOST_EMPTY = 160
"""The largest empty rectangles kept of one sheet."""

MOST_OPEN = 12
"""The sheets last opened in which a place is looked for, so that thousands of pieces stay quick to lay."""

Rank = tuple[int, int, int]
Ranked = Callable[[int, int, Empty], Rank]
Place = tuple[Rank, int, int, int, int]
"""How good a place is (less is better), which open sheet, the shape, and the piece's corner."""


def pack_for_router(
    problem: SheetProblem,
    order: Sequence[int],
    open_sheet: Callable[[int], int | None],
    fit: Fit,
    split: Split,
    effort: Effort,
    *,
    give_up: Callable[[int], bool] | None = None,
    must_finish: bool = False,
) -> tuple[list[PackedSheet], list[int]] | None:
    """Lay the kinds of `order` in turn, as `packing.pack` does, wherever there is room."""
    ranked = _RANKS.get((fit, split))
    packed: list[PackedSheet] = []
    empty: list[list[Empty]] = []
    boxes: list[list[Empty]] = []
    homeless: list[int] = []
    most_open, most_empty = MOST_OPEN, MOST_EMPTY
    for number, index in enumerate(order):
        if not number % 32 and effort.out_of_time():
            if not must_finish:
                effort.steps += number
                return None
            most_open, most_empty = 1, 4
        kind = problem.kinds[index]
        place: Place | None = None
        for on in range(max(0, len(packed) - most_open), len(packed)):
            found = _best_corner(empty[on], kind, on, ranked, boxes[on])
            if found is not None and (place is None or found < place):
                place = found
        if place is None:
            opened = open_sheet(index)
            if opened is None:
                if give_up is not None and give_up(index):
                    effort.steps += number
                    return None
                homeless.append(index)
                continue
            sheet = problem.sheets[opened]
            packed.append(PackedSheet(opened, [], 0, 0))
            empty.append([(0, 0, sheet.along, sheet.across)])
            boxes.append(_about(sheet.along, sheet.across))
            place = _best_corner(empty[-1], kind, len(packed) - 1, ranked, boxes[-1])
            assert place is not None
        _, on, shape, x, y = place
        along, across = kind.shapes[shape]
        packed[on].laid.append((index, x, y, shape, along, across, True))
        packed[on].used += kind.area
        boxes[on].append((x, y, x + along, y + across))
        empty[on] = _without(empty[on], boxes[on][-1], most_empty)
    for sheet_laid, left in zip(packed, empty, strict=True):
        sheet_laid.spare = max((_area(one) for one in left), default=0)
    effort.steps += len(order)
    return packed, homeless


def _best_corner(empty: list[Empty], kind: Kind, on: int, ranked: Ranked | None, boxes: list[Empty]) -> Place | None:
    """The best corner for a piece: by the room left beside it, or where it touches the most of what lies there."""
    best: Place | None = None
    for shape, (along, across) in enumerate(kind.shapes):
        for one in empty:
            right, above = one[2] - one[0] - along, one[3] - one[1] - across
            if right < 0 or above < 0:
                continue
            if ranked is not None:
                place = (ranked(right, above, one), on, shape, one[0], one[1])
                if best is None or place < best:
                    best = place
                continue
            for x in {one[0], one[0] + right}:
                for y in {one[1], one[1] + above}:
                    place = ((-_touching((x, y, x + along, y + across), boxes), x, y), on, shape, x, y)
                    if best is None or place < best:
                        best = place
    return best


def _about(along: int, across: int) -> list[Empty]:
    """The sheet's four edges as boxes without width, to be touched."""
    return [(0, 0, 0, across), (along, 0, along, across), (0, 0, along, 0), (0, across, along, across)]


def _touching(one: Empty, boxes: list[Empty]) -> int:
    touched = 0
    for other in boxes:
        if one[0] == other[2] or one[2] == other[0]:
            touched += max(0, min(one[3], other[3]) - max(one[1], other[1]))
        if one[1] == other[3] or one[3] == other[1]:
            touched += max(0, min(one[2], other[2]) - max(one[0], other[0]))
    return touched


def _shorter_gap(right: int, above: int, _: Empty) -> Rank:
    return (right, above, 0) if right < above else (above, right, 0)


def _longer_gap(right: int, above: int, _: Empty) -> Rank:
    return (right, above, 0) if right > above else (above, right, 0)


def _low_then_left(_: int, above: int, one: Empty) -> Rank:
    return (-above + one[3], one[0], 0)


def _left_then_low(right: int, _: int, one: Empty) -> Rank:
    return (-right + one[2], one[1], 0)


def _least_room(right: int, above: int, one: Empty) -> Rank:
    return (_area(one), min(right, above), 0)


#: Where none is named, the corner that touches the most.
_RANKS: Final[dict[tuple[Fit, Split], Ranked]] = {
    (Fit.LEAST_GAP, Split.LARGER): _shorter_gap,
    (Fit.LEAST_GAP, Split.SMALLER): _longer_gap,
    (Fit.LEAST_GAP, Split.ACROSS): _left_then_low,
    (Fit.LEAST_GAP, Split.ALONG): _low_then_left,
    (Fit.LEAST_AREA, Split.SMALLER): _least_room,
    (Fit.LEAST_AREA, Split.ACROSS): _left_then_low,
    (Fit.LEAST_AREA, Split.ALONG): _low_then_left,
}


def _without(empty: list[Empty], taken: Empty, most: int) -> list[Empty]:
    """The largest empty rectangles once a piece is laid; none of them lies within another."""
    left, low, right, high = taken
    kept: list[Empty] = []
    parts: list[Empty] = []
    for one in empty:
        if left >= one[2] or right <= one[0] or low >= one[3] or high <= one[1]:
            kept.append(one)
            continue
        if left > one[0]:
            parts.append((one[0], one[1], left, one[3]))
        if right < one[2]:
            parts.append((right, one[1], one[2], one[3]))
        if low > one[1]:
            parts.append((one[0], one[1], one[2], low))
        if high < one[3]:
            parts.append((one[0], high, one[2], one[3]))
    parts = sorted(set(parts), key=_area, reverse=True)
    for place, part in enumerate(parts):
        if not any(_within(part, other) for other in kept) and not any(_within(part, other) for other in parts[:place]):
            kept.append(part)
    if len(kept) > most:
        kept = sorted(kept, key=_area, reverse=True)[:most]
    return kept


def _within(one: Empty, other: Empty) -> bool:
    return one[0] >= other[0] and one[1] >= other[1] and one[2] <= other[2] and one[3] <= other[3]


def _area(one: Empty) -> int:
    return (one[2] - one[0]) * (one[3] - one[1])
