"""Offers of one material side by side: what a useful unit of each costs, delivered and without tax."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.buying.getting import terms_of_ways
from webapp.costing.buying.price_paid import as_it_counts
from webapp.costing.buying.rack import size_of
from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Catalogue, Comes, Material, Offer, PriceSeen, current_price
from webapp.costing.ledger.working import Figure, Working, smallest_coin
from webapp.costing.measures.quantities import NM_PER_FOOT
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.written import System
from webapp.costing.settings.figures import setting_figure
from webapp.costing.settings.rates import Rates
from webapp.costing.supplier_choice.packs import Bought, Pack, cheapest_packs
from webapp.costing.supplier_choice.question import Order

_METRE: Final = 10**9
#: What offers of a kind are compared by where that is another unit than it is needed in: so much of the other is one.
_FOR_INCH_SHOP: Final = {
    Kind.SHEET: ("ft2", Fraction(NM_PER_FOOT, _METRE) ** 2), Kind.LENGTH: ("ft", Fraction(NM_PER_FOOT, _METRE)),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Compared:
    """An offer where so much of its material is wanted: how many packs, their money without tax, what their way costs,
    and with that what one useful unit of what is bought comes to."""

    offer: Offer
    packs: int
    goods: Figure
    way: Figure
    each: Figure


def useful_unit(kind: Kind, system: System) -> str:
    """What offers of a kind are compared by: m2, m, board foot, litre or piece, or feet where the shop measures in
    them. '' where nothing is alike enough."""
    if kind is Kind.SERVICE:
        return ""
    return _FOR_INCH_SHOP[kind][0] if system == "inch" and kind in _FOR_INCH_SHOP else KINDS[kind].unit


def held(material: Material, offer: Offer, system: System) -> Fraction:
    """How many useful units one of an offer holds: one sheet, length, board foot, pack or container."""
    row, kind = KINDS[material.kind], material.kind
    if kind is Kind.BOARD:
        return Fraction(1)
    holds = size_of(offer) / _METRE**2 if kind is Kind.SHEET else offer.size[row.pack] / row.pack_unit
    return holds / _FOR_INCH_SHOP[kind][1] if system == "inch" and kind in _FOR_INCH_SHOP else holds


def without_tax(working: Working, seen: PriceSeen, rates: Rates) -> Figure:
    """A price seen without the tax in it."""
    # One offer may be seen at several prices on a day: one that was put right, one with tax and one without.
    which = f"{seen.amount:f} {'with' if seen.with_tax else 'without'} tax"
    key = f"compared/{seen.offer}/{seen.from_quantity}/{seen.seen_on.isoformat()}/{which}"
    source = f"price seen {seen.seen_on.isoformat()}, {seen.where}"
    given = working.given(f"{key}/seen", "Price, as seen", Fraction(seen.amount), "money", source)
    if not seen.with_tax or not rates["purchase_tax"]:
        return given
    tax = setting_figure(working, rates, "purchase_tax", "share")
    return as_it_counts(working, key, "Price without tax", given, tax, add=False)


def compare_offers(
    material: Material, offers: Sequence[Offer], catalogue: Catalogue, rates: Rates, system: System, wanted: Fraction,
    places: int,
) -> tuple[Compared, ...]:  # fmt: skip
    """The offers that have a price, the cheapest of so many useful units first; of equals the first in order.

    Each is an order by itself: carriage, its freedom from a sum on, a least order and the drive are what the supplier
    and the shop's settings say, and nothing of it where the price holds delivery.
    """
    if not useful_unit(material.kind, system):
        return ()
    working = Working()
    found = [
        one for offer in offers
        if (one := _compared(working, material, offer, catalogue, rates, system, wanted, places)) is not None
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda one: one.each.value))


def _compared(
    working: Working, material: Material, offer: Offer, catalogue: Catalogue, rates: Rates, system: System,
    wanted: Fraction, places: int,
) -> Compared | None:  # fmt: skip
    price = current_price(catalogue, offer.id)
    if price is None:
        return None
    holds, key = held(material, offer, system), f"compared/{offer.id}"
    prices = {seen.from_quantity: without_tax(working, seen, rates) for seen in price.breaks}
    bought = _bought(offer, holds, prices, wanted)
    if bought is None:
        return None
    seen = price.at(bought.packs)
    assert seen is not None
    coin = smallest_coin(working, places)
    number = working.given(f"{key}/packs", "Packs", bought.packs, "piece", "the fewest that hold what is wanted")
    goods = working.derive(
        f"{key}/goods", "Goods", "money", "price without tax x packs, rounded half up", "half_up(price * packs, coin)",
        price=prices[seen.from_quantity], packs=number, coin=coin,
    )  # fmt: skip
    way = working.given(
        f"{key}/way", in_trade_words("Carriage, drive and what a least order lacks"),
        _on_its_way(offer, goods, rates, seen), "money", "the supplier's terms and the shop's settings",
    )  # fmt: skip
    each = working.derive(
        f"{key}/each", "A unit, delivered and without tax", "money", "(goods + way) / (packs x what one holds)",
        "(goods + way) / (packs * holds)", goods=goods, way=way, packs=number,
        holds=working.given(f"{key}/holds", "Held by one", holds, "", "the offer"),
    )  # fmt: skip
    return Compared(offer, bought.packs, goods, way, each)


def _bought(offer: Offer, holds: Fraction, prices: dict[int, Figure], wanted: Fraction) -> Bought | None:
    told = tuple((least, figure.value) for least, figure in sorted(prices.items()))
    try:
        (bought,) = cheapest_packs(wanted, [Pack(offer.id, holds, told, offer.in_packs_of)])
    except ValueError:
        return None
    return bought


def _on_its_way(offer: Offer, goods: Figure, rates: Rates, seen: PriceSeen) -> Fraction:
    orders = {offer.supplier: Order(goods.value, Fraction(offer.least_order or 0))}
    nobody = seen.delivered or offer.comes is Comes.ROUND
    terms = terms_of_ways([offer], rates, frozenset(), orders)
    return terms.cost(frozenset() if nobody else frozenset({offer.supplier}))
