"""What every search by ruin and recreate shares: in which order pieces are laid again, how, and on which sheets."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from typing import Final

from webapp.costing.cutting.laying.packing import Split
from webapp.costing.cutting.laying.problem import SheetProblem

SPLITS_TRIED: Final = (Split.LARGER, Split.LARGER, Split.LARGER, Split.ACROSS, Split.ALONG, Split.SMALLER)


def senses_of(problem: SheetProblem) -> list[tuple[float, ...]]:
    """How large each kind is in several senses: by area, by its longer side, by its shorter, by both together."""
    return [
        (
            float(kind.area),
            float(max(kind.along, kind.across)) ** 2,
            float(min(kind.along, kind.across)) ** 2,
            float(kind.along + kind.across) ** 2,
        )
        for kind in problem.kinds
    ]


class Orders:
    """Orders of pieces from large to small, in one of several senses and a little shuffled each time."""

    def __init__(self, problem: SheetProblem, pick: random.Random) -> None:
        self.random = pick
        self.sizes = senses_of(problem)

    def order(self, pieces: Iterable[int], most_noise: float) -> list[int]:
        """The kinds of the pieces in their order; a size counts for up to `most_noise` more than it is."""
        pick = self.random.random
        sense, noise = int(pick() * 4), pick() * most_noise
        sizes = self.sizes
        keyed = [(sizes[kind][sense] * (1 + noise * pick()), kind) for kind in pieces]
        keyed.sort(reverse=True)
        return [kind for _, kind in keyed]


def next_of(problem: SheetProblem, waiting: list[int]) -> Callable[[int], int | None]:
    """Takes the last of the waiting sheets that a piece of some kind can be had from; None where there is none."""

    def open_sheet(kind: int) -> int | None:
        for place in range(len(waiting) - 1, -1, -1):
            sheet = problem.sheets[waiting[place]]
            if problem.kinds[kind].fits(sheet.along, sheet.across):
                return waiting.pop(place)
        return None

    return open_sheet


def at_once(kind: int) -> bool:
    """Give up at the first piece that finds no place."""
    return True
