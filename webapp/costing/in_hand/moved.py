"""A job in few figures at other prices or rates, in proportion: what is told at once, and marked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Final

from webapp.costing.cutting.ask.model import PriceBreak
from webapp.costing.cutting.ask.price_breaks import price_at
from webapp.costing.in_hand.short import Short, ShortPurchase
from webapp.costing.settings.rates import Rates

#: Prices of one of an offer as they count for the shop, each from its number on.
PricesNow = Mapping[str, tuple[PriceBreak, ...]]

_NONE: Final = Fraction(0)
_AN_HOUR: Final = 60
#: What each is set by: the money of people and machines follows these settings.
PEOPLE_BY: Final = "labour_"
MACHINES_BY: Final = "machine_"
OVERHEAD: Final = "overhead_per_hour"
TARGET: Final = "target_per_hour"


def at_prices(short: Short, prices: PricesNow) -> Short:
    """What a job comes to where the same is bought at these prices; an offer without any stays as it was."""
    purchases, paid, charged = list[ShortPurchase](), _NONE, _NONE
    for one in short.purchases:
        each = price_at(prices.get(one.offer, ()), max(1, int(one.quantity)))
        more = _NONE if each is None else (each - one.each) * one.quantity
        paid += more
        charged += more * one.charged
        purchases.append(one if each is None else replace(one, each=each))
    handled = charged * short.handling
    moved = _dearer(short, charged + handled, paid + handled)
    return replace(moved, purchases=tuple(purchases))


def at_rates(short: Short, before: Rates, after: Rates) -> Short:
    """What a job comes to where an hour of people, of machines and the overhead cost what they do by other rates."""
    people = tuple((name, _at(money, PEOPLE_BY + name, before, after)) for name, money in short.people)
    machines = tuple((name, _at(money, MACHINES_BY + name, before, after)) for name, money in short.machines)
    labour = sum((money for _, money in people), _NONE) - sum((money for _, money in short.people), _NONE)
    machine = sum((money for _, money in machines), _NONE) - sum((money for _, money in short.machines), _NONE)
    hours = short.minutes / _AN_HOUR
    overhead = hours * (after[OVERHEAD] - before[OVERHEAD])
    target = hours * (after[TARGET] - before[TARGET])
    moved = _dearer(short, labour * (1 + short.consumables) + machine + overhead, _NONE)
    return replace(moved, people=people, machines=machines, target=moved.target + machine + target)


def moved_in_proportion(before: Rates, after: Rates) -> bool:
    """Whether two sets of rates differ in nothing but what is told in proportion."""
    differing = {name for name, value in after.values.items() if value != before.values.get(name)}
    return before.operations == after.operations and all(
        name.startswith((PEOPLE_BY, MACHINES_BY)) or name in (OVERHEAD, TARGET) for name in differing
    )


def _at(money: Fraction, name: str, before: Rates, after: Rates) -> Fraction:
    was, now = before.values.get(name), after.values.get(name)
    return money * now / was if was and now is not None else money


def _dearer(short: Short, direct: Fraction, paid: Fraction) -> Short:
    """So much more direct cost, and so much more paid out."""
    cost = direct * short.cost_of_direct
    # What lifts a small job to the least charge takes up what its lines rise by.
    moves = 0 if short.lifted else 1
    net = short.net + moves * cost * short.net_of_cost
    return replace(
        short, cost=short.cost + cost, asked=short.asked + moves * cost * short.asked_of_cost, net=net,
        total=short.total + (net - short.net) * short.total_of_net, paid_out=short.paid_out + paid,
        target=short.target + paid,
    )  # fmt: skip
