"""The solver of linear and whole-number programmes, kept from writing to standard output."""

from __future__ import annotations

import highspy


class QuietHighs(highspy.Highs):
    """HiGHS announces itself on standard output when its callbacks are first set; our output is for the caller."""

    def enableCallbacks(self) -> None:  # noqa: N802 - the solver's own name
        self.silent()
        super().enableCallbacks()  # type: ignore[no-untyped-call]
