"""Work that others do on a job: their price, lifted to the least they charge, with carriage there and back."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from webapp.costing.catalogue.materials import Material, Offer
from webapp.costing.catalogue.subcontract import is_subcontracted, service_unit
from webapp.costing.cutting.ask.model import PriceBreak
from webapp.costing.cutting.ask.price_breaks import price_at
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.trade_words import in_trade_words


def terms_of(material: Material, amount: Callable[[Fraction], str]) -> tuple[str, ...]:
    """On what terms work is sent out, in words: their least charge, and carriage; `amount` writes money."""
    if not is_subcontracted(material):
        return ()
    words = (("minimum", "at least {} for a job"), ("carriage", in_trade_words("{} for carriage both ways")))
    return tuple(said.format(amount(material.values[name])) for name, said in words if material.values.get(name))


def service_ordered(working: Working, key: str, material: Material, total: Figure) -> Figure:
    """How much of a service is ordered: an area as it is, all else in whole ones."""
    words, formula = ("as needed", "need") if service_unit(material) else ("rounded up to whole ones", "whole_up(need)")
    return working.derive(f"buy/{key}/to_buy", f"{material.name}, ordered", total.unit, words, formula, need=total)


def service_cost(material: Material, offer: Offer, ordered: Fraction, prices: tuple[PriceBreak, ...]) -> Fraction:
    """What work comes to with one who does it, in money, at the price for so much, lifted to the least charge.

    `ordered` is m2 where the work is charged by area, else a number; a price is for as many as the offer holds.
    """
    rate = price_at(prices, max(1, int(ordered)))
    work = (prices[0][1] if rate is None else rate) * ordered / offer.size["count"]
    return max(work, material.values.get("minimum", Fraction(0)))


def charge_service(
    working: Working, key: str, material: Material, offer: Offer, price: Figure, ordered: Figure, coin: Figure
) -> Figure:
    """What a service comes to: price x what is ordered, lifted to their minimum charge, and carriage; each to the coin.

    Common practice: the least charge holds for the whole job, and carriage is paid on top of it.
    """
    name, values = material.name, material.values
    units = working.given(f"offer/{offer.id}/count", f"{name}: units in one", offer.size["count"], "", "the offer")
    work = working.derive(
        f"buy/{key}/work/{offer.id}", f"{name}: the work", "money", "price x what is ordered, rounded half up",
        "half_up(price * asked / units, coin)", price=price, asked=ordered, units=units, coin=coin,
    )  # fmt: skip
    parts = [work]
    for value, label in (("minimum", "minimum charge"), ("carriage", in_trade_words("carriage there and back"))):
        if not values.get(value):
            continue
        source = material.sources.get(value, "the catalogue")
        stated = working.given(f"material/{material.code}/{value}", f"{name}: {label}", values[value], "money", source)
        if value == "minimum":
            parts.append(
                working.derive(
                    f"buy/{key}/lifted/{offer.id}", f"{name}: lifted to their minimum charge", "money",
                    "minimum charge - the work, where that is less, rounded half up",
                    "half_up(greatest(0, least_charge - work), coin)", least_charge=stated, work=work, coin=coin,
                )
            )  # fmt: skip
        else:
            parts.append(
                working.derive(
                    f"buy/{key}/carried/{offer.id}", f"{name}: {in_trade_words('carriage there and back')}",
                    "money", "rounded half up",
                    "half_up(asked, coin)", asked=stated, coin=coin,
                )
            )  # fmt: skip
    return working.total(f"buy/{key}/amount/{offer.id}", f"{name} by {offer.seller}", "money", parts)
