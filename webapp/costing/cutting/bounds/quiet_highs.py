"""The solver of linear and whole-number programmes, on one thread and kept from writing to standard output."""

from __future__ import annotations

import highspy


class QuietHighs(highspy.Highs):
    """HiGHS announces itself on standard output when its callbacks are first set; our output is for the caller."""

    def __init__(self, seed: int) -> None:
        super().__init__()  # type: ignore[no-untyped-call]
        self.setOptionValue("threads", 1)
        self.setOptionValue("random_seed", seed % 2**31)

    def stop_after(self, seconds: float | None) -> None:
        """Let the next run take so many seconds at most; None sets no limit."""
        if seconds is not None:
            self.setOptionValue("time_limit", self.getRunTime() + max(0.0, seconds))

    def enableCallbacks(self) -> None:  # noqa: N802 - the solver's own name
        self.silent()
        super().enableCallbacks()  # type: ignore[no-untyped-call]
