"""The offers of a material compared by a useful unit, delivered and without tax, and drawn as they went."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.buying.compared import Compared, compare_offers, held, useful_unit, without_tax
from webapp.costing.catalogue.materials import Catalogue, Material, Offer, PriceSeen
from webapp.costing.ledger.working import Working
from webapp.costing.measures.manner import whole_number
from webapp.costing.measures.typed_numbers import exact_decimal
from webapp.costing.measures.written import as_kept, day_in_words, figure_text
from webapp.costing.prices.units import rounded
from webapp.costing.settings.rates import Rates
from webapp.documents.printing.paper import reader_of
from webapp.persistence.settings.shop import Shop
from webapp.pictures.price_history import OfferLine, Seen, price_history
from webapp.showing import Reader, pack_words

#: How units are printed, and what one of each is called in a sentence.
_PRINTED: Final = {"m2": "m²", "ft2": "ft²", "BF": "board foot", "L": "litre"}
MOST_WANTED: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """An offer: what one unit of it comes to, and what of that are goods and their way."""

    name: str
    pack: str
    href: str
    each: str
    buys: str
    goods: str
    way: str
    cheapest: bool


@dataclass(frozen=True, slots=True)
class ComparedPart:
    """The offers that have a price, compared for so much as `wanted` says; `drawn` are their prices over the days."""

    unit: str
    wanted: str
    problem: str
    rows: tuple[ComparedRow, ...]
    drawn: str


@dataclass(frozen=True, slots=True)
class _At:
    """What offers are compared at: the catalogue of a day, the shop's rates, and the shop."""

    catalogue: Catalogue
    rates: Rates
    shop: Shop

    @property
    def reader(self) -> Reader:
        return reader_of(self.shop)


def compared_part(
    catalogue: Catalogue, rates: Rates, shop: Shop, material: Material, offers: Sequence[Offer],
    histories: Mapping[str, Sequence[PriceSeen]], typed: str,
) -> ComparedPart | None:  # fmt: skip
    """The comparison for as much as somebody typed, else for what one of the largest packs holds; None where nothing
    can be compared or nobody told a price."""
    shelf = _At(catalogue, rates, shop)
    system, places = shelf.shop.length_system, shelf.shop.currency_places
    unit = useful_unit(material.kind, system)
    sold = [offer for offer in offers if not offer.retired]
    if not unit or not sold:
        return None
    largest = max(held(material, offer, system) for offer in sold)
    wanted, problem = _wanted(typed, largest)
    found = compare_offers(material, sold, shelf.catalogue, shelf.rates, system, wanted, places)
    drawn = _drawn(shelf, material, sold, histories, unit)
    if not found and not drawn:
        return None
    rows = tuple(_row(one, material, shelf, len(found) > 1 and one is found[0]) for one in found)
    return ComparedPart(_unit(unit), typed or figure_text(wanted, 2), problem, rows, drawn)


def _wanted(typed: str, usual: Fraction) -> tuple[Fraction, str]:
    text = typed.strip()
    if not text:
        return usual, ""
    try:
        wanted = exact_decimal(as_kept(text))
    except ValueError:
        return usual, f"“{text[:40]}” is no number."
    if not 0 < wanted <= MOST_WANTED:
        return usual, f"“{text[:40]}” can't be compared: more than nothing, and no more than a million."
    return wanted, ""


def _row(one: Compared, material: Material, shelf: _At, cheapest: bool) -> ComparedRow:
    reader, offer = shelf.reader, one.offer
    return ComparedRow(
        offer.seller, pack_words(material, offer, reader), f"#offer-{offer.id}", _price(shelf, one.each.value),
        whole_number(one.packs), reader.amount(one.goods.value), reader.amount(one.way.value), cheapest,
    )  # fmt: skip


def _drawn(
    shelf: _At, material: Material, offers: Sequence[Offer], histories: Mapping[str, Sequence[PriceSeen]], unit: str
) -> str:
    """Each offer's price of one, without tax, as it was seen at the smallest number; one-off prices are no part."""
    working, today = Working(), shelf.catalogue.today
    sellers, lines = Counter(offer.seller for offer in offers), []
    for offer in offers:
        seen = [
            one for one in histories.get(offer.id, ())
            if not one.one_off and one.currency == shelf.shop.currency and one.seen_on <= today
        ]  # fmt: skip
        least = min((one.from_quantity for one in seen), default=1)
        holds, points = held(material, offer, shelf.shop.length_system), list[Seen]()
        for one in sorted((one for one in seen if one.from_quantity == least), key=lambda one: one.seen_on):
            price = without_tax(working, one, shelf.rates).value / holds
            point = Seen(one.seen_on, float(price), _price(shelf, price))
            # Of one day the last that was told counts.
            points = [*points[:-1], point] if points and points[-1].day == point.day else [*points, point]
        # Of one who sells several sizes the size tells them apart.
        name = offer.seller if sellers[offer.seller] == 1 else pack_words(material, offer, shelf.reader)
        lines.append(OfferLine(name, points))
    first = min((one.day for line in lines for one in line.seen), default=today)
    return price_history(lines, today, f"a {_unit(unit)} without tax", (day_in_words(first), day_in_words(today)))


def _price(shelf: _At, price: Fraction) -> str:
    return shelf.reader.each(rounded(price, shelf.shop.currency_places))


def _unit(unit: str) -> str:
    return _PRINTED.get(unit, unit)
