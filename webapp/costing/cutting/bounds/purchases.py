"""Which sheets a given sum could buy: the goals that a search may aim at."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence
from itertools import islice, product
from typing import Final

from webapp.costing.cutting.laying.problem import Sheet, SheetProblem

MOST_LOOKED_AT: Final = 4_000

Purchase = tuple[int, ...]
"""How many of each sheet of a problem."""


def purchases_below(
    problem: SheetProblem, price: int, most: int, rules_out: Callable[[Purchase], bool]
) -> list[Purchase]:
    """Purchases for less than a price that have room for all pieces by area, the roomiest first, at most so many.

    Of each the sheet with the most area for its price is taken as often as the money allows. Where costs hang on how
    many are bought, the roomiest are many that are of no use: what is known to hold not all is passed over.
    """
    sheets = problem.sheets
    need = sum(kind.area * kind.count for kind in problem.kinds)
    everything = range(len(sheets))
    main = max(everything, key=lambda place: (sheets[place].limit >= problem.count, _worth(problem, place)))
    others = [place for place in everything if place != main]
    choices = [_choices(sheets[place], price - 1) for place in others]
    # Of many sizes the dear ways to buy area are looked at least.
    while _size(choices) > MOST_LOOKED_AT:
        widest = max(range(len(choices)), key=lambda number: len(choices[number]))
        choices[widest] = choices[widest][: len(choices[widest]) * 2 // 3]
    found: list[tuple[int, int, Purchase]] = []
    for counts in product(*choices):
        money = price - 1 - sum(sheets[place].cost(count) for count, place in zip(counts, others, strict=True))
        if money < 0:
            continue
        bought = [0] * len(sheets)
        for count, place in zip(counts, others, strict=True):
            bought[place] = count
        bought[main] = sheets[main].most_for(money)
        area = sum(count * sheets[place].area for place, count in enumerate(bought))
        if area >= need:
            cost = sum(sheets[place].cost(count) for place, count in enumerate(bought))
            found.append((-area, cost, tuple(bought)))
    roomiest = (purchase for _, _, purchase in sorted(set(found)))
    if problem.costs_hang_on_number:
        roomiest = (purchase for purchase in roomiest if not rules_out(purchase))
    return list(islice(roomiest, most))


def _choices(sheet: Sheet, money: int) -> Sequence[int]:
    """How many of a sheet may be bought for so much money, or for a part of it."""
    numbers = sheet.worthwhile()
    return numbers[: bisect_left(numbers, sheet.most_for(money)) + 1]


def _worth(problem: SheetProblem, place: int) -> float:
    sheet = problem.sheets[place]
    return sheet.area / sheet.price if sheet.price else float("inf")


def _size(choices: list[Sequence[int]]) -> int:
    size = 1
    for one in choices:
        size *= len(one)
    return size
