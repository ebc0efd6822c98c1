"""The lines of a list that are for the shop itself: what it keeps by the unit and has less of than it wants."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from decimal import Decimal
from fractions import Fraction

from webapp.costing.buying.price_paid import PricesPaid
from webapp.costing.buying.stock import StockOnHand, one_holds, packs_for
from webapp.costing.buying_list.lines import Line, Terms
from webapp.costing.catalogue.materials import Catalogue, Material, Offer, current_price
from webapp.costing.ledger.working import Working
from webapp.costing.measures.money import to_decimal
from webapp.costing.settings.rates import Rates
from webapp.documents.buying.list_lines import offered_of
from webapp.documents.buying.shopping_list import size_of
from webapp.showing import Reader

#: How the id of such a line begins: the shop bears it, whoever else buys the same.
FOR_STOCK = "stock:"


def lines_for_stock(
    stock: Iterable[StockOnHand], catalogue: Catalogue, rates: Rates, terms: Terms, reader: Reader,
    waiting: Collection[str] = (),
) -> tuple[Line, ...]:  # fmt: skip
    """A line for each material of which there is less than the least, in its cheapest packs; none for what is `waiting`
    on another list, by the ids of the lines there."""
    found = []
    for one in stock:
        material = catalogue.materials.get(one.material)
        if not one.missing or material is None:
            continue
        if any(f"{FOR_STOCK}{offer.id}" in waiting for offer in catalogue.offers_of(one.material)):
            continue
        line = _line(one, material, catalogue, rates, terms, reader)
        if line is not None:
            found.append(line)
    return tuple(found)


def _line(
    stock: StockOnHand, material: Material, catalogue: Catalogue, rates: Rates, terms: Terms, reader: Reader
) -> Line | None:
    offers = catalogue.offers_of(material.code)
    if not offers:
        return None
    prices = PricesPaid(catalogue, rates, Working(), terms.places)

    def cost_of(offer: Offer) -> Fraction | None:
        packs, price = packs_for(stock.missing, one_holds(material, offer)), current_price(catalogue, offer.id)
        figure = prices.price(offer, price, packs) if price is not None else None
        return None if figure is None else figure.value * packs

    costs = {offer.id: cost_of(offer) for offer in offers}
    chosen = min(offers, key=lambda offer: (costs[offer.id] is None, costs[offer.id] or Fraction(0), offer.id))
    packs = packs_for(stock.missing, one_holds(material, chosen))
    cost = costs[chosen.id]
    offered = offered_of(catalogue, material, chosen, reader)
    seen = offered.price.at(packs) if offered.price else None
    till = None if seen is None else to_decimal(Fraction(seen.amount) * packs, terms.places)
    expected: Decimal | None = None if cost is None else to_decimal(cost, terms.places)
    others = tuple(offered_of(catalogue, material, offer, reader) for offer in offers if offer.id != chosen.id)
    return Line(
        f"{FOR_STOCK}{chosen.id}", material.name, size_of(material, chosen, reader), "for the shop's own stock",
        Fraction(packs), "", chosen.seller, expected, till,
        seen.with_tax if seen is not None else not terms.reclaimed, (), offered, others,
    )  # fmt: skip
