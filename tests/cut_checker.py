"""An independent judge of cut plans: written from the rules of cutting, sharing no code with what makes the plans."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from itertools import combinations

from webapp.costing.cutting.model import LengthPlan, LengthRequest, SheetPlan, SheetRequest

Rectangle = tuple[int, int, int, int]


def faults_of_sheet_plan(request: SheetRequest, plan: SheetPlan) -> list[str]:
    """Every rule that the plan breaks; empty for a good plan."""
    faults: list[str] = []
    stocks = {stock.id: stock for stock in request.stocks}
    pieces = {piece.id: piece for piece in request.pieces}
    placed: Counter[str] = Counter()
    bought: Counter[str] = Counter()
    for number, sheet in enumerate(plan.sheets):
        stock = stocks[sheet.stock]
        bought[stock.id] += sheet.count
        rectangles: list[Rectangle] = []
        if sheet.count < 1 or not sheet.placements:
            faults.append(f"sheet {number} is bought for nothing")
        for placement in sheet.placements:
            piece = pieces[placement.piece]
            placed[piece.id] += sheet.count
            if placement.turned and not piece.may_turn:
                faults.append(f"{piece.id} is turned against its grain")
            along, across = (piece.width, piece.length) if placement.turned else (piece.length, piece.width)
            left, low, right, high = placement.x, placement.y, placement.x + along, placement.y + across
            if left < stock.trim.start or low < stock.trim.low:
                faults.append(f"{piece.id} at {left}, {low} lies in the trim")
            if right > stock.length - stock.trim.end or high > stock.width - stock.trim.high:
                faults.append(f"{piece.id} at {left}, {low} reaches past the usable sheet")
            rectangles.append((left, low, right, high))
        if not parts_edge_to_edge(rectangles, request.kerf):
            faults.append(f"sheet {number} can't be parted by cuts from edge to edge")
    left_over: Counter[str] = Counter()
    for unplaced in plan.unplaced:
        left_over[unplaced.piece] += unplaced.count
        if not unplaced.why.endswith("."):
            faults.append(f"no sentence says why {unplaced.piece} is unplaced")
    for piece in request.pieces:
        if placed[piece.id] + left_over[piece.id] != piece.count:
            faults.append(f"{piece.id}: {placed[piece.id]} placed, {left_over[piece.id]} unplaced of {piece.count}")
    for stock in request.stocks:
        if stock.available is not None and bought[stock.id] > stock.available:
            faults.append(f"{bought[stock.id]} of {stock.id} used, {stock.available} available")
    faults += _money_faults(sum((stocks[i].price * n for i, n in bought.items()), Fraction(0)), plan)
    return faults


def faults_of_length_plan(request: LengthRequest, plan: LengthPlan) -> list[str]:
    """Every rule that the plan breaks; empty for a good plan."""
    faults: list[str] = []
    stocks = {stock.id: stock for stock in request.stocks}
    pieces = {piece.id: piece for piece in request.pieces}
    placed: Counter[str] = Counter()
    bought: Counter[str] = Counter()
    for length in plan.lengths:
        stock = stocks[length.stock]
        bought[stock.id] += length.count
        free_from = stock.trim
        if length.count < 1 or not length.pieces:
            faults.append(f"a {stock.id} is bought for nothing")
        for identity, offset in length.pieces:
            placed[identity] += length.count
            if offset < free_from:
                faults.append(f"{identity} at {offset} begins before the cut at {free_from} is done")
            end = offset + pieces[identity].length
            free_from = end + request.kerf
            if end > stock.length - stock.trim:
                faults.append(f"{identity} at {offset} reaches past the usable length")
    for unplaced in plan.unplaced:
        placed[unplaced.piece] += unplaced.count
    for piece in request.pieces:
        if placed[piece.id] != piece.count:
            faults.append(f"{piece.id}: {placed[piece.id]} of {piece.count} accounted for")
    for stock in request.stocks:
        if stock.available is not None and bought[stock.id] > stock.available:
            faults.append(f"{bought[stock.id]} of {stock.id} used, {stock.available} available")
    faults += _money_faults(sum((stocks[i].price * n for i, n in bought.items()), Fraction(0)), plan)
    return faults


def _money_faults(paid: Fraction, plan: SheetPlan | LengthPlan) -> list[str]:
    faults = []
    if plan.price != paid:
        faults.append(f"the price is given as {plan.price} but comes to {paid}")
    if plan.bound > plan.price:
        faults.append(f"the bound {plan.bound} is above the price {plan.price}")
    if plan.proved and plan.bound != plan.price:
        faults.append("proved, but the bound differs from the price")
    return faults


def parts_edge_to_edge(rectangles: list[Rectangle], kerf: int) -> bool:
    """Whether straight cuts of the kerf's width, each over the whole of what it parts, free every rectangle.

    Any cut that harms no piece may be made first: what is left of a set that can be parted can still be parted.
    """
    if len(rectangles) <= 1:
        return True
    for low, high in ((0, 2), (1, 3)):
        groups: list[list[Rectangle]] = []
        reached = 0
        for rectangle in sorted(rectangles, key=lambda r: r[low]):
            if groups and rectangle[low] < reached + kerf:
                groups[-1].append(rectangle)
                reached = max(reached, rectangle[high])
            else:
                groups.append([rectangle])
                reached = rectangle[high]
        if len(groups) > 1:
            return all(parts_edge_to_edge(group, kerf) for group in groups)
    return False


def least_sheet_price(request: SheetRequest) -> Fraction | None:
    """The least price by trying everything (a handful of pieces only); None where the pieces can't all be placed."""
    pieces = [piece for piece in request.pieces for _ in range(piece.count)]
    kerf = request.kerf

    @cache
    def boxes(members: frozenset[int]) -> frozenset[tuple[int, int]]:
        if len(members) == 1:
            piece = pieces[next(iter(members))]
            turned = {(piece.width, piece.length)} if piece.may_turn else set()
            return frozenset({(piece.length, piece.width)} | turned)
        found: set[tuple[int, int]] = set()
        for one, other in _halves(members):
            for along, across in boxes(one):
                for along_2, across_2 in boxes(other):
                    found.add((along + kerf + along_2, max(across, across_2)))
                    found.add((max(along, along_2), across + kerf + across_2))
        return frozenset(b for b in found if not any(o != b and o[0] <= b[0] and o[1] <= b[1] for o in found))

    def holds(place: int, members: frozenset[int]) -> bool:
        stock = request.stocks[place]
        trim = stock.trim
        along, across = stock.length - trim.start - trim.end, stock.width - trim.low - trim.high
        return any(box[0] <= along and box[1] <= across for box in boxes(members))

    prices = [stock.price for stock in request.stocks]
    return _least_cover(len(pieces), holds, prices, tuple(stock.available for stock in request.stocks))


