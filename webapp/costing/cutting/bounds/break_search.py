"""Plans where prices hang on how many are bought: each way to reach the breaks is planned for itself, at fixed prices.

With each stock held to one of its prices, from the number on from which it holds, the question is one of fixed prices
again: as many as that number are paid for in any case, and cost nothing more. The cheapest purchase lies in one of
these ways, so the least of their bounds is a bound for the whole.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import product
from typing import Final, Generic, TypeVar

from webapp.costing.cutting.ask.checking import MOST_STOCKS
from webapp.costing.cutting.ask.model import (
    CutLength,
    CutSheet,
    LengthPlan,
    LengthRequest,
    SheetPlan,
    SheetRequest,
)
from webapp.costing.cutting.ask.price_breaks import Stock, counts_cut, price_of_cut
from webapp.costing.cutting.saw.money import sawing_money

#: So many ways are planned each for itself; beyond, stocks are held to their lowest price and bounded by that.
MOST_WAYS: Final = 16
#: Marks the part of a stock that is paid for in any case; no name of a stock holds it.
PAID_FOR: Final = "\0paid"

P = TypeVar("P", SheetPlan, LengthPlan)
R = TypeVar("R", SheetRequest, LengthRequest)

#: A price of a stock (None leaves it out), how many have to be bought for it, and how many it holds for (None: any).
Level = tuple[Fraction | None, int, int | None]

#: Plans a question without breaks: (question, seconds, the plan it starts from, watch) -> plan.
PlanAt = Callable[[R, float | None, P | None, Callable[[P], bool] | None], P]


@dataclass(frozen=True, slots=True)
class Way:
    """One price for each stock, in their order, and how many have to be bought for it; None leaves a stock out.

    `most` is how many it holds for where more cost more each; else None, since more are then better bought anyway.
    """

    prices: tuple[Fraction | None, ...]
    least: tuple[int, ...]
    most: tuple[int | None, ...]

    @property
    def paid(self) -> Fraction:
        """What is paid in any case."""
        parts = zip(self.prices, self.least, strict=True)
        return sum((price * number for price, number in parts if price is not None), Fraction(0))


def has_breaks(stocks: Sequence[Stock]) -> bool:
    """Whether the price of any of them hangs on how many are bought."""
    return any(stock.breaks for stock in stocks)


def ways_to_buy(request: SheetRequest | LengthRequest) -> list[Way]:
    """Every way to reach the breaks, that which is paid for the least in any case first."""
    joined = isinstance(request, LengthRequest) and request.splice is not None
    stocks: tuple[Stock, ...] = request.stocks
    levels = [_levels(stock, plain=not joined) for stock in stocks]
    # By their names, so that the order in which stocks are told changes no plan.
    for place, stock in sorted(enumerate(stocks), key=lambda one: one[1].id, reverse=True):
        if _number_of(levels) <= MOST_WAYS:
            break
        if stock.breaks:
            levels[place] = [(min(price for _, price in stock.breaks), 0, None)]
    ways = [
        Way(tuple(level[0] for level in one), tuple(level[1] for level in one), tuple(level[2] for level in one))
        for one in product(*levels)
    ]
    return sorted((way for way in ways if any(price is not None for price in way.prices)), key=lambda way: way.paid)


def _levels(stock: Stock, *, plain: bool) -> list[Level]:
    """The prices of a stock, each with the numbers it holds for; where few can't be had, it is left out or bought.

    How a piece that is too long is joined hangs on what is on offer without end: such questions are not `plain`, and
    no stock of theirs is left out or limited.
    """
    if not stock.breaks:
        return [(stock.price, 0, stock.available)]
    held: list[Level] = []
    # A break at the price that held before it is none.
    earlier = [None, *(price for _, price in stock.breaks)]
    breaks = [one for one, before in zip(stock.breaks, earlier, strict=False) if one[1] != before]
    for (least, price), after in zip(breaks, [*breaks[1:], None], strict=True):
        dearer = plain and after is not None and after[1] > price
        held.append((price, 0 if least == 1 else least, after[0] - 1 if dearer and after is not None else None))
    if stock.breaks[0][0] > 1:
        held.insert(0, (None if plain else stock.price, 0, None))
    return held


def _number_of(levels: Sequence[Sequence[object]]) -> int:
    number = 1
    for one in levels:
        number *= len(one)
    return number


def plan_with_breaks(
    request: R,
    plan_at: PlanAt[R, P],
    seconds: float | None,
    start: P | None,
    watch: Callable[[P], bool] | None,
) -> P:
    """The cheapest purchase with its breaks, whole sheets or lengths beyond those cut included, over all ways.

    `plan_at` plans at fixed prices; the time is shared among the ways. The plan depends on the same as those.
    """
    ways = ways_to_buy(request)
    weighed: _Weighed[R, P] = _Weighed(request, [way.paid for way in ways], watch)
    deadline = None if seconds is None else time.monotonic() + seconds
    for place, way in enumerate(ways):
        if weighed.closed(place):
            continue
        left = None if deadline is None else max(0.0, deadline - time.monotonic()) / (len(ways) - place)
        asked = _at_prices(request, way)
        plan = plan_at(asked, left, weighed.best or start, weighed.watching(place, Fraction(0)))
        weighed.take(place, plan, Fraction(0))
        paid_for = _paid_for(asked, way, request.stocks)
        if weighed.closed(place) or paid_for is None or _reaches(plan, way, request.stocks):
            continue
        left = None if deadline is None else max(0.0, deadline - time.monotonic()) / (len(ways) - place)
        plan = plan_at(paid_for, left, None, weighed.watching(place, way.paid))
        weighed.take(place, plan, way.paid)
    assert weighed.best is not None
    return weighed.told()


@dataclass
class _Weighed(Generic[R, P]):
    """The best plan over the ways weighed so far, at the price of its purchase, and a bound for each way."""

    request: R
    bounds: list[Fraction]
    watch: Callable[[P], bool] | None
    best: P | None = None
    steps: Counter[tuple[int, bool]] = field(default_factory=Counter)
    stopped: bool = False

    def closed(self, place: int) -> bool:
        """Whether nothing is to be gained on a way any more; a way that limits a stock may leave pieces without one."""
        best = self.best
        return best is not None and not best.unplaced and (self.stopped or self.bounds[place] >= best.price)

    def take(self, place: int, plan: P, paid: Fraction) -> None:
        """Weigh a plan of one way; `paid` was paid in any case and is not in its price."""
        self.steps[place, bool(paid)] = plan.steps
        self.bounds[place] = max(self.bounds[place], paid + plan.bound)
        found = _under_their_names(plan)
        found = replace(found, price=price_of_cut(self.request.stocks, counts_cut(found)))
        if self.best is None or _rank(self.request, found) < _rank(self.request, self.best):
            self.best = found

    def told(self) -> P:
        """The best plan with what is known of the least possible price by now."""
        assert self.best is not None
        bound = min(self.best.price, *self.bounds)
        proved = not self.best.unplaced and bound >= self.best.price
        return replace(self.best, bound=bound, proved=proved, steps=sum(self.steps.values()))

    def watching(self, place: int, paid: Fraction) -> Callable[[P], bool] | None:
        """A watch for one way that tells of the whole, and ends the way where it has no more to give."""
        if self.watch is None:
            return None

        def seen(plan: P) -> bool:
            self.take(place, plan, paid)
            if not self.stopped and self.watch is not None:
                self.stopped = not self.watch(self.told())
            return not self.stopped and not self.closed(place)

        return seen


def _rank(request: SheetRequest | LengthRequest, plan: SheetPlan | LengthPlan) -> tuple[int, Fraction]:
    return sum(one.count for one in plan.unplaced), plan.price + sawing_money(request, plan)


def _at_prices(request: R, way: Way) -> R:
    """The question with every stock at the price of the way."""
    stocks = tuple(
        replace(stock, price=price, available=most, breaks=())
        for stock, price, most in zip(request.stocks, way.prices, way.most, strict=True)
        if price is not None
    )
    return _with_stocks(request, stocks)


def _with_stocks(request: R, stocks: tuple[Stock, ...]) -> R:
    # The stocks are those of the question itself, so they are of its kind.
    return replace(request, stocks=stocks)  # type: ignore[arg-type]


def _paid_for(asked: R, way: Way, stocks: Sequence[Stock]) -> R | None:
    """The question with what is paid for in any case as stock that costs nothing more; None where that is nothing,
    or the stocks would be too many."""
    needed = {stock.id: number for stock, number in zip(stocks, way.least, strict=True) if number}
    if not needed or len(asked.stocks) + len(needed) > MOST_STOCKS:
        return None
    named: tuple[Stock, ...] = asked.stocks
    free: tuple[Stock, ...] = tuple(
        replace(stock, id=stock.id + PAID_FOR, price=Fraction(0), available=needed[stock.id])
        for stock in named
        if stock.id in needed
    )
    rest: Iterator[Stock] = (
        stock if stock.available is None or stock.id not in needed
        else replace(stock, available=stock.available - needed[stock.id])
        for stock in named
    )  # fmt: skip
    return _with_stocks(asked, (*free, *rest))


def _reaches(plan: SheetPlan | LengthPlan, way: Way, stocks: Sequence[Stock]) -> bool:
    """Whether a plan cuts as many of each stock as the way asks for, so that its price is what it says."""
    cut = counts_cut(plan)
    return all(cut[stock.id] >= number for stock, number in zip(stocks, way.least, strict=True))


def _under_their_names(plan: P) -> P:
    """The plan with what was paid for in any case under the name of its stock, sheets cut alike put together."""
    names = counts_cut(plan)
    if not any(name.endswith(PAID_FOR) for name in names):
        return plan
    if isinstance(plan, SheetPlan):
        sheets = tuple(CutSheet(name, count, laid) for (name, laid), count in _alike(
            ((_named(one.stock), one.placements), one.count) for one in plan.sheets
        ))  # fmt: skip
        filled: Counter[str] = Counter()
        shares: dict[str, Fraction] = {}
        for name, share in plan.fill:
            filled[_named(name)] += names[name]
            shares[_named(name)] = shares.get(_named(name), Fraction(0)) + share * names[name]
        return replace(plan, sheets=sheets, fill=tuple((name, shares[name] / filled[name]) for name in sorted(filled)))
    lengths = tuple(CutLength(name, count, laid) for (name, laid), count in _alike(
        ((_named(one.stock), one.pieces), one.count) for one in plan.lengths
    ))  # fmt: skip
    return replace(plan, lengths=lengths)


Laid = TypeVar("Laid")


def _alike(told: Iterator[tuple[Laid, int]]) -> Iterator[tuple[Laid, int]]:
    counted: dict[Laid, int] = {}
    for laid, count in told:
        counted[laid] = counted.get(laid, 0) + count
    return iter(counted.items())


def _named(name: str) -> str:
    return name.removesuffix(PAID_FOR)
