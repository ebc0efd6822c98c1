"""Bars to buy and how each is cut; the first purchase lays the longest piece first."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field

from webapp.costing.cutting.lengths.problem import Column, LengthProblem, Pattern


@dataclass(slots=True)
class Purchase:
    """Bars to buy and how each is cut, with how often; the pieces of each kind that found no bar."""

    uses: dict[Column, int]
    homeless: dict[int, int]
    price: int

    def meets(self, target: int) -> bool:
        """Whether every piece has its bar and the price is down to `target`."""
        return self.price <= target and not self.homeless

    def rank(self, problem: LengthProblem) -> tuple[int, int, int]:
        """Smaller is better: length without a place, price, then the longer single offcut."""
        spare = max((problem.bars[bar].size - problem.length_of(pattern) for bar, pattern in self.uses), default=0)
        homeless = sum(problem.sizes[kind] * number for kind, number in self.homeless.items())
        return homeless, self.price, -spare


@dataclass(slots=True)
class Basket:
    """A purchase in the making: the pieces still wanted, the bars still to be had, what is bought by now."""

    problem: LengthProblem
    left: list[int]
    limits: list[int]
    faithful: bool = False
    uses: dict[Column, int] = field(default_factory=dict)

    @classmethod
    def empty(cls, problem: LengthProblem, *, faithful: bool = False) -> Basket:
        """Nothing bought yet; a `faithful` one buys the bars that it is told to, though cheaper ones would do."""
        return cls(problem, list(problem.counts), [bar.limit for bar in problem.bars], faithful)

    def buy(self, bar: int, pattern: Pattern, times: int) -> None:
        """Cut a bar by a pattern so often; once its pieces are no longer wanted, shorter ones take their places."""
        times = min(times, self.limits[bar])
        whole = min((self.left[kind] // number for kind, number in pattern), default=0)
        if min(times, whole):
            self._take(bar, pattern, min(times, whole))
        for _ in range(times - whole):
            cut = self._in_its_place(pattern, self.problem.bars[bar].size)
            if not cut:
                return
            self._take(self._cheapest_for(cut, bar), cut, 1)

    def completed(self) -> Purchase:
        """This and the rest bought longest piece first."""
        rest = first_purchase(self.problem, self.left, self.limits)
        uses = dict(self.uses)
        for column, times in rest.uses.items():
            uses[column] = uses.get(column, 0) + times
        return Purchase(uses, rest.homeless, self.problem.price_of(uses))

    def _cheapest_for(self, pattern: Pattern, bar: int) -> int:
        """The bar for what was to be cut from another: a cheaper one, where each of both costs the same as the last."""
        bars, length = self.problem.bars, self.problem.length_of(pattern)
        if self.faithful or bars[bar].costs:
            return bar
        holding = [
            place for place, limit in enumerate(self.limits)
            if limit and bars[place].size >= length and not bars[place].costs
        ]  # fmt: skip
        return min(holding, key=lambda place: (bars[place].price, place != bar, place))

    def _take(self, bar: int, pattern: Pattern, times: int) -> None:
        self.uses[(bar, pattern)] = self.uses.get((bar, pattern), 0) + times
        self.limits[bar] -= times
        for kind, number in pattern:
            self.left[kind] -= times * number

    def _in_its_place(self, pattern: Pattern, size: int) -> Pattern:
        """The pattern with each unwanted piece replaced by the longest wanted one that is no longer."""
        taken: dict[int, int] = {}
        left, sizes = self.left, self.problem.sizes
        for kind, number in pattern:
            place = kind
            for _ in range(number):
                while place < len(left) and left[place] <= taken.get(place, 0):
                    place += 1
                if place == len(left):
                    break
                taken[place] = taken.get(place, 0) + 1
                size -= sizes[place]
        for place, count in enumerate(left):
            more = min(count - taken.get(place, 0), size // sizes[place])
            if more > 0:
                taken[place] = taken.get(place, 0) + more
                size -= more * sizes[place]
        return tuple(sorted(taken.items()))


def first_purchase(problem: LengthProblem, counts: Sequence[int], limits: Sequence[int]) -> Purchase:
    """Longest piece first, for each order of preference between the bars; each bar is then the cheapest that holds."""
    bars = problem.bars
    everything = range(len(bars))
    preferences = (
        sorted(everything, key=lambda bar: (bars[bar].price / bars[bar].size, -bars[bar].size)),
        sorted(everything, key=lambda bar: (-bars[bar].size, bars[bar].price)),
        sorted(everything, key=lambda bar: (bars[bar].price, -bars[bar].size)),
    )
    differing = preferences if len(bars) > 1 else preferences[:1]
    purchases = [_fill_in_turn(problem, counts, limits, preference) for preference in differing]
    return min(purchases, key=lambda purchase: purchase.rank(problem))


def _fill_in_turn(
    problem: LengthProblem, counts: Sequence[int], limits: Sequence[int], preference: list[int]
) -> Purchase:
    """Fill one bar after another, the longest piece that still fits first."""
    sizes, bars = problem.sizes, problem.bars
    left = list(counts)
    limit = list(limits)
    waiting = [kind for kind, count in enumerate(left) if count]
    homeless: dict[int, int] = {}
    uses: dict[Column, int] = {}
    while waiting:
        size = sizes[waiting[0]]
        bar = next((bar for bar in preference if limit[bar] and bars[bar].size >= size), None)
        if bar is None:
            homeless[waiting[0]] = left[waiting[0]]
            waiting.pop(0)
            continue
        pattern = _longest_first(sizes, left, waiting, bars[bar].size)
        length = problem.length_of(pattern)
        holding = [b for b in preference if limit[b] and bars[b].size >= length]
        bar = min(holding, key=lambda b: (bars[b].price, -bars[b].size, b))
        times = min(limit[bar], *(left[kind] // number for kind, number in pattern))
        limit[bar] -= times
        uses[(bar, pattern)] = uses.get((bar, pattern), 0) + times
        for kind, number in pattern:
            left[kind] -= times * number
            if not left[kind]:
                waiting.remove(kind)
    return Purchase(uses, homeless, problem.price_of(uses))


def _longest_first(sizes: Sequence[int], left: Sequence[int], waiting: list[int], room: int) -> Pattern:
    """The longest waiting piece that fits, as often as it goes in, and so on with the room that is left."""
    pattern = []
    place = 0
    while place < len(waiting):
        place = bisect_left(waiting, -room, lo=place, key=lambda kind: -sizes[kind])
        if place == len(waiting):
            break
        kind = waiting[place]
        number = min(left[kind], room // sizes[kind])
        pattern.append((kind, number))
        room -= number * sizes[kind]
        place += 1
    return tuple(pattern)
