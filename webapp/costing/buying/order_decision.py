"""Where the materials of a job are bought, decided for all of them together before anything is bought.

Cut plans come first and fix their suppliers; all that is counted is then chosen with the stops and the carriage that
it brings. Where an order stays under the least that a supplier takes, the job does without that supplier if what it
buys elsewhere costs less than filling the order up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations
from typing import Final

from webapp.costing.buying.getting import Ordered, Way, brings, missing_to_least, terms_of_ways
from webapp.costing.catalogue.materials import Offer
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.settings.rates import Rates
from webapp.costing.supplier_choice.choosing import cheapest_by_price, choose_suppliers
from webapp.costing.supplier_choice.packs import Pack
from webapp.costing.supplier_choice.question import Choice, Supplied, Terms, Wanted

#: So many suppliers with an order that is too small are tried to do without, in every combination.
MOST_DROPPED: Final = 3

#: What a cut plan buys where these offers are to be had; nothing where none can be made.
CutPlan = Callable[[tuple[Offer, ...]], Sequence[Ordered]]


@dataclass(frozen=True, slots=True)
class Counted:
    """A pack of an offer with how it comes at each of its prices, by the number from which it holds."""

    offer: Offer
    pack: Pack
    ways: Mapping[int, Way]

    def supplied(self) -> Supplied:
        """The pack as choosing weighs it."""
        suppliers = {brings(self.offer, way) for way in self.ways.values()} - {""}
        if not suppliers:
            return Supplied(self.pack)
        prices = tuple(
            (least, None if brings(self.offer, self.ways[least]) else price) for least, price in self.pack.prices
        )
        without = replace(self.pack, prices=prices) if any(price is not None for _, price in prices) else None
        return Supplied(self.pack, self.offer.supplier, without)

    def way_at(self, packs: int) -> Way:
        """How so many packs come."""
        return self.ways[max(least for least in self.ways if least <= packs)]


@dataclass(frozen=True, slots=True)
class ToDecide:
    """A material before it is bought: what is on offer, and either its cut plan or the packs it is counted in."""

    name: str
    offers: tuple[Offer, ...]
    cut: CutPlan | None = None
    required: Fraction = Fraction(0)
    packs: tuple[Counted, ...] = ()


@dataclass(frozen=True, slots=True)
class Decision:
    """What was decided: suppliers the job does without, and the choice among those of what is counted.

    `by_price` is the same with each material from where it is cheapest by itself, `instead` the next best set of
    suppliers; `terms` is what they were weighed by.
    """

    without: frozenset[str]
    choice: Choice | None
    by_price: Choice | None
    instead: Choice | None
    terms: Terms
    total: Fraction
    materials: Mapping[str, ToDecide]

    def offers(self, offers: tuple[Offer, ...]) -> tuple[Offer, ...]:
        """Those of these offers that the job buys from; all where nothing else is left."""
        return _without(offers, self.without)

    def packs(self, key: str) -> dict[str, int] | None:
        """What is bought of a material by offer; None where it was not chosen here."""
        if self.choice is None or key not in self.choice.bought:
            return None
        return {one.offer: one.packs for one in self.choice.bought[key]}


def decide(to_decide: Mapping[str, ToDecide], rates: Rates, already: frozenset[str] = frozenset()) -> Decision:
    """Decide for all materials together; `already` are suppliers that are driven to or deliver in any case."""
    best, short = _decided(to_decide, rates, already, frozenset())
    for without in _sets_of(short[:MOST_DROPPED]):
        if all(any(offer.supplier not in without for offer in one.offers) for one in to_decide.values() if one.offers):
            other, _ = _decided(to_decide, rates, already, without)
            if other.total < best.total:
                best = other
    return best


def _sets_of(suppliers: Sequence[str]) -> Iterator[frozenset[str]]:
    for size in range(1, len(suppliers) + 1):
        for chosen in combinations(suppliers, size):
            yield frozenset(chosen)


def _decided(
    to_decide: Mapping[str, ToDecide], rates: Rates, already: frozenset[str], without: frozenset[str]
) -> tuple[Decision, Sequence[str]]:
    """A decision without some suppliers, and those of whom too little is ordered in it."""
    offers = {key: _without(one.offers, without) for key, one in to_decide.items()}
    ordered: list[Ordered] = []
    for key, one in to_decide.items():
        ordered += one.cut(offers[key]) if one.cut is not None else ()
    fixed = already | {brings(one.offer, one.way) for one in ordered} - {""}
    terms = terms_of_ways((offer for held in offers.values() for offer in held), rates, frozenset(fixed))
    counted = {
        key: Wanted(one.required, tuple(pack.supplied() for pack in one.packs if pack.offer in offers[key]))
        for key, one in sorted(to_decide.items()) if one.packs
    }  # fmt: skip
    # What no packs on offer can cover is said where it is bought, and spoils no choice.
    counted = {key: one for key, one in counted.items() if choose_suppliers({key: one}, terms) is not None}
    choice = choose_suppliers(counted, terms) if counted else None
    goods = sum((one.amount for one in ordered), Fraction(0))
    on_the_way = terms.cost(frozenset())
    if choice is not None:
        goods, on_the_way = goods + choice.goods, choice.on_the_way
        for key, bought in choice.bought.items():
            packs = {pack.offer.id: pack for pack in to_decide[key].packs}
            ordered += [Ordered(packs[one.offer].offer, packs[one.offer].way_at(one.packs), one.cost) for one in bought]
    short = missing_to_least(ordered)
    missing = sum((least - held for _, least, held in short.values()), Fraction(0))
    decision = Decision(
        without, choice, cheapest_by_price(counted, terms) if counted else None, _instead(counted, terms, choice),
        terms, goods + on_the_way + missing, to_decide,
    )  # fmt: skip
    return decision, [*short]


def _without(offers: tuple[Offer, ...], without: frozenset[str]) -> tuple[Offer, ...]:
    return tuple(offer for offer in offers if offer.supplier not in without) or offers


def _instead(counted: Mapping[str, Wanted], terms: Terms, choice: Choice | None) -> Choice | None:
    """The best that does without one of the suppliers chosen; None where nothing can be had without any of them."""
    if choice is None:
        return None
    others = (choose_suppliers(counted, terms, frozenset({one})) for one in sorted(choice.suppliers))
    found = [other for other in others if other is not None]
    return min(found, key=lambda one: (one.total, sorted(one.suppliers))) if found else None


def state_choice(decision: Decision, working: Working) -> Figure | None:
    """What the choice of suppliers saves against the next best, as a figure that opens; None where there was none."""
    chosen = decision.choice
    if chosen is None or decision.by_price is None:
        return None
    by_price = decision.by_price.suppliers != chosen.suppliers
    other = decision.by_price if by_price else decision.instead
    if other is None:
        return None
    why = "each from where it is cheapest by itself" if by_price else "without one of the suppliers chosen"
    return working.derive(
        "buy/choice/saved", "Saved by the choice of suppliers", "money",
        "goods and their way instead - goods and their way as chosen",
        "instead + instead_way - goods - way",
        instead=_goods(decision, other, "instead", f"What is counted, {why}", working),
        instead_way=_way(decision, other, "instead_way", in_trade_words("Stops and carriage then"), working),
        goods=_goods(decision, chosen, "goods", "What is counted, from the suppliers chosen", working),
        way=_way(decision, chosen, "way", in_trade_words("Stops and carriage of the suppliers chosen"), working),
    )  # fmt: skip


def _goods(decision: Decision, choice: Choice, name: str, label: str, working: Working) -> Figure:
    told = []
    for key, bought in sorted(choice.bought.items()):
        asked = decision.materials[key]
        sellers = {offer.id: offer.seller for offer in asked.offers}
        held = ", ".join(f"{one.packs} of {sellers[one.offer]}" for one in bought)
        told.append(f"{asked.name}: {held or 'none'}")
    return working.given(f"buy/choice/{name}", label, choice.goods, "money", "; ".join(told))


def _way(decision: Decision, choice: Choice, name: str, label: str, working: Working) -> Figure:
    names = {offer.supplier: offer.seller for one in decision.materials.values() for offer in one.offers}
    used = sorted(names.get(one, one) for one in choice.suppliers | decision.terms.fixed)
    source = f"suppliers that are driven to or deliver: {', '.join(used)}" if used else "nobody drives or delivers"
    return working.given(f"buy/choice/{name}", label, choice.on_the_way, "money", source)
