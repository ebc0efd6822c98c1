"""Prices as they count for us: what was seen, with or without the tax that we pay and may reclaim."""

from __future__ import annotations

from fractions import Fraction

from webapp.costing.catalogue import Catalogue, CurrentPrice, Offer, current_price
from webapp.costing.needs import setting_figure
from webapp.costing.rates import Rates
from webapp.costing.working import Figure, Working


class PricesPaid:
    """Looks up what one pack of an offer costs the shop today."""

    def __init__(self, catalogue: Catalogue, rates: Rates, working: Working, places: int) -> None:
        self.catalogue, self.rates, self.working = catalogue, rates, working
        self.coin = working.given("coin", "Smallest coin", Fraction(1, 10**places), "money", "the currency")

    def price(self, offer: Offer, price: CurrentPrice, packs: int) -> Figure | None:
        """The price of one pack as a cost: without the tax we reclaim, with the tax we don't."""
        seen = price.at(packs)
        if seen is None:
            return None
        source = f"price seen {seen.seen_on.isoformat()}, {seen.where}" + (f", {seen.by}" if seen.by else "")
        key = f"price/{offer.id}/{seen.from_quantity}"
        label = f"One of {offer.seller} {offer.supplier_code}".strip()
        given = self.working.given(f"{key}/seen", f"{label}, as seen", Fraction(seen.amount), "money", source)
        reclaimed = self.rates.yes("purchase_tax_reclaimed")
        if seen.with_tax == (not reclaimed) or not self.rates["purchase_tax"]:
            return given
        tax = setting_figure(self.working, self.rates, "purchase_tax", "share")
        words, formula = ("price with tax / (1 + tax)", "price / (1 + tax)")
        if not seen.with_tax:
            words, formula = ("price without tax x (1 + tax)", "price * (1 + tax)")
        return self.working.derive(key, label, "money", words, formula, price=given, tax=tax)

    def single(self, offer: Offer) -> Fraction | None:
        """What one costs when a cut plan weighs sheets against each other: the price at the smallest quantity."""
        price = current_price(self.catalogue, offer.id)
        if price is None:
            return None
        figure = self.price(offer, price, price.breaks[0].from_quantity)
        return figure.value if figure is not None else None
