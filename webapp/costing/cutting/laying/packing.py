"""Lay pieces into sheets one after another, always so that the saw can part them from edge to edge.

A piece goes into the corner of a free rectangle; two cuts, one of them over the whole of that rectangle, leave two
smaller free rectangles. Which rectangle and which cut comes first is the manner of laying.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum

from webapp.costing.cutting.ask.effort import Effort
from webapp.costing.cutting.laying.problem import SheetProblem

Free = tuple[int, int, int, int, int]
"""A free rectangle: x, y, its size along and across the sheet, and which of the open sheets it lies on."""

Laid = tuple[int, int, int, int, int, int, bool]
"""A laid piece: kind, x, y, its shape, the free rectangle's along and across, and whether it is cut across first."""

MOST_FREE = 120
"""The largest free rectangles kept open at a time, so that thousands of pieces stay quick to lay."""

NO_GAP = 2**62

FEWEST_FREE = 6
"""How many stay open once the time is over and the rest only has to be laid somewhere."""


class Fit(Enum):
    """Which free rectangle a piece goes to: the least in area, or the one that it nearly spans in one direction."""

    LEAST_AREA = "least area"
    LEAST_GAP = "least gap"


class Split(Enum):
    """Which cut comes first: the one that leaves the larger single remainder, the smaller, or always one direction."""

    LARGER = "larger"
    SMALLER = "smaller"
    ACROSS = "across"
    ALONG = "along"


BY_SIZE = (Split.LARGER, Split.SMALLER)


@dataclass(slots=True)
class PackedSheet:
    """One sheet as laid: which sheet of the problem, its pieces, their area with kerf, its largest free rectangle."""

    sheet: int
    laid: list[Laid]
    used: int
    spare: int


def mean_fill(problem: SheetProblem, sheets: Sequence[PackedSheet]) -> float:
    """The share of some sheets that their pieces cover."""
    return sum(one.used for one in sheets) / sum(problem.sheets[one.sheet].area for one in sheets)


def pack(
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
    """Lay the kinds of `order` in turn; `open_sheet(kind)` names the next sheet when no open one holds the piece.

    Returns the sheets and the kinds that found no place; None once `give_up` says so of one that finds none.
    Returns None as well when the clock stops the work, unless this `must_finish`: then the rest is laid in haste.
    """
    measures = problem.measures
    find = _find_least_area if fit is Fit.LEAST_AREA else _find_least_gap
    by_size, larger, across_always = split in BY_SIZE, split is Split.LARGER, split is Split.ACROSS
    sides = problem.least_sides
    least = min([sides[kind] for kind in order], default=0)
    free: list[Free] = []
    packed: list[PackedSheet] = []
    homeless: list[int] = []
    most_free = MOST_FREE
    for number, index in enumerate(order):
        if not number % 256 and effort.out_of_time():
            if not must_finish:
                effort.steps += number
                return None
            most_free = FEWEST_FREE
        along, across, may_turn, area = measures[index]
        place, turned = find(free, along, across, may_turn)
        if place < 0:
            opened = open_sheet(index)
            if opened is None:
                if give_up is not None and give_up(index):
                    effort.steps += number
                    return None
                homeless.append(index)
                continue
            sheet = problem.sheets[opened]
            packed.append(PackedSheet(opened, [], 0, 0))
            free.append((0, 0, sheet.along, sheet.across, len(packed) - 1))
            place = len(free) - 1
            turned = _turned_in_empty(along, across, may_turn, sheet.along, sheet.across)
        x, y, free_along, free_across, on = free[place]
        free[place] = free[-1]
        free.pop()
        if turned:
            along, across = across, along
        right, above = free_along - along, free_across - across
        across_first = (right * free_across >= above * free_along) is larger if by_size else across_always
        target = packed[on]
        target.laid.append((index, x, y, turned, free_along, free_across, across_first))
        target.used += area
        if right:
            tall = free_across if across_first else across
            if right >= least and tall >= least:
                free.append((x + along, y, right, tall, on))
            elif right * tall > target.spare:
                target.spare = right * tall
        if above:
            long = along if across_first else free_along
            if above >= least and long >= least:
                free.append((x, y + across, long, above, on))
            elif above * long > target.spare:
                target.spare = above * long
        if len(free) > most_free:
            free = _keep_largest(free, most_free, packed)
    _note_spare(free, packed)
    effort.steps += len(order)
    return packed, homeless


def _find_least_area(free: list[Free], along: int, across: int, may_turn: bool) -> tuple[int, bool]:
    best, best_turned, best_area = -1, False, 0
    for place, (_, _, free_along, free_across, _) in enumerate(free):
        if along <= free_along and across <= free_across:
            turned = False
        elif may_turn and across <= free_along and along <= free_across:
            turned = True
        else:
            continue
        area = free_along * free_across
        if best < 0 or area < best_area:
            best, best_turned, best_area = place, turned, area
    if best >= 0 and may_turn and not best_turned:
        _, _, free_along, free_across, _ = free[best]
        if across <= free_along and along <= free_across:
            best_turned = min(free_along - across, free_across - along) < min(free_along - along, free_across - across)
    return best, best_turned


def _find_least_gap(free: list[Free], along: int, across: int, may_turn: bool) -> tuple[int, bool]:
    best, best_turned, best_gap = -1, False, NO_GAP
    # Most of a search is spent here: no calls, and no gap is less than none.
    for place, (_, _, free_along, free_across, _) in enumerate(free):
        if along <= free_along and across <= free_across:
            gap = free_along - along
            if free_across - across < gap:
                gap = free_across - across
            if gap < best_gap:
                if not gap:
                    return place, False
                best, best_turned, best_gap = place, False, gap
        if may_turn and across <= free_along and along <= free_across:
            gap = free_along - across
            if free_across - along < gap:
                gap = free_across - along
            if gap < best_gap:
                if not gap:
                    return place, True
                best, best_turned, best_gap = place, True, gap
    return best, best_turned


def _turned_in_empty(along: int, across: int, may_turn: bool, sheet_along: int, sheet_across: int) -> bool:
    if not may_turn:
        return False
    if along > sheet_along or across > sheet_across:
        return True
    if across > sheet_along or along > sheet_across:
        return False
    return min(sheet_along - across, sheet_across - along) < min(sheet_along - along, sheet_across - across)


def _keep_largest(free: list[Free], most: int, packed: list[PackedSheet]) -> list[Free]:
    ranked = sorted(free, key=lambda rectangle: -rectangle[2] * rectangle[3])
    kept = ranked[: most * 3 // 4]
    _note_spare(ranked[len(kept) :], packed)
    return kept


def _note_spare(free: list[Free], packed: list[PackedSheet]) -> None:
    for _, _, along, across, on in free:
        target = packed[on]
        if along * across > target.spare:
            target.spare = along * across
