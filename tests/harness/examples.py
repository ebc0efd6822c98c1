"""How much a run goes through: all of it where RECKONER_LONG=1, as `bootstrap.py test --long` has it, else a share.

What is drawn differs from run to run, so that a shop's many short runs see in time what a long one sees at once.
"""

from __future__ import annotations

import os
from typing import Final

from hypothesis import settings

LONG: Final = os.environ.get("RECKONER_LONG") == "1"
#: Of what a long run tries, a short one tries one in so many; and never fewer than so many, where there are.
SHARE: Final = 3
FEWEST: Final = 5


def tried(number: int) -> int:
    """How many of so many examples this run tries."""
    return number if LONG else min(number, max(FEWEST, number // SHARE))


def examples(number: int) -> settings:
    """For a property: so many examples in a long run, a share of them in a short one."""
    return settings(max_examples=tried(number))
