"""Dives: buy the sheet that the linear optimum is surest of, let it think again about the rest, and so on."""

from __future__ import annotations

import random
from collections import Counter
from math import floor
from typing import Final

from webapp.costing.cutting.laying.packing import Laid, PackedSheet
from webapp.costing.cutting.sheets.columns import SheetColumns
from webapp.costing.cutting.sheets.master import Contents, Relaxed

ROUNDS: Final = 1
"""How often new patterns are priced after each purchase, where the programme over the cuts is exact and quick."""
AT_A_TIME: Final = 2
"""So many sheets that don't ask for the same pieces are bought before the optimum is asked again."""
SHEETS_LEFT: Final = (1.8, 3.8)
"""A dive ends somewhere between so few and so many sheets from the end: the last pieces are better laid by search."""


def dive(columns: SheetColumns, pick: random.Random) -> list[PackedSheet]:
    """Sheets bought one after another; what they don't hold is left over. Each choice varies a little with `pick`."""
    problem, master = columns.problem, columns.master
    left = [kind.count for kind in problem.kinds]
    limits = [sheet.limit for sheet in problem.sheets]
    largest = max(sheet.area for sheet in problem.sheets)
    bought: list[PackedSheet] = []
    enough = pick.uniform(*SHEETS_LEFT) * largest
    try:
        while columns.has_time():
            area = sum(kind.area * number for kind, number in zip(problem.kinds, left, strict=True))
            if area <= enough:
                break
            relaxed = columns.priced_again(ROUNDS if columns.exact else 0)
            if relaxed is None:
                break
            chosen = _surest(columns, relaxed, left, limits, pick)
            if not chosen:
                break
            for place, (contents, times) in enumerate(chosen):
                if place and any(left[kind] < number for kind, number in contents[1]):
                    continue
                for _ in range(min(times, limits[contents[0]])):
                    sheet = _trimmed(columns, columns.pool[contents], left)
                    if not sheet.laid:
                        break
                    limits[sheet.sheet] -= 1
                    bought.append(sheet)
            master.ask(left, limits)
    finally:
        master.ask([kind.count for kind in problem.kinds], [sheet.limit for sheet in problem.sheets])
    return bought


def _surest(
    columns: SheetColumns, relaxed: Relaxed, left: list[int], limits: list[int], pick: random.Random
) -> list[tuple[Contents, int]]:
    """The sheet to buy next and how often, and others as good as certain."""
    problem = columns.problem
    ranked: list[tuple[float, Contents, int]] = []
    for use, contents in zip(relaxed.uses, columns.master.columns, strict=False):
        if use < 1e-6 or contents not in columns.pool or not limits[contents[0]]:
            continue
        useful = sum(problem.kinds[kind].area * min(number, left[kind]) for kind, number in contents[1])
        fill = useful / problem.sheets[contents[0]].area
        rank = (min(use, 1.0) + 0.3 * pick.random()) * fill**2
        ranked.append((rank, contents, max(1, min(floor(use + 1e-6), limits[contents[0]]))))
    ranked.sort(reverse=True)
    return [(contents, times) for _, contents, times in ranked[:AT_A_TIME]]


def _trimmed(columns: SheetColumns, sheet: PackedSheet, left: list[int]) -> PackedSheet:
    """The sheet without the pieces that are not wanted any more; those on it are taken off `left`."""
    kinds = columns.problem.kinds
    held: Counter[int] = Counter()
    kept: list[Laid] = []
    spare = sheet.spare
    for laid in sheet.laid:
        if held[laid[0]] < left[laid[0]]:
            held[laid[0]] += 1
            kept.append(laid)
        else:
            spare = max(spare, kinds[laid[0]].area)
    for kind, number in held.items():
        left[kind] -= number
    return PackedSheet(sheet.sheet, kept, sum(kinds[laid[0]].area for laid in kept), spare)
