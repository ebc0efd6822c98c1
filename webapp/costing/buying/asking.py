"""How much is asked of a material, in which packs it comes, and how each comes to the shop."""

from __future__ import annotations

from fractions import Fraction

from webapp.costing.buying.boards_to_buy import BoardChance, BoardRequired, board_cost, board_required
from webapp.costing.buying.getting import Way, way_of
from webapp.costing.buying.price_paid import PricesPaid
from webapp.costing.buying.rack import offered_by_rack, size_of
from webapp.costing.buying.stock import one_holds
from webapp.costing.buying.subcontract import service_cost, service_ordered
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Offer, current_price, described
from webapp.costing.catalogue.subcontract import by_measure, is_subcontracted
from webapp.costing.catalogue.weights import kilograms_of
from webapp.costing.items.requirements import Requirement, with_spares
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.quantities import BOARD_FOOT_M3
from webapp.costing.measures.written import System
from webapp.costing.plans.requests import NO_PRICE
from webapp.costing.supplier_choice.packs import Pack


class Asking:
    """What is asked of each material of a job; boards are simulated once."""

    def __init__(self, prices_paid: PricesPaid, system: System) -> None:
        self.prices_paid, self.catalogue, self.rates, self.working = (
            prices_paid,
            prices_paid.catalogue,
            prices_paid.rates,
            prices_paid.working,
        )
        self.system = system
        self.boards: dict[str, BoardRequired] = {}

    def required_by_item(self, key: str, requirement: Requirement) -> dict[str, Figure]:
        """What each item needs, by item id."""
        return {
            item: self.working.total(
                f"buy/{key}/need/{item}", f"{requirement.material.name} for one item", requirement.unit, amounts
            )
            for item, amounts in requirement.by_item.items()
        }

    def needed(self, key: str, requirement: Requirement) -> Figure:
        """What all of them need."""
        parts = tuple(self.required_by_item(key, requirement).values())
        return self.working.total(f"buy/{key}/need", f"{requirement.material.name}, needed", requirement.unit, parts)

    def to_buy(self, key: str, requirement: Requirement, total: Figure) -> Figure:
        """What has to be bought: with spares, with what is lost of a board, in whole ones; else as needed."""
        kind, material, working = requirement.material.kind, requirement.material, self.working
        if kind is Kind.FASTENER:
            return with_spares(key, requirement, total, self.rates, working)
        if is_subcontracted(material):
            return service_ordered(working, key, material, total)
        if requirement.unit == "piece":
            return working.derive(
                f"buy/{key}/to_buy", f"{material.name}, whole", requirement.unit, "rounded up to whole ones",
                "whole_up(need)", need=total,
            )  # fmt: skip
        if kind is Kind.BOARD:
            if key not in self.boards:
                self.boards[key] = board_required(key, requirement, total, self.rates, working, self.system)
            return self.boards[key].gross
        return total

    def from_stock(self, requirement: Requirement, to_buy: Figure) -> Fraction:
        """How much of it is taken of what the shop has: opened boxes and tins are used up before another is bought."""
        return min(self.catalogue.on_hand.get(requirement.material.code, Fraction(0)), to_buy.value)

    def to_cover(self, requirement: Requirement, to_buy: Figure) -> Fraction:
        """How much the packs of `packs` have to hold: a board and work that is sent out are one purchase each."""
        if by_measure(requirement.material):
            return Fraction(1 if to_buy.value else 0)
        return to_buy.value - self.from_stock(requirement, to_buy)

    def packs(self, requirement: Requirement, to_buy: Figure, offers: tuple[Offer, ...]) -> list[tuple[Offer, Pack]]:
        """The packs of the offers; of what is bought by measure each offer is one pack that holds all of it."""
        packs = []
        for offer in offers:
            prices = self.prices_paid.by_number(offer)
            if requirement.material.kind is Kind.BOARD:
                cost = board_cost(offer, to_buy.value, prices or ((1, NO_PRICE),))
                packs.append((offer, Pack(offer.id, Fraction(1), ((1, cost),)))) if cost is not None else None
            elif is_subcontracted(requirement.material):
                cost = service_cost(requirement.material, offer, to_buy.value, prices or ((1, NO_PRICE),))
                packs.append((offer, Pack(offer.id, Fraction(1), ((1, cost),))))
            else:
                holds = self.holds(requirement, offer)
                packs.append((offer, Pack(offer.id, holds, prices or ((1, NO_PRICE * holds),), offer.in_packs_of)))
        return packs

    def holds(self, requirement: Requirement, offer: Offer) -> Fraction:
        """What one of an offer holds, in the unit of the requirement."""
        return one_holds(requirement.material, offer)

    def ways(self, requirement: Requirement, offer: Offer) -> dict[int, Way]:
        """How an offer comes at each of its prices, by the number from which it holds."""
        price = current_price(self.catalogue, offer.id)
        if price is None:
            return {1: way_of(offer, requirement.material, self.rates, holds_delivery=False)}
        return {
            seen.from_quantity: way_of(offer, requirement.material, self.rates, holds_delivery=seen.delivered)
            for seen in price.breaks
        }

    def way(self, requirement: Requirement, offer: Offer, number: int) -> Way:
        """How so many of an offer come."""
        ways = self.ways(requirement, offer)
        return ways[max((least for least in ways if least <= number), default=min(ways))]

    def mass(self, requirement: Requirement, offer: Offer, volume: Fraction) -> Fraction:
        """What one of an offer weighs, in kg; of boards, which are bought by volume, all of them."""
        if requirement.material.kind is Kind.BOARD:
            return volume * BOARD_FOOT_M3 * described(requirement.material).get("density", Fraction(0))
        return kilograms_of(requirement.material, offer) or Fraction(0)

    def least_cut(self, requirement: Requirement, offers: tuple[Offer, ...]) -> Fraction:
        """The least that cutting from these offers costs: all blanks at the least price of their size."""
        everything = (*offers, *offered_by_rack(requirement, self.catalogue, self.rates))
        rates = [
            price / size_of(offer) for offer in everything for _, price in self.prices_paid.by_number(offer)
        ]  # fmt: skip
        size = sum(
            (piece.part.blank_length.value * (piece.part.blank_width.value if piece.part.blank_width else 1)
             * piece.count for piece in requirement.pieces), Fraction(0),
        )  # fmt: skip
        return size * min(rates, default=Fraction(0))

    def chance(self, key: str) -> BoardChance | None:
        """How surely boards suffice, where that was simulated."""
        return self.boards[key].chance if key in self.boards else None
