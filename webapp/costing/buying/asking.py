"""How much is asked of a material, in which packs it comes, and how each comes to the shop."""

from __future__ import annotations

from fractions import Fraction

from webapp.costing.buying.boards import BoardAsked, BoardChance, board_asked, board_cost
from webapp.costing.buying.getting import Way, way_of
from webapp.costing.buying.packs import Pack
from webapp.costing.buying.price_paid import PricesPaid
from webapp.costing.buying.subcontract import service_asked, service_cost
from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Offer, current_price
from webapp.costing.catalogue.subcontract import by_measure, is_sent_out
from webapp.costing.items.requirements import Need, with_spares
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.written import System
from webapp.costing.plans.requests import NO_PRICE


class Asking:
    """What is asked of each material of a job; boards are simulated once."""

    def __init__(self, paid: PricesPaid, system: System) -> None:
        self.paid, self.catalogue, self.rates, self.working = paid, paid.catalogue, paid.rates, paid.working
        self.system = system
        self.boards: dict[str, BoardAsked] = {}

    def item_needs(self, key: str, need: Need) -> dict[str, Figure]:
        """What each item needs, by item id."""
        return {
            item: self.working.total(f"buy/{key}/need/{item}", f"{need.material.name} for one item", need.unit, amounts)
            for item, amounts in need.by_item.items()
        }

    def needed(self, key: str, need: Need) -> Figure:
        """What all of them need."""
        parts = tuple(self.item_needs(key, need).values())
        return self.working.total(f"buy/{key}/need", f"{need.material.name}, needed", need.unit, parts)

    def asked(self, key: str, need: Need, total: Figure) -> Figure:
        """What has to be bought: with spares, with what is lost of a board, in whole ones; else as needed."""
        kind, material, working = need.material.kind, need.material, self.working
        if kind is Kind.FASTENER:
            return with_spares(key, need, total, self.rates, working)
        if is_sent_out(material):
            return service_asked(working, key, material, total)
        if need.unit == "piece":
            return working.derive(
                f"buy/{key}/to_buy", f"{material.name}, whole", need.unit, "rounded up to whole ones",
                "whole_up(need)", need=total,
            )  # fmt: skip
        if kind is Kind.BOARD:
            if key not in self.boards:
                self.boards[key] = board_asked(key, need, total, self.rates, working, self.system)
            return self.boards[key].gross
        return total

    def to_cover(self, need: Need, asked: Figure) -> Fraction:
        """How much the packs of `packs` have to hold: a board and work that is sent out are one purchase each."""
        return Fraction(1 if asked.value else 0) if by_measure(need.material) else asked.value

    def packs(self, need: Need, asked: Figure, offers: tuple[Offer, ...]) -> list[tuple[Offer, Pack]]:
        """The packs of the offers; of what is bought by measure each offer is one pack that holds all of it."""
        packs = []
        for offer in offers:
            prices = self.paid.by_number(offer)
            if need.material.kind is Kind.BOARD:
                cost = board_cost(offer, asked.value, prices or ((1, NO_PRICE),))
                packs.append((offer, Pack(offer.id, Fraction(1), ((1, cost),)))) if cost is not None else None
            elif is_sent_out(need.material):
                cost = service_cost(need.material, offer, asked.value, prices or ((1, NO_PRICE),))
                packs.append((offer, Pack(offer.id, Fraction(1), ((1, cost),))))
            else:
                holds = self.holds(need, offer)
                packs.append((offer, Pack(offer.id, holds, prices or ((1, NO_PRICE * holds),))))
        return packs

    def holds(self, need: Need, offer: Offer) -> Fraction:
        """What one of an offer holds, in the unit of the need."""
        row = KINDS[need.material.kind]
        return offer.size[row.pack] / row.pack_unit

    def ways(self, need: Need, offer: Offer) -> dict[int, Way]:
        """How an offer comes at each of its prices, by the number from which it holds."""
        price = current_price(self.catalogue, offer.id)
        if price is None:
            return {1: way_of(offer, need.material, self.rates, holds_delivery=False)}
        return {
            seen.from_quantity: way_of(offer, need.material, self.rates, holds_delivery=seen.delivered)
            for seen in price.breaks
        }

    def way(self, need: Need, offer: Offer, number: int) -> Way:
        """How so many of an offer come."""
        ways = self.ways(need, offer)
        return ways[max((least for least in ways if least <= number), default=min(ways))]

    def chance(self, key: str) -> BoardChance | None:
        """How surely boards suffice, where that was simulated."""
        return self.boards[key].chance if key in self.boards else None
