"""Figures as a shop reads them: the one place that turns an exact value and its unit into words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from functools import partial
from zoneinfo import ZoneInfo

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Material, Offer
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.manner import grouped
from webapp.costing.measures.money import to_decimal
from webapp.costing.measures.written import System, day_in_words, figure_text, format_length, format_money
from webapp.units import counted as counted
from webapp.units import display_figure, measured_figure, table_figure


@dataclass(frozen=True, slots=True)
class Reader:
    """How one shop reads figures: its system of units, its currency and the currency's decimals."""

    system: System
    currency: str
    places: int

    def amount(self, value: Fraction | Decimal) -> str:
        """An amount without its currency: 1,192.03."""
        exact = value if isinstance(value, Decimal) else to_decimal(value, self.places)
        return grouped(f"{exact:f}")

    def each(self, price: Decimal) -> str:
        """The price of one without its currency: in the currency's decimals, or in its own where it has more."""
        plain = price.normalize()
        exponent = plain.as_tuple().exponent
        more = isinstance(exponent, int) and -exponent > self.places
        return self.amount(plain if more else Fraction(price))

    def money(self, value: Fraction | Decimal) -> str:
        """An amount with its currency."""
        exact = value if isinstance(value, Decimal) else to_decimal(value, self.places)
        return format_money(exact, self.currency, self.places)

    def pair(self, value: Fraction, unit: str) -> tuple[str, str]:
        """A value and its unit as they are printed side by side, in no more digits than the shop measures."""
        return self._said(value, unit, measured_figure)

    def exact(self, value: Fraction, unit: str) -> tuple[str, str]:
        """A value and its unit as a working shows them, and as a pack is labelled: with every digit that matters."""
        return self._said(value, unit, display_figure)

    def needed(self, value: Fraction, unit: str) -> tuple[str, str]:
        """What is needed and its unit, never said too small; of what is had only whole, whole ones."""
        return self._said(value, unit, partial(measured_figure, up=True))

    def in_table(self, value: Fraction, unit: str) -> tuple[Decimal, str]:
        """A value and its unit for a table that is reckoned with."""
        return table_figure(value, unit, self.system)

    def _said(
        self, value: Fraction, unit: str, say: Callable[[Fraction, str, System], tuple[str, str]]
    ) -> tuple[str, str]:
        if unit == "money":
            return self.amount(value), self.currency
        if unit in ("nm2", "nm3"):
            power = int(unit[2])
            return say(value / 10 ** (9 * power), f"m{power}", self.system)
        return say(value, unit, self.system)

    def figure(self, figure: Figure) -> tuple[str, str]:
        """A figure's value and unit as they are printed side by side."""
        return self.pair(figure.value, figure.unit)

    def text(self, value: Fraction, unit: str) -> str:
        """A value with its unit in one piece."""
        number, symbol = self.pair(value, unit)
        return f"{number} {symbol}".rstrip()

    def need(self, value: Fraction, unit: str) -> str:
        """What is needed, in one piece."""
        return " ".join(self.needed(value, unit)).rstrip()

    def hours(self, minutes: Fraction) -> str:
        """Minutes of people as one says them: 8 h 54 min."""
        return self.text(minutes, "min")

    def percent(self, share: Fraction) -> str:
        """A share as a percentage with one decimal at most."""
        return f"{figure_text(share * 100, 1)} %"


def moment_text(at: datetime, time_zone: str) -> str:
    """A moment as a clock of that time zone shows it."""
    there = at.astimezone(ZoneInfo(time_zone))
    return f"{day_in_words(there.date())}, {there:%H:%M}"


def price_is_for(material: Material, offer: Offer) -> str:
    """What a price of an offer is for: one sheet, one board foot, one pack; a pack of one is one."""
    row = KINDS[material.kind]
    alone = row.unit == "piece" and offer.size[row.pack] == row.pack_unit
    return "one" if alone else row.price_is_for


def pack_words(material: Material, offer: Offer, reader: Reader) -> str:
    """What one purchase of an offer holds, in the shop's units."""
    size, row = offer.size, KINDS[material.kind]
    sold = f", in packs of {offer.in_packs_of}" if offer.in_packs_of > 1 else ""
    match material.kind:
        case Kind.SHEET:
            length = format_length(int(size["length"]), reader.system, with_unit=False)
            return f"{length} × {format_length(int(size['width']), reader.system)}{sold}"
        case Kind.BOARD:
            return f"{format_length(int(size['rough_thickness']), reader.system)} rough"
        case Kind.LENGTH if material.values.get("spliced") != 1:
            return format_length(int(size["length"]), reader.system) + sold
    held = size[row.pack] / row.pack_unit
    if row.unit != "piece":
        run = "run of " if material.kind is Kind.LENGTH else ""
        return f"{run}{' '.join(reader.exact(held, row.unit))}{sold}"
    return "single" if held == 1 else f"pack of {reader.pair(held, '')[0]}"
