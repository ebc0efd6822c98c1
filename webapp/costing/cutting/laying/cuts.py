"""How many cuts a packed sheet is likely to take: what the search compares, before the sequence is known."""

from __future__ import annotations

from webapp.costing.cutting.laying.packing import PackedSheet
from webapp.costing.cutting.laying.problem import SheetProblem


def count_cuts(problem: SheetProblem, sheet: PackedSheet) -> int:
    """The cuts that trim the sheet and part its pieces as they were laid; the sequence of a plan may need fewer.

    Each laid piece is freed by at most two cuts: one over the whole free rectangle that it lay in, one over the strip
    that this leaves. A remainder thinner than the kerf still needs its cut; a piece that reaches the edge needs none.
    The router cuts round each piece instead, without trimming.
    """
    if problem.by_router:
        return sum(
            len(kind.blocks[0].members) if kind.blocks else 1
            for kind in (problem.kinds[laid[0]] for laid in sheet.laid)
        )
    cuts = trimming_cuts(problem, sheet)
    for index, _, _, shape, free_along, free_across, _ in sheet.laid:
        kind = problem.kinds[index]
        along, across = kind.shapes[shape]
        if kind.blocks:
            cuts += kind.blocks[shape].cuts()
        cuts += (free_along > along) + (free_across > across)
    return cuts


def trimming_cuts(problem: SheetProblem, sheet: PackedSheet) -> int:
    """The cuts that trim a sheet."""
    trim = problem.sheets[sheet.sheet].stock.trim
    return sum(1 for lost in (trim.low, trim.high, trim.start, trim.end) if lost)
