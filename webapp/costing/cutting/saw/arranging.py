"""A planned sheet with its pieces moved so that few settings saw it: wide slices first, equal ones together."""

from __future__ import annotations

from collections.abc import Sequence

from webapp.costing.cutting.ask.model import CutSheet, Placement, SheetRequest
from webapp.costing.cutting.saw.parting import Parting, Slice
from webapp.costing.cutting.saw.sequence import no_worse, sawn_sheet, tree_of


def arranged(request: SheetRequest, sheet: CutSheet) -> CutSheet:
    """The same pieces on the same sheet, each slice of a workpiece pushed to the corner in the order of sawing.

    No piece is turned, no rest becomes smaller, no cut comes to be or to break a limit of the saw: where one would, the
    sheet stays as it is. Slices that share pieces which belong together keep their order and what lies in them, so that
    the grain runs on. What the router cuts stays as it is.
    """
    if request.method != "saw":
        return sheet
    sawn = sawn_sheet(request, sheet)
    tree = tree_of(sawn)
    if tree is None:
        return sheet
    groups = {piece.id: piece.together for piece in request.pieces}
    names = [(put.piece, put.turned) for put in sheet.placements]
    together = [groups[put.piece] for put in sheet.placements]
    moved = {place: (put.x, put.y) for place, put in enumerate(sheet.placements)}
    waiting: list[tuple[Parting, int, int]] = [(tree, 0, 0)]
    while waiting:
        parting, right, up = waiting.pop()
        axis = parting.axis
        at = parting.area[axis] + (up if axis else right)
        shared = _share_a_group(parting.slices, together)
        for index in range(len(parting.slices)) if shared else _order(parting, names):
            one = parting.slices[index]
            by = at - one.area[axis]
            at += one.area[axis + 2] - one.area[axis] + request.kerf
            shift = (right, by) if axis else (by, up)
            inner = parting.within[index]
            if inner is not None and not shared:
                waiting.append((inner, *shift))
                continue
            for place in one.places:
                put = sheet.placements[place]
                moved[place] = (put.x + shift[0], put.y + shift[1])
    placements = [Placement(put.piece, *moved[place], put.turned) for place, put in enumerate(sheet.placements)]
    placements.sort(key=lambda put: (put.y, put.x, put.piece))
    better = CutSheet(sheet.stock, sheet.count, tuple(placements))
    return better if no_worse(sawn_sheet(request, better), sawn) else sheet


def _order(parting: Parting, names: Sequence[tuple[str, bool]]) -> list[int]:
    """The slices of a workpiece by their places, the widest first, equal ones with equal pieces beside each other."""
    slices, axis = parting.slices, parting.axis

    def worth(index: int) -> tuple[int, list[tuple[str, bool]]]:
        one = slices[index]
        return one.area[axis] - one.area[axis + 2], sorted(names[place] for place in one.places)

    return sorted(range(len(slices)), key=worth)


def _share_a_group(slices: Sequence[Slice], together: Sequence[str]) -> bool:
    """Whether pieces that belong together lie in more than one slice."""
    seen: set[str] = set()
    for one in slices:
        here = {together[place] for place in one.places} - {""}
        if here & seen:
            return True
        seen |= here
    return False
