"""Materials and their prices in words: what a kind is called, what an offer holds, how fresh its price is."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import Property
from webapp.costing.catalogue.materials import Catalogue, Material, Offer, current_price
from webapp.costing.catalogue.price_state import FRESH, MISSING, PRICE_WORDS, STALE, state_at
from webapp.costing.measures.quantities import QUANTITIES
from webapp.costing.measures.written import System, as_shown, format_quantity, write_quantity
from webapp.costing.prices.stated_price import flag_words
from webapp.costing.settings.rates import Rates
from webapp.costing.tables.given import Cell
from webapp.documents.printing.paper import day_text
from webapp.showing import Reader, counted

#: How the line of a price is marked.
PRICE_MARKS: Final = {FRESH: "", STALE: "warning", MISSING: "failure"}


@dataclass(frozen=True, slots=True)
class PriceNow:
    """The price that holds for an offer, in words. `breaks` are pairs (from so many, amount) beyond the first."""

    amount: str
    breaks: tuple[tuple[int, str], ...]
    seen_on: str
    where: str
    age: str
    flags: str
    state: str
    mark: str
    limit: str


def price_now(catalogue: Catalogue, material: Material, offer: Offer, rates: Rates, reader: Reader) -> PriceNow:
    """How the price of an offer stands today: a price older than the shop's limit for its kind is old."""
    limit = rates[f"price_age_{material.kind}"]
    price = current_price(catalogue, offer.id)
    if price is None:
        return PriceNow("", (), "", "", "", "", PRICE_WORDS[MISSING], PRICE_MARKS[MISSING], f"{limit} days")
    state = state_at(price.age_days, limit)
    first, *further = price.breaks
    least = min(price.breaks, key=lambda one: one.seen_on)
    return PriceNow(
        amount=reader.amount(Fraction(first.amount)),
        breaks=tuple((one.from_quantity, reader.amount(Fraction(one.amount))) for one in further),
        seen_on=day_text(least.seen_on),
        where=least.where,
        age=days_words(price.age_days),
        flags=flag_words(first),
        state=PRICE_WORDS[state],
        mark=PRICE_MARKS[state],
        limit=f"{limit} days",
    )


def days_words(days: int) -> str:
    """An age in days."""
    return f"{counted(days, 'day')} ago" if days else "today"


def unit_of(quality: Property, system: System) -> str:
    """The unit in which a bare number of a property is read."""
    return "" if quality.quantity == "yes_no" else QUANTITIES[quality.quantity].shown_in(system).symbol


def value_words(material: Material, quality: Property, system: System) -> str:
    """A stated value as it is read, or nothing where none is stated."""
    if quality.name not in material.values:
        return ""
    value = material.values[quality.name]
    if quality.quantity == "yes_no":
        return "yes" if value else "no"
    return format_quantity(value, quality.quantity, system)


def value_typed(material: Material, quality: Property, system: System) -> str:
    """A stated value as it stands in a field, before its unit: read back, it is exactly the same."""
    if quality.name not in material.values:
        return ""
    value = material.values[quality.name]
    if quality.quantity == "yes_no":
        return "yes" if value else "no"
    return number_typed(value, quality, system)


def number_typed(value: Fraction, quality: Property, system: System) -> str:
    """A measure as it stands in a field that has its unit beside it: read back, it is exactly the same."""
    unit = unit_of(quality, system)
    return as_shown(write_quantity(value, quality.quantity, system).removesuffix(f" {unit}" if unit else ""))


#: A number has so many decimals in a table's cell at most; one that needs more stands there as text with its unit.
MOST_DECIMALS: Final = 6


def measure_cell(value: Fraction, quantity: str, system: System) -> Cell:
    """A measure in a table that leaves the house: exact in the shop's unit, which its heading names, else as text with
    a unit."""
    shown = Fraction(value) / QUANTITIES[quantity].shown_in(system).factor
    if 10**MOST_DECIMALS % shown.denominator == 0:
        return Decimal(shown.numerator) / Decimal(shown.denominator)
    return as_shown(write_quantity(value, quantity, system))


def measure_heading(name: str, quantity: str, system: System) -> str:
    """What heads the column of a measure, with its unit."""
    unit = unit_of(Property(name, "", quantity), system)
    return name.replace("_", " ") + (f" ({unit})" if unit else "")
