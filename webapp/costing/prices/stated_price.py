"""A price as somebody tells it, wherever that is: read, held against the price before, and asked about where it jumps.

Pages, the job's sheet, first prices and files of prices all read by this one rule. What is not told is as it was with
the price before: with or without tax and delivery. Nothing is guessed: a comma that can be read in two ways is named.
"""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.catalogue.materials import CurrentPrice, PriceSeen
from webapp.costing.errors import MeasureError
from webapp.costing.measures.amounts import parse_money
from webapp.costing.measures.typed_text import refuse, two_readings
from webapp.costing.measures.written import day_in_words

LARGEST_BREAK: Final = 100_000
#: No shop keeps prices from before this day; an earlier one is a slip of the keys.
EARLIEST: Final = date(1990, 1, 1)
TENFOLD: Final = 10
#: A price told with other terms than the one before is asked about from here on: common practice.
OTHER_TERMS_JUMP: Final = Fraction(5, 100)

#: No supplier tells prices further ahead than this.
FURTHEST: Final = timedelta(days=800)
_DAY: Final = re.compile(r"([0-9]{1,4})[-./]([0-9]{1,2})[-./]([0-9]{1,4})")
_WITHOUT_CODE: Final = re.compile(r"^[A-Za-z]{3} ?| ?[A-Za-z]{3}$")
_UNCLEAR_COMMA: Final = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")


@dataclass(frozen=True, slots=True)
class StatedPrice:
    """A price in the words it is told in; what is empty or None was not told."""

    amount: str
    currency: str = ""
    seen_on: str = ""
    from_packs: str = ""
    with_tax: bool | None = None
    delivered: bool | None = None
    one_off: bool = False
    valid_from: str = ""


