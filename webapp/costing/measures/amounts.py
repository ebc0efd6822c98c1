"""Amounts of money as people type and read them. Exact decimals; what can be read in two ways is refused."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.measures.currencies import refuse_sign, strip_currency
from webapp.costing.measures.manner import grouped, manner
from webapp.costing.measures.money import to_decimal
from webapp.costing.measures.typed_numbers import plain_amount
from webapp.costing.measures.typed_text import as_shown, refuse, tidy, two_readings

LARGEST_AMOUNT: Final = Decimal(10**9)

_PLAIN_SIGNS: Final = str.maketrans({"\N{MINUS SIGN}": "-"})
_PLAIN: Final = re.compile(r"[0-9]*\.?[0-9]+")
_GROUPED: Final = re.compile(r"[1-9][0-9]{0,2}(?: [0-9]{3})+(?:\.[0-9]+)?")
_WITH_CODE: Final = re.compile(r"(?:([A-Za-z]{3}) ?)?([0-9.,+-][0-9., +-]*?)(?: ?([A-Za-z]{3}))?")
_UNCLEAR_OF_THREE: Final = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")


def _read_amount(text: str, number: str) -> Decimal:
    if number.startswith("-"):
        raise refuse(text, "is below zero; an amount must be zero or more.")
    number = plain_amount(number.removeprefix("+").strip())
    if _GROUPED.fullmatch(number):
        number = number.replace(" ", "")
    elif "," in number:
        raise refuse(text, f"is unclear: write it as {as_shown('12.50')} or {grouped('1234.50')}.")
    if not _PLAIN.fullmatch(number):
        raise refuse(text, f"can't be read as an amount: write it as {as_shown('12.50')} or {grouped('1234.50')}.")
    amount = Decimal(number)
    if amount > LARGEST_AMOUNT:
        raise refuse(text, "is too large an amount.")
    return amount


def parse_amount(text: str) -> Decimal:
    """An amount without a currency, exact: 1,234.50, 12.5, 12,50, .99. Raises MeasureError for all that isn't one, or
    is unclear (1,23,456), or below zero.

    >>> parse_amount("1,234.50"), parse_amount("12,50")
    (Decimal('1234.50'), Decimal('12.50'))
    """
    plain = tidy(text, "amount", _PLAIN_SIGNS)
    wrong = refuse_sign(text, plain, manner().currency)
    if wrong is not None:
        raise wrong
    return _read_amount(text, plain)


def parse_money(text: str, currency: str, minor_places: int) -> Decimal:
    """An amount in the shop's currency, with or without its code or sign, exact, with at most `minor_places` decimals.

    Raises MeasureError as parse_amount does, and for another currency or its sign, or more decimals than the currency
    has.

    >>> parse_money("12.50 usd", "USD", 2), parse_money("$12.50", "USD", 2)
    (Decimal('12.50'), Decimal('12.50'))
    """
    plain = strip_currency(tidy(text, "amount", _PLAIN_SIGNS), currency)
    wrong = refuse_sign(text, plain, currency)
    if wrong is not None:
        raise wrong
    found = _WITH_CODE.fullmatch(plain)
    if found is None:
        such_as = as_shown("12.50")
        raise refuse(text, f"can't be read as an amount: write it as {such_as}, or {such_as} {currency}.")
    before, number, after = found.groups()
    for code in (before, after):
        if code is not None and code.upper() != currency.upper():
            raise refuse(text, f"is in {code.upper()}, but this shop reckons in {currency}.")
    if minor_places == 3 and _UNCLEAR_OF_THREE.fullmatch(number.strip()):
        raise refuse(text, two_readings(number, f"the decimals of {currency}"))
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
    return f"{format_amount(amount, places)}\N{NO-BREAK SPACE}{currency}"


def format_amount(amount: Decimal | Fraction, places: int) -> str:
    """An amount rounded half up to so many decimals, without its currency.

    >>> format_amount(Fraction("1192.025"), 2)
    '1,192.03'
    """
    return grouped(f"{to_decimal(Fraction(amount), places):.{places}f}")
