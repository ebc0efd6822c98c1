"""A cut plan moved by hand: pieces on sheets of their own, one step after another, and where a piece could go."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from webapp.costing.cutting.ask.model import CutSheet, Placement, SheetPiece, SheetRequest, SheetStock
from webapp.costing.cutting.ask.saw_rules import Box
from webapp.costing.cutting.hand.judging import boxes_of, extent, folded, interlocked, judge_sheet_plan, too_near

#: Free corners shown of one sheet.
MOST_PLACES: int = 8


@dataclass(frozen=True, slots=True)
class Lying:
    """One piece as it lies: on which sheet, and where on it, as a placement says it."""

    piece: str
    sheet: int
    x: int
    y: int
    turned: bool


@dataclass(frozen=True, slots=True)
class Trial:
    """Sheets by their stock, and every piece by a number that it keeps through all moves. A sheet may be empty."""

    sheets: tuple[str, ...]
    lying: tuple[Lying, ...]

    def on(self, sheet: int) -> tuple[int, ...]:
        """The numbers of the pieces on a sheet."""
        return tuple(number for number, one in enumerate(self.lying) if one.sheet == sheet)

    def cut_sheets(self) -> tuple[CutSheet, ...]:
        """The sheets one by one, in their order, the empty ones among them; their pieces as `on` has them."""
        laid: list[list[Placement]] = [[] for _ in self.sheets]
        for one in self.lying:
            laid[one.sheet].append(Placement(one.piece, one.x, one.y, one.turned))
        return tuple(CutSheet(stock, 1, tuple(put)) for stock, put in zip(self.sheets, laid, strict=True))

    def moved(self, number: int, sheet: int, x: int, y: int, turned: bool) -> Trial:
        """The trial with one piece elsewhere."""
        lying = list(self.lying)
        lying[number] = Lying(lying[number].piece, sheet, x, y, turned)
        return replace(self, lying=tuple(lying))

    def with_sheet(self, stock: str) -> Trial:
        """The trial with one more sheet, still empty."""
        return replace(self, sheets=(*self.sheets, stock))

    def swapped(self, number: int, other: int) -> Trial:
        """The trial with two pieces each at the other's corner; both keep the way they lie."""
        one, two = self.lying[number], self.lying[other]
        return self.moved(number, two.sheet, two.x, two.y, one.turned).moved(other, one.sheet, one.x, one.y, two.turned)


@dataclass(frozen=True, slots=True)
class Free:
    """A place that a piece could go to and leave the sheet as it should be; the sheet may be a new one of a stock."""

    sheet: int
    stock: str
    x: int
    y: int
    turned: bool


def begin(sheets: Sequence[CutSheet]) -> Trial:
    """A plan's sheets as a trial, those alike laid out one by one."""
    stocks: list[str] = []
    lying: list[Lying] = []
    for sheet in sheets:
        for _ in range(sheet.count):
            lying += [Lying(put.piece, len(stocks), put.x, put.y, put.turned) for put in sheet.placements]
            stocks.append(sheet.stock)
    return Trial(tuple(stocks), tuple(lying))


def free_places(request: SheetRequest, trial: Trial, number: int) -> tuple[Free, ...]:
    """Where one piece could go: the free corners of the sheets in sight, then the corner of a new sheet of each stock.

    A corner is where the piece can neither slide to the left nor up; each leaves its sheet without a fault, whatever
    is wrong on other sheets. Of sheets alike only the first is looked at.
    """
    piece = next(one for one in request.pieces if one.id == trial.lying[number].piece)
    stocks = {stock.id: stock for stock in request.stocks}
    now = trial.lying[number]
    found: list[Free] = []
    seen: set[tuple[object, ...]] = set()
    for sheet, name in enumerate(trial.sheets):
        others = [trial.lying[other] for other in trial.on(sheet) if other != number]
        puts = [Placement(one.piece, one.x, one.y, one.turned) for one in others]
        alike = (name, tuple(puts), sheet == now.sheet)
        if name not in stocks or alike in seen:
            continue
        seen.add(alike)
        boxes = boxes_of(request, puts)
        places = [
            Free(sheet, name, x, y, turned)
            for turned in ((False, True) if piece.may_turn and piece.length != piece.width else (False,))
            for x, y in _corners(piece, turned, boxes, stocks[name], request.kerf)
            if (sheet, x, y, turned) != (now.sheet, now.x, now.y, now.turned)
        ]
        places = [one for one in places if _keeps_whole(request, stocks[name], puts, piece, one)]
        found += sorted(places, key=lambda one: (one.y, one.x, one.turned))[:MOST_PLACES]
    used = Counter(trial.sheets[sheet] for sheet in {one.sheet for one in trial.lying})
    for stock in request.stocks:
        if stock.available is not None and used[stock.id] >= stock.available:
            continue
        for turned in (False, True) if piece.may_turn and piece.length != piece.width else (False,):
            fits = _corners(piece, turned, [], stock, request.kerf)
            found += [Free(len(trial.sheets), stock.id, x, y, turned) for x, y in fits]
    return tuple(found)


