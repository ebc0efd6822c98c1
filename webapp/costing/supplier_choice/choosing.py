"""Which suppliers a list is bought from: what its goods cost together with the orders, stops and carriage they bring.

Exact: every set of suppliers is tried that could be the cheapest; where orders have a say, or there are too many
sets, a whole-number programme decides. Among equals the fewest suppliers, then the first by name.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final

from webapp.costing.supplier_choice.packs import Bought, cheapest_packs
from webapp.costing.supplier_choice.question import Choice, Order, Set, Terms, Wanted, chosen

#: So many sets are looked at; beyond, the programme takes over from the best found so far.
MOST_LOOKS: Final = 500
#: The least money of a material, by the suppliers that may be used: its packs, or the name of its plan.
Known = dict[tuple[str, Set], tuple[Fraction, tuple[Bought, ...], str] | None]
NO_ORDERS: Final[Mapping[str, Order]] = {}


def choose_suppliers(
    wanted: Mapping[str, Wanted], terms: Terms, without: Set = frozenset(), most: int | None = None
) -> Choice | None:
    """The cheapest choice that uses none of `without`, and at `most` so many suppliers beside the fixed ones; None
    where what is needed can't be had."""
    wanted = {key: _without(one, without) for key, one in sorted(wanted.items())}
    loose = _Search(wanted, _without_orders(terms, wanted), most)
    found = loose.best()
    if found is None:
        return None
    best = chosen(wanted, terms, found.bought, found.plans)
    bound = loose.least
    if best.total > bound and _orders_have_a_say(wanted, terms):
        strict = _Search(wanted, terms, most, loose.known).best()
        if strict is not None:
            best = _cheaper(best, chosen(wanted, terms, strict.bought, strict.plans))
    if best.total > bound:
        # The solver is loaded where it is asked: most choices need none.
        from webapp.costing.supplier_choice.programme import solve

        better, least = solve(wanted, terms, best, most)
        best, bound = _cheaper(best, better), max(bound, least)
    return replace(best, bound=min(bound, best.total))


def cheapest_by_price(wanted: Mapping[str, Wanted], terms: Terms) -> Choice | None:
    """Each material from where it is cheapest by itself, whatever that brings with it."""
    everyone = frozenset[str]().union(*(one.suppliers for one in wanted.values()))
    found = _Search(wanted, terms).choice(everyone | terms.fixed)
    return None if found is None else chosen(wanted, terms, found.bought, found.plans)


def fewest_suppliers(wanted: Mapping[str, Wanted], terms: Terms, without: Set = frozenset()) -> Choice | None:
    """The cheapest choice among those that go to the fewest suppliers."""
    everyone = frozenset[str]().union(*(one.suppliers for one in wanted.values())) - terms.fixed
    found = (choose_suppliers(wanted, terms, without, most) for most in range(len(everyone) + 1))
    return next((choice for choice in found if choice is not None), None)


def _cheaper(one: Choice, other: Choice | None) -> Choice:
    if other is None:
        return one
    return min(one, other, key=lambda choice: (choice.total, len(choice.suppliers), sorted(choice.suppliers)))


def _without(one: Wanted, without: Set) -> Wanted:
    """A material as it can be had without some suppliers."""
    if not without:
        return one
    packs = (
        replace(held, pack=held.without, supplier="", without=None)
        if held.supplier in without and held.without is not None
        else held
        for held in one.packs
    )
    plans = tuple(plan for plan in one.plans if not plan.suppliers & without)
    return replace(one, packs=tuple(held for held in packs if held.supplier not in without), plans=plans)


def _orders_have_a_say(wanted: Mapping[str, Wanted], terms: Terms) -> bool:
    """Whether what an order comes to changes what it costs to have it."""
    return (
        bool(terms.free_from or terms.loads)
        or any(one.least for one in terms.ordered.values())
        or any(pack.least for one in wanted.values() for pack in one.packs)
        or any(order.least for one in wanted.values() for plan in one.plans for order in plan.orders.values())
    )


