"""The best purchase and bound so far while lengths are planned, and whoever watches them get better."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from webapp.costing.cutting.ask.effort import Effort
from webapp.costing.cutting.lengths.problem import LengthProblem
from webapp.costing.cutting.lengths.purchase import Purchase

SECONDS_BETWEEN: Final = 0.05
"""How long the watcher is left without word at most, where the solver gives us the chance."""

#: Told the best purchase and bound; False stops the work.
Tell = Callable[[Purchase, int], bool]


@dataclass(slots=True)
class Progress:
    """What is known by now; the bound is a price in the problem's units below which nothing can be had."""

    problem: LengthProblem
    effort: Effort
    best: Purchase
    bound: int
    tell: Tell | None = None
    stopped: bool = False
    told: float = 0.0

    def offer(self, purchase: Purchase | None) -> None:
        """Keep a purchase if it is better."""
        if purchase is not None and purchase.rank(self.problem) < self.best.rank(self.problem):
            self.best = purchase
            self._say()

    def raise_bound(self, bound: int) -> None:
        """Keep a bound if it is higher; never above a price that is had."""
        raised = bound if self.best.homeless else min(bound, self.best.price)
        if raised > self.bound:
            self.bound = raised
            self._say()

    def done(self) -> bool:
        """Whether there is nothing left to do: proved, out of steps or time, or told to stop."""
        return self.best.meets(self.bound) or self.over()

    def over(self) -> bool:
        """Whether the work has to stop."""
        if self.tell is not None and not self.stopped and time.monotonic() - self.told >= SECONDS_BETWEEN:
            self._say()
        return self.stopped or self.effort.over()

    def _say(self) -> None:
        if self.tell is not None and not self.stopped:
            self.stopped = not self.tell(self.best, self.bound)
            self.told = time.monotonic()
