"""An offer with its price and the fields for a new one, as the list of materials and the sheet of one show it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Literal

from webapp.costing.catalogue.materials import Catalogue, Material, PriceSeen, current_price
from webapp.costing.prices.stated_price import flag_words
from webapp.costing.settings.rates import Rates
from webapp.documents.printing.paper import day_text, reader_of
from webapp.pages.catalogue.supplier_form import COMES_WORDS
from webapp.pages.prices.typed_price import TypedPrice, empty_price
from webapp.pages.shown.materials import PriceNow, price_now
from webapp.persistence.catalogue.records import StoredOffer
from webapp.persistence.settings.shop import Shop
from webapp.showing import Reader, counted, pack_words, price_is_for

#: Where an offer is shown: as a row of the list, or on the sheet of its material.
Place = Literal["row", "sheet"]


@dataclass(frozen=True, slots=True)
class PastPrice:
    """A price as it was seen once."""

    amount: str
    packs: str
    seen_on: str
    where: str
    by: str
    flags: str


@dataclass(frozen=True, slots=True)
class OfferView:
    """One offer in words. `address` is its own; `back` is where a kept price leads to without script."""

    id: str
    address: str
    back: str
    place: Place
    material: str
    seller: str
    pack: str
    supplier_code: str
    lead: str
    minimum: str
    comes: str
    discount: str
    retired: bool
    version: int
    currency: str
    price_is_for: str
    price: PriceNow
    history: tuple[PastPrice, ...]
    typed: TypedPrice
    just_kept: bool

    @property
    def label(self) -> str:
        """The offer in one piece, for those who can't see the row it stands in."""
        return f"{self.material}, {self.pack}, {self.seller}"

    @property
    def opened(self) -> bool:
        """Whether something stands against a field that is folded away."""
        return any(name != "amount" for name in self.typed.problems or {})


@dataclass(frozen=True, slots=True)
class Shelf:
    """What offers are shown with: the catalogue, the shop's rates, and the shop."""

    catalogue: Catalogue
    rates: Rates
    shop: Shop

    @property
    def reader(self) -> Reader:
        return reader_of(self.shop)


def offer_view(
    shelf: Shelf, material: Material, stored: StoredOffer, place: Place, back: str, *, typed: TypedPrice | None = None,
    history: tuple[PriceSeen, ...] = (), just_kept: bool = False,
) -> OfferView:  # fmt: skip
    """An offer as it stands today; `typed` are fields that were not kept."""
    offer, reader = stored.offer, shelf.reader
    price = current_price(shelf.catalogue, offer.id)
    return OfferView(
        id=offer.id,
        address=f"/materials/{material.code}/offers/{offer.id}",
        back=back,
        place=place,
        material=material.name,
        seller=offer.seller,
        pack=pack_words(material, offer, reader),
        supplier_code=offer.supplier_code,
        lead="" if offer.lead_days is None else lead_words(offer.lead_days),
        minimum="" if offer.least_order is None else reader.money(Fraction(offer.least_order)),
        comes=COMES_WORDS[offer.comes],
        discount="" if offer.terms.discount is None else reader.percent(offer.terms.discount),
        retired=offer.retired,
        version=stored.version,
        currency=shelf.shop.currency,
        price_is_for=price_is_for(material, offer),
        price=price_now(shelf.catalogue, material, offer, shelf.rates, reader),
        history=tuple(past_price(seen, reader, shelf.catalogue.today) for seen in history),
        typed=typed or empty_price(price, shelf.catalogue.today),
        just_kept=just_kept,
    )


def lead_words(days: int) -> str:
    """How long a supplier takes."""
    return counted(days, "day") if days else "on the day"


def past_price(seen: PriceSeen, reader: Reader, today: date) -> PastPrice:
    """One observation in words; of a day to come it holds from then on."""
    packs = "" if seen.from_quantity == 1 else f"from {seen.from_quantity}"
    amount = reader.amount(Fraction(seen.amount))
    amount = amount if seen.currency == reader.currency else f"{amount} {seen.currency}"
    day = day_text(seen.seen_on) if seen.seen_on <= today else f"holds from {day_text(seen.seen_on)}"
    return PastPrice(amount, packs, day, seen.where, seen.by, flag_words(seen))
