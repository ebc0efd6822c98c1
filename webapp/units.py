"""Derived figures in the units a shop reads, converted by Pint: the only place that knows it.

What people type never comes here: Pint reads `4 1/2 in` as 2 in. The core's own reader makes exact numbers of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Final

from pint import UnitRegistry

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
        "coat", "cut", "day", "edge", "end", "face", "hole", "item", "joint", "layer", "month", "part", "piece", "row",
        "sheet", "stop", "strip", "visit",
    )},
    "person": "people",
}  # fmt: skip

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
    """A figure's number and unit as a shop of this system reads them: 93.7 lb where the sums have 42.5 kg.

    Lengths (nm) come out in the shop's length unit, shares (fractions of one) in percent. A unit that isn't a physical
    one (screws, sheets) stays as it is, with up to two decimals, in the plural but for a single one. Money is printed
    by format_money instead.
    """
    if unit == "nm":
        number, _, symbol = format_length(round_to_step(value, 1), system).rpartition(" ")
        return number, symbol
    if unit == "share":
        return figure_text(value * 100, _AS_IT_IS[unit].decimals), _AS_IT_IS[unit].symbol
    if system == "inch" and unit in _FOR_INCH_SHOP:
        theirs, ours, shown = _FOR_INCH_SHOP[unit]
        return figure_text(value * conversion_factor(theirs, ours) / shown.holds, shown.decimals), shown.symbol
    shown = _AS_IT_IS.get(unit, _Shown(unit, 2))
    number = figure_text(value, shown.decimals)
    return number, shown.symbol if number == "1" else _SEVERAL.get(unit, shown.symbol)
