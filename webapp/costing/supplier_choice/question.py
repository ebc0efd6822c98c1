"""What is asked: packs and plans to choose among, what their suppliers ask for an order, and what was chosen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil
from typing import Final, NamedTuple

from webapp.costing.supplier_choice.packs import Bought, Pack

Set = frozenset[str]


class Order(NamedTuple):
    """What is ordered of one supplier: its money, the least that an order of it has to come to, and how heavy it is,
    in kg, without what comes with the price."""

    amount: Fraction
    least: Fraction = Fraction(0)
    mass: Fraction = Fraction(0)

    def and_also(self, other: Order) -> Order:
        """Both in one order."""
        return Order(self.amount + other.amount, max(self.least, other.least), self.mass + other.mass)

    @property
    def comes_to(self) -> Fraction:
        """Its money, filled up to the least."""
        return max(self.amount, self.least)


NO_ORDER: Final = Order(Fraction(0))


@dataclass(frozen=True, slots=True)
class Supplied:
    """A pack on offer and the supplier who brings a stop or carriage with it ('' for none); `without` is what of it
    can be had without either, at prices that hold delivery.

    `order` is the supplier in whose order it counts ('' for none), which has to come to `least` where it is bought;
    a pack weighs `mass` kg.
    """

    pack: Pack
    supplier: str = ""
    without: Pack | None = None
    order: str = ""
    least: Fraction = Fraction(0)
    mass: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class CutFrom:
    """One plan to cut a material by: what its stock costs, the suppliers who bring a stop or carriage with it, and
    what is ordered of whom."""

    name: str
    cost: Fraction
    suppliers: Set = frozenset()
    orders: Mapping[str, Order] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Wanted:
    """How much is needed of a material, and the packs it comes in; or the plans of which one is cut."""

    required: Fraction
    packs: tuple[Supplied, ...] = ()
    plans: tuple[CutFrom, ...] = ()

    @property
    def suppliers(self) -> Set:
        """Who of them brings a stop or carriage."""
        return frozenset(one.supplier for one in self.packs if one.supplier).union(
            *(plan.suppliers for plan in self.plans)
        )

    def offered(self, used: Set) -> list[Pack]:
        """The packs that can be had where these suppliers are used."""
        found = ((one.pack if not one.supplier or one.supplier in used else one.without) for one in self.packs)
        return [pack for pack in found if pack is not None]


@dataclass(frozen=True, slots=True)
class Terms:
    """What goods cost on their way: each supplier to drive to but the first `stop`, each who delivers its carriage,
    which is free where the order comes to `free_from`. What is heavier than `loads` kg comes in several, each a stop
    or a carriage.

    `fixed` are the suppliers that are used in any case, `ordered` what is ordered of them so far.
    """

    stop: Fraction
    carriage: Mapping[str, Fraction] = field(default_factory=dict)
    fixed: Set = frozenset()
    first_is_free: bool = True
    free_from: Mapping[str, Fraction] = field(default_factory=dict)
    ordered: Mapping[str, Order] = field(default_factory=dict)
    loads: Mapping[str, Fraction] = field(default_factory=dict)

    def cost(self, used: Set, orders: Mapping[str, Order] | None = None) -> Fraction:
        """What these suppliers and the fixed ones bring with them, where so much is ordered of each."""
        everyone, orders = used | self.fixed, self.ordered if orders is None else orders
        driven = sum(self.loads_of(one, orders) for one in everyone if one not in self.carriage)
        delivered = sum((self.carriage_of(one, orders) for one in everyone if one in self.carriage), Fraction(0))
        filled_up = sum((one.comes_to - one.amount for one in orders.values()), Fraction(0))
        return self.stop * max(0, driven - self.first_is_free) + delivered + filled_up

    def loads_of(self, supplier: str, orders: Mapping[str, Order]) -> int:
        """In how many loads an order comes."""
        if supplier not in self.loads or supplier not in orders:
            return 1
        return max(1, ceil(orders[supplier].mass / self.loads[supplier]))

    def carriage_of(self, supplier: str, orders: Mapping[str, Order]) -> Fraction:
        """The carriage of an order, or what it lacks to where carriage is free if that is less."""
        asked, free_from = self.carriage[supplier] * self.loads_of(supplier, orders), self.free_from.get(supplier)
        if free_from is None:
            return asked
        return min(asked, max(Fraction(0), free_from - orders.get(supplier, NO_ORDER).comes_to))


@dataclass(frozen=True, slots=True)
class Choice:
    """The suppliers chosen beside the fixed ones, what is bought of each material by key or by which plan it is cut,
    and what that comes to. `orders` is what is ordered of whom, `bound` the least that any choice can come to."""

    suppliers: Set
    bought: Mapping[str, tuple[Bought, ...]]
    goods: Fraction
    on_the_way: Fraction
    plans: Mapping[str, str] = field(default_factory=dict)
    orders: Mapping[str, Order] = field(default_factory=dict)
    bound: Fraction = Fraction(0)

    @property
    def total(self) -> Fraction:
        """Goods, stops, carriage and what orders are filled up by."""
        return self.goods + self.on_the_way

    @property
    def proved(self) -> bool:
        """Whether no choice is cheaper."""
        return self.bound >= self.total


def chosen(
    wanted: Mapping[str, Wanted], terms: Terms, bought: Mapping[str, tuple[Bought, ...]], plans: Mapping[str, str]
) -> Choice:
    """What a way to buy everything comes to, with all that it brings."""
    used, orders = set[str](), dict(terms.ordered)
    goods = sum((pack.cost for packs in bought.values() for pack in packs), Fraction(0))
    for key, packs in bought.items():
        held = {one.pack.offer: one for one in wanted[key].packs}
        for pack in packs:
            one = held[pack.offer]
            # A pack whose price at this number holds delivery brings nobody.
            free = one.without is not None and one.without.cost(pack.packs) == pack.cost
            if one.supplier and not free:
                used.add(one.supplier)
            if one.order:
                mass = Fraction(0) if free or not one.supplier else one.mass * pack.packs
                _add(orders, one.order, Order(pack.cost, one.least, mass))
    for key, name in plans.items():
        plan = next(one for one in wanted[key].plans if one.name == name)
        goods += plan.cost
        used |= plan.suppliers
        for supplier, order in plan.orders.items():
            _add(orders, supplier, order)
    return Choice(
        frozenset(used) - terms.fixed, bought, goods, terms.cost(frozenset(used), orders), plans, orders
    )  # fmt: skip


def _add(orders: dict[str, Order], supplier: str, order: Order) -> None:
    orders[supplier] = orders[supplier].and_also(order) if supplier in orders else order
