"""The whole trip of a purchase weighed: what is proposed, how near that is to the least, and what each wish costs.

A wish costs what all goods and their way come to with it, less what they come to without it; both are chosen anew, and
what is charged by the share used counts as well.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from fractions import Fraction
from typing import Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.buying.buyer import Buyer
from webapp.costing.buying.getting import off_the_shelf
from webapp.costing.buying.order_decision import Decision
from webapp.costing.catalogue.materials import Catalogue, Offer
from webapp.costing.catalogue.price_state import MISSING
from webapp.costing.cutting.hand.pins import Pin
from webapp.costing.estimate.estimate import System
from webapp.costing.estimate.pooling import required_by_all
from webapp.costing.items.requirements import Requirement
from webapp.costing.jobs.wishes import Wishes
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.manner import whole_number
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.plans.requests import PlanBook
from webapp.costing.settings.rates import Rates

FRIDAY: Final = 4


@dataclass(frozen=True, slots=True)
class Desk:
    """What a purchase is weighed with: the day's catalogue, the rates, the book of cut plans and those pinned by hand,
    by material code."""

    catalogue: Catalogue
    rates: Rates
    plans: PlanBook
    system: System
    places: int
    pins: Mapping[str, Pin] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class WayBought:
    """One way to buy everything: what it comes to, the least any comes to, and what is bought of whom.

    `sums` hold how the total is reached, as 'total'. `goods` and `way` are money by supplier, `comes` the day on which
    the last of it is here; `offers` are how many of which offer, by material code. `said` are the wishes that could not
    be followed. `rack` is what counts for pieces of the rack, and `missing` names what the total leaves out, with why.
    What is charged by the share used is ordered for no job: `by_share` is its charge, beside the total, and `shelf` its
    offers.
    """

    total: Fraction
    bound: Fraction
    sums: Mapping[str, Figure]
    goods: Mapping[str, Fraction]
    way: Mapping[str, Fraction]
    stops: Fraction
    comes: Mapping[str, date]
    names: Mapping[str, str]
    offers: Mapping[str, Mapping[str, int]]
    said: tuple[str, ...]
    decision: Decision
    rack: Fraction
    by_share: Fraction
    shelf: Mapping[str, Mapping[str, int]]
    missing: Mapping[str, str]

    @property
    def charged(self) -> Fraction:
        """The total and what is charged by the share used."""
        return self.total + self.by_share


@dataclass(frozen=True, slots=True)
class Wish:
    """A wish and what following it costs more; None where it changes nothing that can be changed."""

    wishes: Wishes
    costs: Fraction | None
    bought: WayBought


@dataclass(frozen=True, slots=True)
class Trip:
    """The purchase as it is wished, and what else could be wished.

    `without` is by supplier what leaving it out would cost, `held` by name what each wish that is followed costs:
    'without/CODE', 'by', 'fewest', 'chosen/MATERIAL'.
    """

    bought: WayBought
    without: Mapping[str, Wish]
    fewest: Wish | None
    by_friday: Wish | None
    held: Mapping[str, Fraction]
    needs: Mapping[str, Requirement] = field(default_factory=dict)


def needs_of(jobs: Mapping[int, Sequence[MaterialBought]]) -> dict[str, Requirement]:
    """What all of these jobs need together, by key."""
    by_key: dict[str, dict[int, MaterialBought]] = {}
    for number, held in jobs.items():
        for bought in held:
            if bought.required.value:
                by_key.setdefault(bought.key, {})[number] = bought
    working = Working()
    return {key: required_by_all(key, alone, working) for key, alone in sorted(by_key.items())}


def buy_all(needs: Mapping[str, Requirement], desk: Desk, wishes: Wishes) -> WayBought:
    """The best way to buy all of it under these wishes."""
    buyer = Buyer(
        desk.catalogue, desk.rates, Working(), desk.plans, desk.system, desk.places, desk.pins, wishes
    )  # fmt: skip
    decision = buyer.decide(needs)
    offers = {offer.id: offer for one in decision.materials.values() for offer in one.offers}
    goods: dict[str, Fraction] = {}
    numbers: dict[str, dict[str, int]] = {}
    missing: dict[str, str] = {}
    used: list[Offer] = []
    sums = _Sums(desk)
    rack = Fraction(0)
    on_shelf = {key for key, need in needs.items() if off_the_shelf(need.material, desk.rates)}
    for key in sorted(needs.keys() - on_shelf):
        if buyer.from_stock(key, needs[key], buyer.asking.needed(key, needs[key]))[1]:
            continue
        plan, packs = decision.plan(key), decision.choice.bought.get(key, ()) if decision.choice is not None else ()
        ordered = [(one.offer, one.amount, 1) for one in plan.ordered] if plan is not None else []
        ordered += [(offers[one.offer], one.cost, one.packs) for one in packs]
        if not ordered:
            none = "nobody offers it" if not decision.materials[key].offers else "what is offered can't serve"
            missing[needs[key].material.name] = none
        for offer, cost, number in ordered:
            if not buyer.prices_paid.by_number(offer):
                missing[needs[key].material.name] = "it has no price"
            if offer.offcut is None:
                goods[offer.supplier] = goods.get(offer.supplier, Fraction(0)) + cost
                numbers.setdefault(offer.material, {})[offer.id] = number
                used.append(offer)
            else:
                rack += cost
            sums.add(needs[key].material.name, offer, number, cost)
    way, stops = _way(decision)
    comes: dict[str, date] = {}
    for offer in used:
        day = offer.comes_on(desk.catalogue.today)
        comes[offer.supplier] = max(day, comes.get(offer.supplier, day))
    names = {offer.supplier: offer.seller for offers in desk.catalogue.offers.values() for offer in offers}
    shelf = {key: buyer.buy(key, needs[key]) for key in sorted(on_shelf)}
    missing |= {one.material.name: "it has no price" for one in shelf.values() if one.price_state == MISSING}
    said = tuple(problem.message for problem in buyer.problems if problem.severity == "warning")
    return WayBought(
        decision.total, decision.bound, sums.figures(way, stops), goods, way, stops, comes, names, numbers, said,
        decision, rack,
        sum((one.by_share.value for one in shelf.values()), Fraction(0)),
        {one.material.code: {each.offer.id: each.packs for each in one.purchases} for one in shelf.values()},
        dict(sorted(missing.items())),
    )  # fmt: skip


class _Sums:
    """The working of a purchase: what each supplier gets for goods, what the way adds, and the whole."""

    def __init__(self, desk: Desk) -> None:
        self.desk, self.working = desk, Working()
        self.goods: dict[str, list[Figure]] = {}
        self.names: dict[str, str] = {}

    def add(self, name: str, offer: Offer, number: int, cost: Fraction) -> None:
        """So many of an offer at what all of them cost; pieces of the rack at what they count for."""
        supplier, rack = ("", True) if offer.offcut is not None else (offer.supplier, False)
        self.names[supplier] = "Pieces of the rack" if rack else f"Goods of {offer.seller}"
        source = "what the rack's pieces count for" if rack else "the offer's price for so many"
        figure = self.working.given(f"offer/{offer.id}", f"{name}, {whole_number(number)} of it", cost, "money", source)
        self.goods.setdefault(supplier, []).append(figure)

    def figures(self, way: Mapping[str, Fraction], stops: Fraction) -> Mapping[str, Figure]:
        """All of them, with the way of each supplier and the stops."""
        whole = [
            self.working.total(f"goods/{supplier}", self.names[supplier], "money", self.goods[supplier])
            for supplier in sorted(self.goods)
        ]
        for supplier in sorted(way):
            if way[supplier]:
                label = f"{in_trade_words('Carriage, loads and what a least order lacks')}: {self._name(supplier)}"
                told = "what the supplier asks of an order"
                whole.append(self.working.given(f"way/{supplier}", label, way[supplier], "money", told))
        if stops:
            told = "the shop's own drive, by its settings"
            whole.append(self.working.given("stops", "Stops", stops, "money", told))
        self.working.total("total", "Goods and their way", "money", whole)
        return self.working.figures

    def _name(self, supplier: str) -> str:
        offers = (one for held in self.desk.catalogue.offers.values() for one in held if one.supplier == supplier)
        return next((one.seller for one in offers), supplier)


def _way(decision: Decision) -> tuple[dict[str, Fraction], Fraction]:
    """What carriage and least orders of each supplier add, and what the stops come to."""
    terms, choice = decision.terms, decision.choice
    orders = terms.ordered if choice is None else choice.orders
    used = terms.fixed | (choice.suppliers if choice is not None else frozenset())
    way = {supplier: order.comes_to - order.amount for supplier, order in orders.items()}
    for supplier in used & terms.carriage.keys():
        way[supplier] = way.get(supplier, Fraction(0)) + terms.carriage_of(supplier, orders)
    everything = replace(terms, fixed=frozenset()).cost(used, orders)
    return way, everything - sum(way.values(), Fraction(0))


def weigh_trip(needs: Mapping[str, Requirement], desk: Desk, wishes: Wishes) -> Trip:
    """The purchase under these wishes, what each of them costs, and what further ones would."""
    bought = buy_all(needs, desk, wishes)

    def wish(further: Wishes) -> Wish:
        other = buy_all(needs, desk, further)
        return Wish(further, other.charged - bought.charged, other)

    without = {}
    for supplier in sorted(bought.goods):
        asked = wish(wishes.leaving_out(supplier))
        # Where nobody else sells what is bought there, leaving them out changes nothing.
        same = asked.bought.offers == bought.offers and asked.bought.shelf == bought.shelf
        without[supplier] = replace(asked, costs=None) if same else asked
    fewest = None if wishes.fewest or len(bought.goods) < 2 else wish(replace(wishes, fewest=True))
    friday = next_friday(desk.catalogue.today)
    late = max(bought.comes.values(), default=desk.catalogue.today) > friday
    by_friday = wish(replace(wishes, by=friday)) if late and wishes.by is None else None
    lighter = {f"without/{one}": wishes.buying_of(one) for one in sorted(wishes.without)}
    lighter |= {"by": replace(wishes, by=None)} if wishes.by is not None else {}
    lighter |= {"fewest": replace(wishes, fewest=False)} if wishes.fewest else {}
    lighter |= {f"chosen/{code}": wishes.choosing(code, "") for code in sorted(wishes.chosen)}
    held = {name: bought.charged - buy_all(needs, desk, one).charged for name, one in lighter.items()}
    return Trip(bought, without, fewest, by_friday, held, needs)


def next_friday(today: date) -> date:
    """The next Friday, which is today's where it is one.

    >>> next_friday(date(2026, 11, 30)).isoformat()
    '2026-12-04'
    """
    return today + timedelta(days=(FRIDAY - today.weekday()) % 7)
