"""A request for sheets made ready to pack: kerf folded into the sizes, equal pieces gathered, prices as whole numbers.

Adding the kerf to each piece and once to the trimmed sheet is exact for cuts from edge to edge: n pieces side by side
need n - 1 cuts, and the cut beyond the last one may run off the sheet.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import gcd, lcm

from webapp.costing.cutting.model import SheetPiece, SheetRequest, SheetStock, Unplaced


@dataclass(frozen=True, slots=True)
class Owner:
    """A requested piece behind a kind; `flipped` when the kind's along is the piece's width."""

    piece: SheetPiece
    flipped: bool


@dataclass(frozen=True, slots=True)
class Kind:
    """Pieces of one size, kerf added; `along` lies along the sheet unless turned, and is the longer if it may be.

    `shapes` are the ways in which one may lie, each as along and across; a laid piece names its shape by its place.
    """

    along: int
    across: int
    may_turn: bool
    count: int
    area: int
    owners: tuple[Owner, ...]
    shapes: tuple[tuple[int, int], ...]

    def fits(self, along: int, across: int) -> bool:
        """Whether one such piece goes into a rectangle."""
        if self.along <= along and self.across <= across:
            return True
        return self.may_turn and self.across <= along and self.along <= across


@dataclass(frozen=True, slots=True)
class Sheet:
    """A stock, trimmed and with one kerf added; `limit` is how many the plan may use."""

    stock: SheetStock
    along: int
    across: int
    area: int
    price: int
    limit: int


@dataclass(frozen=True, slots=True)
class SheetProblem:
    """Kinds, sheets, the size of one unit in the request's unit, and how many price units make one."""

    kinds: tuple[Kind, ...]
    sheets: tuple[Sheet, ...]
    unit: int
    price_unit: Fraction
    kerf: int
    count: int

    def piece_area(self, kind: int) -> int:
        """The area of one piece itself, without kerf, in the request's unit."""
        along, across = self.kinds[kind].along, self.kinds[kind].across
        return (along * self.unit - self.kerf) * (across * self.unit - self.kerf)


def pose_sheet_problem(request: SheetRequest) -> tuple[SheetProblem, tuple[Unplaced, ...]]:
    """The packing problem of a request, and the pieces left out because no sheet can hold even one of them."""
    kerf = request.kerf
    stocks = [stock for stock in request.stocks if stock.available is None or stock.available > 0]
    usable = [_usable(stock, kerf) for stock in stocks]
    left_out: list[Unplaced] = []
    gathered: dict[tuple[int, int, bool], list[Owner]] = {}
    for piece in request.pieces:
        if piece.count == 0:
            continue
        along, across = piece.length + kerf, piece.width + kerf
        may_turn = piece.may_turn and along != across
        upright = any(along <= length and across <= width for length, width in usable)
        turned = any(across <= length and along <= width for length, width in usable)
        if not (upright or (may_turn and turned)):
            left_out.append(Unplaced(piece.id, piece.count, _why_nothing_holds(piece.id, bool(stocks), turned)))
            continue
        flipped = may_turn and across > along
        key = (across, along, may_turn) if flipped else (along, across, may_turn)
        gathered.setdefault(key, []).append(Owner(piece, flipped))
    unit = gcd(*(size for key in gathered for size in key[:2]), *(size for sides in usable for size in sides)) or 1
    scale = lcm(*(stock.price.denominator for stock in stocks))
    prices = [int(stock.price * scale) for stock in stocks]
    step = gcd(*prices) or 1
    kinds = tuple(
        Kind(
            along // unit,
            across // unit,
            may_turn,
            sum(owner.piece.count for owner in owners),
            (along // unit) * (across // unit),
            tuple(owners),
            _shapes(along // unit, across // unit, may_turn),
        )
        for (along, across, may_turn), owners in gathered.items()
    )
    count = sum(kind.count for kind in kinds)
    sheets = tuple(
        Sheet(
            stock,
            length // unit,
            width // unit,
            (length // unit) * (width // unit),
            price // step,
            count if stock.available is None else min(stock.available, count),
        )
        for stock, (length, width), price in zip(stocks, usable, prices, strict=True)
    )
    return SheetProblem(kinds, sheets, unit, Fraction(step, scale), kerf, count), tuple(left_out)


def _shapes(along: int, across: int, may_turn: bool) -> tuple[tuple[int, int], ...]:
    return ((along, across), (across, along)) if may_turn else ((along, across),)


def _usable(stock: SheetStock, kerf: int) -> tuple[int, int]:
    trim = stock.trim
    return stock.length - trim.start - trim.end + kerf, stock.width - trim.low - trim.high + kerf


def _why_nothing_holds(identity: str, any_stock: bool, turned: bool) -> str:
    if not any_stock:
        return f"The piece '{identity}' has no sheet to be cut from: none is available."
    if turned:
        return (
            f"The piece '{identity}' is larger than the usable part of every sheet; it would fit if turned, "
            "but it may not turn."
        )
    return f"The piece '{identity}' is larger than the usable part of every sheet."
