"""Derived figures in the units a shop reads, converted by Pint: the only place that knows it.

What people type never comes here: Pint reads `4 1/2 in` as 2 in. The core's own reader makes exact numbers of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from math import ceil
from typing import Final

from pint import UnitRegistry

from webapp.costing.measures.money import half_up, to_decimal
from webapp.costing.measures.written import System, figure_text, format_length, round_to_step


@dataclass(frozen=True, slots=True)
class _Shown:
    """How a figure's unit is printed, with how many decimals, and how many of Pint's unit one printed unit holds."""

    symbol: str
    decimals: int
    holds: Fraction = Fraction(1)


#: A figure's unit as the core names it -> how it is printed as it is.
_AS_IT_IS: Final = {
    "share": _Shown("%", 2), "m": _Shown("m", 2), "km": _Shown("km", 1), "m2": _Shown("m²", 2), "m3": _Shown("m³", 4),
    "L": _Shown("L", 2), "kg": _Shown("kg", 2), "g": _Shown("g", 0), "min": _Shown("min", 1), "h": _Shown("h", 2),
    "kg/m3": _Shown("kg/m³", 0), "kg/m": _Shown("kg/m", 3), "N/mm2": _Shown("N/mm²", 0), "N/mm": _Shown("N/mm", 3),
    "N": _Shown("N", 1), "mm4": _Shown("mm⁴", 0), "m2/L": _Shown("m²/L", 1), "g/m2": _Shown("g/m²", 0),
    "BF": _Shown("BF", 2), "cm": _Shown("cm", 1),
}  # fmt: skip

#: What is counted, and what several of it are called.
_SEVERAL: Final = {
    **{word: f"{word}s" for word in (
        "change", "coat", "cut", "day", "edge", "end", "face", "fold", "hole", "item", "job", "joint", "layer", "leg",
        "month",
        "panel", "part", "person-day", "piece", "row", "session", "setting", "sheet", "stop", "strip", "unit", "visit",
    )},
    "person": "people", "cut x person": "cuts × people", "sheet x person": "sheets × people",
    "item x person": "items × people", "entry": "entries",
}  # fmt: skip

#: What a shop measures of each printed unit: to so many decimals at most, and to three figures in all. What is not
#: here is counted or reckoned with: two decimals. Scales, measuring cups and tapes as they are, common practice.
_MEASURED: Final[Mapping[str, int]] = {
    "m": 2, "km": 0, "cm": 1, "m²": 2, "m³": 3, "L": 2, "kg": 1, "g": 0, "BF": 1, "ft": 1, "mi": 0, "in": 1, "ft²": 1,
    "gal": 1, "lb": 1, "oz": 1, "h": 1, "%": 1, "m²/L": 1, "N/mm": 2, "kg/m": 2,
}
#: Below one of these a shop takes the smaller unit: its symbol, how many of it make one, and the step measured to.
_BELOW_ONE: Final[Mapping[str, tuple[str, int, int]]] = {
    "L": ("mL", 1000, 10), "gal": ("fl oz", 128, 1), "kg": ("g", 1000, 10), "lb": ("oz", 16, 1),
}
FIGURES_IN_ALL: Final = 3
#: What is only ever had whole, so that a need of a part of one is one.
_HAD_WHOLE: Final = frozenset({"piece", "sheet", "item", "part", "panel"})

#: A figure's unit -> the inch shop's, each as Pint names it, and how that is printed.
_FOR_INCH_SHOP: Final = {
    "m": ("m", "ft", _Shown("ft", 1)),
    "cm": ("cm", "inch", _Shown("in", 1)),
    "km": ("km", "mile", _Shown("mi", 1)),
    "m2": ("m**2", "ft**2", _Shown("ft²", 1)),
    "m3": ("m**3", "board_foot", _Shown("BF", 2)),
    "L": ("L", "gallon", _Shown("gal", 2)),
    "kg": ("kg", "lb", _Shown("lb", 2)),
    "g": ("g", "ounce", _Shown("oz", 1)),
    "kg/m3": ("kg/m**3", "lb/ft**3", _Shown("lb/ft³", 1)),
    "kg/m": ("kg/m", "lb/ft", _Shown("lb/ft", 3)),
    "N/mm2": ("N/mm**2", "kip/inch**2", _Shown("ksi", 0)),
    "N/mm": ("N/mm", "force_pound/ft", _Shown("lb/ft", 1)),
    "N": ("N", "force_pound", _Shown("lbf", 1)),
    "mm4": ("mm**4", "inch**4", _Shown("in⁴", 3)),
    "m2/L": ("m**2/L", "ft**2/gallon", _Shown("ft²/gal", 0)),
    "g/m2": ("g/m**2", "lb/ft**2", _Shown("lb/1000 ft²", 1, Fraction(1, 1000))),
}


@lru_cache(maxsize=1)
def _registry() -> UnitRegistry[Decimal]:
    # With floats 1/64 in would come out as 396874.99999999994 nm.
    return UnitRegistry(non_int_type=Decimal)


@lru_cache(maxsize=256)
def conversion_factor(unit: str, other: str) -> Fraction:
    """How many of `other` make one of `unit`, both as Pint names them; to Decimal's 28 figures."""
    return Fraction(_registry().Quantity(Decimal(1), unit).to(other).magnitude)


