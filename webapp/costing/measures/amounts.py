"""Amounts of money as people type and read them. Exact decimals; what can be read in two ways is refused."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.measures.money import to_decimal
from webapp.costing.measures.typed_text import refuse, tidy

LARGEST_AMOUNT: Final = Decimal(10**9)

_PLAIN_SIGNS: Final = str.maketrans({"\N{MINUS SIGN}": "-"})
_PLAIN: Final = re.compile(r"[0-9]*\.?[0-9]+")
_GROUPED: Final = re.compile(r"[1-9][0-9]{0,2}(?:([, ])[0-9]{3})(?:\1[0-9]{3})*(?:\.[0-9]+)?")
_WITH_CODE: Final = re.compile(r"(?:([A-Za-z]{3}) ?)?([0-9.,+-][0-9., +-]*?)(?: ?([A-Za-z]{3}))?")
_SIGNS: Final = re.compile(r"[$\u00a2-\u00a5\u20a0-\u20cf]")


def _read_amount(text: str, number: str) -> Decimal:
    if number.startswith("-"):
        raise refuse(text, "is below zero; an amount here can't be.")
    number = number.removeprefix("+").strip()
    if _GROUPED.fullmatch(number):
        number = number.replace(",", "").replace(" ", "")
    elif "," in number:
        raise refuse(text, "is unclear: write decimals with a point, and a comma only between thousands (1,234.50).")
    if not _PLAIN.fullmatch(number):
        raise refuse(text, "can't be read as an amount: write it as 12.50 or 1,234.50.")
    amount = Decimal(number)
    if amount > LARGEST_AMOUNT:
        raise refuse(text, "is too large an amount.")
    return amount


def parse_amount(text: str) -> Decimal:
    """An amount without a currency, exact: 1,234.50, 12.5, .99. Raises MeasureError for all that isn't one, or is
    unclear (12,50), or below zero.

    >>> parse_amount("1,234.50")
    Decimal('1234.50')
    >>> parse_amount("12,50")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
        ...
    webapp.costing.errors.MeasureError: “12,50” is unclear: ...
    """
    return _read_amount(text, tidy(text, "amount", _PLAIN_SIGNS))


def parse_money(text: str, currency: str, minor_places: int) -> Decimal:
    """An amount in the shop's currency, with or without its code, exact, with at most `minor_places` decimals.

    Raises MeasureError as parse_amount does, and for another currency, a currency sign (several currencies share one),
    or more decimals than the currency has.

    >>> parse_money("12.50 usd", "USD", 2)
    Decimal('12.50')
    """
    plain = tidy(text, "amount", _PLAIN_SIGNS)
    sign = _SIGNS.search(plain)
    if sign is not None:
        raise refuse(text, f"has the sign {sign[0]}: leave it out, amounts here are in {currency}.")
    found = _WITH_CODE.fullmatch(plain)
    if found is None:
        raise refuse(text, f"can't be read as an amount: write it as 12.50, or 12.50 {currency}.")
    before, number, after = found.groups()
    for code in (before, after):
        if code is not None and code.upper() != currency.upper():
            raise refuse(text, f"is in {code.upper()}, but this shop reckons in {currency}.")
    if minor_places == 3 and "." not in number and number.count(",") == 1:
        raise refuse(text, f"is unclear: the comma may mark thousands or the decimals of {currency}.")
    amount = _read_amount(text, number)
    exponent = amount.as_tuple().exponent
    if isinstance(exponent, int) and -exponent > minor_places:
        has = f"{currency} has {minor_places}" if minor_places else f"{currency} has none"
        raise refuse(text, f"has more decimals than the currency: {has}.")
    return amount


def format_money(amount: Decimal | Fraction, currency: str, places: int) -> str:
    """An amount rounded half up to the currency's decimals, with its code: 1,192.03 USD (no line break between).

    >>> format_money(Fraction("1192.025"), "USD", 2).split()
    ['1,192.03', 'USD']
    """
    return f"{to_decimal(Fraction(amount), places):,.{places}f}\N{NO-BREAK SPACE}{currency}"
