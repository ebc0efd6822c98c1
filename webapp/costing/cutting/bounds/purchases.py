"""Which sheets a given sum could buy: the goals that a search may aim at."""

from __future__ import annotations

from itertools import product
from typing import Final

from webapp.costing.cutting.laying.problem import SheetProblem

MOST_LOOKED_AT: Final = 4_000

Purchase = tuple[int, ...]
"""How many of each sheet of a problem."""


def purchases_below(problem: SheetProblem, price: int, most: int) -> list[Purchase]:
    """Purchases for less than a price that have room for all pieces by area, the roomiest first, at most so many.

    Of each the sheet with the most area for its price is taken as often as the money allows.
    """
    sheets = problem.sheets
    need = sum(kind.area * kind.count for kind in problem.kinds)
    everything = range(len(sheets))
    main = max(everything, key=lambda place: (sheets[place].limit >= problem.count, _worth(problem, place)))
    others = [place for place in everything if place != main]
    choices = [range(_most_of(problem, place, price - 1) + 1) for place in others]
    # Of many sizes the dear ways to buy area are looked at least.
    while _size(choices) > MOST_LOOKED_AT:
        widest = max(range(len(choices)), key=lambda number: len(choices[number]))
        choices[widest] = range(len(choices[widest]) * 2 // 3)
    found: list[tuple[int, int, Purchase]] = []
    for counts in product(*choices):
        money = price - 1 - sum(count * sheets[place].price for count, place in zip(counts, others, strict=True))
        if money < 0:
            continue
        bought = [0] * len(sheets)
        for count, place in zip(counts, others, strict=True):
            bought[place] = count
        bought[main] = _most_of(problem, main, money)
        area = sum(count * sheets[place].area for place, count in enumerate(bought))
        if area >= need:
            cost = sum(count * sheets[place].price for place, count in enumerate(bought))
            found.append((-area, cost, tuple(bought)))
    return [purchase for _, _, purchase in sorted(set(found))[:most]]


def _most_of(problem: SheetProblem, place: int, money: int) -> int:
    sheet = problem.sheets[place]
    return sheet.limit if not sheet.price else min(sheet.limit, money // sheet.price)


def _worth(problem: SheetProblem, place: int) -> float:
    sheet = problem.sheets[place]
    return sheet.area / sheet.price if sheet.price else float("inf")


def _size(choices: list[range]) -> int:
    size = 1
    for one in choices:
        size *= len(one)
    return size
