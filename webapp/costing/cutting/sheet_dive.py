"""Dives: buy the sheet that the linear optimum is surest of, let it think again about the rest, and so on."""

from __future__ import annotations

import random
from collections import Counter
from math import floor
from typing import Final

from webapp.costing.cutting.packing import Laid, PackedSheet
from webapp.costing.cutting.sheet_columns import SheetColumns
from webapp.costing.cutting.sheet_master import Contents, Relaxed

ROUNDS: Final = 1
"""How often new patterns are priced after each purchase."""
SHEETS_LEFT: Final = 3.5
"""The dive ends where so few sheets are left: their pieces are better laid by search."""


def dive(columns: SheetColumns, pick: random.Random) -> list[PackedSheet]:
    """Sheets bought one after another; what they don't hold is left over. Each choice varies a little with `pick`."""
    problem, master = columns.problem, columns.master
    left = [kind.count for kind in problem.kinds]
    limits = [sheet.limit for sheet in problem.sheets]
    largest = max(sheet.area for sheet in problem.sheets)
    bought: list[PackedSheet] = []
    try:
        while columns.has_time():
            area = sum(kind.area * number for kind, number in zip(problem.kinds, left, strict=True))
            if area <= SHEETS_LEFT * largest:
                break
            relaxed = columns.priced_again(ROUNDS)
            if relaxed is None:
                break
            chosen = _surest(columns, relaxed, left, limits, pick)
            if chosen is None:
                break
            contents, times = chosen
            for _ in range(times):
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
) -> tuple[Contents, int] | None:
    problem = columns.problem
    best: tuple[float, Contents, int] | None = None
    for use, contents in zip(relaxed.uses, columns.master.columns, strict=False):
        if use < 1e-6 or contents not in columns.pool or not limits[contents[0]]:
            continue
        useful = sum(problem.kinds[kind].area * min(number, left[kind]) for kind, number in contents[1])
        fill = useful / problem.sheets[contents[0]].area
        rank = (min(use, 1.0) + 0.3 * pick.random()) * fill**2
        if best is None or rank > best[0]:
            best = rank, contents, max(1, min(floor(use + 1e-6), limits[contents[0]]))
    return None if best is None else best[1:]


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
