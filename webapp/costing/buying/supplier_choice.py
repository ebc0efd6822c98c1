"""Which suppliers a job buys from: what its goods cost together with the stops and the carriage that they bring.

Exact: every set of suppliers is tried that could be the cheapest. Among equals the fewest suppliers, then the first by
name.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

from webapp.costing.buying.packs import Bought, Pack, cheapest_packs

#: So many sets are looked at, each with what it might still come to; beyond, the best found so far is taken.
MOST_LOOKS: Final = 20_000

Set = frozenset[str]


@dataclass(frozen=True, slots=True)
class Supplied:
    """A pack on offer and the supplier who brings a stop or carriage with it ('' for none); `without` is what of it
    can be had without either, at prices that hold delivery."""

    pack: Pack
    supplier: str = ""
    without: Pack | None = None


@dataclass(frozen=True, slots=True)
class Wanted:
    """How much is needed of a material, and the packs it comes in."""

    required: Fraction
    packs: tuple[Supplied, ...]

    @property
    def suppliers(self) -> Set:
        """Who of them brings a stop or carriage."""
        return frozenset(one.supplier for one in self.packs if one.supplier)

    def offered(self, used: Set) -> list[Pack]:
        """The packs that can be had where these suppliers are used."""
        found = ((one.pack if not one.supplier or one.supplier in used else one.without) for one in self.packs)
        return [pack for pack in found if pack is not None]


@dataclass(frozen=True, slots=True)
class Terms:
    """What goods cost on their way: each supplier to drive to but the first `stop`, each who delivers its carriage.

    `fixed` are the suppliers that are used in any case.
    """

    stop: Fraction
    carriage: Mapping[str, Fraction] = field(default_factory=dict)
    fixed: Set = frozenset()
    first_is_free: bool = True

    def cost(self, used: Set) -> Fraction:
        """What these suppliers and the fixed ones bring with them."""
        everyone = used | self.fixed
        driven = sum(1 for one in everyone if one not in self.carriage)
        delivered = sum((self.carriage[one] for one in everyone if one in self.carriage), Fraction(0))
        return self.stop * max(0, driven - self.first_is_free) + delivered


@dataclass(frozen=True, slots=True)
class Choice:
    """The suppliers chosen beside the fixed ones, what is bought of each material by key, and what that comes to."""

    suppliers: Set
    bought: Mapping[str, tuple[Bought, ...]]
    goods: Fraction
    on_the_way: Fraction

    @property
    def total(self) -> Fraction:
        """Goods, stops and carriage."""
        return self.goods + self.on_the_way


def choose_suppliers(wanted: Mapping[str, Wanted], terms: Terms, without: Set = frozenset()) -> Choice | None:
    """The cheapest choice that uses none of `without`; None where what is needed can't be had."""
    return _Search(wanted, terms, without).best()


def cheapest_by_price(wanted: Mapping[str, Wanted], terms: Terms) -> Choice | None:
    """Each material from where it is cheapest by itself, whatever that brings with it."""
    search = _Search(wanted, terms, frozenset())
    return search.choice(frozenset(search.candidates) | terms.fixed)


class _Search:
    def __init__(self, wanted: Mapping[str, Wanted], terms: Terms, without: Set) -> None:
        self.wanted, self.terms = wanted, terms
        offered = frozenset[str]().union(*(one.suppliers for one in wanted.values())) if wanted else frozenset[str]()
        self.candidates: Sequence[str] = sorted(offered - terms.fixed - without)
        self.known: dict[tuple[str, Set], tuple[Bought, ...] | None] = {}
        self.found: tuple[tuple[Fraction, int, list[str]], Set] | None = None
        self.looks = 0

    def best(self) -> Choice | None:
        self._look(0, frozenset())
        return None if self.found is None else self.choice(self.found[1] | self.terms.fixed)

    def choice(self, used: Set) -> Choice | None:
        """What is bought where these suppliers may be used."""
        bought: dict[str, tuple[Bought, ...]] = {}
        for key, one in self.wanted.items():
            packs = self._bought(key, one, used)
            if packs is None:
                return None
            bought[key] = packs
        really = self._used(bought)
        goods = sum((pack.cost for packs in bought.values() for pack in packs), Fraction(0))
        return Choice(really - self.terms.fixed, bought, goods, self.terms.cost(really))

    def _used(self, bought: Mapping[str, tuple[Bought, ...]]) -> Set:
        """Who is really used: a pack whose price at this number holds delivery brings nobody."""
        used = set[str]()
        for key, packs in bought.items():
            held = {one.pack.offer: one for one in self.wanted[key].packs}
            for pack in packs:
                one = held[pack.offer]
                free = one.without is not None and one.without.cost(pack.packs) == pack.cost
                if one.supplier and not free:
                    used.add(one.supplier)
        return frozenset(used)

    def _bought(self, key: str, one: Wanted, used: Set) -> tuple[Bought, ...] | None:
        told = key, used & one.suppliers
        if told not in self.known:
            try:
                self.known[told] = cheapest_packs(one.required, one.offered(used))
            except ValueError:
                self.known[told] = None
        return self.known[told]

    def _goods(self, used: Set) -> Fraction | None:
        total = Fraction(0)
        for key, one in self.wanted.items():
            packs = self._bought(key, one, used)
            if packs is None:
                return None
            total += sum((pack.cost for pack in packs), Fraction(0))
        return total

    def _look(self, place: int, used: Set) -> None:
        """Decide on one supplier after another; whoever is not decided on yet may be used for nothing."""
        self.looks += 1
        if self.found is not None and self.looks > MOST_LOOKS:
            return
        fixed = self.terms.fixed
        goods = self._goods(used | fixed | frozenset(self.candidates[place:]))
        if goods is None:
            return
        total = goods + self.terms.cost(used)
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
