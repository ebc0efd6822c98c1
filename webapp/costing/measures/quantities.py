"""The quantities that people type and read, their units and the exact factors between them.

Every factor is exact: the inch is 25.4 mm, the pound 0.45359237 kg, the US gallon 231 cubic inches, standard gravity
9.80665 m/s2. Where a factor is built from others, it is written so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.measures.typed_text import with_article

System = Literal["inch", "metric"]
SYSTEMS: Final[tuple[System, ...]] = ("metric", "inch")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of a quantity: how it is printed, how many base units it is, and how else it may be typed.

    `system` is '' where both systems use it; `decimals` is what is printed where nobody asks for more.
    """

    symbol: str
    factor: Fraction
    system: Literal["inch", "metric", ""]
    decimals: int
    spellings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Quantity:
    """Something that is measured: its base unit, and the unit a bare number has in a shop of each system.

    `unit_of` finds a unit by any spelling, in lower case.
    """

    name: str
    words: str
    base: str
    metric: Unit
    inch: Unit
    units: tuple[Unit, ...]
    unit_of: Mapping[str, Unit]

    def shown_in(self, system: System) -> Unit:
        """The unit that a shop of this system reads and types without naming it."""
        return self.inch if system == "inch" else self.metric


NM_PER_INCH: Final = 25_400_000
NM_PER_FOOT: Final = 12 * NM_PER_INCH
_FOOT_M: Final = Fraction("0.3048")
_INCH_MM: Final = Fraction("25.4")
_POUND_KG: Final = Fraction("0.45359237")
_GRAVITY: Final = Fraction("9.80665")
_GALLON_L: Final = 231 * _INCH_MM**3 / 10**6
_SQUARE_FOOT_M2: Final = _FOOT_M**2
BOARD_FOOT_M3: Final = 144 * (_INCH_MM / 1000) ** 3
_POUND_FORCE_N: Final = _POUND_KG * _GRAVITY
_PSI_N_MM2: Final = _POUND_FORCE_N / _INCH_MM**2
_MILE_KM: Final = 5280 * _FOOT_M / 1000


def _metric(symbol: str, factor: int | str | Fraction, decimals: int, *spellings: str) -> Unit:
    return Unit(symbol, Fraction(factor), "metric", decimals, spellings)


def _inch(symbol: str, factor: int | str | Fraction, decimals: int, *spellings: str) -> Unit:
    return Unit(symbol, Fraction(factor), "inch", decimals, spellings)


def _both(symbol: str, factor: int | str | Fraction, decimals: int, *spellings: str) -> Unit:
    return Unit(symbol, Fraction(factor), "", decimals, spellings)


def plain_spelling(unit_text: str) -> str:
    """A unit as typed, in the one spelling the tables know: lower case, m² as m2, 'sq. ft' as 'sq ft'.

    >>> plain_spelling("Sq. Ft"), plain_spelling("m²")
    ('sq ft', 'm2')
    """
    plain = unit_text.lower()
    if plain.isascii() and plain.isalpha():
        return plain
    plain = plain.replace("²", "2").replace("³", "3").replace("^", "")
    return plain.replace(". ", " ").replace(" /", "/").replace("/ ", "/").rstrip(".")


def _quantity(name: str, words: str, base: str, metric: str, inch: str, *units: Unit) -> Quantity:
    by_spelling = {plain_spelling(text): unit for unit in units for text in (unit.symbol, *unit.spellings)}
    by_symbol = {unit.symbol: unit for unit in units}
    return Quantity(name, words, base, by_symbol[metric], by_symbol[inch], units, by_spelling)


_MASS: Final = (
    _metric("kg", 1, 2, "kilogram", "kilograms"),
    _metric("g", "0.001", 0, "gram", "grams"),
    _inch("lb", _POUND_KG, 2, "lbs", "pound", "pounds"),
    _inch("oz", _POUND_KG / 16, 1, "ounce", "ounces"),
)
_BOARD_WORDS: Final = ("bd ft", "board foot", "board feet")

