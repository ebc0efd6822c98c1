"""What the shop buys: materials, what suppliers offer of them, and the prices seen. Plain values.

A price is an observation and never overwritten; which one holds follows from the day of the estimate.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.order_terms import NO_TERMS, OrderTerms
from webapp.costing.trade.boards import dressed_thickness, dressed_width
from webapp.costing.trade.mass import TOLD_AT_MOISTURE, wood_density


class Comes(StrEnum):
    """How the goods of a supplier come: somebody drives for the job, on the shop's round, or they are delivered."""

    FETCHED = "fetched"
    ROUND = "round"
    DELIVERED = "delivered"


@dataclass(frozen=True, slots=True)
class Material:
    """A material that the shop knows. `values` are by property name, `sources` say where a value came from."""

    code: str
    name: str
    kind: Kind
    values: Mapping[str, Fraction] = field(default_factory=dict)
    sources: Mapping[str, str] = field(default_factory=dict)
    note: str = ""
    retired: bool = False
    #: What it is, for the places that ask: 'edge_band'. Without any nobody has said yet.
    tags: tuple[str, ...] = ()


#: What a material's code may be.
CODE: Final = re.compile(r"[a-z0-9][a-z0-9_-]{0,39}")
#: kg/m3 that no wood or board reaches.
HEAVIEST_WOOD: Final = 1500
_METAL_WORDS: Final = ("steel", "aluminium", "aluminum", "brass", "iron")


def walk(material: Material) -> tuple[int, str]:
    """Where a material stands in a list that is walked through: by its kind, then by its name."""
    return tuple(KINDS).index(material.kind), material.name


def is_bought_in(material: Material) -> bool:
    """Whether the shop passes a material on as it was bought: that is marked on it, never guessed."""
    return material.values.get("bought_in") == 1


def is_metal(material: Material) -> bool:
    """Whether a material is worked as metal: it is denser than wood or board can be, has a wall, or is called so."""
    return (
        described(material).get("density", 0) > HEAVIEST_WOOD
        or bool(material.values.get("wall"))
        or sounds_like(material, _METAL_WORDS)
    )


def sounds_like(material: Material, words: tuple[str, ...]) -> bool:
    """Whether a word of a material's name or code begins with one of these."""
    said = f"{material.name} {material.code}".casefold().replace("_", " ").split()
    return any(part.startswith(word) for word in words for part in said)


def described(material: Material) -> Mapping[str, Fraction]:
    """The values of a material with what follows from them: a wood's density from its specific gravity at 12 %
    moisture, and the dressed section of softwood (PS 20) from its nominal one. What is stated stays."""
    stated = material.values
    found = dict(stated)
    if "density" not in stated and "specific_gravity" in stated:
        found["density"] = wood_density(stated["specific_gravity"], TOLD_AT_MOISTURE)
    for name, dressed in (("thickness", dressed_thickness), ("width", dressed_width)):
        nominal = stated.get(f"nominal_{name}")
        if name not in stated and nominal is not None:
            try:
                found[name] = Fraction(dressed(int(nominal)))
            except ValueError:
                continue
    return found


@dataclass(frozen=True, slots=True)
class Offcut:
    """So many equal pieces left over that stand on the shop's own rack, lengths in nm; a length has a width of 0.

    A sheet's length lies along its grain. `place` says where on the rack. One that is `whole` is as it was bought: it
    counts for all of its price, and loses at its edges what a new one does.
    """

    id: str
    material: str
    length: int
    width: int
    count: int
    place: str = ""
    whole: bool = False

    def is_alike(self, other: Offcut) -> bool:
        """Whether it can be cut as the other can, wherever either stands and however many there are."""
        return (self.length, self.width, self.whole) == (other.length, other.width, other.whole)


