"""Whole sheets from the linear optimum: what it buys of a pattern is bought whole, the rest is a smaller problem."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from math import floor

from webapp.costing.cutting.ask.sold import beyond
from webapp.costing.cutting.laying.packing import PackedSheet
from webapp.costing.cutting.laying.problem import SheetProblem
from webapp.costing.cutting.sheets.columns import SheetColumns
from webapp.costing.cutting.sheets.master import Relaxed


def whole_part(columns: SheetColumns, relaxed: Relaxed, at_least: float) -> list[PackedSheet]:
    """The sheets that the linear optimum uses whole times; a part above `at_least` counts as whole."""
    problem = columns.problem
    left = [kind.count for kind in problem.kinds]
    limits = [sheet.limit for sheet in problem.sheets]
    bought: list[PackedSheet] = []
    uses = sorted(zip(relaxed.uses, columns.master.columns, strict=False), key=lambda one: -one[0])
    for use, contents in uses:
        if use < at_least:
            break
        sheet = columns.pool.get(contents)
        if sheet is None:
            continue
        held = dict(contents[1])
        times = min(floor(use + 1 - at_least), limits[contents[0]], *(left[kind] // held[kind] for kind in held))
        for kind, number in held.items():
            left[kind] -= times * number
        limits[contents[0]] -= times
        bought += [sheet] * times
    return bought


def rest_of(problem: SheetProblem, bought: list[PackedSheet]) -> tuple[SheetProblem, list[int]]:
    """The problem of the pieces that the bought sheets don't hold, and which kind each of its kinds is."""
    held = Counter(laid[0] for sheet in bought for laid in sheet.laid)
    used = Counter(sheet.sheet for sheet in bought)
    numbers = [number for number, kind in enumerate(problem.kinds) if kind.count > held[number]]
    kinds = tuple(replace(problem.kinds[n], count=problem.kinds[n].count - held[n]) for n in numbers)
    count = sum(kind.count for kind in kinds)
    further = [beyond(sheet, used[place], count) for place, sheet in enumerate(problem.sheets)]
    sheets = tuple(
        replace(sheet, price=sold.price, limit=sold.limit, costs=sold.costs)
        for sheet, sold in zip(problem.sheets, further, strict=True)
    )
    return replace(problem, kinds=kinds, sheets=sheets, count=count), numbers


def named_again(sheets: list[PackedSheet], numbers: list[int]) -> list[PackedSheet]:
    """Sheets of the rest's problem with the kinds of the whole one."""
    return [replace(sheet, laid=[(numbers[laid[0]], *laid[1:]) for laid in sheet.laid]) for sheet in sheets]
