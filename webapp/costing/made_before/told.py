"""What one took for a bench that was made, and what of it one still knows."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Told:
    """The price of the whole job, in the shop's currency; the minutes that all people together took, and what the
    materials cost as bought, where they are known."""

    price: Fraction
    with_tax: bool = False
    minutes: Fraction | None = None
    materials: Fraction | None = None