def _without_orders(terms: Terms, wanted: Mapping[str, Wanted]) -> Terms:
    """The terms with carriage free where an order might be large enough, and none filled up: never dearer."""
    if not _orders_have_a_say(wanted, terms):
        return terms
    carriage = {one: Fraction(0) if one in terms.free_from else asked for one, asked in terms.carriage.items()}
    return replace(terms, carriage=carriage, free_from={}, ordered={}, loads={})


class _Search:
    """Tries sets of suppliers, each material apart; what an order comes to is left out of it."""

    def __init__(
        self, wanted: Mapping[str, Wanted], terms: Terms, most: int | None = None, known: Known | None = None
    ) -> None:
        self.wanted, self.terms = wanted, terms
        offered = frozenset[str]().union(*(one.suppliers for one in wanted.values())) if wanted else frozenset[str]()
        self.candidates: Sequence[str] = sorted(offered - terms.fixed)
        self.most = len(self.candidates) if most is None else most
        # What is cheapest where some suppliers are used hangs on no terms, so that searches may share it.
        self.known: Known = {} if known is None else known
        self.found: tuple[tuple[Fraction, int, list[str]], Set] | None = None
        self.looks = 0

    @property
    def all_seen(self) -> bool:
        """Whether every set was tried that could be the cheapest."""
        return self.looks <= MOST_LOOKS

    @property
    def least(self) -> Fraction:
        """What no set comes under: what the best does; before all are seen, all goods where they are cheapest, with
        nothing on the way but what is fixed."""
        if self.found is not None and self.all_seen:
            return self.found[0][0]
        goods = self._goods(self.terms.fixed | frozenset(self.candidates))
        return (goods or Fraction(0)) + self.terms.cost(frozenset(), NO_ORDERS)

    def best(self) -> Choice | None:
        self._look(0, frozenset())
        return None if self.found is None else self.choice(self.found[1] | self.terms.fixed)

    def choice(self, used: Set) -> Choice | None:
        """What is bought where these suppliers may be used."""
        bought: dict[str, tuple[Bought, ...]] = {}
        plans: dict[str, str] = {}
        for key, one in self.wanted.items():
            cheapest = self._cheapest(key, one, used)
            if cheapest is None:
                return None
            if one.plans:
                plans[key] = cheapest[2]
            else:
                bought[key] = cheapest[1]
        return chosen(self.wanted, self.terms, bought, plans)

    def _cheapest(self, key: str, one: Wanted, used: Set) -> tuple[Fraction, tuple[Bought, ...], str] | None:
        told = key, used & one.suppliers
        if told not in self.known:
            self.known[told] = self._cheapest_plan(one, used) if one.plans else self._cheapest_packs(one, used)
        return self.known[told]

    def _cheapest_packs(self, one: Wanted, used: Set) -> tuple[Fraction, tuple[Bought, ...], str] | None:
        try:
            packs = cheapest_packs(one.required, one.offered(used))
        except ValueError:
            return None
        return sum((pack.cost for pack in packs), Fraction(0)), packs, ""

    def _cheapest_plan(self, one: Wanted, used: Set) -> tuple[Fraction, tuple[Bought, ...], str] | None:
        within = [plan for plan in one.plans if plan.suppliers <= used]
        plan = min(within, key=lambda plan: (plan.cost, len(plan.suppliers), plan.name), default=None)
        return None if plan is None else (plan.cost, (), plan.name)

    def _goods(self, used: Set) -> Fraction | None:
        total = Fraction(0)
        for key, one in self.wanted.items():
            cheapest = self._cheapest(key, one, used)
            if cheapest is None:
                return None
            total += cheapest[0]
        return total

    def _look(self, place: int, used: Set) -> None:
        """Decide on one supplier after another; whoever is not decided on yet may be used for nothing."""
        self.looks += 1
        if self.found is not None and not self.all_seen:
            return
        if len(used) == self.most:
            place = len(self.candidates)
        goods = self._goods(used | self.terms.fixed | frozenset(self.candidates[place:]))
        if goods is None:
            return
        total = goods + self.terms.cost(used, NO_ORDERS)
        if self.found is not None and total > self.found[0][0]:
            return
        if place == len(self.candidates):
            rank = (total, len(used), sorted(used))
            if self.found is None or rank < self.found[0]:
                self.found = rank, used
            return
        one = self.candidates[place]
        self._look(place + 1, used | {one})
        self._look(place + 1, used)
