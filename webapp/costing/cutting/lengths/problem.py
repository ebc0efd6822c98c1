"""A request for lengths made ready to plan: kerf folded into the sizes, equal pieces gathered, whole prices."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import gcd

from webapp.costing.cutting.ask.model import LengthPiece, LengthRequest, LengthStock, Unplaced
from webapp.costing.cutting.ask.price_breaks import most_to_be_had
from webapp.costing.cutting.ask.sold import Offered, Sold, offered_in_units, price_of
from webapp.costing.cutting.ask.splices import usable_length

Pattern = tuple[tuple[int, int], ...]
"""The kinds that are cut from one length, long to short, each with how many."""

Column = tuple[int, Pattern]
"""A bar, by its place in the problem, and a pattern that it holds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar(Sold):
    """What is offered of one length, `stock` the first of it, what pieces may fill of it with one kerf added, and how
    it is sold."""

    stock: LengthStock
    offered: Offered[LengthStock]
    size: int


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

    def bought(self, uses: Mapping[Column, int]) -> Counter[int]:
        """How many of each bar are cut so often."""
        bought: Counter[int] = Counter()
        for (bar, _), times in uses.items():
            bought[bar] += times
        return bought

    def price_of(self, uses: Mapping[Column, int]) -> int:
        """What the bars that are cut so often cost together."""
        return price_of(self.bars, self.bought(uses))

    @property
    def costs_hang_on_number(self) -> bool:
        """Whether so many of some bar cost anything else than so many times its price."""
        return any(bar.costs for bar in self.bars)


def pose_length_problem(request: LengthRequest) -> tuple[LengthProblem, tuple[Unplaced, ...]]:
    """The problem of a request, and the pieces left out because no stock is long enough for even one of them."""
    kerf = request.kerf
    stocks = [stock for stock in request.stocks if most_to_be_had(stock) != 0]
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
    sizes = sorted(gathered, reverse=True)
    counts = tuple(sum(piece.count for piece in gathered[size]) for size in sizes)
    offers, price_unit = offered_in_units(stocks, sum(counts), lambda stock: (stock.length, stock.trim, stock.reserve))
    bars = tuple(_bar(one, kerf, unit) for one in offers)
    problem = LengthProblem(
        tuple(size // unit for size in sizes),
        counts,
        tuple(tuple(gathered[size]) for size in sizes),
        bars,
        unit,
        price_unit,
        kerf,
    )
    return problem, tuple(left_out)


def _bar(offered: Offered[LengthStock], kerf: int, unit: int) -> Bar:
    sold, stock = offered.sold, offered.stocks[0]
    size = (usable_length(stock) + kerf) // unit
    return Bar(price=sold.price, limit=sold.limit, costs=sold.costs, stock=stock, offered=offered, size=size)
