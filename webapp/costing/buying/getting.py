"""How goods come to the shop, and what that costs a job: stops, carriage, orders filled up to what a supplier takes.

Common practice: driving for one job is charged to that job, a weekly round is part of the shop's running costs, and who
delivers asks carriage for each order. What is charged by the share used stands in the shop already.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Comes, Material, Offer
from webapp.costing.catalogue.subcontract import by_measure, is_subcontracted
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.amounts import format_money
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.settings.extras import replaced
from webapp.costing.settings.figures import setting_figure
from webapp.costing.settings.rates import Rates
from webapp.costing.supplier_choice.question import Order, Terms


class Way(StrEnum):
    """How one purchase comes: what brings a stop, what brings carriage, and what brings neither."""

    FETCHED = "fetched"
    DELIVERED = "delivered"
    ROUND = "round"
    INCLUDED = "included"
    SHELF = "shelf"
    RACK = "rack"
    SERVICE = "service"


#: What is ordered for the job itself, so that a supplier's least order and carriage are asked of it.
ORDERED = (Way.FETCHED, Way.DELIVERED, Way.INCLUDED)


@dataclass(frozen=True, slots=True)
class Ordered:
    """One purchase as far as its way to the shop goes: the offer, how it comes, what it costs, and how many kg of it
    somebody has to carry."""

    offer: Offer
    way: Way
    amount: Fraction
    mass: Fraction = Fraction(0)

    @property
    def order(self) -> Order:
        """What it adds to an order of its supplier."""
        mass = self.mass if brings(self.offer, self.way) else Fraction(0)
        return Order(self.amount, Fraction(self.offer.least_order or 0), mass)


def is_cut(material: Material) -> bool:
    """Whether whole sheets or lengths of it are cut by a plan; what is joined end to end is bought by the run."""
    return material.kind is Kind.SHEET or (material.kind is Kind.LENGTH and material.values.get("spliced") != 1)


def used_up_whole(material: Material) -> bool:
    """Whether a job uses up whatever is bought of it: what is cut, boards, and work that is sent out."""
    return is_cut(material) or by_measure(material)


def off_the_shelf(material: Material, rates: Rates) -> bool:
    """Whether the job is charged a share of what stands in the shop, so that nothing is ordered for it."""
    return not used_up_whole(material) and rates[f"charged_{material.kind}"] == 1


def way_of(offer: Offer, material: Material, rates: Rates, *, holds_delivery: bool) -> Way:
    """How a purchase comes; work that is sent out with carriage of its own is carried by that."""
    if offer.offcut is not None:
        return Way.RACK
    if off_the_shelf(material, rates):
        return Way.SHELF
    if is_subcontracted(material) and material.values.get("carriage"):
        return Way.SERVICE
    if holds_delivery:
        return Way.INCLUDED
    return {Comes.FETCHED: Way.FETCHED, Comes.ROUND: Way.ROUND, Comes.DELIVERED: Way.DELIVERED}[offer.comes]


def brings(offer: Offer, way: Way) -> str:
    """The supplier whose stop or carriage a purchase brings; '' where it brings none."""
    return offer.supplier if way in (Way.FETCHED, Way.DELIVERED) else ""


def terms_of_ways(
    offers: Iterable[Offer], rates: Rates, fixed: frozenset[str], orders: Mapping[str, Order]
) -> Terms:
    """What stops and carriage cost, as choosing among suppliers weighs them: by the rule for collecting where the shop
    has switched it on, else by the setting for a further stop. Money for each supplier; minutes at a helper's rate."""
    offers = [*offers]
    delivering = [offer for offer in offers if offer.comes is Comes.DELIVERED]
    carriage = {offer.supplier: Fraction(offer.carriage or 0) for offer in delivering}
    free_from = {
        offer.supplier: Fraction(offer.terms.free_from)
        for offer in delivering if offer.carriage and offer.terms.free_from is not None
    }  # fmt: skip
    loads = {offer.supplier: offer.terms.load for offer in offers if offer.terms.load is not None}
    by_rule = "extra_stop" in replaced(rates)
    an_hour = rates["labour_helper"] + rates["overhead_per_hour"]
    stop = (
        rates["collecting_minutes"] * an_hour / 60 + rates["collecting_km"] * rates["per_kilometre"]
        if by_rule
        else rates["extra_stop"]
    )
    return Terms(stop, carriage, fixed, not by_rule, free_from, orders, loads)


