"""Which sums a purchase can come to: a bound between two of them can be raised to the upper one."""

from __future__ import annotations

import heapq
from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence

from webapp.costing.cutting.ask.sold import Sold, step_of

MOST_PURCHASES = 3000

Counts = tuple[int, ...]


def raise_bound(bound: int, ceiling: int, stocks: Sequence[Sold], is_ruled_out: Callable[[Counts], bool]) -> int:
    """The least cost from `bound` to `ceiling` of a purchase that is not ruled out.

    `bound` must be a valid bound and `ceiling` a price that can be had. Where more than `MOST_PURCHASES` purchases
    would have to be looked at, the cost reached by then is returned: valid too, only lower.
    """
    paid = [stock for stock in stocks if stock.is_paid]
    if not paid or bound >= ceiling:
        return min(max(bound, 0), ceiling)
    step = step_of(paid)
    reached = -(-bound // step) * step
    for number, (cost, counts) in enumerate(_purchases(stocks, reached)):
        if cost >= ceiling or number >= MOST_PURCHASES:
            return min(max(reached, cost), ceiling)
        if cost >= reached:
            reached = cost
            if not is_ruled_out(counts):
                return cost
    return ceiling


def _purchases(stocks: Sequence[Sold], start: int) -> Iterator[tuple[int, Counts]]:
    """Every purchase worth making, cheapest first, as its cost and how many of each; what is free is taken whole.

    With a single stock to pay for, those well below `start` are passed over.
    """
    numbers = [stock.worthwhile() for stock in stocks]
    picks = [0 if stock.is_paid else len(numbers[place]) - 1 for place, stock in enumerate(stocks)]
    paid = [place for place, stock in enumerate(stocks) if stock.is_paid]
    if len(paid) == 1:
        picks[paid[0]] = bisect_left(numbers[paid[0]], stocks[paid[0]].most_for(start))
    cost = sum(stocks[place].cost(numbers[place][picks[place]]) for place in paid)
    # Where nothing hangs on how many are bought, the picks are the numbers, and one more costs the price of one.
    hanging = any(stock.costs for stock in stocks)
    heap: list[tuple[int, Counts, int]] = [(cost, tuple(picks), 0)]
    while heap:
        cost, picked, first = heapq.heappop(heap)
        yield cost, tuple(numbers[place][pick] for place, pick in enumerate(picked)) if hanging else picked
        for turn in range(first, len(paid)):
            place = paid[turn]
            now = picked[place]
            if now + 1 < len(numbers[place]):
                stock, sold = stocks[place], numbers[place]
                more = stock.cost(sold[now + 1]) - stock.cost(sold[now]) if stock.costs else stock.price
                heapq.heappush(heap, (cost + more, (*picked[:place], now + 1, *picked[place + 1 :]), turn))
