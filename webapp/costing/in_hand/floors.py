"""Which of the shop's floors a price is below: what is paid out, what it costs, what an hour is to earn, its profit."""

from __future__ import annotations

from fractions import Fraction
from typing import Final, Literal

from webapp.costing.in_hand.short import Short

Floor = Literal["paid out", "cost", "target", "profit"]

#: How each is said of a price, the worst first.
FLOOR_WORDS: Final = {
    "paid out": "below floor 1, what is paid out",
    "cost": "below floor 2, its cost",
    "target": "below floor 3, the target of its hours",
    "profit": "below the shop's profit",
}


def below(net: Fraction, short: Short) -> tuple[Floor, ...]:
    """The floors that a price without tax is below where the job comes to this, the worst first.

    A price that was given a discount is below the shop's profit from the first day.
    """
    floors: tuple[tuple[Floor, Fraction], ...] = (
        ("paid out", short.paid_out), ("cost", short.cost), ("target", short.target), ("profit", short.asked),
    )  # fmt: skip
    return tuple(name for name, least in floors if net < least)
