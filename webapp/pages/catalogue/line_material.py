"""A line of a file of prices made a material of the shop's, with what is sold of it and its price."""

from __future__ import annotations

from dataclasses import dataclass, replace
from uuid import uuid4

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offer, PriceSeen
from webapp.costing.catalogue.tags import read_tags
from webapp.costing.prices.file import PriceFileRefused, ToldLine
from webapp.costing.prices.first_offer import read_first_offer
from webapp.costing.prices.units import for_offer
from webapp.persistence.settings.shop import Shop
from webapp.price_import import WHERE


@dataclass(frozen=True, slots=True)
class NewMaterial:
    """What is added of a line."""

    material: Material
    offer: Offer
    seen: PriceSeen


def material_of_line(
    line: ToldLine, kind: Kind, size: str, name: str, code: str, supplier: str, shop: Shop, by: str, source: str,
    typed_tags: str,
) -> NewMaterial:  # fmt: skip
    """A material of this kind and name under a free code, sold so by a supplier at the price that the line tells.

    Raises CostingError with the sentence why it can't be: a size or tags that can't be read, a price that isn't told,
    or can't be reckoned for what is sold.
    """
    read = read_first_offer(kind, size, shop.length_system)
    tags, wrong = read_tags(typed_tags)
    if wrong:
        raise PriceFileRefused(wrong)
    material = Material(code, name, kind, read.values, dict.fromkeys(read.values, source), tags=tags)
    offer = Offer(str(uuid4()), code, supplier, read.size, line.article[:60])
    if line.price is None or line.net is None:
        raise PriceFileRefused(line.problem or "This line tells no price.")
    amount, problem = for_offer(line.net, line.basis, material, offer, shop.currency_places, line.in_pack)
    if amount is None or amount <= 0:
        raise PriceFileRefused(problem or "What it comes to is too small for a price.")
    return NewMaterial(
        material, offer, replace(line.price, amount=amount).seen(offer.id, shop.currency, WHERE, by, None)
    )  # fmt: skip