def orders_of(ordered: Iterable[Ordered]) -> dict[str, Order]:
    """What is ordered of each supplier for the job itself, by code."""
    orders: dict[str, Order] = {}
    for one in ordered:
        if one.way in ORDERED:
            held = orders.get(one.offer.supplier)
            orders[one.offer.supplier] = one.order if held is None else held.and_also(one.order)
    return dict(sorted(orders.items()))


def cost_of_getting(
    ordered: Sequence[Ordered], rates: Rates, working: Working, coin: Figure, key: str = "buy"
) -> Figure | None:
    """What it costs to have the goods of a job in the shop: further stops, carriage, orders filled up; None where it
    is nothing."""
    parts = [
        *_stops(ordered, rates, working, coin, key),
        *_carriage(ordered, working, coin, key),
        *_filled_up(ordered, working, coin, key),
    ]
    if len(parts) < 2:
        return parts[0] if parts else None
    label = in_trade_words("Stops, carriage and minimum orders of suppliers")
    return working.total(f"{key}/getting", label, "money", parts)


def suppliers_driven_to(ordered: Iterable[Ordered]) -> Mapping[str, str]:
    """The suppliers to whom somebody drives for the job, by code, with their names."""
    return {one.offer.supplier: one.offer.seller for one in ordered if one.way is Way.FETCHED}


def further_loads(ordered: Iterable[Ordered], way: Way, key: str, working: Working) -> dict[str, Figure]:
    """By supplier, how many loads after the first its goods come in, where one does not carry all of them."""
    held = [one for one in ordered if one.way is way and one.offer.terms.load is not None]
    orders = orders_of(held)
    found = {}
    for supplier, offer in sorted({one.offer.supplier: one.offer for one in held}.items()):
        load = offer.terms.load
        if load is None or orders[supplier].mass <= load:
            continue
        weight = working.given(
            f"{key}/weight/{supplier}", f"{offer.seller}: weight of what comes", orders[supplier].mass, "kg",
            "what is bought there, as far as its weight is known",
        )  # fmt: skip
        one = working.given(
            f"supplier/{supplier}/load", f"{offer.seller}: one load carries", load, "kg", "the supplier"
        )
        found[supplier] = working.derive(
            f"{key}/loads/{supplier}", f"{offer.seller}: further loads", "", "weight / one load, whole, less the first",
            "whole_up(weight / load) - first", weight=weight, load=one,
            first=working.given("load/first", "The first load", 1, "", "comes with its supplier"),
        )  # fmt: skip
    return found


def _stops(ordered: Sequence[Ordered], rates: Rates, working: Working, coin: Figure, key: str) -> list[Figure]:
    names = sorted(suppliers_driven_to(ordered).values())
    if not rates["extra_stop"] or "extra_stop" in replaced(rates):
        return []
    loads = further_loads(ordered, Way.FETCHED, key, working)
    if len(names) < 2 and not loads:
        return []
    each, parts = setting_figure(working, rates, "extra_stop", "money"), []
    if len(names) > 1:
        source = "suppliers to fetch from for this job, less one: " + ", ".join(names)
        count = working.work.given(f"{key}/further_stops", "Further suppliers", len(names) - 1, "stop", source)
        parts.append(
            working.derive(
                f"{key}/stops", "Further suppliers", "money", "further suppliers x cost of a stop, rounded half up",
                "half_up(stops * each, coin)", stops=count, each=each, coin=coin,
            )
        )  # fmt: skip
    for supplier, more in loads.items():
        parts.append(
            working.derive(
                f"{key}/load_stops/{supplier}", more.label, "money", "further loads x cost of a stop, rounded half up",
                "half_up(loads * each, coin)", loads=more, each=each, coin=coin,
            )
        )  # fmt: skip
    return parts


