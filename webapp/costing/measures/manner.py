"""How a shop writes: its decimal sign, its thousands, its days and its trade words.

It is set once, at the edge, where a request, a paper or a command begins, and read where a figure becomes text:
hundreds of sentences would hand it on otherwise and do nothing else with it. No sum, no key and nothing that is kept
may go by it.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Final, Literal

DecimalSign = Literal[".", ","]
ThousandsSign = Literal["", ",", ".", " ", "'"]
DayOrder = Literal["day month year", "month day year", "year month day"]
TradeWords = Literal["British", "American"]


@dataclass(frozen=True, slots=True)
class Manner:
    """One shop's manner of writing. The thousands sign is empty where thousands stand without one."""

    decimal: DecimalSign = "."
    thousands: ThousandsSign = ""
    day: DayOrder = "day month year"
    words: TradeWords = "British"


PLAIN: Final = Manner()
"""What is written where no shop has said otherwise, and always in what a program reads."""

_MANNER: Final[ContextVar[Manner]] = ContextVar("manner", default=PLAIN)


def manner() -> Manner:
    """The manner that text is written in here."""
    return _MANNER.get()


@contextmanager
def writing_as(new: Manner) -> Iterator[None]:
    """Within it, text is written in the given manner; what calls it has its own again afterwards."""
    before = _MANNER.set(new)
    try:
        yield
    finally:
        _MANNER.reset(before)
