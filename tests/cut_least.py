"""The least price of a handful of pieces, by trying everything; shares no code with what makes the plans."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import cache
from itertools import combinations

from webapp.costing.cutting.ask.model import LengthRequest, SheetPiece, SheetRequest

Members = frozenset[int]


def least_sheet_price(request: SheetRequest) -> Fraction | None:
    """The least price by trying everything (a handful of pieces only); None where the pieces can't all be placed."""
    pieces = [piece for piece in request.pieces for _ in range(piece.count)]
    groups: dict[str, set[int]] = {}
    for number, piece in enumerate(pieces):
        if piece.together:
            groups.setdefault(piece.together, set()).add(number)
    usable = [
        (stock.length - stock.trim.start - stock.trim.end, stock.width - stock.trim.low - stock.trim.high)
        for stock in request.stocks
    ]
    boxes = _boxes(pieces, request.kerf)
    frees = _frees(pieces, request)

    @cache
    def fits(along: int, across: int, members: Members) -> bool:
        boxed = any(box[0] <= along and box[1] <= across for box in boxes(members))
        if request.method == "router":
            return boxed or (len(members) > 3 and _lie_apart(pieces, members, along, across, request.kerf))
        if not boxed or (not request.smallest_strip and request.most_turns is None):
            return boxed
        turns = 2 * len(members) + 2 if request.most_turns is None else request.most_turns
        return frees(members, along, across, None, turns)

    def holds(place: int, members: Members) -> bool:
        whole = all(group <= members or not group & members for group in groups.values())
        return whole and fits(*usable[place], members)

    prices = [stock.price for stock in request.stocks]
    return _least_cover(len(pieces), holds, prices, tuple(stock.available for stock in request.stocks))


def least_length_price(request: LengthRequest) -> Fraction | None:
    """The least price by trying everything (a handful of pieces only); None where the pieces can't all be placed."""
    pieces = [piece.length for piece in request.pieces for _ in range(piece.count)]

    def holds(place: int, members: Members) -> bool:
        stock = request.stocks[place]
        needed = sum(pieces[member] for member in members) + request.kerf * (len(members) - 1)
        return needed <= (stock.length - 2 * stock.trim) * (1 - stock.reserve)

    prices = [stock.price for stock in request.stocks]
    return _least_cover(len(pieces), holds, prices, tuple(stock.available for stock in request.stocks))


def _ways(piece: SheetPiece) -> set[tuple[int, int]]:
    return {(piece.length, piece.width)} | ({(piece.width, piece.length)} if piece.may_turn else set())


def _boxes(pieces: list[SheetPiece], kerf: int) -> Callable[[Members], frozenset[tuple[int, int]]]:
    """The smallest rectangles from which pieces can be cut edge to edge."""

    @cache
    def boxes(members: Members) -> frozenset[tuple[int, int]]:
        if len(members) == 1:
            return frozenset(_ways(pieces[next(iter(members))]))
        found: set[tuple[int, int]] = set()
        for one, other in _halves(members):
            for along, across in boxes(one):
                for along_2, across_2 in boxes(other):
                    found.add((along + kerf + along_2, max(across, across_2)))
                    found.add((max(along, along_2), across + kerf + across_2))
        return frozenset(b for b in found if not any(o != b and o[0] <= b[0] and o[1] <= b[1] for o in found))

    return boxes


def _frees(pieces: list[SheetPiece], request: SheetRequest) -> Callable[[Members, int, int, int | None, int], bool]:
    """Whether a workpiece of whole units can be cut into pieces with every cut at every whole unit."""
    kerf = request.kerf

    @cache
    def frees(members: Members, along: int, across: int, axis_before: int | None, turns_left: int) -> bool:
        if not members or (len(members) == 1 and (along, across) in _ways(pieces[next(iter(members))])):
            return True
        if min(along, across) < max(1, request.smallest_strip):
            return False
        for axis in (0, 1):
            left = turns_left - (axis_before is not None and axis != axis_before)
            size = (along, across)[axis]
            for at in range(1, size if left >= 0 else 0):
                rest = max(0, size - at - kerf)
                sizes = ((at, across), (rest, across)) if axis == 0 else ((along, at), (along, rest))
                for one, other in [(members, frozenset[int]()), *_halves(members)]:
                    if frees(one, *sizes[0], axis, left) and frees(other, *sizes[1], axis, left):
                        return True
        return False

    return frees


def _lie_apart(pieces: list[SheetPiece], members: Members, along: int, across: int, kerf: int) -> bool:
    """Whether pieces lie anywhere on a sheet of whole units with the kerf between any two."""
    along, across = along + kerf, across + kerf
    ordered = sorted((pieces[m] for m in members), key=lambda piece: -piece.length * piece.width)
    if sum((p.length + kerf) * (p.width + kerf) for p in ordered) > along * across:
        return False

    def place(number: int, taken: int) -> bool:
        if number == len(ordered):
            return True
        for length, width in _ways(ordered[number]):
            length, width = length + kerf, width + kerf
            row = (1 << length) - 1
            mask = sum(row << along * y for y in range(width))
            for y in range(across - width + 1):
                for x in range(along - length + 1):
                    here = mask << (along * y + x)
                    if not taken & here and place(number + 1, taken | here):
                        return True
        return False

    return place(0, 0)


def _least_cover(
    count: int,
    holds: Callable[[int, Members], bool],
    prices: list[Fraction],
    available: tuple[int | None, ...],
) -> Fraction | None:
    @cache
    def least(members: Members, left: tuple[int | None, ...]) -> Fraction | None:
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


def _halves(members: Members) -> list[tuple[Members, Members]]:
    first, *others = sorted(members)
    return [
        (frozenset({first, *chosen}), members - {first, *chosen})
        for size in range(len(others))
        for chosen in combinations(others, size)
    ]
