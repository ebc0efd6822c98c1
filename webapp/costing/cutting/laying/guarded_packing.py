"""Lay pieces into sheets as `packing.pack` does, where the saw has rules to obey or pieces must stay together.

Each free rectangle also carries the direction of the cut that made it and the turns that this took. A place whose cuts
would break a rule is not taken: the other order of its two cuts, another shape or another rectangle is tried instead.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from webapp.costing.cutting.ask.effort import Effort
from webapp.costing.cutting.ask.saw_rules import UNCUT, Box, Freeing, Made, SawRules, can_part
from webapp.costing.cutting.laying.grain_groups import Block
from webapp.costing.cutting.laying.packing import FEWEST_FREE, MOST_FREE, Fit, PackedSheet, Split, pack
from webapp.costing.cutting.laying.problem import Kind, SheetProblem
from webapp.costing.cutting.laying.router_packing import pack_for_router

Packer = Callable[..., tuple[list[PackedSheet], list[int]] | None]

Free = tuple[int, int, int, int, int, Made]
"""A free rectangle: x, y, its size along and across the sheet, the open sheet it lies on, and how it came to be."""

Place = tuple[int, int, Freeing]
"""Where a piece goes: which free rectangle, in which shape, freed how."""


def packer_for(problem: SheetProblem) -> Packer:
    """The quickest packer that obeys all that a problem asks."""
    if problem.by_router:
        return pack_for_router
    return pack_guarded if problem.rules.bind() or problem.has_groups else pack


def obeys(problem: SheetProblem, sheet: PackedSheet) -> bool:
    """Whether a laid sheet, wherever it came from, can be sawn within the problem's rules."""
    if problem.by_router or not problem.rules.bind():
        return True
    boxes: list[Box] = []
    for index, x, y, shape, *_ in sheet.laid:
        kind = problem.kinds[index]
        if kind.blocks:
            boxes += [
                (x + one.x, y + one.y, x + one.x + one.along, y + one.y + one.across)
                for one in kind.blocks[shape].members
            ]
        else:
            along, across = kind.shapes[shape]
            boxes.append((x, y, x + along, y + across))
    whole = problem.sheets[sheet.sheet]
    return can_part(problem.rules, boxes, (0, 0, whole.along, whole.across))


def pack_guarded(
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
    """Lay the kinds of `order` in turn, as `packing.pack` does, within the problem's rules."""
    kinds = problem.kinds
    choice = _Choice(problem.rules, fit, split)
    free: list[Free] = []
    packed: list[PackedSheet] = []
    homeless: list[int] = []
    most_free = MOST_FREE
    for number, index in enumerate(order):
        if not number % 64 and effort.out_of_time():
            if not must_finish:
                effort.steps += number
                return None
            most_free = FEWEST_FREE
        kind = kinds[index]
        place = choice.best(free, kind)
        if place is None:
            opened = open_sheet(index)
            if opened is not None:
                sheet = problem.sheets[opened]
                packed.append(PackedSheet(opened, [], 0, sheet.along * sheet.across))
                free.append((0, 0, sheet.along, sheet.across, len(packed) - 1, UNCUT))
                place = choice.best(free, kind, len(free) - 1)
        if place is None:
            if give_up is not None and give_up(index):
                effort.steps += number
                return None
            homeless.append(index)
            continue
        at, shape, way = place
        x, y, free_along, free_across, on, _ = free[at]
        free[at] = free[-1]
        free.pop()
        along, across = kind.shapes[shape]
        target = packed[on]
        if not target.laid:
            target.spare = 0
        target.laid.append((index, x, y, shape, free_along, free_across, way.across_first))
        target.used += kind.area
        right, above = free_along - along, free_across - across
        if right:
            free.append((x + along, y, right, free_across if way.across_first else across, on, way.right))
        if above:
            free.append((x, y + across, along if way.across_first else free_along, above, on, way.above))
        if len(free) > most_free:
            free.sort(key=lambda one: -one[2] * one[3])
            _note_spare(free[most_free * 3 // 4 :], packed)
            del free[most_free * 3 // 4 :]
    _note_spare(free, packed)
    effort.steps += len(order)
    return [sheet for sheet in packed if sheet.laid], homeless


class _Choice:
    """Finds the place of a piece: the nearest fit of those whose cuts obey."""

    def __init__(self, rules: SawRules, fit: Fit, split: Split) -> None:
        self.rules = rules
        self.by_area = fit is Fit.LEAST_AREA
        self.split = split
        self.inside: dict[tuple[int, Made], bool] = {}

    def best(self, free: list[Free], kind: Kind, start: int = 0) -> Place | None:
        """The place among the free rectangles from `start` on; None where none may be taken."""
        found: Place | None = None
        least: tuple[int, int] | None = None
        for shape, (along, across) in enumerate(kind.shapes):
            for at in range(start, len(free)):
                _, _, free_along, free_across, _, made = free[at]
                if along > free_along or across > free_across:
                    continue
                gap = min(free_along - along, free_across - across)
                rank = (free_along * free_across, gap) if self.by_area else (gap, 0)
                if least is not None and rank >= least:
                    continue
                way = self._way(kind, shape, free_along, free_across, made)
                if way is not None:
                    found, least = (at, shape, way), rank
        return found

    def _way(self, kind: Kind, shape: int, free_along: int, free_across: int, made: Made) -> Freeing | None:
        along, across = kind.shapes[shape]
        ways = self.rules.freeing(along, across, free_along, free_across, made)
        if kind.blocks:
            ways = tuple(way for way in ways if self._parts(kind.blocks[shape], way.piece))
        if len(ways) < 2:
            return ways[0] if ways else None
        right, above = free_along - along, free_across - across
        if self.split is Split.LARGER:
            first = right * free_across >= above * free_along
        elif self.split is Split.SMALLER:
            first = right * free_across < above * free_along
        else:
            first = self.split is Split.ACROSS
        return ways[0] if ways[0].across_first is first else ways[1]

    def _parts(self, block: Block, made: Made) -> bool:
        if not self.rules.bind():
            return True
        key = (id(block), made)
        if key not in self.inside:
            self.inside[key] = block.parts(self.rules, made)
        return self.inside[key]


def _note_spare(free: list[Free], packed: list[PackedSheet]) -> None:
    for _, _, along, across, on, _ in free:
        target = packed[on]
        if target.laid and along * across > target.spare:
            target.spare = along * across