@dataclass(frozen=True, slots=True)
class Offer:
    """What one supplier sells of a material: a size or pack. `size` is by property name (see the kind's row).

    `comes`, `carriage` of an order that is delivered, and `terms` are the supplier's. With an `offcut` it is the shop's
    own rack that gives it, and no more of it than stand there.
    """

    id: str
    material: str
    supplier: str
    size: Mapping[str, Fraction]
    supplier_code: str = ""
    lead_days: int | None = None
    minimum_order: Decimal | None = None
    retired: bool = False
    supplier_name: str = ""
    offcut: Offcut | None = None
    comes: Comes = Comes.FETCHED
    carriage: Decimal | None = None
    terms: OrderTerms = NO_TERMS

    @property
    def least_order(self) -> Decimal | None:
        """What an order with it has to come to: what the offer says or its supplier, whichever is more."""
        return max((one for one in (self.minimum_order, self.terms.minimum_order) if one is not None), default=None)

    def comes_on(self, ordered: date) -> date:
        """The day on which it is in the shop if it is ordered on a day."""
        return self.terms.comes_on(ordered, self.lead_days)

    @property
    def in_packs_of(self) -> int:
        """How many whole sheets or lengths are sold together; the price is that of one."""
        return int(self.size.get("pack", 1))

    @property
    def seller(self) -> str:
        """The supplier in words: its name, or its code where no name is known."""
        return self.supplier_name or self.supplier


@dataclass(frozen=True, slots=True)
class PriceSeen:
    """One price, as seen on a day, or as holding from a day to come that its supplier names: until then it is not the
    one that holds. `from_quantity` packs on, it holds (a price break).

    `one_off` prices (a clearance) are kept but never become the current price.
    """

    offer: str
    amount: Decimal
    currency: str
    seen_on: date
    where: str
    by: str = ""
    from_quantity: int = 1
    with_tax: bool = False
    delivered: bool = False
    one_off: bool = False

    @property
    def unsigned(self) -> PriceSeen:
        """The price without where and by whom it was seen: the same may be told twice."""
        return replace(self, where="", by="")


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Everything that can be bought, as known on `today`, and what stands on the rack.

    Keys: material code, material code, offer id; offcuts by material code. `on_hand` is how much of what the shop keeps
    by the unit may be taken before more is bought, by material code. It is told where something is about to be bought;
    where a job is priced it is empty, for the opened tin may be used up by the time a customer says yes.
    """

    materials: Mapping[str, Material]
    offers: Mapping[str, tuple[Offer, ...]]
    prices: Mapping[str, tuple[PriceSeen, ...]]
    currency: str
    today: date
    offcuts: Mapping[str, tuple[Offcut, ...]] = field(default_factory=dict)
    on_hand: Mapping[str, Fraction] = field(default_factory=dict)

    def offers_of(self, material: str) -> tuple[Offer, ...]:
        """What can still be bought of a material."""
        return tuple(offer for offer in self.offers.get(material, ()) if not offer.retired)


def with_prices(catalogue: Catalogue, told: Iterable[PriceSeen]) -> Catalogue:
    """The catalogue as it would be with these prices kept, of a day to come as if it were today's; prices of what it
    doesn't offer stay out."""
    offered = {offer.id for found in catalogue.offers.values() for offer in found}
    prices = dict(catalogue.prices)
    for seen in told:
        if seen.offer in offered:
            today = replace(seen, seen_on=min(seen.seen_on, catalogue.today))
            prices[seen.offer] = (*prices.get(seen.offer, ()), today)
    return catalogue if prices == catalogue.prices else replace(catalogue, prices=prices)


@dataclass(frozen=True, slots=True)
class CurrentPrice:
    """The prices that hold for an offer: the observation and its age for each break, smallest quantity first."""

    breaks: tuple[PriceSeen, ...]
    age_days: int

    def at(self, packs: int) -> PriceSeen | None:
        """The price of one pack when so many are bought."""
        fitting = [seen for seen in self.breaks if seen.from_quantity <= packs]
        return fitting[-1] if fitting else None


def current_price(catalogue: Catalogue, offer_id: str) -> CurrentPrice | None:
    """The latest price of each break that is not in the future, not one-off and in the shop's currency."""
    latest: dict[int, PriceSeen] = {}
    for seen in catalogue.prices.get(offer_id, ()):
        if seen.seen_on > catalogue.today or seen.one_off or seen.currency != catalogue.currency:
            continue
        held = latest.get(seen.from_quantity)
        if held is None or seen.seen_on >= held.seen_on:
            latest[seen.from_quantity] = seen
    if not latest:
        return None
    breaks = tuple(latest[quantity] for quantity in sorted(latest))
    oldest = min(seen.seen_on for seen in breaks)
    return CurrentPrice(breaks, (catalogue.today - oldest).days)
