"""A job from before this program, as the shop's own sheet tells it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

#: How exactly a sheet tells when a job was.
Told = Literal["day", "month", "year", ""]
LONGEST_WORDS: Final = 200
LONGEST_NOTE: Final = 400


@dataclass(frozen=True, slots=True)
class EarlierJob:
    """What was made for whom and when, and what was taken for it.

    `day` is the first one that `told` leaves open: of 2024 it is its first of January. `price` is what the customer
    paid, with tax or without as `with_tax` says. `minutes` of people and `cost` are None where nobody wrote them down.
    """

    name: str
    customer: str
    day: date | None
    told: Told
    price: Decimal
    with_tax: bool
    minutes: Fraction | None = None
    cost: Decimal | None = None
    number: str = ""
    size: str = ""
    note: str = ""

    @property
    def words(self) -> str:
        """What it is known by."""
        return " ".join(filter(None, (self.number, self.name, self.size, self.customer, self.note)))
