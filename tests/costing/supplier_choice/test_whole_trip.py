"""The whole trip against plain counting: packs, breaks, cut plans, least orders, free carriage and stops at once.

What a list costs is counted here anew, in whole coins and from the terms as a supplier would say them; nothing of the
product is asked but its answer.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import product
from random import Random
from typing import NamedTuple

import pytest

from webapp.costing.supplier_choice.choosing import choose_suppliers, fewest_suppliers
from webapp.costing.supplier_choice.packs import Pack
from webapp.costing.supplier_choice.programme import solve
from webapp.costing.supplier_choice.question import CutFrom, Order, Supplied, Terms, Wanted, chosen

F = Fraction
NAMES = ("ash", "beech", "cedar")


class Sold(NamedTuple):
    """A pack as a supplier would say it: holds so much at one price, at another from so many on; sold so many together,
    and only in orders of so much."""

    supplier: str
    holds: int
    price: int
    many: int
    price_of_many: int
    delivered_then: bool
    together: int
    least: int
    mass: int


class Plan(NamedTuple):
    """A way to cut a material: so much money at each supplier."""

    spent: Mapping[str, int]
    least: int
    mass: int


class Way(NamedTuple):
    """One way to have a material: its money, who drives or delivers for it, and what it adds to whose order."""

    cost: int
    brings: frozenset[str]
    orders: tuple[tuple[str, int, int, int], ...]


class Case(NamedTuple):
    """A list and the terms of its suppliers, all money in coins."""

    packs: tuple[tuple[int, tuple[Sold, ...]], ...]
    plans: tuple[tuple[Plan, ...], ...]
    stop: int
    first_is_free: bool
    carriage: Mapping[str, int]
    free_from: Mapping[str, int]
    fixed: Mapping[str, int]
    loads: Mapping[str, int]


def _drawn(chance: Random) -> Case:
    def sold() -> Sold:
        price = chance.randint(1, 60)
        many = chance.choice((2, 3, 4))
        return Sold(
            chance.choice((*NAMES, *NAMES, "")), chance.randint(1, 3), price, many,
            price * chance.randint(2, 4) // 4, chance.random() < 0.2, chance.choice((1, 1, 1, 2)),
            chance.choice((0, 0, 0, chance.randint(1, 150))), chance.randint(0, 9),
        )  # fmt: skip

    def plan() -> Plan:
        of = chance.sample(NAMES, chance.choice((1, 1, 2)))
        return Plan({one: chance.randint(1, 90) for one in of}, chance.choice((0, 0, chance.randint(1, 150))),
                    chance.randint(0, 20))

    packs = tuple(
        (chance.randint(0, 4), tuple(sold() for _ in range(chance.randint(1, 2))))
        for _ in range(chance.randint(0, 2))
    )  # fmt: skip
    plans = tuple(tuple(plan() for _ in range(chance.randint(1, 3))) for _ in range(chance.randint(not packs, 2)))
    delivering = [one for one in NAMES if chance.random() < 0.6]
    return Case(
        packs, plans, chance.randint(0, 30), chance.random() < 0.5,
        {one: chance.randint(0, 30) for one in delivering},
        {one: chance.randint(1, 160) for one in delivering if chance.random() < 0.6},
        {one: chance.randint(0, 60) for one in NAMES if chance.random() < 0.2},
        {one: chance.randint(5, 20) for one in NAMES if chance.random() < 0.3},
    )  # fmt: skip


def _asked(case: Case) -> tuple[dict[str, Wanted], Terms]:
    """The case as the product is asked it."""
    wanted = {}
    for place, (need, packs) in enumerate(case.packs):
        supplied = []
        for number, one in enumerate(packs):
            prices = ((1, F(one.price)), (one.many, F(one.price_of_many)))
            pack = Pack(f"{place} {number}", F(one.holds), prices, one.together)
            free = one.supplier and one.delivered_then
            without = replace(pack, prices=((1, None), prices[1])) if free else None
            supplied.append(Supplied(pack, one.supplier, without, one.supplier, F(one.least), F(one.mass)))
        wanted[f"counted {place}"] = Wanted(F(need), tuple(supplied))
    for place, plans in enumerate(case.plans):
        wanted[f"cut {place}"] = Wanted(F(0), plans=tuple(
            CutFrom(str(number), F(sum(plan.spent.values())), frozenset(plan.spent),
                    {one: Order(F(spent), F(plan.least), F(plan.mass)) for one, spent in plan.spent.items()})
            for number, plan in enumerate(plans)
        ))  # fmt: skip
    return wanted, Terms(
        F(case.stop), {one: F(money) for one, money in case.carriage.items()}, frozenset(case.fixed),
        case.first_is_free, {one: F(money) for one, money in case.free_from.items()},
        {one: Order(F(money)) for one, money in case.fixed.items()},
        {one: F(most) for one, most in case.loads.items()},
    )  # fmt: skip


def _ways_of_packs(need: int, packs: tuple[Sold, ...]) -> list[Way]:
    ways: dict[tuple[frozenset[str], tuple[tuple[str, int, int, int], ...]], int] = {}
    for numbers in product(range(7), repeat=len(packs)):
        if any(number % one.together for number, one in zip(numbers, packs, strict=True)):
            continue
        if sum(number * one.holds for number, one in zip(numbers, packs, strict=True)) < need:
            continue
        cost, brings, orders = 0, set[str](), []
        for number, one in zip(numbers, packs, strict=True):
            if not number:
                continue
            money = number * (one.price_of_many if number >= one.many else one.price)
            cost += money
            if one.supplier:
                comes_with_it = one.delivered_then and number >= one.many
                orders.append((one.supplier, money, one.least, 0 if comes_with_it else number * one.mass))
                if not comes_with_it:
                    brings.add(one.supplier)
        key = frozenset(brings), tuple(orders)
        ways[key] = min(cost, ways.get(key, cost))
    return [Way(cost, *key) for key, cost in ways.items()]


def _comes_to(case: Case, ways: tuple[Way, ...]) -> int:
    """What it costs to have everything in the shop: goods, what orders lack, carriage and stops."""
    amounts, leasts, masses = dict(case.fixed), dict.fromkeys(case.fixed, 0), dict.fromkeys(NAMES, 0)
    everyone = set(case.fixed)
    total = 0
    for way in ways:
        total += way.cost
        everyone |= way.brings
        for supplier, money, least, mass in way.orders:
            masses[supplier] += mass
            amounts[supplier] = amounts.get(supplier, 0) + money
            leasts[supplier] = max(leasts.get(supplier, 0), least)
    for supplier, amount in amounts.items():
        total += max(0, leasts[supplier] - amount)
    stops = 0
    for supplier in everyone:
        loads = 1
        while supplier in case.loads and loads * case.loads[supplier] < masses[supplier]:
            loads += 1
        if supplier not in case.carriage:
            stops += loads
            continue
        paid = case.carriage[supplier] * loads
        if supplier in case.free_from:
            lacking = case.free_from[supplier] - max(amounts.get(supplier, 0), leasts.get(supplier, 0))
            paid = min(paid, max(0, lacking))
        total += paid
    return total + case.stop * (max(0, stops - 1) if case.first_is_free else stops)


def _all_ways(case: Case) -> list[list[Way]]:
    cut = [
        [
            Way(sum(plan.spent.values()), frozenset(plan.spent),
                tuple((one, spent, plan.least, plan.mass) for one, spent in plan.spent.items()))
            for plan in plans
        ]
        for plans in case.plans
    ]  # fmt: skip
    return [_ways_of_packs(*one) for one in case.packs] + cut


@pytest.mark.parametrize("part", range(10))
def test_the_choice_is_the_best_of_all_there_are(part: int) -> None:
    """300 lists, drawn anew from their numbers; each way of buying all of it is counted."""
    for number in range(part * 30, part * 30 + 30):
        case = _drawn(Random(number))
        wanted, terms = _asked(case)
        counted = [(_comes_to(case, ways), ways) for ways in product(*_all_ways(case))]
        least = min(total for total, _ in counted)
        choice = choose_suppliers(wanted, terms)
        assert choice is not None, number
        assert choice.total == choice.bound == least, number
        # The programme by itself, from a choice that knows nothing of orders.
        strict = choose_suppliers(wanted, replace(terms, free_from={}, ordered={}, loads={}))
        assert strict is not None
        begun = chosen(wanted, terms, strict.bought, strict.plans)
        found, bound = solve(wanted, terms, begun)
        assert found is not None, number
        assert min(found.total, begun.total) == least, number
        assert abs(bound - least) <= F(least, 10**5), number
        # Those that go to the fewest suppliers beside the fixed ones.
        few = fewest_suppliers(wanted, terms)
        beside = [(len(frozenset().union(*(way.brings for way in ways)) - case.fixed.keys()), total)
                  for total, ways in counted]  # fmt: skip
        assert few is not None
        assert (len(few.suppliers), int(few.total)) == min(beside), number


def _one_price(offer: str, price: str, supplier: str, least: str = "0") -> Supplied:
    return Supplied(Pack(offer, F(1), ((1, F(price)),)), supplier, order=supplier, least=F(least))


def test_a_list_goes_where_its_order_is_large_enough_for_free_carriage() -> None:
    """Worked by hand: two things at 60 and 50 here, 58 and 49 there. Here carriage of 15 is free from 100 on: 110 and
    nothing. There 107 and 15 are 122; one at each costs 60 + 15 + 49 + 15 or 58 + 15 + 50 + 15."""
    wanted = {
        "a": Wanted(F(1), (_one_price("a here", "60", "here"), _one_price("a there", "58", "there"))),
        "b": Wanted(F(1), (_one_price("b here", "50", "here"), _one_price("b there", "49", "there"))),
    }
    both = {"here": F(15), "there": F(15)}
    free = choose_suppliers(wanted, Terms(F(0), both, free_from={"here": F(100)}))
    assert free is not None
    assert (set(free.suppliers), free.total, free.proved) == ({"here"}, F(110), True)
    # Lacking 3 to where it is free, the order is filled up by 3 rather than 15 paid.
    lacking = choose_suppliers(wanted, Terms(F(0), both, free_from={"here": F(113)}))
    assert lacking is not None
    assert (set(lacking.suppliers), lacking.on_the_way) == ({"here"}, F(3))
    plain = choose_suppliers(wanted, Terms(F(0), both))
    assert plain is not None
    assert (set(plain.suppliers), plain.total) == ({"there"}, F(122))


def test_a_least_order_above_the_whole_list_is_filled_up_where_nobody_else_sells() -> None:
    wanted = {"a": Wanted(F(2), (_one_price("a here", "10", "here", "250"),))}
    choice = choose_suppliers(wanted, Terms(F(0)))
    assert choice is not None
    assert (choice.goods, choice.on_the_way) == (F(20), F(230))
    assert choose_suppliers(wanted, Terms(F(0)), frozenset({"here"})) is None


def test_the_order_of_a_large_list_changes_nothing() -> None:
    chance = Random(5)
    case = max((_drawn(Random(number)) for number in range(60)), key=lambda one: len(one.packs) + len(one.plans))
    wanted, terms = _asked(case)
    keys = list(wanted)
    chance.shuffle(keys)
    turned = {key: replace(wanted[key], packs=wanted[key].packs[::-1], plans=wanted[key].plans[::-1]) for key in keys}
    one, other = choose_suppliers(wanted, terms), choose_suppliers(turned, terms)
    assert one is not None
    assert other is not None
    assert (one.total, one.suppliers, dict(one.bought)) == (other.total, other.suppliers, dict(other.bought))
