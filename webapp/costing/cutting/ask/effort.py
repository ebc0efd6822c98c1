"""How much work a solver may do: steps decide, the clock only stops."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from typing import Final

#: Steps of the plan that an estimate waits for: enough for a good plan of one material, since it plans a handful.
SHEET_STEPS: Final = 6000
#: For lengths: enough to prove most jobs of a small shop.
LENGTH_STEPS: Final = 400


@dataclass(slots=True)
class Effort:
    """Steps done and allowed, and an optional moment (of the monotonic clock, in seconds) at which to stop."""

    allowed: int
    deadline: float | None = None
    steps: int = field(default=0)

    @classmethod
    def of(cls, steps: int, seconds: float | None) -> Effort:
        """So many steps, and at most so many seconds from now."""
        return cls(steps, None if seconds is None else time.monotonic() + seconds)

    def out_of_time(self) -> bool:
        """Whether the clock has stopped the work."""
        return self.deadline is not None and time.monotonic() >= self.deadline

    def over(self) -> bool:
        """Whether the steps are used up or the clock has stopped the work."""
        return self.steps >= self.allowed or self.out_of_time()

    def seconds_left(self) -> float | None:
        """Seconds until the clock stops the work; None without a clock."""
        return None if self.deadline is None else max(0.0, self.deadline - time.monotonic())

    def part(self, steps: int) -> Effort:
        """A part of what is left, at most so many steps, until the same moment; its steps are to be added here."""
        return Effort(max(0, min(steps, self.allowed - self.steps)), self.deadline)
