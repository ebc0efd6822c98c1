"""Where the materials of a job are bought, decided for all of them together before anything is bought.

Each material that is cut has the plan of all its offers; all that is counted is chosen with the orders, stops and
carriage that it brings. Where a plan brings a supplier who could be done without, a second round weighs the plan
without them in the same sum, and says what it came to.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from webapp.costing.buying.getting import ORDERED, Ordered, Way, brings, orders_of, terms_of_ways
from webapp.costing.catalogue.materials import Offer
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.settings.rates import Rates
from webapp.costing.supplier_choice.choosing import cheapest_by_price, choose_suppliers, fewest_suppliers
from webapp.costing.supplier_choice.packs import Pack
from webapp.costing.supplier_choice.question import Choice, CutFrom, Order, Supplied, Terms, Wanted

#: So often other plans are made of what the choice before brings, and so many of one material at most.
MOST_ROUNDS: Final = 3
MOST_PLANS: Final = 8

#: What a cut plan buys where these offers are to be had; nothing where none can be made.
CutPlan = Callable[[tuple[Offer, ...]], Sequence[Ordered]]
#: The least that any cut plan from these offers costs, told without making one.
LeastCut = Callable[[tuple[Offer, ...]], Fraction]


@dataclass(frozen=True, slots=True)
class Counted:
    """A pack of an offer with how it comes at each of its prices, by the number from which it holds; one weighs `mass`
    kg."""

    offer: Offer
    pack: Pack
    ways: Mapping[int, Way]
    mass: Fraction = Fraction(0)

    def supplied(self) -> Supplied:
        """The pack as choosing weighs it."""
        suppliers = {brings(self.offer, way) for way in self.ways.values()} - {""}
        # What is ordered at one of its prices is at each of them.
        order = self.offer.supplier if any(way in ORDERED for way in self.ways.values()) else ""
        least = Fraction(self.offer.least_order or 0)
        if not suppliers:
            return Supplied(self.pack, order=order, least=least)
        prices = tuple(
            (least, None if brings(self.offer, self.ways[least]) else price) for least, price in self.pack.prices
        )
        without = replace(self.pack, prices=prices) if any(price is not None for _, price in prices) else None
        return Supplied(self.pack, self.offer.supplier, without, order, least, self.mass)

    def way_at(self, packs: int) -> Way:
        """How so many packs come."""
        return self.ways[max(least for least in self.ways if least <= packs)]


@dataclass(frozen=True, slots=True)
class ToDecide:
    """A material before it is bought: what is on offer, and either how it is cut or the packs it is counted in.

    `least_cut` bounds what cutting costs; None where its plan is frozen, so that no other is made.
    """

    name: str
    offers: tuple[Offer, ...]
    cut: CutPlan | None = None
    required: Fraction = Fraction(0)
    packs: tuple[Counted, ...] = ()
    least_cut: LeastCut | None = None


@dataclass(frozen=True, slots=True)
class PlanWeighed:
    """A plan of cuts without some suppliers, and what its stock costs."""

    without: frozenset[str]
    ordered: tuple[Ordered, ...]

    @property
    def name(self) -> str:
        """What it is called in the choice."""
        return " ".join(sorted(self.without))

    @property
    def cost(self) -> Fraction:
        """What its stock costs."""
        return sum((one.amount for one in self.ordered), Fraction(0))

    def cut_from(self) -> CutFrom:
        """The plan as choosing weighs it."""
        brought = frozenset(brings(one.offer, one.way) for one in self.ordered) - {""}
        return CutFrom(self.name, self.cost, brought, orders_of(self.ordered))


@dataclass(frozen=True, slots=True)
class Decision:
    """What was decided: the choice of what is counted, and by which of its `plans` each material is cut.

    `by_price` is the same with each material from where it is cheapest by itself, `instead` the next best set of
    suppliers where those are the same; `terms` is what they were weighed by.
    """

    choice: Choice | None
    by_price: Choice | None
    instead: Choice | None
    terms: Terms
    materials: Mapping[str, ToDecide]
    plans: Mapping[str, tuple[PlanWeighed, ...]]
    wanted: Mapping[str, Wanted]

    @property
    def total(self) -> Fraction:
        """What all materials and their way come to, as far as they are bought here."""
        cut_once = sum((held[0].cost for held in self.plans.values() if len(held) == 1), Fraction(0))
        return cut_once + (self.terms.cost(frozenset()) if self.choice is None else self.choice.total)

    @property
    def bound(self) -> Fraction:
        """The least that any choice among these plans comes to."""
        return self.total if self.choice is None else self.total - self.choice.total + self.choice.bound

    def plan(self, key: str) -> PlanWeighed | None:
        """The plan by which a material is cut."""
        held = self.plans.get(key, ())
        name = self.choice.plans.get(key, "") if self.choice is not None else ""
        return next((one for one in held if one.name == name), None)

    def offers(self, key: str, offers: tuple[Offer, ...]) -> tuple[Offer, ...]:
        """Those of these offers that the material is bought from."""
        plan = self.plan(key)
        return offers if plan is None else _without(offers, plan.without)

    def packs(self, key: str) -> dict[str, int] | None:
        """What is bought of a material by offer; None where it was not chosen here."""
        if self.choice is None or key not in self.choice.bought:
            return None
        return {one.offer: one.packs for one in self.choice.bought[key]}


def decide(
    to_decide: Mapping[str, ToDecide], rates: Rates, already: Collection[Ordered] = (), *, fewest: bool = False
) -> Decision:
    """Decide for all materials together; `already` is ordered in any case. With `fewest` the fewest suppliers go before
    the least money."""
    plans = {
        key: [PlanWeighed(frozenset(), tuple(one.cut(one.offers)))]
        for key, one in sorted(to_decide.items()) if one.cut is not None
    }  # fmt: skip
    decision = _decided(to_decide, plans, rates, already, fewest=fewest)
    for _ in range(MOST_ROUNDS):
        further = [*_further_plans(decision, to_decide, already, fewest=fewest)]
        if not further:
            break
        for key, plan in further:
            plans[key].append(plan)
        decision = _decided(to_decide, plans, rates, already, fewest=fewest)
    choice, by_price = decision.choice, decision.by_price
    if choice is None or by_price is None or by_price.suppliers != choice.suppliers:
        return decision
    return replace(decision, instead=_instead(decision.wanted, decision.terms, choice))


def _decided(
    to_decide: Mapping[str, ToDecide], plans: Mapping[str, Sequence[PlanWeighed]], rates: Rates,
    already: Collection[Ordered], *, fewest: bool,
) -> Decision:  # fmt: skip
    """A decision among these plans; what has only one brings its suppliers in any case."""
    ordered = [*already, *(one for held in plans.values() if len(held) == 1 for one in held[0].ordered)]
    fixed = frozenset(brings(one.offer, one.way) for one in ordered) - {""}
    offers = [*(offer for one in to_decide.values() for offer in one.offers), *(one.offer for one in already)]
    terms = terms_of_ways(offers, rates, fixed, orders_of(ordered))
    counted = {
        key: Wanted(one.required, tuple(pack.supplied() for pack in one.packs))
        for key, one in sorted(to_decide.items()) if one.packs
    }  # fmt: skip
    # What no packs on offer can cover is said where it is bought, and spoils no choice.
    wanted = {key: one for key, one in counted.items() if cheapest_by_price({key: one}, terms) is not None}
    wanted |= {
        key: Wanted(Fraction(0), plans=tuple(plan.cut_from() for plan in held))
        for key, held in plans.items() if len(held) > 1
    }  # fmt: skip
    choose = fewest_suppliers if fewest else choose_suppliers
    choice = choose(wanted, terms) if wanted else None
    return Decision(
        choice, cheapest_by_price(wanted, terms) if wanted else None, None, terms, to_decide,
        {key: tuple(held) for key, held in plans.items()}, wanted,
    )  # fmt: skip


def _further_plans(
    decision: Decision, to_decide: Mapping[str, ToDecide], already: Collection[Ordered], *, fewest: bool
) -> Iterable[tuple[str, PlanWeighed]]:
    """Plans without a supplier whom the plan chosen brings, and from one alone, where what that saves on the way could
    pay for them."""
    in_any_case = {one.offer.supplier for one in already}
    on_the_way = _on_the_way(decision)
    for key, held in decision.plans.items():
        plan, asked = decision.plan(key), to_decide[key]
        if plan is None or asked.cut is None or asked.least_cut is None:
            continue
        bringing = {one.offer.supplier for one in plan.ordered if one.way in ORDERED} - in_any_case
        selling = {offer.supplier for offer in asked.offers}
        sets = {plan.without | {supplier}: _saved_without(decision, supplier) for supplier in sorted(bringing)}
        sets |= {frozenset(selling - {supplier}): on_the_way for supplier in sorted(selling)} if bringing else {}
        tried = {one.without for one in held}
        for without, saved in sets.items():
            left = tuple(offer for offer in asked.offers if offer.supplier not in without)
            if not left or not without or without in tried or len(tried) >= MOST_PLANS:
                continue
            if fewest or (saved and plan.cost + saved > asked.least_cut(left)):
                tried.add(without)
                ordered = tuple(asked.cut(left))
                if ordered:
                    yield key, PlanWeighed(without, ordered)


def _on_the_way(decision: Decision) -> Fraction:
    """What everything brings on the way as chosen."""
    return decision.terms.cost(frozenset()) if decision.choice is None else decision.choice.on_the_way


def _saved_without(decision: Decision, supplier: str) -> Fraction:
    """What a supplier brings on the way as chosen: stop, carriage and what the order lacks."""
    terms, choice = decision.terms, decision.choice
    used = terms.fixed | (choice.suppliers if choice is not None else frozenset())
    orders: Mapping[str, Order] = terms.ordered if choice is None else choice.orders
    left = {one: order for one, order in orders.items() if one != supplier}
    alone = replace(terms, fixed=frozenset())
    return alone.cost(used, orders) - alone.cost(used - {supplier}, left)


def _without(offers: tuple[Offer, ...], without: frozenset[str]) -> tuple[Offer, ...]:
    return tuple(offer for offer in offers if offer.supplier not in without) or offers


def _instead(wanted: Mapping[str, Wanted], terms: Terms, choice: Choice) -> Choice | None:
    """The best that does without one of the suppliers chosen; None where nothing can be had without any of them."""
    others = (choose_suppliers(wanted, terms, frozenset({one})) for one in sorted(choice.suppliers))
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
    for key, name in sorted(choice.plans.items()):
        plan = next(one for one in decision.plans[key] if one.name == name)
        sellers = {one.offer.supplier: one.offer.seller for one in plan.ordered}
        told.append(f"{decision.materials[key].name}: cut from {', '.join(sorted(sellers.values())) or 'nothing'}")
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
