"""Which prices a purchase can come to: a bound between two of them can be raised to the upper one."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator, Sequence
from math import gcd

MOST_PURCHASES = 3000

Counts = tuple[int, ...]


def raise_bound(
    bound: int,
    ceiling: int,
    prices: Sequence[int],
    limits: Sequence[int],
    is_ruled_out: Callable[[Counts], bool],
) -> int:
    """The least price from `bound` to `ceiling` at which some purchase is not ruled out.

    `bound` must be a valid bound and `ceiling` a price that can be had. Where more than `MOST_PURCHASES` purchases
    would have to be looked at, the price reached by then is returned: valid too, only lower.
    """
    paid = [price for price in prices if price]
    if not paid or bound >= ceiling:
        return min(max(bound, 0), ceiling)
    step = gcd(*paid)
    reached = -(-bound // step) * step
    for number, (price, counts) in enumerate(_purchases(prices, limits, reached)):
        if price >= ceiling or number >= MOST_PURCHASES:
            return min(max(reached, price), ceiling)
        if price >= reached:
            reached = price
            if not is_ruled_out(counts):
                return price
    return ceiling


def _purchases(prices: Sequence[int], limits: Sequence[int], start: int) -> Iterator[tuple[int, Counts]]:
    """Every purchase, cheapest first, as its price and how many of each; free stock is taken whole from the outset.

    With a single size to pay for, those well below `start` are passed over.
    """
    counts = [limit if price == 0 else 0 for price, limit in zip(prices, limits, strict=True)]
    paid = [place for place, price in enumerate(prices) if price]
    skipped = 0
    if len(paid) == 1:
        skipped = min(limits[paid[0]], start // prices[paid[0]])
        counts[paid[0]] = skipped
    heap: list[tuple[int, Counts, int]] = [(skipped * prices[paid[0]], tuple(counts), 0)]
    while heap:
        price, bought, first = heapq.heappop(heap)
        yield price, bought
        for number in range(first, len(paid)):
            place = paid[number]
            if bought[place] < limits[place]:
                more = (*bought[:place], bought[place] + 1, *bought[place + 1 :])
                heapq.heappush(heap, (price + prices[place], more, number))
