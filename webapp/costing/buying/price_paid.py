"""Prices as they count for us: what was seen, with or without the tax that we pay and may reclaim."""

from __future__ import annotations

from fractions import Fraction

from webapp.costing.buying.rack import THE_RACK, size_of
from webapp.costing.catalogue.materials import Catalogue, CurrentPrice, Offer, current_price
from webapp.costing.cutting.ask.model import PriceBreak
from webapp.costing.ledger.working import Figure, Working, smallest_coin
from webapp.costing.settings.figures import setting_figure
from webapp.costing.settings.rates import Rates


def as_it_counts(working: Working, key: str, label: str, price: Figure, tax: Figure, *, add: bool) -> Figure:
    """A price with the tax that the shop bears in it, or without the tax that it reclaims."""
    words, formula = ("price with tax / (1 + tax)", "price / (1 + tax)")
    if add:
        words, formula = ("price without tax x (1 + tax)", "price * (1 + tax)")
    return working.derive(key, label, "money", words, formula, price=price, tax=tax)


def as_it_counts_in_coins(
    working: Working, key: str, label: str, paid: Figure, tax: Figure, coin: Figure, *, add: bool
) -> Figure:
    """An amount that was paid as it counts, in whole coins."""
    counted = as_it_counts(working, f"{key}/counted", label, paid, tax, add=add)
    return working.derive(
        key, label, "money", "rounded half up", "half_up(amount, coin)", amount=counted, coin=coin
    )


class PricesPaid:
    """Looks up what one pack of an offer costs the shop today."""

    def __init__(self, catalogue: Catalogue, rates: Rates, working: Working, places: int) -> None:
        self.catalogue, self.rates, self.working = catalogue, rates, working
        self.coin = smallest_coin(working, places)

    def price(self, offer: Offer, price: CurrentPrice, packs: int) -> Figure | None:
        """The price of one pack as a cost, in money: without the tax we reclaim, with the tax we don't."""
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
        return as_it_counts(self.working, key, label, given, tax, add=not seen.with_tax)

    def by_number(self, offer: Offer) -> tuple[PriceBreak, ...]:
        """From which number on one costs how much money, the smallest number first; nothing where no price is known."""
        if offer.offcut is not None:
            taken = self.offcut(offer)
            return () if taken is None else ((1, taken[0].value),)
        price = current_price(self.catalogue, offer.id)
        found = ((seen, self.price(offer, price, seen.from_quantity)) for seen in price.breaks) if price else ()
        return tuple((seen.from_quantity, figure.value) for seen, figure in found if figure is not None)

    def single(self, offer: Offer) -> Fraction | None:
        """The money that one costs at the smallest quantity; None where no price is known."""
        if offer.offcut is not None:
            taken = self.offcut(offer)
            return taken[0].value if taken is not None else None
        price = current_price(self.catalogue, offer.id)
        if price is None:
            return None
        figure = self.price(offer, price, price.breaks[0].from_quantity)
        return figure.value if figure is not None else None

    def offcut(self, offer: Offer) -> tuple[Figure, Offer] | None:
        """What an offcut counts for, and the offer it follows from: the one that is cheapest by its size; None where
        nobody offers the material at a price."""
        new = self._cheapest_by_size(offer.material)
        price = current_price(self.catalogue, new.id) if new is not None else None
        seen = self.price(new, price, price.breaks[0].from_quantity) if new is not None and price is not None else None
        if new is None or seen is None:
            return None
        name = self.catalogue.materials[offer.material].name
        sides: dict[str, Figure] = {}
        for side in ("length", "width") if "width" in offer.size else ("length",):
            sides[side] = self.working.given(
                f"{offer.id}/{side}", f"{name} from the rack: {side}", offer.size[side], "nm", THE_RACK
            )
            sides[f"new_{side}"] = self.working.given(
                f"offer/{new.id}/{side}", f"{name}: {side} new", new.size[side], "nm", f"offer of {new.seller}"
            )
        sheet = "width" in offer.size
        by = "area" if sheet else "length"
        figure = self.working.derive(
            f"price/{offer.id}",
            f"One of {name} from the rack",
            "money",
            f"price new x share x {by} / {by} new, rounded half up",
            "half_up(new * share * square_metres(length, width) / square_metres(new_length, new_width), coin)"
            if sheet
            else "half_up(new * share * length / new_length, coin)",
            new=seen,
            share=self._share(offer),
            coin=self.coin,
            **sides,
        )
        return figure, new

    def _share(self, offer: Offer) -> Figure:
        """For how much of its price new a piece of the rack counts: an offcut for less, a whole one for all of it."""
        if offer.offcut is not None and offer.offcut.whole:
            return self.working.given(f"{offer.id}/share", "Whole, as it was bought", 1, "share", THE_RACK)
        return setting_figure(self.working, self.rates, "rack_cost", "share")

    def _cheapest_by_size(self, material: str) -> Offer | None:
        """Of what is offered of a material at a price, that which costs the least by area or length."""
        priced = [
            (price / size_of(offer), offer.id, offer)
            for offer in self.catalogue.offers_of(material)
            if (price := self.single(offer)) is not None
        ]
        return min(priced, key=lambda one: one[:2])[2] if priced else None
