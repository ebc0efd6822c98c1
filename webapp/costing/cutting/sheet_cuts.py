"""The saw cuts of a packed sheet: how many, how long."""

from __future__ import annotations

from webapp.costing.cutting.packing import PackedSheet
from webapp.costing.cutting.sheet_problem import SheetProblem


def count_cuts(problem: SheetProblem, sheet: PackedSheet) -> tuple[int, int]:
    """The cuts that trim the sheet and part its pieces, and their length in the request's unit.

    Each laid piece is freed by at most two cuts: one over the whole free rectangle that it lay in, one over the strip
    that this leaves. A remainder thinner than the kerf still needs its cut; a piece that reaches the edge needs none.
    The router cuts round each piece instead: as many outlines as pieces, and no trimming.
    """
    if problem.by_router:
        return _outlines(problem, sheet)
    stock = problem.sheets[sheet.sheet].stock
    cuts = 0
    length = 0
    trim = stock.trim
    for lost in (trim.low, trim.high):
        if lost:
            cuts += 1
            length += stock.length
    for lost in (trim.start, trim.end):
        if lost:
            cuts += 1
            length += stock.width - trim.low - trim.high
    for index, _, _, shape, free_along, free_across, across_first in sheet.laid:
        kind = problem.kinds[index]
        along, across = kind.shapes[shape]
        if kind.blocks:
            inside, inside_length = kind.blocks[shape].cuts()
            cuts += inside
            length += inside_length * problem.unit - inside * problem.kerf
        if free_along > along:
            cuts += 1
            length += (free_across if across_first else across) * problem.unit - problem.kerf
        if free_across > across:
            cuts += 1
            length += (along if across_first else free_along) * problem.unit - problem.kerf
    return cuts, length


def _outlines(problem: SheetProblem, sheet: PackedSheet) -> tuple[int, int]:
    sides: list[tuple[int, int]] = []
    for index, _, _, shape, *_ in sheet.laid:
        kind = problem.kinds[index]
        if kind.blocks:
            sides += [(member.along, member.across) for member in kind.blocks[shape].members]
        else:
            sides.append(kind.shapes[shape])
    return len(sides), sum(2 * ((along + across) * problem.unit - 2 * problem.kerf) for along, across in sides)
