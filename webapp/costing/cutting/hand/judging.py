"""Whether sheets laid out by hand may be cut as they lie: every rule, each breach said with the distance missing."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.cutting.ask.model import (
    CutSheet,
    Placement,
    SheetPiece,
    SheetPlan,
    SheetRequest,
    SheetStock,
    Unplaced,
)
from webapp.costing.cutting.ask.price_breaks import price_of_cut
from webapp.costing.cutting.ask.saw_rules import ANY_TURNS, Box, SawRules, can_part
from webapp.costing.cutting.saw.sequence import sequence_totals

#: Turns tried in finding how many a sheet would take.
MOST_TURNS_TRIED: Final = 12


@dataclass(frozen=True, slots=True)
class Words:
    """How the sentences name a piece, a stock and a length; as the request has them unless told otherwise."""

    piece: Callable[[str], str] = "'{}'".format
    stock: Callable[[str], str] = "'{}'".format
    length: Callable[[int], str] = str


PLAIN: Final = Words()


@dataclass(frozen=True, slots=True)
class Fault:
    """One rule broken: the sheet by its place (None for the plan as a whole), its pieces by their places on it.

    `missing` is the distance that would have to be gained, 0 where no distance would help.
    """

    sentence: str
    sheet: int | None = None
    pieces: tuple[int, ...] = ()
    missing: int = 0


@dataclass(frozen=True, slots=True)
class Judged:
    """What stands against the sheets, and what they come to as a plan; with faults the plan is only to be looked at."""

    faults: tuple[Fault, ...]
    plan: SheetPlan


def judge_sheet_plan(
    request: SheetRequest, sheets: tuple[CutSheet, ...], known: SheetPlan | None = None, words: Words = PLAIN
) -> Judged:
    """Judge sheets against all that the request asks: every breach is returned, not only the first.

    `known` is a plan for the same request: its bound is the bound here too, and the pieces that it leaves out may be
    missing here. Sheets are counted from 1 in the sentences; sheets without pieces are not bought.
    """
    judge = _Judge(request, words)
    faults = [fault for place, sheet in enumerate(sheets) for fault in judge.sheet(place, sheet)]
    unplaced, missing = judge.left_out(sheets, known)
    faults += [*missing, *judge.kept_apart(sheets), *judge.short_stock(sheets)]
    return Judged(tuple(faults), _plan(request, sheets, known, unplaced))


def extent(piece: SheetPiece, turned: bool) -> tuple[int, int]:
    """How far a piece reaches along and across the sheet."""
    return (piece.width, piece.length) if turned else (piece.length, piece.width)


def boxes_of(request: SheetRequest, placements: Sequence[Placement]) -> list[Box]:
    """Placed pieces as rectangles from the raw sheet's corner: left, low, right, high."""
    pieces = {piece.id: piece for piece in request.pieces}
    found = []
    for put in placements:
        along, across = extent(pieces[put.piece], put.turned)
        found.append((put.x, put.y, put.x + along, put.y + across))
    return found


def folded(boxes: Sequence[Box], stock: SheetStock, kerf: int) -> tuple[list[Box], Box]:
    """Rectangles and the usable sheet with one kerf added to each, from the usable corner: lines then have no width."""
    trim = stock.trim
    whole = (0, 0, stock.length - trim.start - trim.end + kerf, stock.width - trim.low - trim.high + kerf)
    return [
        (left - trim.start, low - trim.low, right - trim.start + kerf, high - trim.low + kerf)
        for left, low, right, high in boxes
    ], whole


def too_near(one: Box, other: Box, kerf: int) -> int:
    """What two rectangles lack to be apart by the kerf, along the sheet or across it; 0 where they are."""
    along = max(other[0] - one[2], one[0] - other[2])
    across = max(other[1] - one[3], one[1] - other[3])
    return max(0, kerf - max(along, across))


