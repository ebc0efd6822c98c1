"""Other packings of the same pieces that may be sawn for less: each sheet laid again, and whole simple packings."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from webapp.costing.cutting.ask.effort import Effort
from webapp.costing.cutting.ask.model import Sawing
from webapp.costing.cutting.laying.cuts import count_cuts
from webapp.costing.cutting.laying.packing import Fit, PackedSheet, Split, fewest_cuts_of, pack
from webapp.costing.cutting.laying.problem import SheetProblem
from webapp.costing.cutting.sheets.search import Packing, orders_of, whole_packings

#: Whole packings are made anew for so many pieces at most; beyond, the sheets of the plan alone are laid again.
MOST_PIECES: Final = 400
#: So many packings are sawn to the end, the most promising first.
MOST_SAWN: Final = 6

#: Strips that run on over the sheet come first: they share their cuts.
MANNERS: Final = tuple((fit, split) for split in Split for fit in (Fit.LEAST_GAP, Fit.LEAST_AREA))


#: Each stock and the pieces that lay together on it, with the sheet laid for the fewest cuts.
Known = dict[tuple[int, tuple[int, ...]], PackedSheet | None]


def sawn_for_less(problem: SheetProblem, packing: Packing, prices: Sawing, effort: Effort) -> list[Packing]:
    """The packing itself, then those that a rough count of their cuts lets hope for less money in all.

    All place every piece. They depend on the packing and the problem alone; the clock only stops the work.
    """
    each = min(prices.parting, prices.at_stop)
    known: Known = {}
    found = [packing, _laid_again(problem, packing, known, effort)]
    if problem.count <= MOST_PIECES:
        for other in whole_packings(problem, MANNERS, effort):
            if not other.homeless:
                found.append(_laid_again(problem, other, known, effort))

    def rough(one: Packing) -> Fraction:
        return one.price * problem.price_unit + each * sum(count_cuts(problem, sheet) for sheet in one.sheets)

    first, *others = found
    seen = {rough(first)}
    promising: list[Packing] = []
    for money, one in sorted(((rough(one), one) for one in others), key=lambda pair: pair[0]):
        # What is as dear and has as many cuts is laid much alike.
        if money not in seen:
            seen.add(money)
            promising.append(one)
    return [first, *promising[:MOST_SAWN]]


def _laid_again(problem: SheetProblem, packing: Packing, known: Known, effort: Effort) -> Packing:
    """The same sheets, each with its pieces laid for the fewest cuts."""
    return Packing(
        [_fewest_cuts(problem, sheet, known, effort) for sheet in packing.sheets], packing.homeless, packing.price
    )


def _fewest_cuts(problem: SheetProblem, sheet: PackedSheet, known: Known, effort: Effort) -> PackedSheet:
    """The sheet with its pieces laid for fewer cuts where any order does it; what lay together before is known."""
    pieces = tuple(sorted(laid[0] for laid in sheet.laid))
    if (sheet.sheet, pieces) not in known:
        if effort.out_of_time():
            return sheet
        known[sheet.sheet, pieces] = _laid_best(problem, sheet.sheet, list(pieces), effort)
    best = known[sheet.sheet, pieces]
    return best if best is not None and count_cuts(problem, best) < count_cuts(problem, sheet) else sheet


def _laid_best(problem: SheetProblem, sheet: int, pieces: list[int], effort: Effort) -> PackedSheet | None:
    """All pieces on one such sheet in the order and the manner with the fewest cuts; None where none holds them."""
    found = fewest_cuts_of(problem, orders_of(problem, pieces), MANNERS, sheet, effort)
    if found is None:
        return None
    order, (fit, split) = found
    again = pack(problem, order, [(sheet, 1)], fit, split, Effort.of(1, None), all_or_none=True)
    assert again is not None
    return again[0][0]
