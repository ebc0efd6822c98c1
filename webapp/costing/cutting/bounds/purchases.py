"""Which sheets a given sum could buy: the goals that a search may aim at."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from itertools import islice
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

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
    exact = _exact(problem, price)
    counts = np.zeros((_size(choices), len(sheets)), dtype=np.int64)
    paid = np.zeros(len(counts), dtype=exact)
    for place, numbers in zip(others, np.meshgrid(*choices, indexing="ij"), strict=True):
        counts[:, place] = numbers.ravel()
        paid += _looked_up(sheets[place].cost, counts[:, place], exact)
    affordable = paid < price
    counts, paid = counts[affordable], paid[affordable]
    counts[:, main] = _looked_up(sheets[main].most_for, price - 1 - paid, np.dtype(np.int64))
    cost = paid + _looked_up(sheets[main].cost, counts[:, main], exact)
    area = counts.astype(exact) @ np.array([sheet.area for sheet in sheets], dtype=exact)
    roomy = np.flatnonzero(area >= need)
    order = roomy[np.lexsort((*counts[roomy].T[::-1], cost[roomy], -area[roomy]))]
    roomiest: Iterator[Purchase] = (tuple(counts[place].tolist()) for place in order)
    if problem.costs_hang_on_number:
        roomiest = (purchase for purchase in roomiest if not rules_out(purchase))
    return list(islice(roomiest, most))


def _exact(problem: SheetProblem, price: int) -> np.dtype[Any]:
    """Whole numbers of 64 bits where no sum outgrows them, else without end."""
    most = max(price, *(sheet.area * sheet.limit for sheet in problem.sheets)) * (len(problem.sheets) + 1)
    return np.dtype(np.int64 if most < 2**62 else object)


def _looked_up(told: Callable[[int], int], asked: NDArray[Any], exact: np.dtype[Any]) -> NDArray[Any]:
    """What is told of each number asked about, each different one asked about once."""
    different, places = np.unique(asked, return_inverse=True)
    return np.array([told(int(number)) for number in different], dtype=exact)[places]


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
