"""Measures as people type and read them: the one reader of ours, exact, for lengths and every other quantity.

What can be read in two ways is refused with a sentence that quotes it, never guessed.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.errors import MeasureError
from webapp.costing.measures.amounts import format_amount, format_money, parse_amount, parse_money
from webapp.costing.measures.manner import PLAIN, manner, pointed, whole_number, writing_as
from webapp.costing.measures.money import half_up
from webapp.costing.measures.quantities import (
    CARRIED_WORDS,
    CARRIES,
    NM_PER_INCH,
    QUANTITIES,
    QUANTITY_OF_UNIT,
    Quantity,
    System,
    Unit,
    plain_spelling,
)
from webapp.costing.measures.typed_numbers import as_kept, as_kept_money, evident_decimal, only_reading
from webapp.costing.measures.typed_text import (
    LONGEST_TEXT,
    as_shown,
    quoted,
    refuse,
    tidy,
    two_readings,
    with_article,
)

__all__ = [
    "LONGEST_LENGTH_NM", "LONGEST_TEXT", "QUANTITIES", "STEP_NM", "MeasureError", "Quantity", "System", "Unit",
    "as_kept", "as_kept_money", "as_shown", "evident_decimal", "figure_text", "format_amount", "format_length",
    "format_money", "format_quantity", "on_grid", "parse_amount", "parse_length", "parse_measure", "parse_money",
    "parse_quantity", "plain_figure", "quoted", "round_to_step", "whole_number", "write_quantity",
]  # fmt: skip

LONGEST_LENGTH_NM: Final = 10**12
LARGEST_NUMBER: Final = 10**12

#: What a shop measures to: 1/64 in and 0.1 mm, both whole nanometres.
STEP_NM: Final[dict[System, int]] = {"inch": 396_875, "metric": 100_000}

_VULGAR: Final = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
# A vulgar fraction gets a space on both sides, so that ½4 is not read as 1/24.
_PLAIN_SIGNS: Final = str.maketrans(
    {
        **{sign: f" {unicodedata.normalize('NFKC', sign)} ".replace("\N{FRACTION SLASH}", "/") for sign in _VULGAR},
        "\N{FRACTION SLASH}": "/", "\N{DIVISION SLASH}": "/",
        "\N{MINUS SIGN}": "-", "\N{EN DASH}": "-", "\N{HYPHEN}": "-", "\N{NON-BREAKING HYPHEN}": "-",
        "\N{PRIME}": "'", "\N{RIGHT SINGLE QUOTATION MARK}": "'",
        "\N{DOUBLE PRIME}": '"', "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
    }
)  # fmt: skip
_FRACTION: Final = r"(?:([0-9]+)(?:-| ))?([0-9]+) ?/ ?([0-9]+)"
_DECIMAL: Final = r"([0-9]+(?:[.,][0-9]+)*|[.,][0-9]+)"
_HEAD: Final = re.compile(rf"([+-]?) ?(?:{_FRACTION}|{_DECIMAL}) ?(.*)", re.DOTALL)
_SECOND: Final = re.compile(rf"""([a-z]+|'|")\.?(?:-| - | ?)(?:{_FRACTION}|{_DECIMAL}) ?([a-z]+|")?\.?""")
_GROUPED: Final = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
_MONTHS: Final = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
_EXAMPLES: Final[dict[str, str]] = {
    "length": "3 ft 4 1/2 in, 40.5 in or 1030 mm",
    "number": "12, 0.75 or 1 1/2",
    "percent": "22 % or 7.5 %",
    "duration": "45 min, 1.5 h or 1 h 30 min",
}


def _whole_or_decimal(text: str, typed: str, comma: bool) -> Fraction:
    """A number without a fraction; `comma` allows a decimal comma, which inches and pounds never have."""
    if "," in typed:
        if not comma:
            said = as_shown("40.5")
            raise refuse(text, f"has a comma: with inches and pounds, write decimals as in {said}, thousands plainly.")
        if _GROUPED.fullmatch(typed):
            raise refuse(text, two_readings(typed))
        typed = only_reading(typed)
        if "," in typed:
            raise refuse(text, f"is unclear: write decimals as in {as_shown('1030.5')}, and thousands plainly.")
    whole, point, part = typed.partition(".")
    if "." in part:
        raise refuse(text, "has more than one decimal point.")
    return Fraction(int(whole + part), 10 ** len(part)) if point else Fraction(int(whole))


def _amount(text: str, parts: tuple[str | None, ...], comma: bool) -> Fraction:
    """The number from the parts a pattern found: whole, numerator and denominator, or a decimal."""
    whole, over, under, decimal = parts
    if decimal is not None:
        value = _whole_or_decimal(text, decimal, comma)
    else:
        numerator, denominator = int(over or 0), int(under or 0)
        if denominator == 0:
            raise refuse(text, "divides by zero.")
        if whole is not None and numerator >= denominator:
            fraction = f"{numerator}/{denominator}"
            raise refuse(text, f"is unclear: the fraction {fraction} after a whole number must be less than one.")
        value = Fraction(int(whole or 0) * denominator + numerator, denominator)
    if value.numerator > LARGEST_NUMBER * value.denominator:
        raise refuse(text, "is too large a number.")
    return value


def _find_unit(text: str, typed: str, quantity: Quantity | None) -> tuple[Quantity, Unit] | None:
    """The unit typed, or None where the words are no unit at all; a unit of something else is refused."""
    spelling = plain_spelling(typed)
    if quantity is not None and (unit := quantity.unit_of.get(spelling)) is not None:
        return quantity, unit
    other = QUANTITY_OF_UNIT.get(spelling)
    if other is None:
        return None
    if quantity is not None:
        raise refuse(text, f"gives {with_article(other.words)} where {with_article(quantity.words)} is needed.")
    return other, other.unit_of[spelling]


def _read(text: str, quantity: Quantity | None, bare: Unit | None, allow_negative: bool) -> tuple[Fraction, Quantity]:
    """Read one measure. `bare` is the unit of a number without one; None refuses such a number."""
    plain = tidy(text, quantity.words if quantity else "measure", _PLAIN_SIGNS).replace("''", '"')
    found = _HEAD.fullmatch(plain)
    if found is None:
        raise _unreadable(text, quantity)
    sign, *parts, rest = found.groups()
    second = None
    if rest:
        known = _find_unit(text, rest, quantity)
        if known is None and (second := _SECOND.fullmatch(rest.lower())) is not None:
            known = _find_unit(text, second[1], quantity)
        if known is None:
            raise _unreadable(text, quantity)
        quantity, unit = known
    elif bare is None or quantity is None:
        raise refuse(text, "has no unit: write one, such as 18 mm, 3/4 in or 30 kg.")
    elif bare.symbol == "mm" and parts[1] is not None:
        raise refuse(text, "is a fraction without a unit: write in after it for inches, or millimetres as a decimal.")
    else:
        unit = bare
    first = _amount(text, tuple(parts), unit.system != "inch")
    value = first * unit.factor
    if second is not None:
        value += _read_second(text, quantity, unit, first, second)
    if sign == "-" and value:
        if not allow_negative:
            raise refuse(text, "is below zero; it must be zero or more.")
        value = -value
    return value, quantity


def _read_second(text: str, quantity: Quantity, unit: Unit, first: Fraction, found: re.Match[str]) -> Fraction:
    """The second part of 3 ft 4 in, 2 lb 3 oz or 1 h 30 min, in base units; `first` of `unit` stand before it."""
    _, *parts, typed = found.groups()
    if typed is None and unit.symbol != "ft":
        raise _unreadable(text, quantity)
    known = _find_unit(text, typed or "in", quantity)
    if known is None:
        raise _unreadable(text, quantity)
    smaller = known[1]
    limit = CARRIES.get((unit.symbol, smaller.symbol))
    if limit is None:
        if quantity.name == "length" and unit.system != smaller.system:
            raise refuse(text, "mixes inches and millimetres: give one of them.")
        raise refuse(text, f"gives {smaller.symbol} after {unit.symbol}: give one unit.")
    larger_words, smaller_words = CARRIED_WORDS[unit.symbol], CARRIED_WORDS[smaller.symbol]
    if first.denominator != 1:
        raise refuse(text, f"is unclear: {larger_words} must be whole where {smaller_words} follow.")
    amount = _amount(text, tuple(parts), smaller.system != "inch")
    if amount >= limit:
        raise refuse(text, f"is unclear: {smaller_words} after {larger_words} must be less than {limit}.")
    return amount * smaller.factor


def _unreadable(text: str, quantity: Quantity | None) -> MeasureError:
    if quantity is None:
        return refuse(text, "can't be read as a measure: write a number and a unit, such as 18 mm, 3/4 in or 30 kg.")
    symbols = " or ".join(dict.fromkeys((quantity.metric.symbol, quantity.inch.symbol)))
    such_as = as_shown(_EXAMPLES.get(quantity.name, f"a number with {symbols}"))
    return refuse(text, f"can't be read as {with_article(quantity.words)}: write {such_as}.")


def _whole_nanometres(text: str, value: Fraction) -> int:
    if abs(value) > LONGEST_LENGTH_NM:
        raise refuse(text, "is longer than a kilometre.")
    if value.denominator != 1:
        raise refuse(text, "can't be measured exactly: fractions go to 1/64 in, decimals to 1/1,000,000 mm.")
    return value.numerator


def day_in_words(day: date, *, without_day: bool = False) -> str:
    """A day that nobody reads the wrong way round, its parts in the order in which they are said here, or its month.

    >>> day_in_words(date(2026, 11, 2)), day_in_words(date(2026, 11, 2), without_day=True)
    ('2 November 2026', 'November 2026')
    """
    month = _MONTHS[day.month - 1]
    if without_day:
        return f"{day.year} {month}" if manner().day == "year month day" else f"{month} {day.year}"
    match manner().day:
        case "month day year":
            return f"{month} {day.day}, {day.year}"
        case "year month day":
            return f"{day.year} {month} {day.day}"
        case _:
            return f"{day.day} {month} {day.year}"


def parse_day(text: str) -> date:
    """A day as typed: year, month, day. Raises MeasureError for anything else.

    >>> parse_day("2026-12-20")
    datetime.date(2026, 12, 20)
    """
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise refuse(text, "is no day; write it as year, month, day: 2026-12-20.") from None


def parse_length(text: str, bare_unit: Literal["in", "mm"], *, allow_negative: bool = False) -> int:
    """A length as typed, in nm, exact. Takes 3 ft 4-1/2 in, 3'4", 40½, 40.5 in, 1030 mm, 103 cm, 1.03 m, 1030,5 mm.

    `bare_unit` is the unit of a number without one; a fraction without a unit is taken for inches only. Raises
    MeasureError for anything that isn't one clear length, isn't a whole number of nanometres (1/128 in), is longer than
    1 km, or is below zero where that isn't allowed.

    >>> parse_length("3 ft 4-1/2 in", "in") == parse_length("1028.7", "mm") == 1_028_700_000
    True
    >>> parse_length("1,030", "mm")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
        ...
    webapp.costing.errors.MeasureError: “1,030” is unclear: ...
    """
    length = QUANTITIES["length"]
    value, _ = _read(text, length, length.unit_of[bare_unit], allow_negative)
    return _whole_nanometres(text, value)


def parse_quantity(text: str, quantity_name: str, system: System, *, allow_negative: bool = False) -> Fraction:
    """A quantity as typed, in its base unit (see QUANTITIES), exact; a bare number has the unit the shop reads it in.

    Raises MeasureError as parse_length does, and KeyError for a quantity that isn't in the table.

    >>> parse_quantity("1 h 30 min", "duration", "metric")
    Fraction(90, 1)
    >>> parse_quantity("7.5", "percent", "inch")
    Fraction(3, 40)
    """
    quantity = QUANTITIES[quantity_name]
    value, _ = _read(text, quantity, quantity.shown_in(system), allow_negative)
    return Fraction(_whole_nanometres(text, value)) if quantity.name == "length" else value


def parse_measure(text: str) -> tuple[Fraction, str]:
    """A measure that names its unit, and the quantity that the unit speaks of: 18 mm, 3/4 in, 4 ft 2 in, 30 kg. It
    stands in a design, which every shop writes alike.

    The value is in the quantity's base unit. Raises MeasureError, also for a number without a unit.

    >>> parse_measure("3/4 in")
    (Fraction(19050000, 1), 'length')
    """
    with writing_as(PLAIN):
        value, quantity = _read(text, None, None, False)
    return (Fraction(_whole_nanometres(text, value)) if quantity.name == "length" else value), quantity.name


def round_to_step(nm: Fraction, step_nm: int) -> int:
    """The nearest whole step, a half going up; in nm.

    >>> round_to_step(Fraction(18_049_999), 100_000)
    18000000
    """
    exact = Fraction(nm)
    return (2 * exact.numerator + step_nm * exact.denominator) // (2 * step_nm * exact.denominator) * step_nm


def on_grid(nm: int, system: System) -> bool:
    """Whether format_length prints this length exactly.

    >>> on_grid(396_875, "inch"), on_grid(396_875, "metric")
    (True, False)
    """
    return nm % STEP_NM[system] == 0


def format_length(nm: int, system: System, *, with_unit: bool = True) -> str:
    """A length as the shop reads it: 40 1/2 in to the nearest 1/64, or 1030.5 mm to the nearest 0.1, a half going away
    from zero. On that grid parse_length gives the same length back.

    >>> format_length(1_028_700_000, "inch"), format_length(1_028_700_000, "metric")
    ('40 1/2 in', '1028.7 mm')
    """
    return pointed(_plain_length(nm, system, with_unit))


def _plain_length(nm: int, system: System, with_unit: bool = True) -> str:
    step = STEP_NM[system]
    steps = (2 * abs(nm) + step) // (2 * step)
    sign = "-" if nm < 0 and steps else ""
    if system == "metric":
        whole, tenths = divmod(steps, 10)
        number = f"{whole}.{tenths}" if tenths else f"{whole}"
        return f"{sign}{number} mm" if with_unit else f"{sign}{number}"
    inches, sixty_fourths = divmod(steps, NM_PER_INCH // step)
    fraction = str(Fraction(sixty_fourths, 64)) if sixty_fourths else ""
    number = " ".join(part for part in (str(inches) if inches or not fraction else "", fraction) if part)
    return f"{sign}{number} in" if with_unit else f"{sign}{number}"


def _decimal_text(value: Fraction, decimals: int, keep_zeros: bool) -> str:
    scaled = int(half_up(value * 10**decimals))
    digits = f"{abs(scaled):0{decimals + 1}d}"
    whole, part = (digits[:-decimals], digits[-decimals:]) if decimals else (digits, "")
    part = part if keep_zeros else part.rstrip("0")
    return f"{'-' if scaled < 0 else ''}{whole}{'.' + part if part else ''}"


def figure_text(value: Fraction, decimals: int) -> str:
    """A number to read: so many decimals, more below one so that three figures stay, no zeros at the end.

    >>> figure_text(Fraction(5, 2), 2), figure_text(Fraction(1, 300), 2)
    ('2.5', '0.00333')
    """
    return pointed(plain_figure(value, decimals))


def plain_figure(value: Fraction, decimals: int) -> str:
    """The same number for a program, with a point whatever the shop writes."""
    shown = abs(value)
    while shown and shown < 1 and shown * 10**decimals < 100 and decimals < 12:
        decimals += 1
    return _decimal_text(value, decimals, False)


def format_quantity(value: Fraction, quantity_name: str, system: System, digits: int | None = None) -> str:
    """A value in its base unit as the shop reads it, always with its unit: 12.35 kg, 7.5 %, 40 1/2 in.

    `digits` asks for so many decimals; without it as many as the shop can use, and no trailing zeros.

    >>> format_quantity(Fraction("0.45359237"), "mass", "inch")
    '1 lb'
    """
    quantity = QUANTITIES[quantity_name]
    if quantity.name == "length" and digits is None:
        return format_length(round_to_step(value, 1), system)
    unit = quantity.shown_in(system)
    shown = Fraction(value) / unit.factor
    number = figure_text(shown, unit.decimals) if digits is None else pointed(_decimal_text(shown, digits, True))
    return f"{number} {unit.symbol}".rstrip()


def write_quantity(value: Fraction, quantity_name: str, system: System) -> str:
    """A value as it is kept, plain, and stands in a field to be edited: short, and read back as exactly the same.

    Printed rounding would change a value each time its form is kept; so this takes the shop's unit where it holds the
    value exactly, else any unit that does, else a fraction. Only a value whose fraction is longer than a field takes is
    rounded, to 12 decimals.

    >>> write_quantity(Fraction(1, 3), "number", "metric"), write_quantity(Fraction(90), "duration", "inch")
    ('1/3', '90 min')
    """
    quantity, value = QUANTITIES[quantity_name], Fraction(value)
    if quantity.name == "length" and value.denominator == 1 and on_grid(int(value), system):
        return _plain_length(int(value), system)
    own = quantity.shown_in(system)
    for unit in (own, *quantity.units):
        shown = value / unit.factor
        if 10**12 % shown.denominator == 0:
            return f"{_decimal_text(shown, 12, False)} {unit.symbol}".rstrip()
    shown = value / own.factor
    written = f"{shown.numerator}/{shown.denominator} {own.symbol}".rstrip()
    return written if len(written) <= LONGEST_TEXT else f"{_decimal_text(shown, 12, False)} {own.symbol}".rstrip()


def and_words(words: Sequence[str]) -> str:
    """Some words as one reads them: feet, handles and slides."""
    return " and ".join(part for part in (", ".join(words[:-1]), *words[-1:]) if part)
