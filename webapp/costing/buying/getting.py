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
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.settings.extras import replaced
from webapp.costing.settings.figures import setting_figure
from webapp.costing.settings.rates import Rates
from webapp.costing.supplier_choice.question import Terms


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
    """One purchase as far as its way to the shop goes: the offer, how it comes, and what it costs."""

    offer: Offer
    way: Way
    amount: Fraction


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


def terms_of_ways(offers: Iterable[Offer], rates: Rates, fixed: frozenset[str] = frozenset()) -> Terms:
    """What stops and carriage cost, as choosing among suppliers weighs them: by the rule for collecting where the shop
    has switched it on, else by the setting for a further stop. Money for each supplier; minutes at a helper's rate."""
    carriage = {offer.supplier: Fraction(offer.carriage or 0) for offer in offers if offer.comes is Comes.DELIVERED}
    if "extra_stop" not in replaced(rates):
        return Terms(rates["extra_stop"], carriage, fixed)
    an_hour = rates["labour_helper"] + rates["overhead_per_hour"]
    stop = rates["collecting_minutes"] * an_hour / 60 + rates["collecting_km"] * rates["per_kilometre"]
    return Terms(stop, carriage, fixed, first_is_free=False)


def missing_to_least(ordered: Iterable[Ordered]) -> dict[str, tuple[Offer, Fraction, Fraction]]:
    """By supplier, where the job's order falls short: an offer of it, the least order, and what is ordered."""
    sums: dict[str, Fraction] = {}
    least: dict[str, tuple[Fraction, Offer]] = {}
    for one in ordered:
        if one.way in ORDERED:
            sums[one.offer.supplier] = sums.get(one.offer.supplier, Fraction(0)) + one.amount
            asked = Fraction(one.offer.minimum_order or 0)
            if one.offer.supplier not in least or asked > least[one.offer.supplier][0]:
                least[one.offer.supplier] = asked, one.offer
    return {
        supplier: (offer, asked, sums[supplier])
        for supplier, (asked, offer) in sorted(least.items())
        if asked > sums[supplier]
    }


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


def _stops(ordered: Sequence[Ordered], rates: Rates, working: Working, coin: Figure, key: str) -> list[Figure]:
    names = sorted(suppliers_driven_to(ordered).values())
    if len(names) < 2 or not rates["extra_stop"] or "extra_stop" in replaced(rates):
        return []
    source = "suppliers to fetch from for this job, less one: " + ", ".join(names)
    count = working.work.given(f"{key}/further_stops", "Further suppliers", len(names) - 1, "stop", source)
    return [
        working.derive(
            f"{key}/stops", "Further suppliers", "money", "further suppliers x cost of a stop, rounded half up",
            "half_up(stops * each, coin)",
            stops=count, each=setting_figure(working, rates, "extra_stop", "money"), coin=coin,
        )
    ]  # fmt: skip


def _carriage(ordered: Sequence[Ordered], working: Working, coin: Figure, key: str) -> list[Figure]:
    asked = {one.offer.supplier: one.offer for one in ordered if one.way is Way.DELIVERED and one.offer.carriage}
    parts = []
    for supplier, offer in sorted(asked.items()):
        stated = working.given(
            f"supplier/{supplier}/carriage", f"{offer.seller}: {in_trade_words('carriage of an order')}",
            Fraction(offer.carriage or 0), "money", "the supplier",
        )  # fmt: skip
        parts.append(
            working.derive(
                f"{key}/carriage/{supplier}", f"{in_trade_words('Carriage')} of {offer.seller}", "money",
                "once for the order, rounded half up",
                "half_up(asked, coin)", asked=stated, coin=coin,
            )
        )  # fmt: skip
    return parts


def _filled_up(ordered: Sequence[Ordered], working: Working, coin: Figure, key: str) -> list[Figure]:
    parts = []
    for supplier, (offer, least, held) in missing_to_least(ordered).items():
        asked = working.given(
            f"offer/{offer.id}/least_order", f"{offer.seller}: minimum order", least, "money", "the offer"
        )
        goods = working.given(
            f"{key}/ordered/{supplier}", f"{offer.seller}: ordered for this job", held, "money", "what is bought there"
        )
        parts.append(
            working.derive(
                f"{key}/filled_up/{supplier}", f"Order at {offer.seller} filled up to the minimum", "money",
                "minimum order - what is ordered, rounded half up", "half_up(least_order - ordered, coin)",
                least_order=asked, ordered=goods, coin=coin,
            )
        )  # fmt: skip
    return parts
