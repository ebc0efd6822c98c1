"""Boards of random width: how much has to be bought until all blanks are cut, by simulated purchases.

The model. Boards are drawn one after another; width and length of each are uniform between the least and the most that
the shop sees, since nothing is known of what lies between. Of each board a share is clear of knots, wane and checks:
uniform and as far up as down from its mean, taken off width and length alike. The mean is set so that a long run of
these blanks uses just the usable share that the shop reckons with, since that share holds what ripping loses too;
where even clear boards use less than that, the boards are taken as clear. From a board strips are ripped, each as wide
as the longest blank still wanted that fits, and filled with blanks no wider than it, the longest first. Boards are
bought whole.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import ceil, sqrt
from random import Random
from typing import Final

SEED: Final = 0
#: Purchases are simulated so often at most and at least; in between as often as so many boards allow.
MOST_PURCHASES: Final = 400
LEAST_PURCHASES: Final = 40
BOARDS_IN_ALL: Final = 1_200
#: A purchase is given up when it has taken so many boards, and so many times those that its area calls for.
GIVEN_UP_AFTER: Final = 30
GIVEN_UP_TIMES: Final = 8
#: Boards in the long run by which the clear share is set, and how often it is set anew.
LONG_RUN: Final = 100
TIMES_SET: Final = 2

Size = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class BoardQuestion:
    """Blanks (length, width, count) to be cut from boards between two widths and two lengths; all in nm.

    `usable` is the share of what is bought that becomes blanks in the long run.
    """

    kerf: int
    widths: tuple[int, int]
    lengths: tuple[int, int]
    usable: Fraction
    blanks: tuple[Size, ...]


@dataclass(frozen=True, slots=True)
class BoardPurchases:
    """The area of board that the simulated purchases took, in square nm, least first.

    `unfinished` purchases were given up and count as needing more than any amount. `clear` is the mean share of a board
    that was taken as clear.
    """

    areas: tuple[int, ...]
    unfinished: int
    clear: float

    @property
    def count(self) -> int:
        """How many purchases were simulated."""
        return len(self.areas) + self.unfinished

    def that_suffices(self, chance: Fraction) -> int | None:
        """The least area that sufficed in this share of the purchases; None where none did."""
        needed = max(1, ceil(chance * self.count))
        return self.areas[needed - 1] if needed <= len(self.areas) else None

    def sufficed(self, area: Fraction) -> int:
        """In how many purchases this area sufficed."""
        return bisect_right(self.areas, area)


def fit_no_board(question: BoardQuestion) -> tuple[int, ...]:
    """The places of the blanks that even the longest and widest board has no room for."""
    length, width = question.lengths[1], question.widths[1]
    return tuple(place for place, blank in enumerate(question.blanks) if blank[0] > length or blank[1] > width)


@lru_cache(maxsize=256)
def simulate_purchases(question: BoardQuestion, seed: int = SEED) -> BoardPurchases:
    """Buy for the same blanks many times over. The same question and seed give the same answer."""
    sizes = _sizes(question)
    net = sum(length * width * count for length, width, count in sizes)
    board = sum(question.widths) * sum(question.lengths) // 4
    expected = net / board / float(question.usable)
    clear = _clear_share(question, sizes, net, expected, seed)
    purchases = min(MOST_PURCHASES, max(LEAST_PURCHASES, int(BOARDS_IN_ALL / max(1.0, expected)) // 10 * 10))
    most = GIVEN_UP_AFTER + int(GIVEN_UP_TIMES * expected)
    buyer = _Buyer(question, sizes, clear, Random(seed))
    areas: list[int] = []
    for made in range(1, purchases + 1):
        bought = buyer.buy(1, most)
        if bought is not None:
            areas.append(bought[0])
        elif made == LEAST_PURCHASES and not areas:
            purchases = made
            break
    return BoardPurchases(tuple(sorted(areas)), purchases - len(areas), clear)


def _sizes(question: BoardQuestion) -> tuple[Size, ...]:
    """The blanks by size, the longest first and of equal ones the widest; equal sizes together."""
    counts: dict[tuple[int, int], int] = {}
    for length, width, count in question.blanks:
        counts[length, width] = counts.get((length, width), 0) + count
    return tuple((*size, counts[size]) for size in sorted(counts, reverse=True))


def _clear_share(question: BoardQuestion, sizes: tuple[Size, ...], net: int, expected: float, seed: int) -> float:
    """The mean clear share at which a long run uses the shop's usable share of what is bought."""
    usable = float(question.usable)
    times = max(1, ceil(LONG_RUN / expected))
    clear = usable
    for _ in range(TIMES_SET):
        run = _Buyer(question, sizes, clear, Random(seed)).buy(times, GIVEN_UP_TIMES * LONG_RUN)
        if run is None:
            return 1.0
        # The last board of a run is only begun, so that half of it on average belongs to the next one.
        clear = min(1.0, clear * usable * (run[0] - run[1] / 2) / (net * times))
    return clear


class _Buyer:
    """Draws boards and cuts the blanks from them."""

    def __init__(self, question: BoardQuestion, sizes: tuple[Size, ...], clear: float, chance: Random) -> None:
        self.kerf, self.sizes, self.clear, self.chance = question.kerf, sizes, clear, chance
        self.width, self.wider = question.widths[0], question.widths[1] - question.widths[0]
        self.length, self.longer = question.lengths[0], question.lengths[1] - question.lengths[0]
        self.spread = min(clear, 1 - clear)

    def buy(self, times: int, most: int) -> tuple[int, int] | None:
        """The area bought until the blanks are cut so many times, and that of the last board; None if given up."""
        left = [[length, width, count * times] for length, width, count in self.sizes]
        drawn, area = self.chance.random, 0
        for _ in range(most):
            width = self.width + int(self.wider * drawn())
            length = self.length + int(self.longer * drawn())
            side = sqrt(self.clear + self.spread * (2 * drawn() - 1))
            area += width * length
            self._cut(left, int(width * side), int(length * side))
            left = [size for size in left if size[2]]
            if not left:
                return area, width * length
        return None

    def _cut(self, left: list[list[int]], free: int, length: int) -> None:
        """Cut one board, taking what is cut from `left`."""
        kerf = self.kerf
        place = 0
        while place < len(left):
            long, strip, wanted = left[place]
            if not wanted or strip > free or long > length:
                place += 1
                continue
            free -= strip + kerf
            room = length + kerf
            for size in left[place:]:
                if size[1] <= strip and size[2] and size[0] + kerf <= room:
                    cut = min(size[2], room // (size[0] + kerf))
                    size[2] -= cut
                    room -= cut * (size[0] + kerf)
