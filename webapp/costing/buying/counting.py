"""What a count found otherwise than was kept, and what that is worth at the shop's cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from webapp.costing.buying.price_paid import PricesPaid
from webapp.costing.buying.rack import as_offer
from webapp.costing.buying.stock import counted_in, one_holds
from webapp.costing.catalogue.materials import Catalogue, Offcut
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.settings.rates import Rates


@dataclass(frozen=True, slots=True)
class CountedThing:
    """Something that was counted: an offcut of the rack, or without one a material by the unit; how much was kept, and
    how much was found."""

    id: str
    material: str
    before: Fraction
    found: Fraction
    offcut: Offcut | None = None

    @property
    def more(self) -> Fraction:
        """How much more was found, below nothing where less was."""
        return self.found - self.before


@dataclass(frozen=True, slots=True)
class Difference:
    """A difference with what it is worth; None where nobody offers the material at a price."""

    thing: CountedThing
    worth: Figure | None


@dataclass(frozen=True, slots=True)
class Differences:
    """All differences, and what they come to together, of those whose price is known, with how that was reached."""

    rows: tuple[Difference, ...]
    total: Figure
    working: Working


def differences_of(things: Sequence[CountedThing], catalogue: Catalogue, rates: Rates, places: int) -> Differences:
    """What differs, each at what it counts for in a job: offcuts at the rack's share, the rest as its cheapest pack."""
    working = Working()
    prices = PricesPaid(catalogue, rates, working, places)
    rows = tuple(Difference(one, _worth(one, prices, working)) for one in things if one.more)
    worths = [one.worth for one in rows if one.worth is not None]
    return Differences(rows, working.total("count/total", "Differences of the count", "money", worths), working)


def _worth(thing: CountedThing, prices: PricesPaid, working: Working) -> Figure | None:
    each = _each(thing, prices, working)
    if each is None:
        return None
    name = prices.catalogue.materials[thing.material].name
    unit = "" if thing.offcut is not None else counted_in(prices.catalogue.materials[thing.material])
    more = working.given(f"count/{thing.id}/more", f"{name}, counted less kept", thing.more, unit, "the count")
    return working.derive(
        f"count/{thing.id}", f"{name}, difference", "money", "difference x what one counts for, rounded half up",
        "half_up(more * each, coin)", more=more, each=each, coin=prices.coin,
    )  # fmt: skip


def _each(thing: CountedThing, prices: PricesPaid, working: Working) -> Figure | None:
    if thing.material not in prices.catalogue.materials:
        return None
    if thing.offcut is not None:
        found = prices.offcut(as_offer(thing.offcut))
        return None if found is None else found[0]
    material = prices.catalogue.materials[thing.material]
    priced = [
        (price / one_holds(material, offer), offer.id, offer)
        for offer in prices.catalogue.offers_of(thing.material)
        if (price := prices.single(offer)) is not None
    ]
    if not priced:
        return None
    cheapest = min(priced, key=lambda one: one[:2])[2]
    pack = working.given(
        f"count/{thing.id}/pack", f"One of {cheapest.seller}", prices.single(cheapest) or Fraction(0), "money",
        "the cheapest pack by what it holds",
    )  # fmt: skip
    holds = working.given(
        f"count/{thing.id}/holds", "It holds", one_holds(material, cheapest), counted_in(material), "the offer"
    )  # fmt: skip
    return working.derive(
        f"count/{thing.id}/each", f"One of {material.name}", "money", "price of a pack / what it holds",
        "price / holds", price=pack, holds=holds,
    )  # fmt: skip
