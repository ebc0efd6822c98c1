"""Measures as they stand within a formula: found, read by the one reader of measures, refused where they are unclear.

A measure is a number followed by a unit: 125 mm, 1 1/2 in, 3/4 in, 3 ft 4 in. So `length / 3 in` divides by three
inches. The slash of a fraction touches two whole numbers; a slash that touches only the number of a measure, as in
`a/4 in`, could be taken for either and is refused.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.errors import FormulaError, MeasureError
from webapp.costing.measures.quantities import CARRIES, QUANTITIES, System, plain_spelling
from webapp.costing.measures.written import parse_measure

#: The quantities that formulas know, and the factor from the base unit to the unit that formulas keep.
KNOWN_QUANTITIES: Final[Mapping[str, int]] = {"length": 1, "area": 10**18, "mass": 1, "percent": 1, "number": 1}

_DEGREES: Final = ("degrees", "degree", "deg", "°")
_VULGAR: Final = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"


def _spelled(units: set[str]) -> str:
    """An alternative for each unit, longer ones first; `²` may stand for 2."""
    return "|".join(re.escape(one).replace("2", "[2²]") for one in sorted(units, key=len, reverse=True))


_FRACTION: Final = rf"[0-9]+/[0-9]+|[{_VULGAR}]"
_NUMBER: Final = rf"(?:(?:[0-9]+ +|[0-9]*(?=[{_VULGAR}]))(?:{_FRACTION})|{_FRACTION}|[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_UNIT: Final = rf"(?:{_spelled({unit for name in KNOWN_QUANTITIES for unit in QUANTITIES[name].unit_of if unit})})"
_BEFORE: Final = rf"(?<![\w.{_VULGAR}])"
_AFTER: Final = rf"(?![\w²³{_VULGAR}]|\.[0-9])"
_FEET_INCHES: Final = rf"[0-9]+ ?' ?{_NUMBER} ?(?:\"|'')"
_WITHIN: Final = re.compile(
    _BEFORE
    + rf"(?:(?P<measure>{_NUMBER} ?{_UNIT} +{_NUMBER} ?{_UNIT}|{_FEET_INCHES}|{_NUMBER} ?{_UNIT}){_AFTER}"
    + rf"|(?P<degrees>[0-9]+(?:\.[0-9]+)?) ?(?:{'|'.join(_DEGREES)}){_AFTER}"
    + rf"|(?P<mixed>[0-9]+ +[0-9]+/[0-9]+|[0-9]*[{_VULGAR}])(?![\w./²³]))",
    re.IGNORECASE,
)
_NUMBER_DASHED: Final = re.compile(r"(?<![\w.])[0-9]+-$")
_MEASURE_DASHED: Final = re.compile(rf"[0-9.]\ ?(?P<unit>{_UNIT})-$", re.IGNORECASE)
_SOME_UNIT: Final = re.compile(r"(?<![\w.])((?:[0-9]+|[0-9]*\.[0-9]+) ?[A-Za-z]\w*(?:/\w+)?)")


@dataclass(frozen=True, slots=True)
class Typed:
    """A measure, a mixed number or degrees as typed in a formula, with its exact value: in nm, nm2, kg or as a number.

    `system` is that of its units, '' where they belong to none.
    """

    text: str
    value: Fraction
    quantity: str
    system: System | None = None


def put_numbers(text: str) -> tuple[str, dict[int, Typed]]:
    """A formula with a plain number of the same length in place of each measure, and the measures by their place.

    Raises FormulaError for a measure that can be read in two ways, or not at all.

    >>> put_numbers("height - 18 mm")[0]
    'height - 11111'
    """
    found: dict[int, Typed] = {}

    def number(match: re.Match[str]) -> str:
        found[match.start()] = _read(text, match)
        return "1" * len(match[0])

    return _WITHIN.sub(number, text), found


def measure_it_lacks(text: str) -> str:
    """The first number with a word after it that is no measure a formula knows; nothing where there is none."""
    found = _SOME_UNIT.search(put_numbers(text)[0])
    return text[found.start() : found.end()] if found else ""


def _read(text: str, match: re.Match[str]) -> Typed:
    typed = match[0]
    before = text[: match.start()]
    if before.endswith("/"):
        raise _unclear(text, f"/{typed}", f"write '/ {typed}' to divide by that, or a fraction such as 3/4 in")
    if before.endswith(",") and before[-2:-1].isdecimal():
        raise _unclear(text, f",{typed}", "decimals have a point, and a space follows a comma between two values")
    if match["degrees"]:
        return Typed(typed, Fraction(match["degrees"]), "number")
    dashed = _NUMBER_DASHED.search(before)
    if dashed and ("/" in typed or any(sign in typed for sign in _VULGAR)):
        raise _unclear(
            text, dashed[0] + typed, f"write '{dashed[0][:-1]} {typed}' for one measure, or spaces around the minus"
        )
    if match["mixed"]:
        return _mixed(text, typed)
    try:
        value, quantity = parse_measure(typed)
    except MeasureError as error:
        raise FormulaError("", error.reason) from None
    units = [QUANTITIES[quantity].unit_of[plain_spelling(one)] for one in _units(typed)]
    joined = _MEASURE_DASHED.search(before)
    if joined:
        larger = QUANTITIES[quantity].unit_of.get(plain_spelling(joined["unit"]))
        if larger is not None and (larger.symbol, units[0].symbol) in CARRIES:
            said = f"{joined['unit']}-{typed}"
            raise _unclear(text, said, "leave the dash out for one measure, or write spaces around the minus")
    system = units[0].system or None
    return Typed(typed, value * KNOWN_QUANTITIES[quantity], quantity, system)


def _units(typed: str) -> list[str]:
    """The spellings of the units in a measure."""
    return re.findall(rf"(?<![A-Za-z])(?:''|{_UNIT})(?![A-Za-z])", typed.replace("''", '"'), re.IGNORECASE)


def _mixed(text: str, typed: str) -> Typed:
    """A mixed number without a unit, read as one measure of it is."""
    try:
        value, _ = parse_measure(f"{typed} in")
        share = value / parse_measure("1 in")[0]
    except MeasureError as error:
        raise FormulaError("", error.reason) from None
    return Typed(typed, share, "number")


def _unclear(text: str, part: str, instead: str) -> FormulaError:
    return FormulaError("", f"The formula '{text}' holds '{part[:40]}', which is unclear: {instead}.")
