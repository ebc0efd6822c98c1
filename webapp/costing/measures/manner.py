"""How a shop writes: its decimal sign, its thousands, its days and its trade words.

It is set once, at the edge, where a request, a paper or a command begins, and read where a figure becomes text:
hundreds of sentences would hand it on otherwise and do nothing else with it. No sum, no key and nothing that is kept
may go by it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import lru_cache, wraps
from typing import Final, Literal, ParamSpec, TypeVar

Asked = ParamSpec("Asked")
Told = TypeVar("Told")

DecimalSign = Literal[".", ","]
ThousandsSign = Literal["", ",", ".", " ", "'"]
DayOrder = Literal["day month year", "month day year", "year month day"]
TradeWords = Literal["British", "American"]
DECIMAL_SIGNS: Final[tuple[DecimalSign, ...]] = (".", ",")
THOUSANDS_SIGNS: Final[tuple[ThousandsSign, ...]] = (",", ".", " ", "'", "")
DAY_ORDERS: Final[tuple[DayOrder, ...]] = ("day month year", "month day year", "year month day")
TRADE_WORDS: Final[tuple[TradeWords, ...]] = ("British", "American")
#: How the signs stand in print: a space and an apostrophe that no line breaks at.
_PRINTED: Final[dict[str, str]] = {" ": "\N{NO-BREAK SPACE}", "'": "\N{RIGHT SINGLE QUOTATION MARK}"}


@dataclass(frozen=True, slots=True)
class Manner:
    """One shop's manner of writing. The thousands sign is empty where thousands stand without one.

    `currency` is the code of what amounts are in, so that its sign can be read where money is typed; '' where it is not
    known. The signs for decimals and thousands have to be two.
    """

    decimal: DecimalSign = "."
    thousands: ThousandsSign = ","
    day: DayOrder = "day month year"
    words: TradeWords = "British"
    currency: str = ""

    def __post_init__(self) -> None:
        if self.decimal == self.thousands:
            raise ValueError(f"“{self.decimal}” can't mark both decimals and thousands.")


PLAIN: Final = Manner()
"""What is written where no shop has said otherwise, and always in what a program reads."""

_MANNER: Final[ContextVar[Manner]] = ContextVar("manner", default=PLAIN)


def manner() -> Manner:
    """The manner that text is written in here."""
    return _MANNER.get()


def begin_writing_as(new: Manner) -> None:
    """From here on text is written in the given manner: for what has a context to itself, as each request does."""
    _MANNER.set(new)


def grouped(digits: str) -> str:
    """A plain number, such as 1234567 or -1234.50, its thousands parted and its decimals marked as is written here.

    >>> grouped("1234.50")
    '1,234.50'
    """
    here = manner()
    whole, point, part = digits.partition(".")
    whole = f"{int(whole):,}" if whole.lstrip("-") else whole
    sign = "-" if digits.startswith("-") and not whole.startswith("-") else ""
    thousands = _PRINTED.get(here.thousands, here.thousands)
    return f"{sign}{whole.replace(',', thousands)}{here.decimal if point else ''}{part}"


def whole_number(number: int) -> str:
    """A count as it is written here: 1,234.

    >>> whole_number(12_345)
    '12,345'
    """
    return grouped(str(number))


def pointed(digits: str) -> str:
    """A plain number with its decimals marked as is written here, its thousands not parted.

    >>> pointed("1234.5")
    '1234.5'
    """
    decimal = manner().decimal
    return digits if decimal == "." else digits.replace(".", decimal)


def kept_by_manner(most: int) -> Callable[[Callable[Asked, Told]], Callable[Asked, Told]]:
    """Keep the last answers of a function whose text follows from what it is asked and from how it is written here."""

    def keeping(tell: Callable[Asked, Told]) -> Callable[Asked, Told]:
        @lru_cache(maxsize=most)
        def told(_: Manner, *asked: Asked.args, **named: Asked.kwargs) -> Told:
            return tell(*asked, **named)

        @wraps(tell)
        def here(*asked: Asked.args, **named: Asked.kwargs) -> Told:
            return told(manner(), *asked, **named)  # type: ignore[arg-type]

        return here

    return keeping


@contextmanager
def writing_as(new: Manner) -> Iterator[None]:
    """Within it, text is written in the given manner; what calls it has its own again afterwards."""
    before = _MANNER.set(new)
    try:
        yield
    finally:
        _MANNER.reset(before)