_ALL: Final = (
    _quantity(
        "length", "length", "nm", "mm", "in",
        _metric("mm", 10**6, 1, "millimetre", "millimetres", "millimeter", "millimeters"),
        _metric("cm", 10**7, 2, "centimetre", "centimetres", "centimeter", "centimeters"),
        _metric("m", 10**9, 3, "metre", "metres", "meter", "meters"),
        _inch("in", NM_PER_INCH, 3, '"', "inch", "inches"),
        _inch("ft", NM_PER_FOOT, 3, "'", "foot", "feet"),
    ),
    _quantity("number", "number", "", "", "", _both("", 1, 4)),
    _quantity("percent", "percentage", "", "%", "%", _both("%", "0.01", 2, "percent", "per cent")),
    _quantity(
        "area", "area", "m2", "m²", "ft²",
        _metric("m²", 1, 2, "sq m", "square metre", "square metres", "square meter", "square meters"),
        _metric("cm²", "0.0001", 0, "sq cm"),
        _inch("ft²", _SQUARE_FOOT_M2, 1, "sq ft", "square foot", "square feet"),
        _inch("in²", _SQUARE_FOOT_M2 / 144, 0, "sq in", "square inch", "square inches"),
    ),
    _quantity(
        "volume", "volume", "L", "L", "gal",
        _metric("L", 1, 2, "litre", "litres", "liter", "liters"),
        _metric("mL", "0.001", 0, "millilitre", "millilitres", "milliliter", "milliliters"),
        _metric("m³", 1000, 4, "cu m", "cubic metre", "cubic metres", "cubic meter", "cubic meters"),
        _inch("gal", _GALLON_L, 2, "gallon", "gallons"),
        _inch("qt", _GALLON_L / 4, 2, "quart", "quarts"),
        _inch("pt", _GALLON_L / 8, 2, "pint", "pints"),
        _inch("fl oz", _GALLON_L / 128, 1, "fluid ounce", "fluid ounces"),
    ),
    _quantity(
        "board_volume", "volume of boards", "m3", "m³", "BF",
        _metric("m³", 1, 4, "cu m", "cubic metre", "cubic metres", "cubic meter", "cubic meters"),
        _inch("BF", BOARD_FOOT_M3, 2, *_BOARD_WORDS),
    ),
    _quantity(
        "board_feet", "volume in board feet", "BF", "BF", "BF",
        _inch("BF", 1, 2, *_BOARD_WORDS),
        _metric("m³", 1 / BOARD_FOOT_M3, 4, "cu m", "cubic metre", "cubic metres", "cubic meter", "cubic meters"),
    ),
    _quantity("mass", "weight", "kg", "kg", "lb", *_MASS),
    _quantity("load", "load", "kg", "kg", "lb", *_MASS),
    _quantity(
        "density", "density", "kg/m3", "kg/m³", "lb/ft³",
        _metric("kg/m³", 1, 0, "kg/cu m"),
        _metric("g/cm³", 1000, 3, "g/cc"),
        _inch("lb/ft³", _POUND_KG / _FOOT_M**3, 1, "lb/cu ft", "lbs/ft3", "pcf"),
    ),
    _quantity(
        "stiffness", "stiffness", "N/mm2", "N/mm²", "ksi",
        _metric("N/mm²", 1, 0),
        _metric("MPa", 1, 0),
        _metric("GPa", 1000, 2, "kN/mm2"),
        _inch("ksi", 1000 * _PSI_N_MM2, 0),
        _inch("psi", _PSI_N_MM2, 0, "lb/in2", "lbf/in2"),
    ),
    _quantity(
        "coverage", "coverage", "m2/L", "m²/L", "ft²/gal",
        _metric("m²/L", 1, 1, "sq m/L", "m2/litre", "m2/liter"),
        _inch("ft²/gal", _SQUARE_FOOT_M2 / _GALLON_L, 0, "sq ft/gal", "ft2/gallon", "sq ft/gallon"),
    ),
    _quantity(
        "spread", "spread", "g/m2", "g/m²", "lb/1000 ft²",
        _metric("g/m²", 1, 0, "g/sq m"),
        _inch("lb/1000 ft²", _POUND_KG / _SQUARE_FOOT_M2, 1, "lb/1,000 ft2", "lb/1000 sq ft", "lb/1000ft2"),
    ),
    _quantity(
        "duration", "time", "min", "min", "min",
        _both("min", 1, 1, "mins", "minute", "minutes"),
        _both("h", 60, 2, "hr", "hrs", "hour", "hours"),
        _both("d", 1440, 2, "day", "days"),
    ),
    _quantity(
        "load_per_length", "load along a length", "N/mm", "kg/m", "lb/ft",
        _metric("kg/m", _GRAVITY / 1000, 1),
        _metric("N/mm", 1, 3),
        _metric("N/m", "0.001", 0),
        _metric("kN/m", 1, 3),
        _inch("lb/ft", _POUND_FORCE_N / _FOOT_M / 1000, 1, "lbf/ft"),
        _inch("lb/in", _POUND_FORCE_N / _INCH_MM, 2, "lbf/in"),
    ),
    _quantity(
        "mass_per_length", "weight along a length", "kg/m", "kg/m", "lb/ft",
        _metric("kg/m", 1, 3),
        _metric("g/m", "0.001", 0),
        _inch("lb/ft", _POUND_KG / _FOOT_M, 3),
    ),
    _quantity(
        "distance", "distance", "km", "km", "mi",
        _metric("km", 1, 1, "kilometre", "kilometres", "kilometer", "kilometers"),
        _inch("mi", _MILE_KM, 1, "mile", "miles"),
    ),
)  # fmt: skip

#: Every quantity by name. Values are kept in its base unit: nm, kg, m2 ...; a share as a fraction of one.
QUANTITIES: Final[Mapping[str, Quantity]] = {quantity.name: quantity for quantity in _ALL}


def a_quantity(name: str) -> str:
    """A quantity by its name, as a sentence says it.

    >>> a_quantity("mass"), a_quantity("area")
    ('a weight', 'an area')
    """
    return with_article(QUANTITIES[name].words)


#: Which quantity a unit speaks of when nothing else says it; the first in the table has it (kg is a mass, m3 a volume).
QUANTITY_OF_UNIT: Final[Mapping[str, Quantity]] = {
    spelling: quantity for quantity in reversed(_ALL) for spelling in quantity.unit_of if spelling
}

#: Two units that are typed after one another, and how many of the second make one of the first.
CARRIES: Final[Mapping[tuple[str, str], int]] = {("ft", "in"): 12, ("lb", "oz"): 16, ("h", "min"): 60, ("d", "h"): 24}
CARRIED_WORDS: Final[Mapping[str, str]] = {
    "ft": "feet", "in": "inches", "lb": "pounds", "oz": "ounces", "d": "days", "h": "hours", "min": "minutes",
}  # fmt: skip
