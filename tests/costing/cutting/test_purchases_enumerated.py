"""Price breaks, least numbers and packs: what is proved least is the least of all purchases, tried one by one.

Three hundred seeded questions for lengths and as many for sheets, small enough that every purchase that holds the
pieces can be written down from the rules alone. How many are proved is told with the tests.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import product
from typing import TypeVar

from tests.cut_checker import faults_of_length_plan, faults_of_sheet_plan, least_paid, to_be_had
from tests.harness.examples import tried
from webapp.costing.cutting.ask.model import (
    LengthPiece,
    LengthPlan,
    LengthRequest,
    LengthStock,
    PriceBreak,
    SheetPiece,
    SheetPlan,
    SheetRequest,
    SheetStock,
    Trim,
)
from webapp.costing.cutting.lengths.plan import plan_lengths
from webapp.costing.cutting.sheets.plan import plan_sheets

CASES = 300
#: So many of a hundred plans are proved at least; all that are must be right.
PROVED = 98

Counts = tuple[int, ...]
Record = Callable[[str, object], None]
Stock = TypeVar("Stock", SheetStock, LengthStock)


def _sold(chance: random.Random, stock: Stock, *, limited: bool) -> Stock:
    """The stock as somebody may sell it: at prices by number, mostly falling, in packs, from a number on, so many."""
    prices: tuple[PriceBreak, ...] = ()
    first = Fraction(chance.randint(8, 60) * stock.length, 100)
    if chance.random() < 0.75:
        numbers = sorted(chance.sample(range(2, 9), chance.randint(1, 2)))
        if chance.random() < 0.75:
            numbers.insert(0, 1)
        shares = [100]
        for _ in numbers[1:]:
            shares.append(shares[-1] * chance.choice((60, 75, 85, 95, 100, 110)) // 100)
        prices = tuple((number, first * share / 100) for number, share in zip(numbers, shares, strict=True))
    pack = chance.choice((1, 1, 1, 2, 3, 5))
    available = chance.choice((2, 4, 6)) if limited and chance.random() < 0.5 else None
    return replace(stock, price=prices[0][1] if prices else first, breaks=prices, pack=pack, available=available)


def _least(counts: Iterable[Counts], stocks: Sequence[SheetStock | LengthStock]) -> Fraction | None:
    """The least that any of the purchases costs; None where none of them is to be had."""
    had = (held for held in set(counts) if all(to_be_had(one, n) for one, n in zip(stocks, held, strict=True)))
    costs = (sum((least_paid(one, n) for one, n in zip(stocks, held, strict=True)), Fraction(0)) for held in had)
    return min(costs, default=None)


def _ways(lengths: Sequence[int], wanted: Sequence[int], rooms: Sequence[int], kerf: int) -> Iterator[Counts]:
    """How many of each stock hold all pieces laid end to end: every way to fill one after another is tried."""
    none = tuple(0 for _ in rooms)

    @cache
    def held(left: Counts) -> frozenset[Counts]:
        if not any(left):
            return frozenset({none})
        found: set[Counts] = set()
        first = next(kind for kind, number in enumerate(left) if number)
        for taken in product(*(range(number + 1) for number in left)):
            length = sum((size + kerf) * number for size, number in zip(lengths, taken, strict=True)) - kerf
            if not taken[first] or length > max(rooms):
                continue
            rest = held(tuple(number - less for number, less in zip(left, taken, strict=True)))
            for stock, room in enumerate(rooms):
                if length <= room:
                    found |= {tuple(n + (place == stock) for place, n in enumerate(one)) for one in rest}
        return frozenset(found)

    yield from held(tuple(wanted))


def _end_to_end(chance: random.Random) -> tuple[list[int], list[int], list[int]]:
    """Rooms of one to three stocks, lengths of pieces that the longest holds, and how many of each."""
    rooms = [chance.randint(8, 24) for _ in range(chance.randint(1, 3))]
    if chance.random() < 0.3:
        # The same size from somebody else.
        rooms[-1] = rooms[0]
    lengths = chance.sample(range(3, max(rooms) + 1), chance.randint(1, 3))
    return rooms, lengths, [chance.randint(1, 4 if len(lengths) < 3 else 2) for _ in lengths]


def _lengths(number: int) -> tuple[LengthRequest, Fraction | None]:
    chance = random.Random(number)
    rooms, lengths, wanted = _end_to_end(chance)
    kerf = chance.randint(0, 1)
    stocks = tuple(
        _sold(chance, LengthStock(f"stock {place}", room, 0, Fraction(1)), limited=place > 0)
        for place, room in enumerate(rooms)
    )
    pieces = tuple(
        LengthPiece(f"piece {place}", length, count)
        for place, (length, count) in enumerate(zip(lengths, wanted, strict=True))
    )
    return LengthRequest(kerf, stocks, pieces), _least(_ways(lengths, wanted, rooms, kerf), stocks)


def _sheets(number: int) -> tuple[SheetRequest, Fraction | None]:
    """Strips as wide as every sheet, which lie end to end; or equal pieces, of which a sheet holds so many rows."""
    chance = random.Random(number)
    if number % 2:
        rooms, lengths, wanted = _end_to_end(chance)
        width, kerf = chance.randint(5, 9), chance.randint(0, 1)
        sizes = [(room, width) for room in rooms]
        pieces = [SheetPiece(f"strip {n}", lengths[n], width, wanted[n], False) for n in range(len(lengths))]
        ways = _ways(lengths, wanted, rooms, kerf)
    else:
        length, width, kerf = chance.randint(4, 9), chance.randint(3, 6), chance.randint(0, 1)
        sizes = [(chance.randint(9, 26), chance.randint(6, 16)) for _ in range(chance.randint(1, 3))]
        count = chance.randint(1, 30)
        pieces = [SheetPiece("panel", length, width, count, False)]
        holds = [(along + kerf) // (length + kerf) * ((across + kerf) // (width + kerf)) for along, across in sizes]
        counts = product(*(range(-(-count // one) + 1 if one else 1) for one in holds))
        ways = (held for held in counts if sum(n * one for n, one in zip(held, holds, strict=True)) >= count)
    stocks = tuple(
        _sold(chance, SheetStock(f"stock {place}", *size, Trim.all_round(0), Fraction(1)), limited=place > 0)
        for place, size in enumerate(sizes)
    )
    return SheetRequest(kerf, "saw", stocks, tuple(pieces)), _least(ways, stocks)


def _is_proved(number: int, least: Fraction | None, plan: SheetPlan | LengthPlan) -> bool:
    """Whether a plan is proved: none is below the least, no bound above it, and one that is proved costs it."""
    if least is None:
        assert plan.unplaced, number
        return False
    assert not plan.unplaced, number
    assert plan.bound <= least <= plan.price, (number, plan.bound, least, plan.price)
    assert not plan.proved or plan.price == least, (number, least, plan.price)
    return plan.proved


def test_lengths_that_are_proved_are_the_least_of_all_purchases(record_property: Record) -> None:
    proved, asked = 0, 0
    for number in range(tried(CASES)):
        request, least = _lengths(number)
        plan = plan_lengths(request)
        assert least is None or faults_of_length_plan(request, plan) == [], number
        proved, asked = proved + _is_proved(number, least, plan), asked + (least is not None)
    record_property("proved", f"{proved} of {asked}")
    assert 100 * proved >= PROVED * asked, f"{proved} of {asked} are proved"


def test_sheets_that_are_proved_are_the_least_of_all_purchases(record_property: Record) -> None:
    proved, asked = 0, 0
    for number in range(tried(CASES)):
        request, least = _sheets(number)
        plan = plan_sheets(request)
        assert least is None or faults_of_sheet_plan(request, plan) == [], number
        proved, asked = proved + _is_proved(number, least, plan), asked + (least is not None)
    record_property("proved", f"{proved} of {asked}")
    assert 100 * proved >= PROVED * asked, f"{proved} of {asked} are proved"