class _Judge:
    """The rules of one request."""

    def __init__(self, request: SheetRequest, words: Words) -> None:
        self.request, self.words = request, words
        self.pieces = {piece.id: piece for piece in request.pieces}
        self.stocks = {stock.id: stock for stock in request.stocks}

    def sheet(self, place: int, sheet: CutSheet) -> Iterator[Fault]:
        """What is wrong on one sheet."""
        request, words, stock = self.request, self.words, self.stocks.get(sheet.stock)
        if stock is None:
            yield Fault(f"Sheet {place + 1} is {words.stock(sheet.stock)}, which is not offered.", place)
            return
        unknown = [put.piece for put in sheet.placements if put.piece not in self.pieces]
        if unknown:
            for piece in unknown:
                yield Fault(f"Sheet {place + 1} holds {words.piece(piece)}, which nothing asks for.", place)
            return
        boxes, sound = boxes_of(request, sheet.placements), True
        for number, (put, box) in enumerate(zip(sheet.placements, boxes, strict=True)):
            for fault in self._alone(place, number, put, box, stock):
                sound = False
                yield fault
        for fault in self._pairs(place, sheet, boxes):
            sound = False
            yield fault
        if sound and request.method == "saw":
            yield from self._parting(place, boxes, stock)

    def _alone(self, place: int, number: int, put: Placement, box: Box, stock: SheetStock) -> Iterator[Fault]:
        words, trim = self.words, stock.trim
        name = words.piece(put.piece)
        if put.turned and not self.pieces[put.piece].may_turn:
            yield Fault(f"{name} on sheet {place + 1} is turned against its grain.", place, (number,))
        for side, missing, lost in (
            ("left", trim.start - box[0], trim.start),
            ("right", box[2] - stock.length + trim.end, trim.end),
            ("top", trim.low - box[1], trim.low),
            ("bottom", box[3] - stock.width + trim.high, trim.high),
        ):
            if missing > 0:
                where = "into the trim at" if missing <= lost else "over"
                said = f"{name} on sheet {place + 1} reaches {words.length(missing)} {where} its {side} edge."
                yield Fault(said, place, (number,), missing)

    def _pairs(self, place: int, sheet: CutSheet, boxes: list[Box]) -> Iterator[Fault]:
        words, kerf = self.words, self.request.kerf
        taken = "the saw" if self.request.method == "saw" else "the router"
        order = sorted(range(len(boxes)), key=lambda number: boxes[number][0])
        for at, first in enumerate(order):
            for second in order[at + 1 :]:
                if boxes[second][0] >= boxes[first][2] + kerf:
                    break
                missing = too_near(boxes[first], boxes[second], kerf)
                if not missing:
                    continue
                one, other = sorted((first, second))
                both = f"{words.piece(sheet.placements[one].piece)} and {words.piece(sheet.placements[other].piece)}"
                if missing > kerf:
                    said = f"{both} on sheet {place + 1} overlap by {words.length(missing - kerf)}"
                    said += f", and {taken} takes {words.length(kerf)} more." if kerf else "."
                else:
                    said = (
                        f"{both} on sheet {place + 1} lie {words.length(kerf - missing)} apart; {taken} takes "
                        f"{words.length(kerf)}, so {words.length(missing)} is missing."
                    )
                yield Fault(said, place, (one, other), missing)

    def _parting(self, place: int, boxes: list[Box], stock: SheetStock) -> Iterator[Fault]:
        """What stands against the saw on a sheet whose pieces lie well apart."""
        request, words = self.request, self.words
        laid, whole = folded(boxes, stock, request.kerf)
        held = tuple(interlocked(laid))
        if held:
            yield Fault(
                f"Sheet {place + 1} can't be parted by cuts from edge to edge: {len(held)} of its pieces hold each "
                "other, and every line over all of them meets one.", place, held,
            )  # fmt: skip
            return
        least = request.smallest_strip + request.kerf if request.smallest_strip else 0
        most = ANY_TURNS if request.most_turns is None else request.most_turns
        rules, everything = SawRules(least, most), tuple(range(len(boxes)))
        if not rules.bind() or can_part(rules, laid, whole):
            return
        if most < ANY_TURNS and not can_part(SawRules(0, most), laid, whole):
            takes = next((n for n in range(most + 1, MOST_TURNS_TRIED) if can_part(SawRules(0, n), laid, whole)), 0)
            needs = f"takes {takes} turn{'s' * (takes > 1)}" if takes else f"takes more than {most} turns"
            yield Fault(
                f"Sheet {place + 1} {needs} between rip and cross cuts; the shop allows {most}.",
                place,
                everything,
            )
            return
        narrow = self._widest_that_parts(laid, whole, least, most)
        yield Fault(
            f"On sheet {place + 1} a part of {words.length(max(narrow - request.kerf, 0))} would have to be cut again; "
            f"the saw can hold {words.length(request.smallest_strip)}, so {words.length(least - narrow)} is missing.",
            place, everything, least - narrow,
        )  # fmt: skip

    @staticmethod
    def _widest_that_parts(laid: list[Box], whole: Box, least: int, most: int) -> int:
        """The largest least size under which the sheet could still be parted."""
        low, high = 0, least
        while high - low > 1:
            middle = (low + high) // 2
            if can_part(SawRules(middle, most), laid, whole):
                low = middle
            else:
                high = middle
        return low

    def left_out(
        self, sheets: tuple[CutSheet, ...], known: SheetPlan | None
    ) -> tuple[tuple[Unplaced, ...], list[Fault]]:
        """The pieces that may be missing, and what is wrong with how often the others are there."""
        placed: Counter[str] = Counter()
        for sheet in sheets:
            for put in sheet.placements:
                placed[put.piece] += sheet.count
        allowed = {left.piece: left for left in known.unplaced} if known is not None else {}
        unplaced, faults = list[Unplaced](), list[Fault]()
        for piece in self.request.pieces:
            missing = piece.count - placed[piece.id]
            left = allowed.get(piece.id)
            if missing > 0 and left is not None and missing <= left.count:
                unplaced.append(Unplaced(piece.id, missing, left.why))
            elif missing > 0:
                faults.append(Fault(f"{missing} of {self.words.piece(piece.id)} lie on no sheet."))
            elif missing < 0:
                faults.append(Fault(f"{-missing} of {self.words.piece(piece.id)} are on the sheets too many."))
        return tuple(unplaced), faults

    def kept_apart(self, sheets: tuple[CutSheet, ...]) -> Iterator[Fault]:
        """Pieces that must come from one sheet and don't."""
        lie: defaultdict[str, set[int]] = defaultdict(set)
        several: set[str] = set()
        for place, sheet in enumerate(sheets):
            for put in sheet.placements:
                group = self.pieces[put.piece].together if put.piece in self.pieces else ""
                if group:
                    lie[group].add(place)
                    several |= {group} if sheet.count > 1 else set()
        for group, places in sorted(lie.items()):
            members = [piece.id for piece in self.request.pieces if piece.together == group]
            names = ", ".join(self.words.piece(piece) for piece in members)
            if len(places) > 1:
                where = " and ".join(str(place + 1) for place in sorted(places))
                yield Fault(f"{names} must come from one sheet, grain-matched; they lie on sheets {where}.")
            elif group in several:
                yield Fault(f"{names} must come from one sheet, grain-matched; they lie on several alike.")

    def short_stock(self, sheets: tuple[CutSheet, ...]) -> Iterator[Fault]:
        """Stocks of which more is used than there is."""
        used: Counter[str] = Counter()
        for sheet in sheets:
            used[sheet.stock] += sheet.count if sheet.placements else 0
        for stock in self.request.stocks:
            if stock.available is not None and used[stock.id] > stock.available:
                name = self.words.stock(stock.id)
                yield Fault(f"{used[stock.id]} sheets of {name} are used; there are only {stock.available}.")


