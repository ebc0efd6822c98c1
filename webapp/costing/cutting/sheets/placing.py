"""From laid kinds back to the pieces asked for: which piece lies where, and which found no place."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from itertools import combinations

from webapp.costing.cutting.ask.model import Placement, SheetPlan, Trim, Unplaced
from webapp.costing.cutting.ask.saw_rules import can_part
from webapp.costing.cutting.laying.packing import Laid, PackedSheet, boxes_on
from webapp.costing.cutting.laying.problem import SheetProblem
from webapp.costing.cutting.sheets.search import Packing

Waiting = dict[int, list[tuple[str, bool]]]
"""For each kind its pieces that are still to be laid, the next one last; whether its along is the piece's width."""


def share_out(problem: SheetProblem, homeless: Iterable[int]) -> tuple[tuple[Unplaced, ...], Waiting]:
    """Which requested pieces stand behind the kinds still to be laid; those without a place are the last listed."""
    waiting: Waiting = {
        number: [(owner.piece.id, owner.flipped) for owner in kind.owners for _ in range(owner.piece.count)]
        for number, kind in enumerate(problem.kinds)
        if not kind.blocks
    }
    missing: Counter[str] = Counter()
    unplaced: list[Unplaced] = []
    for number in homeless:
        kind = problem.kinds[number]
        if kind.blocks:
            name = kind.owners[0].piece.together
            why = f"There are not enough sheets for the pieces kept together as '{name}'."
            unplaced += [Unplaced(owner.piece.id, owner.piece.count, why) for owner in kind.owners]
        else:
            missing[waiting[number].pop()[0]] += 1
    for pieces in waiting.values():
        pieces.reverse()
    unplaced += [
        Unplaced(piece, count, f"There are not enough sheets for {count} of the piece '{piece}'.")
        for piece, count in missing.items()
    ]
    return tuple(unplaced), waiting


def placements_of(problem: SheetProblem, sheet: PackedSheet, waiting: Waiting) -> tuple[Placement, ...]:
    """The pieces of one laid sheet, those of a group in their places in its block; each is taken from `waiting`."""
    trim, unit = problem.sheets[sheet.sheet].stock.trim, problem.unit
    placements = []
    for index, x, y, shape, *_ in sorted(sheet.laid):
        left, low = trim.start + x * unit, trim.low + y * unit
        blocks = problem.kinds[index].blocks
        if blocks:
            placements += [
                Placement(one.piece, left + one.x * unit, low + one.y * unit, one.turned)
                for one in blocks[shape].members
            ]
        else:
            piece, flipped = waiting[index].pop()
            placements.append(Placement(piece, left, low, bool(shape) is not flipped))
    return tuple(placements)


def laid_again(problem: SheetProblem, plan: SheetPlan) -> Packing | None:
    """A plan known before as a packing of this problem; None where it does not answer it."""
    kinds = {owner.piece.id: (index, owner) for index, kind in enumerate(problem.kinds) for owner in kind.owners}
    stocks = {stock.id: place for place, sheet in enumerate(problem.sheets) for stock in sheet.offered.stocks}
    wanted = Counter({piece: owner.piece.count for piece, (_, owner) in kinds.items()})
    placed: Counter[str] = Counter()
    sheets: list[PackedSheet] = []
    for cut in plan.sheets:
        if cut.stock not in stocks or any(put.piece not in kinds for put in cut.placements):
            return None
        place = stocks[cut.stock]
        trim = problem.sheets[place].stock.trim
        laid: list[Laid | None] = []
        blocks: defaultdict[int, list[Placement]] = defaultdict(list)
        for put in cut.placements:
            placed[put.piece] += cut.count
            index, owner = kinds[put.piece]
            if problem.kinds[index].blocks:
                blocks[index].append(put)
            else:
                shape = int(put.turned is not owner.flipped)
                laid.append(_laid(problem, index, shape, put.x - trim.start, put.y - trim.low))
        laid += [_block_again(problem, index, puts, trim) for index, puts in blocks.items()]
        found = [one for one in laid if one is not None]
        if len(found) < len(laid):
            return None
        used = sum(problem.kinds[one[0]].area for one in found)
        sheets += [PackedSheet(place, list(found), used, 0) for _ in range(cut.count)]
    bought = Counter(sheet.sheet for sheet in sheets)
    if any(number > problem.sheets[place].limit for place, number in bought.items()) or placed - wanted:
        return None
    missing = wanted - placed
    homeless = [kinds[piece][0] for piece, count in missing.items() for _ in range(count)]
    homeless = [index for index in homeless if not problem.kinds[index].blocks]
    homeless += {kinds[piece][0] for piece in missing if problem.kinds[kinds[piece][0]].blocks}
    packing = Packing(sheets, homeless, problem.price_of(sheet.sheet for sheet in sheets))
    return packing if all(_still_lies(problem, sheet) for sheet in sheets) else None


def _laid(problem: SheetProblem, index: int, shape: int, left: int, low: int) -> Laid | None:
    """A piece or block at a place in the request's unit; None where it may not lie so."""
    shapes = problem.kinds[index].shapes
    (x, rest_x), (y, rest_y) = divmod(left, problem.unit), divmod(low, problem.unit)
    if shape >= len(shapes) or rest_x or rest_y:
        return None
    return (index, x, y, shape, *shapes[shape], True)


def _block_again(problem: SheetProblem, index: int, puts: list[Placement], trim: Trim) -> Laid | None:
    """The block whose pieces lie to each other as these do; None where there is none, or some are elsewhere."""
    left, low = min(put.x for put in puts), min(put.y for put in puts)
    lie = Counter((put.piece, put.x - left, put.y - low, put.turned) for put in puts)
    unit = problem.unit
    for shape, block in enumerate(problem.kinds[index].blocks):
        if lie == Counter((one.piece, one.x * unit, one.y * unit, one.turned) for one in block.members):
            return _laid(problem, index, shape, left - trim.start, low - trim.low)
    return None


def _still_lies(problem: SheetProblem, sheet: PackedSheet) -> bool:
    """Whether what was laid for a question that may have been another lies within the sheet, apart, and can be had."""
    whole = problem.sheets[sheet.sheet]
    boxes = boxes_on(problem, sheet)
    if not all(box[0] >= 0 and box[1] >= 0 and box[2] <= whole.along and box[3] <= whole.across for box in boxes):
        return False
    if problem.by_router:
        return not any(
            one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
            for one, other in combinations(boxes, 2)
        )
    return can_part(problem.rules, boxes, (0, 0, whole.along, whole.across))
