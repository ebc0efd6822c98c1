"""An independent judge of cut plans: written from the rules of cutting, sharing no code with what makes the plans."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from itertools import combinations

from tests.cut_parting import Rectangle, parts_edge_to_edge, parts_within_limits
from webapp.costing.cutting.ask.model import (
    CutSheet,
    LengthPiece,
    LengthPlan,
    LengthRequest,
    LengthStock,
    SheetPiece,
    SheetPlan,
    SheetRequest,
    SheetStock,
    SplicePart,
)


def faults_of_sheet_plan(request: SheetRequest, plan: SheetPlan) -> list[str]:
    """Every rule that the plan breaks; empty for a good plan."""
    faults: list[str] = []
    stocks = {stock.id: stock for stock in request.stocks}
    pieces = {piece.id: piece for piece in request.pieces}
    placed: Counter[str] = Counter()
    bought: Counter[str] = Counter()
    covered: Counter[str] = Counter()
    for number, sheet in enumerate(plan.sheets):
        stock = stocks[sheet.stock]
        bought[stock.id] += sheet.count
        if sheet.count < 1 or not sheet.placements:
            faults.append(f"sheet {number} is bought for nothing")
        rectangles: list[Rectangle] = []
        for placement in sheet.placements:
            piece = pieces[placement.piece]
            placed[piece.id] += sheet.count
            covered[stock.id] += sheet.count * piece.length * piece.width
            if placement.turned and not piece.may_turn:
                faults.append(f"{piece.id} is turned against its grain")
            along, across = (piece.width, piece.length) if placement.turned else (piece.length, piece.width)
            left, low, right, high = placement.x, placement.y, placement.x + along, placement.y + across
            if left < stock.trim.start or low < stock.trim.low:
                faults.append(f"{piece.id} at {left}, {low} lies in the trim")
            if right > stock.length - stock.trim.end or high > stock.width - stock.trim.high:
                faults.append(f"{piece.id} at {left}, {low} reaches past the usable sheet")
            rectangles.append((left, low, right, high))
        faults += [f"sheet {number} {fault}" for fault in _faults_between(request, stock, rectangles)]
    faults += _faults_together(request, plan.sheets, placed)
    left_over: Counter[str] = Counter()
    for unplaced in plan.unplaced:
        left_over[unplaced.piece] += unplaced.count
        if unplaced.count < 1 or not unplaced.why.endswith("."):
            faults.append(f"no sentence says why {unplaced.piece} is unplaced")
        for stock in request.stocks:
            if stock.available is None and _holds_alone(request, stock, pieces[unplaced.piece]):
                faults.append(f"{unplaced.piece} is unplaced though any number of {stock.id} hold it")
    for piece in request.pieces:
        if placed[piece.id] + left_over[piece.id] != piece.count:
            faults.append(f"{piece.id}: {placed[piece.id]} placed, {left_over[piece.id]} unplaced of {piece.count}")
    for stock in request.stocks:
        if stock.available is not None and bought[stock.id] > stock.available:
            faults.append(f"{bought[stock.id]} of {stock.id} used, {stock.available} available")
    fill = {
        identity: Fraction(covered[identity], number * stocks[identity].length * stocks[identity].width)
        for identity, number in bought.items()
    }
    if dict(plan.fill) != fill:
        faults.append(f"the fill is given as {dict(plan.fill)} but comes to {fill}")
    faults += _money_faults(sum((least_paid(stocks[i], n) for i, n in bought.items()), Fraction(0)), plan)
    return faults


def _faults_between(request: SheetRequest, stock: SheetStock, rectangles: list[Rectangle]) -> list[str]:
    """What is wrong with how the pieces of one sheet lie to each other."""
    if request.method == "router":
        kerf = request.kerf
        return [
            f"has pieces at {one[:2]} and {other[:2]} nearer than the cutter needs"
            for one, other in combinations(rectangles, 2)
            if all(one[a] < other[a + 2] + kerf and other[a] < one[a + 2] + kerf for a in (0, 1))
        ]
    if not parts_edge_to_edge(rectangles, request.kerf):
        return ["can't be parted by cuts from edge to edge"]
    limits = request.smallest_strip, request.most_turns
    if limits != (0, None) and not parts_within_limits(_usable(stock), rectangles, request.kerf, *limits):
        return [f"can't be parted with strips of {limits[0]} or more and {limits[1]} turns"]
    return []


def _faults_together(request: SheetRequest, sheets: tuple[CutSheet, ...], placed: Counter[str]) -> list[str]:
    """Whether pieces that belong together come from one sheet, all of them, or are all left out."""
    faults = []
    for name in sorted({piece.together for piece in request.pieces} - {""}):
        members = {piece.id for piece in request.pieces if piece.together == name}
        wanted = sum(piece.count for piece in request.pieces if piece.id in members)
        homes = [sheet for sheet in sheets if any(p.piece in members for p in sheet.placements)]
        if sum(sheet.count for sheet in homes) > 1:
            faults.append(f"the pieces of {name} come from {sum(sheet.count for sheet in homes)} sheets")
        if sum(placed[member] for member in members) not in (0, wanted):
            faults.append(f"only some pieces of {name} are placed")
    return faults


def _holds_alone(request: SheetRequest, stock: SheetStock, piece: SheetPiece) -> bool:
    """Whether one such piece, on a sheet to itself in the corner, can be had; one that belongs to others, never."""
    left, low, right, high = _usable(stock)
    ways = [(piece.length, piece.width)] + ([(piece.width, piece.length)] if piece.may_turn else [])
    return not piece.together and any(
        left + along <= right
        and low + across <= high
        and (
            request.method == "router"
            or parts_within_limits(
                (left, low, right, high),
                [(left, low, left + along, low + across)],
                request.kerf,
                request.smallest_strip,
                request.most_turns,
            )
        )
        for along, across in ways
    )


def _usable(stock: SheetStock) -> Rectangle:
    trim = stock.trim
    return trim.start, trim.low, stock.length - trim.end, stock.width - trim.high


def faults_of_length_plan(request: LengthRequest, plan: LengthPlan) -> list[str]:
    """Every rule that the plan breaks; empty for a good plan."""
    faults: list[str] = []
    stocks = {stock.id: stock for stock in request.stocks}
    sizes = {piece.id: piece.length for piece in request.pieces} | {part.id: part.length for part in plan.parts}
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
            end = offset + sizes[identity]
            free_from = end + request.kerf
            if end > stock.length - stock.trim:
                faults.append(f"{identity} at {offset} reaches past the usable length")
        filled = sum(sizes[identity] for identity, _ in length.pieces) + request.kerf * (len(length.pieces) - 1)
        if filled > (stock.length - 2 * stock.trim) * (1 - stock.reserve):
            faults.append(f"{filled} of {stock.id} is filled, into what is kept free for defects")
    for piece in request.pieces:
        parts = sorted((part for part in plan.parts if part.piece == piece.id), key=lambda part: part.number)
        if parts:
            faults += _faults_of_splices(request, piece, parts)
            if placed[piece.id] or len({placed[part.id] for part in parts}) != 1:
                faults.append(f"the parts of {piece.id} are not placed alike")
            placed[piece.id] = placed[parts[0].id]
    for unplaced in plan.unplaced:
        placed[unplaced.piece] += unplaced.count
        if unplaced.count < 1 or not unplaced.why.endswith("."):
            faults.append(f"no sentence says why {unplaced.piece} is unplaced")
        if any(s.available is None and sizes[unplaced.piece] <= _fillable(s) for s in request.stocks):
            faults.append(f"{unplaced.piece} is unplaced though there is no end of a stock that holds it")
    for piece in request.pieces:
        if placed[piece.id] != piece.count:
            faults.append(f"{piece.id}: {placed[piece.id]} of {piece.count} accounted for")
    for stock in request.stocks:
        if stock.available is not None and bought[stock.id] > stock.available:
            faults.append(f"{bought[stock.id]} of {stock.id} used, {stock.available} available")
    faults += _money_faults(sum((least_paid(stocks[i], n) for i, n in bought.items()), Fraction(0)), plan)
    return faults


def _faults_of_splices(request: LengthRequest, piece: LengthPiece, parts: list[SplicePart]) -> list[str]:
    """What is wrong with the parts that a piece is made of."""
    splice = request.splice
    if splice is None or not piece.spliceable:
        return [f"{piece.id} must not be spliced"]
    number = len(parts)
    faults = []
    if [(part.number, part.of) for part in parts] != [(n, number) for n in range(1, number + 1)]:
        faults.append(f"the parts of {piece.id} are not numbered in a row")
    if sum(part.length for part in parts) != piece.length + (number - 1) * splice.lap:
        faults.append(f"the parts of {piece.id} and their laps don't come to its length")
    if min(part.length for part in parts) < splice.shortest:
        faults.append(f"a part of {piece.id} is shorter than {splice.shortest}")
    at_hand = [stock for stock in request.stocks if stock.available != 0]
    longest = max(_fillable(stock) for stock in [s for s in at_hand if s.available is None] or at_hand)
    fewer_reach = (number - 1) * longest - (number - 2) * splice.lap
    if number < 2 or fewer_reach >= piece.length:
        faults.append(f"{piece.id} is of {number} parts, more than it needs")
    return faults


def _fillable(stock: LengthStock) -> int:
    return int((stock.length - 2 * stock.trim) * (1 - stock.reserve))


def least_paid(stock: SheetStock | LengthStock, number: int) -> Fraction:
    """The least that so many of a stock cost; where more are cut than are to be had, what they would cost."""
    ways = _ways_to_buy(stock, number)
    there = [way for way in ways if stock.available is None or way[1] <= stock.available]
    return min(there or ways)[0]


def to_be_had(stock: SheetStock | LengthStock, number: int) -> bool:
    """Whether so many can be bought, in whole packs and from the least number on that is sold, of those there are."""
    return stock.available is None or any(bought <= stock.available for _, bought in _ways_to_buy(stock, number))


def _ways_to_buy(stock: SheetStock | LengthStock, number: int) -> list[tuple[Fraction, int]]:
    """What so many cost and how many are bought for it, one more tried as far as a lower price or a whole pack may be;
    none cost nothing."""
    if not number:
        return [(Fraction(0), 0)]
    prices = dict(stock.breaks) or {1: stock.price}
    found = []
    for bought in range(number, max(number, *prices) + stock.pack):
        reached = [least for least in prices if least <= bought]
        if reached and bought % stock.pack == 0:
            found.append((prices[max(reached)] * bought, bought))
    return found


def _money_faults(paid: Fraction, plan: SheetPlan | LengthPlan) -> list[str]:
    faults = []
    if plan.price != paid:
        faults.append(f"the price is given as {plan.price} but comes to {paid}")
    if plan.bound > plan.price:
        faults.append(f"the bound {plan.bound} is above the price {plan.price}")
    if plan.proved and plan.bound != plan.price:
        faults.append("proved, but the bound differs from the price")
    return faults
