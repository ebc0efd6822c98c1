"""What so many of a stock cost, in the whole price units of one question."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor, gcd, lcm
from typing import Final, Generic, NamedTuple, TypeVar

from webapp.costing.cutting.ask.model import LengthStock, SheetStock
from webapp.costing.cutting.ask.price_breaks import Stock, hangs_on_number, most_to_be_had, whole_purchase

MOST_PARTS_OF_A_UNIT: Final = 1_000
"""The unit in which all costs are whole is parted into so many at most, so that the prices of one are whole too."""

MOST_POOLED: Final = 500
"""Where more may be used of each, stocks of one size stay apart: to share them out would take too long."""

S = TypeVar("S", SheetStock, LengthStock)


class Run(NamedTuple):
    """Numbers that can be bought, each so much more than the one before: the first and its cost, a step up and what it
    costs, and how many steps there are."""

    number: int
    cost: int
    more: int
    costs_more: int
    steps: int


@dataclass(frozen=True, slots=True)
class Sold:
    """How a stock is sold: at most `limit` of it are used, and no number costs less than `price` for each.

    `costs` says what each number costs, from none up to the limit, where that is not `price` for each: the least money
    that gets so many or more, whole ones beyond them included.
    """

    price: int
    limit: int
    costs: tuple[int, ...] = ()

    def cost(self, number: int) -> int:
        """What so many cost."""
        return self.costs[number] if self.costs else self.price * number

    @property
    def single(self) -> int:
        """What one costs by itself."""
        return self.cost(1) if self.limit else self.price

    @property
    def is_paid(self) -> bool:
        """Whether any number of it costs anything."""
        return any(self.costs) if self.costs else self.price > 0

    def most_for(self, money: int) -> int:
        """How many so much money gets."""
        if self.costs:
            return bisect_right(self.costs, money) - 1
        return self.limit if not self.price else min(self.limit, money // self.price)

    def worthwhile(self) -> Sequence[int]:
        """The numbers worth asking for: of those that cost the same the greatest. Free stock is not thinned out."""
        if not self.costs:
            return range(self.limit + 1)
        return [n for n in range(self.limit + 1) if n == self.limit or self.costs[n] < self.costs[n + 1]]

    def runs(self) -> list[Run]:
        """The worthwhile numbers above none, gathered where they and what they cost grow by equal steps."""
        numbers = [number for number in self.worthwhile() if number]
        found: list[Run] = []
        place = 0
        while place < len(numbers):
            first = number = numbers[place]
            more = costs_more = steps = 0
            for further in numbers[place + 1 :]:
                step = further - number, self.cost(further) - self.cost(number)
                if steps and step != (more, costs_more):
                    break
                (more, costs_more), steps, number = step, steps + 1, further
            found.append(Run(first, self.cost(first), more, costs_more, steps))
            place += 1 + steps
        return found


@dataclass(frozen=True, slots=True)
class Offered(Generic[S]):
    """Stocks of one size, that of the first, and how they are sold together.

    `shares` says, for each stock after the first and each number of it and all before it, how many of it are bought.
    """

    stocks: tuple[S, ...]
    sold: Sold
    shares: tuple[tuple[int, ...], ...] = ()

    def named(self, number: int) -> list[str]:
        """The names of so many, as they are best bought."""
        found: list[str] = []
        for stock, share in zip(self.stocks[:0:-1], reversed(self.shares), strict=True):
            found += [stock.id] * share[number]
            number -= share[number]
        return [self.stocks[0].id] * number + found[::-1]


def offered_in_units(
    stocks: Sequence[S], most: int, size_of: Callable[[S], Hashable]
) -> tuple[list[Offered[S]], Fraction]:
    """What is offered where at most so many are used of any, and the price unit in which all of it is whole.

    Where costs hang on how many are bought, stocks of one size are one, at the least that any way to share a number
    among them costs. The price of one is the least that any number comes to for each, so that a sum by it is never
    above the true cost.
    """
    prices = [stock.price for stock in stocks] + [price for stock in stocks for _, price in stock.breaks]
    scale = lcm(*(price.denominator for price in prices))
    hanging = {size_of(stock) for stock in stocks if hangs_on_number(stock)} if most <= MOST_POOLED else set()
    groups: dict[Hashable, list[tuple[S, _Whole]]] = {}
    for place, stock in enumerate(stocks):
        size = size_of(stock)
        groups.setdefault(size if size in hanging else place, []).append((stock, _whole(stock, most, scale)))
    gathered = [_pooled(members, most) for members in groups.values()]
    step = gcd(*(cost for _, whole, _ in gathered for cost in whole.costs or (whole.price.numerator,))) or 1
    finer = min(lcm(*((whole.price / step).denominator for _, whole, _ in gathered)), MOST_PARTS_OF_A_UNIT)
    return [
        Offered(
            held,
            Sold(floor(whole.price * finer / step), whole.limit, tuple(cost * finer // step for cost in whole.costs)),
            shares,
        )
        for held, whole, shares in gathered
    ], Fraction(step, scale * finer)


class _Whole(NamedTuple):
    """As `Sold`, with a price of one that need not be whole."""

    price: Fraction
    limit: int
    costs: tuple[int, ...]

    def cost(self, number: int) -> int:
        return self.costs[number] if self.costs else int(self.price * number)


def _whole(stock: Stock, most: int, scale: int) -> _Whole:
    there = most_to_be_had(stock)
    limit = most if there is None else min(there, most)
    if not hangs_on_number(stock):
        return _Whole(stock.price * scale, limit, ())
    return _tabled([int(whole_purchase(stock, number)[1] * scale) for number in range(limit + 1)])


def _tabled(costs: list[int]) -> _Whole:
    price = min((Fraction(cost, number) for number, cost in enumerate(costs) if number), default=Fraction(0))
    same = all(cost == price * number for number, cost in enumerate(costs))
    return _Whole(price, len(costs) - 1, () if same else tuple(costs))


def _pooled(members: list[tuple[S, _Whole]], most: int) -> tuple[tuple[S, ...], _Whole, tuple[tuple[int, ...], ...]]:
    """Stocks of one size as one, and how many of each after the first are bought of each number."""
    # By their names, so that the order in which they are told changes no plan.
    members = sorted(members, key=lambda one: one[0].id)
    whole, shares = members[0][1], list[tuple[int, ...]]()
    for _, other in members[1:]:
        whole, share = _both(whole, other, most)
        shares.append(share)
    return tuple(stock for stock, _ in members), whole, tuple(shares)


def _both(one: _Whole, other: _Whole, most: int) -> tuple[_Whole, tuple[int, ...]]:
    firsts = [one.cost(number) for number in range(one.limit + 1)]
    seconds = [other.cost(number) for number in range(other.limit + 1)]
    best = [
        min(
            (firsts[number - taken] + seconds[taken], taken)
            for taken in range(max(0, number - one.limit), min(number, other.limit) + 1)
        )
        for number in range(min(one.limit + other.limit, most) + 1)
    ]
    return _tabled([cost for cost, _ in best]), tuple(taken for _, taken in best)


def price_of(sold: Sequence[Sold], bought: Mapping[int, int]) -> int:
    """What so many of each, by its place, cost together."""
    return sum(sold[place].cost(number) for place, number in bought.items())


def beyond(sold: Sold, bought: int, most: int) -> Sold:
    """How a stock is sold to whoever has bought so many of it and uses at most so many more."""
    limit = max(0, min(most, sold.limit - bought))
    if not sold.costs:
        return Sold(sold.price, limit)
    costs = tuple(sold.costs[number] - sold.costs[bought] for number in range(bought, bought + limit + 1))
    return Sold(min((cost // number for number, cost in enumerate(costs) if number), default=sold.price), limit, costs)


def step_of(sold: Iterable[Sold]) -> int:
    """What all true costs are whole multiples of."""
    return gcd(*(cost for one in sold for cost in one.costs or (one.price,))) or 1


def step_of_prices(sold: Iterable[Sold]) -> int:
    """What every sum by the prices of one is a whole multiple of."""
    return gcd(*(one.price for one in sold)) or 1