def least_length_price(request: LengthRequest) -> Fraction | None:
    """The least price by trying everything (a handful of pieces only); None where the pieces can't all be placed."""
    pieces = [piece.length for piece in request.pieces for _ in range(piece.count)]

    def holds(place: int, members: frozenset[int]) -> bool:
        stock = request.stocks[place]
        needed = sum(pieces[member] for member in members) + request.kerf * (len(members) - 1)
        return needed <= stock.length - 2 * stock.trim

    prices = [stock.price for stock in request.stocks]
    return _least_cover(len(pieces), holds, prices, tuple(stock.available for stock in request.stocks))


def _least_cover(
    count: int,
    holds: Callable[[int, frozenset[int]], bool],
    prices: list[Fraction],
    available: tuple[int | None, ...],
) -> Fraction | None:
    @cache
    def least(members: frozenset[int], left: tuple[int | None, ...]) -> Fraction | None:
        if not members:
            return Fraction(0)
        first = min(members)
        best: Fraction | None = None
        others = sorted(members - {first})
        for size in range(len(others) + 1):
            for chosen in combinations(others, size):
                group = frozenset({first, *chosen})
                for place, number in enumerate(left):
                    if number == 0 or not holds(place, group):
                        continue
                    after = tuple(n if n is None or p != place else n - 1 for p, n in enumerate(left))
                    rest = least(members - group, after)
                    if rest is not None and (best is None or rest + prices[place] < best):
                        best = rest + prices[place]
        return best

    return least(frozenset(range(count)), available)


def _halves(members: frozenset[int]) -> list[tuple[frozenset[int], frozenset[int]]]:
    first, *others = sorted(members)
    return [
        (frozenset({first, *chosen}), members - {first, *chosen})
        for size in range(len(others))
        for chosen in combinations(others, size)
    ]
