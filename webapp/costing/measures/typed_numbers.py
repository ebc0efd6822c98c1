"""Numbers as a shop types them made plain, in which form they are kept and read, and shown again as the shop writes.

Plain is a point for decimals and nothing between thousands. Only the text of a field that holds a number comes here. A
number that the shop itself writes so has the one meaning that its setting gives it: 1,030 is a thousand and thirty, or
one and thirty thousandths. One that it does not write is taken where it can be read in one way alone (12,50 where
decimals have a point), and else left for the reader of plain numbers to refuse.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from fractions import Fraction
from functools import lru_cache
from typing import Final

from webapp.costing.measures.currencies import strip_currency
from webapp.costing.measures.manner import PLAIN, DecimalSign, Manner, manner
from webapp.costing.measures.money import to_decimal
from webapp.costing.measures.typed_text import SWAP, WITH_SIGNS

#: What parts thousands beside comma and point, as it is typed.
_SPACES: Final[dict[str, str]] = {" ": r"[ \u00a0\u202f\u2009]", "'": "['\u2019]"}
_OTHER: Final[dict[str, str]] = {".": ",", ",": "."}
_DECIMAL: Final = re.compile(r"[-+]?(?:[0-9]{1,12}(?:\.[0-9]{0,40})?|\.[0-9]{1,40})")


def as_kept(text: str) -> str:
    """A number as it was typed here, plain: whatever the shop writes later, it stays what it is.

    >>> from webapp.costing.measures.manner import writing_as
    >>> with writing_as(Manner(",", ".")):
    ...     as_kept("1.234,50"), as_kept("1.030 mm"), as_kept("40 1/2 in")
    ('1234.50', '1030 mm', '40 1/2 in')
    """
    return _plain(text, manner())


def as_kept_money(text: str, currency: str = "") -> str:
    """An amount as it was typed here, plain and without the sign or the code of its currency, else of the shop's.

    >>> as_kept_money("$1,234.50", "USD")
    '1234.50'
    """
    here = manner()
    return _plain(strip_currency(text, currency or here.currency), here)


def plain_amount(text: str) -> str:
    """An amount that is kept or stands in a file, with its thousands no longer parted where it has one reading.

    >>> plain_amount("1,234.50"), plain_amount("12,50"), plain_amount("1.234,50")
    ('1234.50', '12.50', '1234.50')
    """
    return _plain(text, PLAIN)


def exact_decimal(text: str) -> Fraction:
    """A plain number of digits and a point. Raises ValueError for anything else: in a few signs an exponent asks for
    more digits than fit into any memory.

    >>> exact_decimal("12.5"), exact_decimal("-3")
    (Fraction(25, 2), Fraction(-3, 1))
    """
    if _DECIMAL.fullmatch(text) is None:
        raise ValueError("no plain number")
    return Fraction(text)


def to_places(number: str, places: int) -> str:
    """A plain number that a program reckoned, rounded half up where it has more decimals; what is none stays.

    >>> to_places("1050.42016807", 2), to_places("12.5", 2), to_places("-1.005", 2)
    ('1050.42', '12.5', '-1.01')
    """
    if len(number.partition(".")[2]) <= places:
        return number
    try:
        return f"{to_decimal(exact_decimal(number), places):f}"
    except ValueError:
        return number


def as_in_table(text: str, decimal: DecimalSign | None) -> str:
    """A number of a table plain, whose decimals have this sign in all of it; where the table shows none, the shop's own
    sign marks decimals, and what may part thousands stays unclear.

    >>> as_in_table("1.250", ","), as_in_table("1.250", "."), as_in_table("1,250", None)
    ('1250', '1.250', '1,250')
    """
    if decimal is None:
        return _plain(text, Manner(manner().decimal, ""))
    return _plain(text, Manner(decimal, "," if decimal == "." else "."))


def only_reading(number: str) -> str:
    """A number of which nobody knows how it is written, plain where it has one reading; else as it is.

    >>> only_reading("1.030,5"), only_reading("12,5"), only_reading("1,030")
    ('1030.5', '12.5', '1,030')
    """
    return _only_reading(number, ".", ",")


def evident_decimal(numbers: Iterable[str]) -> DecimalSign | None:
    """The decimal sign that the numbers of one table show, all of them together; None where none shows it.

    A sign shows itself where it can't part thousands: 12,50, or the last one of 1.234,50. Where both are shown the
    table is written in two ways, and what is unclear in it stays so.

    >>> evident_decimal(["1.250", "12,50"]), evident_decimal(["1.250"]), evident_decimal(["12,5", "12.5"])
    (',', None, None)
    """
    shown: set[DecimalSign] = set()
    for text in numbers:
        for found in WITH_SIGNS.finditer(text):
            for sign in (",", "."):
                if _shows(found[0], sign):
                    shown.add("," if sign == "," else ".")
    return shown.pop() if len(shown) == 1 else None


def _shows(number: str, sign: str) -> bool:
    """Whether a number can only be one whose decimals have this sign."""
    other = _OTHER[sign]
    if number.count(sign) != 1:
        return False
    whole, _, part = number.partition(sign)
    if other in whole:
        return _is_grouped(whole, other)
    return other not in part and not _is_grouped(number, sign)


def _plain(text: str, here: Manner) -> str:
    if here.thousands in _SPACES:
        text = _parted(here.thousands).sub(lambda found: re.sub(r"[^0-9]", "", found[0]), text)
    return WITH_SIGNS.sub(_reader(here.decimal, here.thousands), text)


@lru_cache(maxsize=16)
def _parted(sign: str) -> re.Pattern[str]:
    """A whole number whose thousands this sign parts; 3 100/128 is a number and a fraction."""
    return re.compile(rf"(?<![0-9.,/])[1-9][0-9]{{0,2}}(?:{_SPACES[sign]}[0-9]{{3}})+(?![0-9]| ?/)")


@lru_cache(maxsize=16)
def _reader(decimal: str, thousands: str) -> Callable[[re.Match[str]], str]:
    other = _OTHER[decimal]

    def plain(found: re.Match[str]) -> str:
        number = found[0]
        whole, mark, part = number.partition(decimal)
        if thousands == other and _is_grouped(whole, other) and part.isdecimal() == bool(mark):
            # As the shop writes it, with its thousands parted.
            return f"{whole.replace(other, '')}{'.' if mark else ''}{part}"
        if mark and part.isdecimal() and other not in whole:
            return f"{whole}.{part}"
        return _only_reading(number, decimal, other)

    return plain


def _only_reading(number: str, decimal: str, other: str) -> str:
    """A number written otherwise than here, where it can be read in one way alone; else as the plain reader refuses
    it, with its signs where those of a plain number would stand."""
    for sign, parts in ((decimal, other), (other, decimal)):
        if _shows(number, sign):
            return number.replace(parts, "").replace(sign, ".")
        if number.count(sign) > 1 and _is_grouped(number, sign):
            return number.replace(sign, "")
    return number if decimal == "." else number.translate(SWAP)


def _is_grouped(number: str, sign: str) -> bool:
    """Whether a sign parts the digits of a number as it parts thousands."""
    first, *groups = number.split(sign)
    return (
        bool(groups) and first.isdecimal() and len(first) <= 3 and first[0] != "0"
        and all(group.isdecimal() and len(group) == 3 for group in groups)
    )  # fmt: skip


def small_number(text: str) -> int | None:
    """A number of at most nine figures that a form's own field sends; None where it sends anything else."""
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 10 else None