def _carriage(ordered: Sequence[Ordered], working: Working, coin: Figure, key: str) -> list[Figure]:
    asked = {one.offer.supplier: one.offer for one in ordered if one.way is Way.DELIVERED and one.offer.carriage}
    orders, loads, parts = orders_of(ordered), further_loads(ordered, Way.DELIVERED, key, working), []
    for supplier, offer in sorted(asked.items()):
        stated = working.given(
            f"supplier/{supplier}/carriage", f"{offer.seller}: {in_trade_words('carriage of an order')}",
            Fraction(offer.carriage or 0), "money", "the supplier",
        )  # fmt: skip
        if supplier in loads:
            stated = working.derive(
                f"{key}/carriage_of_loads/{supplier}", f"{offer.seller}: {in_trade_words('carriage of all loads')}",
                "money", "for the first load and each further one", "asked + asked * loads",
                asked=stated, loads=loads[supplier],
            )  # fmt: skip
        label = f"{in_trade_words('Carriage')} of {offer.seller}"
        parts.append(
            working.derive(
                f"{key}/carriage/{supplier}", label, "money", "once for the order, rounded half up",
                "half_up(asked, coin)", asked=stated, coin=coin,
            )
            if offer.terms.free_from is None
            else working.derive(
                f"{key}/carriage/{supplier}", label, "money",
                "once for the order, or what the order lacks to where it is free if that is less, rounded half up",
                "half_up(least(asked, greatest(nothing, free_from - ordered)), coin)",
                asked=stated, coin=coin, **_towards_free(offer, orders[supplier], working, key),
            )
        )  # fmt: skip
    return parts


def _towards_free(offer: Offer, order: Order, working: Working, key: str) -> dict[str, Figure]:
    """How far an order is from the sum where its carriage is free."""
    return {
        "free_from": working.given(
            f"supplier/{offer.supplier}/free_from", f"{offer.seller}: {in_trade_words('free carriage from')}",
            Fraction(offer.terms.free_from or 0), "money", "the supplier",
        ),
        "ordered": working.given(
            f"{key}/order/{offer.supplier}", f"{offer.seller}: the order", order.comes_to, "money",
            "what is bought there, filled up to the minimum",
        ),
        "nothing": working.given("money/nothing", "Nothing", 0, "money", "no order pays back"),
    }  # fmt: skip


def _filled_up(ordered: Sequence[Ordered], working: Working, coin: Figure, key: str) -> list[Figure]:
    parts = []
    offers = {
        (one.offer.supplier, one.offer.least_order): one.offer for one in ordered if one.way in ORDERED
    }  # fmt: skip
    for supplier, order in orders_of(ordered).items():
        if order.least <= order.amount:
            continue
        offer = next(one for (name, least), one in offers.items() if name == supplier and least == order.least)
        asked = working.given(
            f"offer/{offer.id}/least_order", f"{offer.seller}: minimum order", order.least, "money", "the offer"
        )
        goods = working.given(
            f"{key}/ordered/{supplier}", f"{offer.seller}: ordered for this job", order.amount, "money",
            "what is bought there",
        )  # fmt: skip
        parts.append(
            working.derive(
                f"{key}/filled_up/{supplier}", f"Order at {offer.seller} filled up to the minimum", "money",
                "minimum order - what is ordered, rounded half up", "half_up(least_order - ordered, coin)",
                least_order=asked, ordered=goods, coin=coin,
            )
        )  # fmt: skip
    return parts


def orders_too_small(ordered: Sequence[Ordered], currency: str, places: int) -> list[str]:
    """A sentence for each supplier whose least order is more than all that is bought there."""
    sellers = {one.offer.supplier: one.offer.seller for one in ordered}

    def money(amount: Fraction) -> str:
        return format_money(amount, currency, places)

    return [
        f"{sellers[supplier]} takes no order below {money(order.least)}, and all that is bought there comes to "
        f"{money(order.amount)}: the {money(order.least - order.amount)} that it lacks are counted as well."
        for supplier, order in orders_of(ordered).items() if order.amount < order.least
    ]  # fmt: skip
