"""From what is required to the cheapest purchase in whole packs, price breaks included."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Final

MOST_PACKS: Final = 100_000
MOST_TRIES: Final = 200_000


@dataclass(frozen=True, slots=True)
class Pack:
    """One thing on offer: what a pack holds, and its price by the number of packs bought, smallest number first.

    None stands where it is not to be had from that number on. They are sold so many `together`.
    """

    offer: str
    holds: Fraction
    prices: tuple[tuple[int, Fraction | None], ...]
    together: int = 1

    def cost(self, packs: int) -> Fraction | None:
        """What so many packs cost, or None where the offer has no price for so many."""
        fitting = [price for least, price in self.prices if least <= packs]
        price = fitting[-1] if fitting else None
        return None if price is None else price * packs

    @property
    def best_rate(self) -> Fraction:
        """The least price of one unit at any quantity."""
        return min(price for _, price in self.prices if price is not None) / self.holds


@dataclass(frozen=True, slots=True)
class Bought:
    """So many packs of an offer for so much."""

    offer: str
    packs: int
    cost: Fraction


def cheapest_packs(required: Fraction, offered: Sequence[Pack]) -> tuple[Bought, ...]:
    """The least dear packs that together hold at least `required`; among equals the least left over, then fewest packs.

    Exact by branch and bound over the offers; nothing needed buys nothing. Raises ValueError where nothing is offered
    at a price, or no number of packs holds so much. `required` is in the unit of what a pack holds, prices are money.

    120 screws, in packs of a hundred at 9 or of sixty at 6:

    >>> hundred = Pack("hundred", Fraction(100), ((1, Fraction(9)),))
    >>> sixty = Pack("sixty", Fraction(60), ((1, Fraction(6)),))
    >>> [(one.offer, one.packs) for one in cheapest_packs(Fraction(120), [hundred, sixty])]
    [('sixty', 2)]
    """
    if required <= 0:
        return ()
    packs = sorted(
        (pack for pack in offered if pack.prices), key=lambda pack: (pack.best_rate, -pack.holds, pack.offer)
    )
    if not packs:
        raise ValueError("nothing is offered at a price")
    best: tuple[Fraction, Fraction, int, tuple[tuple[int, int], ...]] | None = None
    tries = 0

    def look(place: int, held: Fraction, cost: Fraction, count: int, taken: tuple[tuple[int, int], ...]) -> None:
        nonlocal best, tries
        tries += 1
        if held >= required:
            found = (cost, held, count, taken)
            if best is None or found[:3] < best[:3]:
                best = found
            return
        if place == len(packs) or (best is not None and tries > MOST_TRIES):
            return
        rest = required - held
        # Every pack still to come costs at least the best rate of this one, since they are sorted by it.
        if best is not None and cost + rest * packs[place].best_rate > best[0]:
            return
        pack = packs[place]
        enough = min(ceil(rest / pack.holds), MOST_PACKS)
        numbers = {least for least, _ in pack.prices if least > enough} | set(range(enough, -1, -1))
        for number in sorted({-(-number // pack.together) * pack.together for number in numbers}, reverse=True):
            if number == 0:
                look(place + 1, held, cost, count, taken)
                continue
            price = pack.cost(number)
            if price is not None:
                look(place + 1, held + number * pack.holds, cost + price, count + number, (*taken, (place, number)))

    look(0, Fraction(0), Fraction(0), 0, ())
    if best is None:
        raise ValueError("what is offered can't cover what is required")
    bought = []
    for place, number in best[3]:
        cost = packs[place].cost(number)
        assert cost is not None
        bought.append(Bought(packs[place].offer, number, cost))
    return tuple(sorted(bought, key=lambda one: one.offer))