@dataclass(frozen=True, slots=True)
class PriceRead:
    """A price that could be read, its marks as far as they were told. `seen_on` is the day from which it counts: that
    on which it was seen, or a later one from which its supplier says that it holds."""

    amount: Decimal
    seen_on: date
    from_packs: int
    with_tax: bool | None
    delivered: bool | None
    one_off: bool

    def seen(self, offer: str, currency: str, where: str, by: str, price: CurrentPrice | None) -> PriceSeen:
        """The price as it is kept for an offer: what was not told is as it was with the price before."""
        before = price_before(price, self.from_packs)
        return PriceSeen(
            offer, self.amount, currency, self.seen_on, where, by, self.from_packs,
            before is not None and before.with_tax if self.with_tax is None else self.with_tax,
            before is not None and before.delivered if self.delivered is None else self.delivered,
            self.one_off,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Jump:
    """A price far from the one before: by what share it moved, and whether that is tenfold or a tenth."""

    before: PriceSeen
    moved: Fraction
    sort: Literal["jump", "tenfold"]


def read_stated_price(
    typed: StatedPrice, currency: str, places: int, today: date
) -> tuple[PriceRead | None, Mapping[str, str]]:
    """A price as it is told, or everything that is wrong with it: amount, seen_on, from_quantity."""
    problems: dict[str, str] = {}
    amount = Decimal(0)
    try:
        amount = read_amount(typed.amount, typed.currency, currency, places)
    except MeasureError as error:
        problems["amount"] = error.reason
    seen_on = today
    try:
        seen_on = read_day(typed.seen_on, today)
    except MeasureError as error:
        problems["seen_on"] = error.reason
    if typed.valid_from:
        try:
            seen_on = max(seen_on, read_valid_from(typed.valid_from, today))
        except MeasureError as error:
            problems["valid_from"] = error.reason
    packs = typed.from_packs or "1"
    if not (packs.isascii() and packs.isdecimal() and len(packs) <= 6 and 1 <= int(packs) <= LARGEST_BREAK):
        problems["from_quantity"] = f"“{packs}” is no whole number from 1 to {LARGEST_BREAK}."
    if problems:
        return None, problems
    return PriceRead(amount, seen_on, int(packs), typed.with_tax, typed.delivered, typed.one_off), {}


def read_amount(text: str, given: str, currency: str, places: int) -> Decimal:
    """The amount of a price; `given` is its currency where that stands apart. Raises MeasureError."""
    number = _WITHOUT_CODE.sub("", text)
    if number.isdecimal() and given.isdecimal():
        raise MeasureError(text, f"“{text},{given}” has a comma for a point: write {text}.{given}.")
    if given and given.casefold() != currency.casefold():
        raise MeasureError(text, f"The price is in {given}, but this shop reckons in {currency}.")
    if _UNCLEAR_COMMA.fullmatch(number):
        raise refuse(text, two_readings(number))
    amount = parse_money(text, currency, places)
    if amount <= 0:
        raise MeasureError(text, f"“{text}” is zero; a price must be above zero.")
    return amount


def read_day(text: str, today: date) -> date:
    """The day on which a price was seen; today where none is told. Raises MeasureError."""
    if not text:
        return today
    try:
        day = date.fromisoformat(text) if len(text) == 10 else None
    except ValueError:
        day = None
    if day is None:
        raise MeasureError(text, f"“{text}” is no day; write it as {today.isoformat()}.")
    words = day_in_words(day)
    if day > today:
        raise MeasureError(text, f"{words} is still to come; a price counts from the day it was seen.")
    if day < EARLIEST:
        raise MeasureError(text, f"{words} is too long ago for a price.")
    return day


def read_valid_from(text: str, today: date) -> date:
    """The day from which a supplier says that a price holds, as their lists write it. Raises MeasureError.

    >>> read_valid_from("1.1.2027", date(2026, 11, 30)), read_valid_from("01/13/2027", date(2026, 11, 30))
    (datetime.date(2027, 1, 1), datetime.date(2027, 1, 13))
    """
    found = _DAY.fullmatch(text.strip())
    parts = tuple(map(int, found.groups())) if found else ()
    # With full stops the day stands first; with strokes the month does in some countries.
    orders = [(0, 1, 2)] if text.strip()[:4].isdecimal() else [(2, 1, 0), (2, 0, 1)] if "/" in text else [(2, 1, 0)]
    days = {date(*told) for told in (tuple(parts[at] for at in order) for order in orders if parts) if _is_day(*told)}
    if len(days) != 1:
        which = "can be read as two days" if days else "is no day"
        raise MeasureError(text, f"“{text[:40]}” {which}; write it as {today.isoformat()}.")
    told = days.pop()
    if told > today + FURTHEST:
        raise MeasureError(text, f"{day_in_words(told)} is too far off for a price.")
    return told


def price_before(price: CurrentPrice | None, packs: int) -> PriceSeen | None:
    """The price that a new one takes the place of, or that held for so many; the one for the fewest where none did."""
    if price is None:
        return None
    return price.at(packs) or price.breaks[0]


def find_jump(
    seen: PriceSeen, price: CurrentPrice | None, limit: Fraction, purchase_tax: Fraction, *, other_unit: bool = False
) -> Jump | None:
    """By how far a price moved from the one before, where somebody has to say that it is right; else None.

    `limit` and `purchase_tax` are shares of one.

    Where one holds tax and the other does not, they are held against each other without it. A price with other terms,
    or reckoned from one for another unit, is asked about sooner. A one-off price never becomes the one that holds, nor
    does one seen before it.
    """
    before = price_before(price, seen.from_quantity)
    if before is None or seen.one_off or seen.seen_on < before.seen_on:
        return None
    ratio = _untaxed(seen, purchase_tax) / _untaxed(before, purchase_tax)
    if other_unit or (seen.with_tax, seen.delivered) != (before.with_tax, before.delivered):
        limit = min(limit, OTHER_TERMS_JUMP)
    if abs(ratio - 1) <= limit:
        return None
    tenfold = ratio >= TENFOLD or ratio * TENFOLD <= 1
    return Jump(before, ratio - 1, "tenfold" if tenfold else "jump")


def flag_words(seen: PriceSeen) -> str:
    """What a price holds besides the thing itself."""
    held = [
        "with tax" if seen.with_tax else "without tax",
        "delivery in it" if seen.delivered else "delivery apart",
        *(("one-off",) if seen.one_off else ()),
    ]
    return ", ".join(held)


def other_terms(seen: PriceSeen, before: PriceSeen) -> str:
    """What the price before held, where the new one holds something else; else nothing."""
    alike = (seen.with_tax, seen.delivered) == (before.with_tax, before.delivered)
    return "" if alike else f", {flag_words(before)}"


def _is_day(year: int, month: int, day: int) -> bool:
    return EARLIEST.year <= year < 10_000 and 1 <= month <= 12 and 1 <= day <= monthrange(year, month)[1]


def _untaxed(seen: PriceSeen, purchase_tax: Fraction) -> Fraction:
    amount = Fraction(seen.amount)
    return amount / (1 + purchase_tax) if seen.with_tax else amount