def interlocked(boxes: Sequence[Box]) -> list[int]:
    """The places of the pieces, kerf folded in, that no line from edge to edge parts; empty where all can be parted."""
    waiting = [list(range(len(boxes)))]
    while waiting:
        places = waiting.pop()
        groups = _groups(boxes, places, 0)
        if len(groups) == 1:
            groups = _groups(boxes, places, 1)
        if len(groups) > 1:
            waiting += groups
        elif len(places) > 1:
            return sorted(places)
    return []


def _groups(boxes: Sequence[Box], places: list[int], axis: int) -> list[list[int]]:
    found: list[list[int]] = []
    reach = 0
    for place in sorted(places, key=lambda one: boxes[one][axis]):
        if not found or boxes[place][axis] >= reach:
            found.append([])
        found[-1].append(place)
        reach = max(reach, boxes[place][axis + 2])
    return found


def _plan(
    request: SheetRequest, sheets: tuple[CutSheet, ...], known: SheetPlan | None, unplaced: tuple[Unplaced, ...]
) -> SheetPlan:
    """The sheets as a plan, those without pieces or stock left out and those alike put together."""
    stocks = {stock.id: stock for stock in request.stocks}
    pieces = {piece.id: piece for piece in request.pieces}
    alike: Counter[tuple[str, tuple[Placement, ...]]] = Counter()
    for sheet in sheets:
        known_pieces = tuple(put for put in sheet.placements if put.piece in pieces)
        if known_pieces and sheet.stock in stocks:
            alike[sheet.stock, known_pieces] += sheet.count
    covered: defaultdict[str, int] = defaultdict(int)
    bought: Counter[str] = Counter()
    for (name, placements), count in alike.items():
        bought[name] += count
        covered[name] += count * sum(pieces[put.piece].length * pieces[put.piece].width for put in placements)
    price = price_of_cut(request.stocks, bought)
    laid = tuple(CutSheet(name, count, placements) for (name, placements), count in alike.items())
    same = known is not None and _same(laid, known.sheets)
    cuts, length = (known.cuts, known.cut_length) if known is not None and same else sequence_totals(request, laid)
    bound = min(known.bound, price) if known is not None else Fraction(0)
    fill = tuple(
        (stock.id, Fraction(covered[stock.id], stock.length * stock.width * bought[stock.id]))
        for stock in request.stocks
        if bought[stock.id]
    )
    return SheetPlan(laid, unplaced, price, bound, bound == price, 0, cuts, length, fill)


def _same(one: tuple[CutSheet, ...], other: tuple[CutSheet, ...]) -> bool:
    """Whether two plans lay the same pieces to the same places, in whatever order."""

    def counted(sheets: tuple[CutSheet, ...]) -> Counter[tuple[str, tuple[Placement, ...]]]:
        found: Counter[tuple[str, tuple[Placement, ...]]] = Counter()
        for sheet in sheets:
            found[sheet.stock, tuple(sorted(sheet.placements, key=lambda put: (put.x, put.y)))] += sheet.count
        return found

    return counted(one) == counted(other)
