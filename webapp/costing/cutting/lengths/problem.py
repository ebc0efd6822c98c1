"""A request for lengths made ready to plan: kerf folded into the sizes, equal pieces gathered, whole prices."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import gcd, lcm

from webapp.costing.cutting.ask.model import LengthPiece, LengthRequest, LengthStock, Unplaced
from webapp.costing.cutting.ask.splices import usable_length

Pattern = tuple[tuple[int, int], ...]
"""The kinds that are cut from one length, long to short, each with how many."""

Column = tuple[int, Pattern]
"""A bar, by its place in the problem, and a pattern that it holds."""


@dataclass(frozen=True, slots=True)
class Bar:
    """A stock, what pieces may fill of it with one kerf added; `limit` is how many the plan may use."""

    stock: LengthStock
    size: int
    price: int
    limit: int


@dataclass(frozen=True, slots=True)
class LengthProblem:
    """Kinds from long to short (`sizes`, kerf added, `counts`, and who wants them), and the bars to cut them from."""

    sizes: tuple[int, ...]
    counts: tuple[int, ...]
    owners: tuple[tuple[LengthPiece, ...], ...]
    bars: tuple[Bar, ...]
    unit: int
    price_unit: Fraction
    kerf: int

    def length_of(self, pattern: Pattern) -> int:
        """What the pieces of a pattern take up, kerf added."""
        return sum(self.sizes[kind] * number for kind, number in pattern)


def pose_length_problem(request: LengthRequest) -> tuple[LengthProblem, tuple[Unplaced, ...]]:
    """The problem of a request, and the pieces left out because no stock is long enough for even one of them."""
    kerf = request.kerf
    stocks = [stock for stock in request.stocks if stock.available is None or stock.available > 0]
    usable = [usable_length(stock) + kerf for stock in stocks]
    longest = max(usable, default=0)
    gathered: dict[int, list[LengthPiece]] = {}
    left_out: list[Unplaced] = []
    for piece in request.pieces:
        if piece.count and piece.length + kerf > longest:
            why = (
                f"The piece '{piece.id}' is longer than the usable part of every stock length."
                if stocks
                else f"The piece '{piece.id}' has no length to be cut from: none is available."
            )
            left_out.append(Unplaced(piece.id, piece.count, why))
        elif piece.count:
            gathered.setdefault(piece.length + kerf, []).append(piece)
    unit = gcd(*gathered, *usable) or 1
    scale = lcm(*(stock.price.denominator for stock in stocks))
    prices = [int(stock.price * scale) for stock in stocks]
    step = gcd(*prices) or 1
    sizes = sorted(gathered, reverse=True)
    counts = tuple(sum(piece.count for piece in gathered[size]) for size in sizes)
    total = sum(counts)
    bars = tuple(
        Bar(
            stock,
            size // unit,
            price // step,
            total if stock.available is None else min(stock.available, total),
        )
        for stock, size, price in zip(stocks, usable, prices, strict=True)
    )
    problem = LengthProblem(
        tuple(size // unit for size in sizes),
        counts,
        tuple(tuple(gathered[size]) for size in sizes),
        bars,
        unit,
        Fraction(step, scale),
        kerf,
    )
    return problem, tuple(left_out)
