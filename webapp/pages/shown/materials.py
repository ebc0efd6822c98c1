"""Materials and their prices in words: what a kind is called, what an offer holds, how fresh its price is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.buying.buyer import FRESH, MISSING, STALE
from webapp.costing.catalogue.materials import Catalogue, Kind, Material, Offer, Property, current_price
from webapp.costing.catalogue.price_told import flag_words
from webapp.costing.measures.quantities import QUANTITIES
from webapp.costing.measures.written import System, format_length, format_quantity, write_quantity
from webapp.costing.settings.rates import Rates
from webapp.documents.printing.paper import day_text
from webapp.pages.shown.figures import Shower
from webapp.showing import Reader

#: Each kind: what one is called, and what belongs to it.
KINDS: Final[Mapping[Kind, tuple[str, str]]] = {
    Kind.SHEET: ("Sheet", "plywood, fibreboard, hardboard, laminate on a core: cut from sheets of a size"),
    Kind.BOARD: ("Board", "hardwood by volume, in rough thicknesses"),
    Kind.LENGTH: ("Length", "softwood, tube, bar, edge band: cut from stock lengths, or bought by the run"),
    Kind.PIECE: ("Piece", "castors, slides, hinges, bolts, feet: counted, singly or in packs"),
    Kind.FASTENER: ("Fastener", "screws, nails, dowels, biscuits: counted, in packs"),
    Kind.LIQUID: ("Liquid", "glue and finish, in containers"),
    Kind.AREA: ("Area", "abrasives, veneer, welding wire: used up by the area or the weld they serve"),
    Kind.SERVICE: ("Service", "powder coating, delivery, hire: work that others do"),
}
KIND_OPTIONS: Final = tuple((kind.value, words) for kind, (words, _) in KINDS.items())

#: What a price is for, where the offer's size does not say it.
PRICE_IS_FOR: Final[Mapping[Kind, str]] = {
    Kind.SHEET: "one sheet", Kind.BOARD: "one board foot", Kind.LENGTH: "one length", Kind.PIECE: "one pack",
    Kind.FASTENER: "one pack", Kind.LIQUID: "one container", Kind.AREA: "one pack", Kind.SERVICE: "one",
}  # fmt: skip

#: How the state of a price is said, and how its line is marked.
STATE_WORDS: Final = {FRESH: "", STALE: "old", MISSING: "no price"}
STATE_MARKS: Final = {FRESH: "", STALE: "warning", MISSING: "failure"}


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
        return PriceNow("", (), "", "", "", "", STATE_WORDS[MISSING], STATE_MARKS[MISSING], f"{limit} days")
    state = STALE if price.age_days > limit else FRESH
    first, *further = price.breaks
    least = min(price.breaks, key=lambda one: one.seen_on)
    return PriceNow(
        amount=reader.amount(Fraction(first.amount)),
        breaks=tuple((one.from_quantity, reader.amount(Fraction(one.amount))) for one in further),
        seen_on=day_text(least.seen_on),
        where=least.where,
        age=days_words(price.age_days),
        flags=flag_words(first),
        state=STATE_WORDS[state],
        mark=STATE_MARKS[state],
        limit=f"{limit} days",
    )


def days_words(days: int) -> str:
    """An age in days."""
    return "today" if days == 0 else "1 day ago" if days == 1 else f"{days} days ago"


def pack_of(material: Material, offer: Offer, reader: Reader) -> str:
    """What one purchase of an offer holds, in the shop's units."""
    return pack_words(material, offer, Shower("", reader))


def unit_of(one: Property, system: System) -> str:
    """The unit in which a bare number of a property is read."""
    return "" if one.quantity == "yes_no" else QUANTITIES[one.quantity].shown_in(system).symbol


def value_words(material: Material, one: Property, system: System) -> str:
    """A stated value as it is read, or nothing where none is stated."""
    if one.name not in material.values:
        return ""
    value = material.values[one.name]
    if one.quantity == "yes_no":
        return "yes" if value else "no"
    return format_quantity(value, one.quantity, system)


def value_typed(material: Material, one: Property, system: System) -> str:
    """A stated value as it stands in a field, before its unit: read back, it is exactly the same."""
    if one.name not in material.values:
        return ""
    value = material.values[one.name]
    if one.quantity == "yes_no":
        return "yes" if value else "no"
    return number_typed(value, one, system)


def number_typed(value: Fraction, one: Property, system: System) -> str:
    """A measure as it stands in a field that has its unit beside it: read back, it is exactly the same."""
    unit = unit_of(one, system)
    return write_quantity(value, one.quantity, system).removesuffix(f" {unit}" if unit else "")


def pack_words(material: Material, offer: Offer, shower: Shower) -> str:
    """What one purchase of an offer holds, in the shop's units."""
    size, system = offer.size, shower.reader.system
    match material.kind:
        case Kind.SHEET:
            length = format_length(int(size["length"]), system, with_unit=False)
            return f"{length} × {format_length(int(size['width']), system)}"
        case Kind.BOARD:
            return f"{format_length(int(size['rough_thickness']), system)} rough"
        case Kind.LENGTH if material.values.get("spliced") == 1:
            return f"run of {shower.reader.text(size['length'] / 10**9, 'm')}"
        case Kind.LENGTH:
            return format_length(int(size["length"]), system)
        case Kind.LIQUID:
            return shower.reader.text(size["litres"], "L")
    count = shower.reader.pair(size["count"], "")[0]
    return "single" if size["count"] == 1 else f"pack of {count}"
