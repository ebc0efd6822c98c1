"""Plans for lengths: longest piece first, then patterns priced by column generation and bought whole."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from math import floor

from webapp.costing.cutting.effort import Effort
from webapp.costing.cutting.length_master import Column, Master
from webapp.costing.cutting.length_patterns import MOST_HEADS, all_patterns, best_patterns, quick_patterns
from webapp.costing.cutting.length_problem import LengthProblem, Pattern

WORTH_SCALE = 10**6
MOST_PATTERNS = 3000
ENTRIES_A_STEP_WHOLE = 20
"""How many entries of the whole-number programme count as one step of work."""

ROUNDS_IN_DIVE = 8


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
    price = 0
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
        price += times * bars[bar].price
        for kind, number in pattern:
            left[kind] -= times * number
            if not left[kind]:
                waiting.remove(kind)
    return Purchase(uses, homeless, price)


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


def _trimmed(pattern: Pattern, left: Sequence[int]) -> Pattern:
    """The pattern without the pieces that are not wanted any more."""
    return tuple((kind, min(number, left[kind])) for kind, number in pattern if left[kind])


def _joined(one: dict[Column, int], other: dict[Column, int]) -> dict[Column, int]:
    return {column: one.get(column, 0) + other.get(column, 0) for column in one | other}


class ColumnGeneration:
    """Prices patterns until none helps; keeps the best bound met on the way and every pattern found."""

    def __init__(self, problem: LengthProblem, purchase: Purchase, seed: int, effort: Effort) -> None:
        self.problem = problem
        self.seed = seed
        self.effort = effort
        self.limits = [bar.limit for bar in problem.bars]
        self.bound = 0
        self.pool: dict[Column, None] = dict.fromkeys(purchase.uses)

    def price_patterns(self) -> list[tuple[Column, float]]:
        """Column generation on the whole demand, then the columns that the linear optimum uses."""
        return self._generate(self.problem.counts, self.limits, list(self.pool))

    def dive(self, uses: list[tuple[Column, float]], target: int) -> Purchase:
        """Buy the whole parts of the linear optimum, price the rest again, and so on until all is bought.

        At each turn the rest is also bought longest first; the best purchase met is returned, at once if its price is
        down to `target`.
        """
        left = list(self.problem.counts)
        limits = list(self.limits)
        bought: dict[Column, int] = {}
        best = self._completed(bought, left, limits)
        while any(left) and uses and not self.effort.over() and not best.meets(target):
            chosen = [(column, floor(use + 1e-6)) for column, use in uses if use >= 1 - 1e-6]
            if not chosen:
                chosen = [(max(uses, key=lambda column_use: (column_use[1], column_use[0]))[0], 1)]
            for (bar, pattern), times in chosen:
                for _ in range(min(times, limits[bar])):
                    cut = _trimmed(pattern, left)
                    if cut:
                        bought[(bar, cut)] = bought.get((bar, cut), 0) + 1
                        limits[bar] -= 1
                        for kind, number in cut:
                            left[kind] -= number
            completed = self._completed(bought, left, limits)
            if completed.rank(self.problem) < best.rank(self.problem):
                best = completed
            uses = self._generate(left, limits, [column for column, _ in uses])
        return best

    def _completed(self, bought: dict[Column, int], left: list[int], limits: list[int]) -> Purchase:
        rest = first_purchase(self.problem, left, limits)
        price = sum(times * self.problem.bars[bar].price for (bar, _), times in bought.items())
        return Purchase(_joined(bought, rest.uses), rest.homeless, price + rest.price)

    def buy_whole(self, columns: Sequence[Column]) -> tuple[Purchase | None, bool]:
        """The cheapest whole purchase of these columns, and whether it is proved so; None where it is too much work."""
        self.effort.steps += len(columns) * len(self.problem.sizes) // ENTRIES_A_STEP_WHOLE
        if self.effort.over():
            return None, False
        master = Master(self.problem, self.problem.counts, self.limits, self.seed)
        for bar, pattern in columns:
            master.add(bar, pattern)
        uses, best = master.solve_whole(self.effort)
        if uses is None:
            return None, False
        left = list(self.problem.counts)
        bought: dict[Column, int] = {}
        for (bar, pattern), times in zip(master.columns, uses, strict=True):
            for _ in range(times):
                cut = _trimmed(pattern, left)
                if cut:
                    bought[(bar, cut)] = bought.get((bar, cut), 0) + 1
                    for kind, number in cut:
                        left[kind] -= number
        price = sum(times * self.problem.bars[bar].price for (bar, _), times in bought.items())
        return Purchase(bought, {kind: count for kind, count in enumerate(left) if count}, price), best

    def every_column(self) -> list[Column] | None:
        """Every full pattern of every bar, where they are few."""
        columns: list[Column] = []
        for place, bar in enumerate(self.problem.bars):
            patterns = all_patterns(self.problem.sizes, self.problem.counts, bar.size, MOST_PATTERNS - len(columns))
            if patterns is None:
                return None
            columns += [(place, pattern) for pattern in patterns]
        return columns

    def _generate(
        self, counts: Sequence[int], limits: Sequence[int], start: list[Column]
    ) -> list[tuple[Column, float]]:
        """Column generation from the columns of `start`; on the whole demand to its end, on a rest for a few rounds."""
        problem = self.problem
        whole = tuple(counts) == problem.counts
        bars = [place for place in range(len(problem.bars)) if limits[place]]
        if not bars:
            return []
        master = Master(problem, counts, limits, self.seed)
        for bar, pattern in (*start, *first_purchase(problem, counts, limits).uses):
            if limits[bar]:
                master.add(bar, _trimmed(pattern, counts))
        relaxed = master.solve_relaxed(self.effort)
        rounds = 0
        while relaxed is not None and not self.effort.over() and (whole or rounds < ROUNDS_IN_DIVE):
            rounds += 1
            worths = [floor(worth * WORTH_SCALE) for worth in relaxed.worths]
            added = False
            for bar in bars:
                least = (problem.bars[bar].price + relaxed.savings[bar] + 1e-4) * WORTH_SCALE
                for pattern in quick_patterns(problem.sizes, counts, worths, problem.bars[bar].size, least):
                    added = master.add(bar, pattern) or added
            if added:
                self.effort.steps += len(bars) * (1 + len(worths) * min(len(worths), MOST_HEADS) // 5000)
                relaxed = master.solve_relaxed(self.effort)
                continue
            found = best_patterns(problem.sizes, counts, worths, [problem.bars[bar].size for bar in bars])
            self.effort.steps += sum(answer.steps for answer in found)
            if whole:
                most = {bar: answer.at_most for bar, answer in zip(bars, found, strict=True)}
                self.bound = max(self.bound, self._bound_from(worths, most))
            for bar, answer in zip(bars, found, strict=True):
                price = problem.bars[bar].price + relaxed.savings[bar]
                if answer.worth > (price + 1e-4) * WORTH_SCALE:
                    added = master.add(bar, answer.pattern) or added
            if not added:
                break
            relaxed = master.solve_relaxed(self.effort)
        self.pool.update(dict.fromkeys(master.columns))
        if relaxed is None:
            return []
        priced = master.columns[: len(relaxed.uses)]
        return [(column, use) for column, use in zip(priced, relaxed.uses, strict=True) if use > 1e-6]

    def _bound_from(self, worths: list[int], most: dict[int, int]) -> int:
        """The price below which nothing can be had if a piece is worth this much and no bar holds more than `most`.

        The worths are shrunk until no unlimited bar holds more than its price; what limited bars hold beyond theirs
        is given away. Farley, 'A note on bounding a class of linear programming problems', Operations Research 38
        (1990).
        """
        total = sum(worth * count for worth, count in zip(worths, self.problem.counts, strict=True))
        whole = sum(self.problem.counts)
        bars = self.problem.bars
        top, base = 1, 1
        for bar, held in most.items():
            price = bars[bar].price * WORTH_SCALE
            if bars[bar].limit >= whole and held * top > price * base:
                top, base = price, held
        given = sum(
            bars[bar].limit * max(0, held * top - bars[bar].price * WORTH_SCALE * base)
            for bar, held in most.items()
            if bars[bar].limit < whole
        )
        return -(-(total * top - given) // (base * WORTH_SCALE))