def _corners(piece: SheetPiece, turned: bool, boxes: list[Box], stock: SheetStock, kerf: int) -> list[tuple[int, int]]:
    """The corners at which a piece fits among others and touches something to its left and above."""
    along, across = extent(piece, turned)
    trim = stock.trim
    last_x, last_y = stock.length - trim.end - along, stock.width - trim.high - across
    found = []
    for x in sorted({trim.start, *(box[2] + kerf for box in boxes)}):
        if not trim.start <= x <= last_x:
            continue
        for y in sorted({trim.low, *(box[3] + kerf for box in boxes)}):
            if not trim.low <= y <= last_y:
                continue
            laid = (x, y, x + along, y + across)
            if any(too_near(laid, box, kerf) for box in boxes):
                continue
            by_x = x == trim.start or any(box[2] + kerf == x and _meet(box, laid, 1, kerf) for box in boxes)
            by_y = y == trim.low or any(box[3] + kerf == y and _meet(box, laid, 0, kerf) for box in boxes)
            if by_x and by_y:
                found.append((x, y))
    return found


def _meet(one: Box, other: Box, axis: int, kerf: int) -> bool:
    return one[axis] < other[axis + 2] + kerf and other[axis] < one[axis + 2] + kerf


def _keeps_whole(
    request: SheetRequest, stock: SheetStock, puts: list[Placement], piece: SheetPiece, free: Free
) -> bool:
    """Whether a sheet is still as it should be with the piece on it."""
    laid = [*puts, Placement(piece.id, free.x, free.y, free.turned)]
    if request.method == "saw" and interlocked(folded(boxes_of(request, laid), stock, request.kerf)[0]):
        return False
    if request.method == "router" or (not request.smallest_strip and request.most_turns is None):
        return True
    alone = replace(request, pieces=tuple(replace(one, count=0, together="") for one in request.pieces))
    faults = judge_sheet_plan(alone, (CutSheet(stock.id, 1, tuple(laid)),)).faults
    return all(fault.sheet is None for fault in faults)


def largest_offcut(request: SheetRequest, sheets: Sequence[CutSheet]) -> tuple[int, int]:
    """The largest free rectangle of all sheets, by area, as its longer and shorter side; (0, 0) where there is none."""
    stocks = {stock.id: stock for stock in request.stocks}
    best = (0, 0)
    for sheet in sheets:
        if sheet.stock not in stocks or not sheet.placements:
            continue
        laid, whole = folded(boxes_of(request, sheet.placements), stocks[sheet.stock], request.kerf)
        for one in _free_rectangles(laid, whole):
            sides = one[0] - request.kerf, one[1] - request.kerf
            if min(sides) > 0 and sides[0] * sides[1] > best[0] * best[1]:
                best = max(sides), min(sides)
    return best


def _free_rectangles(laid: Sequence[Box], whole: Box) -> list[tuple[int, int]]:
    """For every pair of left and right edges the tallest free room between them, as (along, across)."""
    found = []
    for left in sorted({whole[0], *(box[2] for box in laid)}):
        for right in sorted({whole[2], *(box[0] for box in laid)}):
            if right <= left:
                continue
            at, tallest = whole[1], 0
            held = sorted((box[1], box[3]) for box in laid if box[0] < right and box[2] > left)
            for low, high in (*held, (whole[3], whole[3])):
                tallest = max(tallest, low - at)
                at = max(at, high)
            found.append((right - left, tallest))
    return found