def display_figure(value: Fraction, unit: str, system: System) -> tuple[str, str]:
    """A figure's number and unit as a working shows them: 93.7 lb where the sums have 42.5 kg.

    Lengths (nm) come out in the shop's length unit, shares (fractions of one) in percent. A unit that isn't a physical
    one (screws, sheets) stays as it is, with up to two decimals, in the plural but for a single one. Money is printed
    by format_money instead.
    """
    if unit == "nm":
        return _length(value, system)
    held, shown = _converted(value, unit, system)
    number = figure_text(held, shown.decimals)
    return number, shown.symbol if number == "1" else _SEVERAL.get(unit, shown.symbol)


def table_figure(value: Fraction, unit: str, system: System) -> tuple[Decimal, str]:
    """A figure's number and unit for a table that is reckoned with: always of one unit, with as many decimals as a
    working shows.

    >>> table_figure(Fraction("0.0788"), "L", "metric")
    (Decimal('0.08'), 'L')
    """
    held, shown = _converted(value, unit, system)
    return to_decimal(held, shown.decimals), shown.symbol


def measured_figure(value: Fraction, unit: str, system: System, *, up: bool = False) -> tuple[str, str]:
    """A figure's number and unit in no more digits than a shop measures: 80 mL where the sums have 0.0788 L.

    What is there is never said to be nought. With `up` it is a need, which is never said too small: 34 pieces of 33.28.

    >>> measured_figure(Fraction("0.0788"), "L", "metric"), measured_figure(Fraction(534), "min", "metric")
    (('80', 'mL'), ('8 h 54', 'min'))
    """
    if not unit:
        # A plain number, as somebody typed it: how many at what price.
        return display_figure(value, unit, system)
    if unit == "nm":
        return _length(value, system)
    if unit in ("min", "h"):
        return _time(value * (60 if unit == "h" else 1))
    held, shown = _converted(value, unit, system)
    symbol, step = shown.symbol, None
    if symbol in _BELOW_ONE and 0 < abs(held) < 1:
        smaller, times, of_it = _BELOW_ONE[symbol]
        if _to_step(held * times, Fraction(of_it), up) < times:
            held, symbol, step = held * times, smaller, Fraction(of_it)
    if up and unit in _HAD_WHOLE:
        step = Fraction(1)
    number = _in_figures(held, step, _MEASURED.get(symbol, shown.decimals), up)
    return number, symbol if number == "1" else _SEVERAL.get(unit, symbol)


def counted(number: int | str, noun: str) -> str:
    """So many of something: 1 item, 2 items, 3 people.

    >>> counted(1, "item"), counted(3, "person"), counted(2, "label")
    ('1 item', '3 people', '2 labels')
    """
    return f"{number} {noun if str(number) == '1' else _SEVERAL.get(noun, f'{noun}s')}"


def _length(value: Fraction, system: System) -> tuple[str, str]:
    number, _, symbol = format_length(round_to_step(value, 1), system).rpartition(" ")
    return number, symbol


def _converted(value: Fraction, unit: str, system: System) -> tuple[Fraction, _Shown]:
    """The value in the unit that is printed, and how that is printed."""
    if unit == "share":
        return value * 100, _AS_IT_IS[unit]
    if system == "inch" and unit in _FOR_INCH_SHOP:
        theirs, ours, shown = _FOR_INCH_SHOP[unit]
        return value * conversion_factor(theirs, ours) / shown.holds, shown
    return value, _AS_IT_IS.get(unit, _Shown(unit, 2))


def _time(minutes: Fraction) -> tuple[str, str]:
    """Minutes as one says them: 54 min, 8 h 54 min, 2 h; a part of one minute to a tenth."""
    if 0 < abs(minutes) < 1:
        return _in_figures(minutes, None, 1, False), "min"
    hours, left = divmod(int(half_up(abs(minutes))), 60)
    sign = "-" if minutes < 0 else ""
    if not hours:
        return f"{sign}{left}", "min"
    return (f"{sign}{hours} h {left:02d}", "min") if left else (f"{sign}{hours} h", "")


def _in_figures(value: Fraction, step: Fraction | None, decimals: int, up: bool) -> str:
    """A number to a step, or to so many decimals and three figures in all; one more where it would be nought."""
    if step is None:
        decimals = max(0, min(decimals, FIGURES_IN_ALL - len(str(int(abs(value))))))
        step = Fraction(1, 10**decimals)
    rounded = _to_step(value, step, up)
    while value and not rounded:
        step, decimals = step / 10, decimals + 1
        rounded = _to_step(value, step, up)
    return figure_text(rounded, decimals)


def _to_step(value: Fraction, step: Fraction, up: bool) -> Fraction:
    return ceil(value / step) * step if up else half_up(value, step)
