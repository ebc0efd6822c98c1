"""The choice of suppliers as one whole-number programme, for where orders have a say or the sets are too many.

How many of each pack at each of its prices, which plan of cuts, whom that brings, what their orders lack. On one
thread and stopped by how often it looks up, which follows from its work alone, so that the same list has the same
answer everywhere; what it finds is reckoned anew in exact numbers, and its bound stands to a part in a million.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil, floor, inf
from typing import Final, NamedTuple

import highspy
import numpy as np

from webapp.costing.cutting.bounds.quiet_highs import QuietHighs
from webapp.costing.supplier_choice.packs import MOST_PACKS, Bought, Pack
from webapp.costing.supplier_choice.question import NO_ORDER, Choice, Supplied, Terms, Wanted, chosen

#: What the solver's sums may be out by, as a part of the total.
OUT_BY: Final = 1e-6
SEED: Final = 1
#: With more prices to choose among than this, a choice so near to the least is good enough.
MOST_EXACT: Final = 300
GAP: Final = 0.0095
#: So often it looks up, times the prices there are to choose among: a larger list takes longer from look to look.
MOST_LOOKS: Final = 60_000


class _Run(NamedTuple):
    """Packs that can be bought at one price, in lots of those sold together: from so many lots to so many."""

    least: int
    most: int
    price: Fraction
    free: bool


@dataclass
class _Programme:
    """Columns and rows as they come, handed over in one."""

    costs: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    rows: list[tuple[float, float, dict[int, float]]] = field(default_factory=list)

    def column(self, cost: float, most: float, *, whole: bool) -> int:
        self.costs.append(cost)
        self.most.append(most)
        self.whole.append(whole)
        return len(self.costs) - 1

    def at_least(self, least: float, entries: Mapping[int, float]) -> None:
        self.rows.append((least, inf, dict(entries)))

    def exactly(self, value: float, entries: Mapping[int, float]) -> None:
        self.rows.append((value, value, dict(entries)))

    def at_most(self, one: int, other: int, times: float = 1.0) -> None:
        """One column is no more than so many times another."""
        self.at_least(0.0, {other: times, one: -1.0})

    def solver(self) -> QuietHighs:
        """The programme as the solver takes it."""
        solver, made = QuietHighs(SEED), highspy.HighsLp()
        made.num_col_, made.num_row_ = len(self.costs), len(self.rows)
        made.col_cost_, made.col_upper_ = np.array(self.costs), np.array(self.most)
        made.col_lower_ = np.zeros(len(self.costs))
        kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
        made.integrality_ = [kinds[whole] for whole in self.whole]
        made.row_lower_ = np.array([row[0] for row in self.rows])
        made.row_upper_ = np.array([row[1] for row in self.rows])
        made.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        made.a_matrix_.start_ = np.cumsum([0, *(len(row[2]) for row in self.rows)])
        made.a_matrix_.index_ = np.array([place for row in self.rows for place in row[2]], dtype=np.int32)
        made.a_matrix_.value_ = np.array([value for row in self.rows for value in row[2].values()])
        solver.silent()
        solver.passModel(made)
        return solver


def solve(
    wanted: Mapping[str, Wanted], terms: Terms, known: Choice, suppliers: int | None = None
) -> tuple[Choice | None, Fraction]:
    """The best choice of at most so many suppliers beside the fixed ones that are found before it has looked up so
    often, and the least that any comes to, where one is known already."""
    asked = _Asked(wanted, terms)
    if suppliers is not None:
        chosen_ones = {column: -1.0 for one, column in asked.brought.items() if one not in terms.fixed}
        asked.programme.at_least(-float(suppliers), chosen_ones)
    solver = asked.programme.solver()
    solver.setOptionValue("mip_rel_gap", GAP if len(asked.numbers) > MOST_EXACT else 0.0)
    solver.setOptionValue("mip_abs_gap", OUT_BY * float(known.total))
    looked, looks = 0, MOST_LOOKS // max(1, len(asked.numbers))

    def look(event: highspy.HighsCallbackEvent) -> None:
        nonlocal looked
        looked += 1
        event.interrupt(looked >= looks)

    solver.cbMipInterrupt.subscribe(look)
    # It isn't told the known choice: of a start that holds, the solver made one that doesn't.
    solver.run()
    info = solver.getInfo()
    least = Fraction(max(0.0, info.mip_dual_bound)) if info.mip_dual_bound > -highspy.kHighsInf else Fraction(0)
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return None, min(least, known.total)
    found = asked.choice(list(solver.getSolution().col_value))
    total = min(known.total, found.total)
    # The solver's own sums are floating: nearer than they can tell is the same.
    return found, total if least >= total * (1 - Fraction(OUT_BY)) else least


class _Asked:
    """The programme of one question, and what its columns stand for."""

    def __init__(self, wanted: Mapping[str, Wanted], terms: Terms) -> None:
        self.wanted, self.terms = wanted, terms
        self.programme = _Programme()
        self.numbers: list[tuple[str, Supplied, int]] = []
        self.plans: list[tuple[str, str, int]] = []
        self.brought: dict[str, int] = {}
        #: What each order holds, by its columns, and the columns that ask a least of it.
        self.orders: dict[str, dict[int, float]] = {}
        self.leasts: dict[str, dict[int, Fraction]] = {}
        self.masses: dict[str, dict[int, float]] = {}
        self.free: dict[str, int] = {}
        least = _least_orders(wanted)
        for key, one in wanted.items():
            if one.plans:
                self._add_plans(key, one)
            else:
                self._add_packs(key, one, least)
        self._add_ways()

    def _bring(self, supplier: str) -> int:
        if supplier not in self.brought:
            self.brought[supplier] = self.programme.column(0.0, 1.0, whole=True)
        return self.brought[supplier]

    def _add_plans(self, key: str, one: Wanted) -> None:
        columns = {}
        for plan in one.plans:
            column = self.programme.column(float(plan.cost), 1.0, whole=True)
            columns[column] = 1.0
            self.plans.append((key, plan.name, column))
            for supplier in sorted(plan.suppliers):
                self.programme.at_most(column, self._bring(supplier))
            for supplier, order in plan.orders.items():
                self.orders.setdefault(supplier, {})[column] = float(order.amount)
                self.masses.setdefault(supplier, {})[column] = float(order.mass)
                if order.least:
                    self.leasts.setdefault(supplier, {})[column] = order.least
        self.programme.exactly(1.0, columns)

    def _add_packs(self, key: str, one: Wanted, least: Mapping[str, Fraction]) -> None:
        if one.required <= 0:
            return
        cover: dict[int, float] = {}
        for held in sorted(one.packs, key=lambda held: held.pack.offer):
            runs = list(_runs(held, one.required))
            chosen_runs: dict[int, float] = {}
            for run in runs:
                lots = self.programme.column(float(run.price * held.pack.together), float(run.most), whole=True)
                brought = self._bring(held.supplier) if held.supplier and not run.free else None
                # Whoever is brought sells something, so that all their offers ask of an order is asked of it once.
                asks = held.least and (
                    brought is None or held.supplier in self.terms.fixed or held.least > least[held.order]
                )
                if held.least and not asks and brought is not None:
                    self.leasts.setdefault(held.order, {})[brought] = held.least
                if brought is not None and len(runs) == 1 and run.least == 1 and not asks:
                    self.programme.at_most(lots, brought, float(run.most))
                else:
                    taken = self.programme.column(0.0, 1.0, whole=True)
                    self.programme.at_most(lots, taken, float(run.most))
                    self.programme.at_least(0.0, {lots: 1.0, taken: -float(run.least)})
                    chosen_runs[taken] = -1.0
                    if brought is not None:
                        self.programme.at_most(taken, brought)
                    if asks:
                        self.leasts.setdefault(held.order, {})[taken] = held.least
                cover[lots] = float(held.pack.holds * held.pack.together / one.required)
                self.numbers.append((key, held, lots))
                if brought is not None:
                    self.masses.setdefault(held.order, {})[lots] = float(held.mass * held.pack.together)
                if held.order:
                    self.orders.setdefault(held.order, {})[lots] = float(run.price * held.pack.together)
            if len(chosen_runs) > 1:
                self.programme.at_least(-1.0, chosen_runs)
        self.programme.at_least(1.0, cover)

    def _add_ways(self) -> None:
        """Stops, carriage, and what orders are filled up by."""
        terms, programme = self.terms, self.programme
        for supplier in sorted(terms.fixed):
            programme.exactly(1.0, {self._bring(supplier): 1.0})
        for supplier in sorted({*self.orders, *terms.ordered, *(terms.free_from.keys() & self.brought.keys())}):
            self._add_order(supplier)
        driven = dict.fromkeys((column for one, column in self.brought.items() if one not in terms.carriage), -1.0)
        for supplier, column in self.brought.items():
            further = self._further_loads(supplier, column)
            if supplier not in terms.carriage:
                driven |= dict.fromkeys(further, -1.0)
                continue
            free = self.free.get(supplier)
            for one, most in ((column, 1.0), *((one, programme.most[one]) for one in further)):
                paid = programme.column(float(terms.carriage[supplier]), most, whole=False)
                programme.at_least(0.0, {paid: 1.0, one: -1.0, **({} if free is None else {free: most})})
        stops = programme.column(float(terms.stop), inf, whole=False)
        programme.at_least(-float(terms.first_is_free), {stops: 1.0, **driven})

    def _further_loads(self, supplier: str, brought: int) -> list[int]:
        """The column that counts the loads of a supplier after the first, where there can be any."""
        load = self.terms.loads.get(supplier)
        if load is None:
            return []
        held, masses = self.terms.ordered.get(supplier), self.masses.get(supplier, {})
        so_far = float(held.mass) if held is not None else 0.0
        heaviest = so_far + sum(mass * self.programme.most[column] for column, mass in masses.items())
        if heaviest <= load:
            return []
        further = self.programme.column(0.0, float(ceil(heaviest / float(load))), whole=True)
        room = {brought: float(load), further: float(load)}
        self.programme.at_least(so_far, {**room, **{column: -mass for column, mass in masses.items()}})
        return [further]

    def _add_order(self, supplier: str) -> None:
        """What an order comes to as a column of its own, filled up to what is asked of it."""
        held, programme = self.terms.ordered.get(supplier), self.programme
        amount = float(held.amount) if held is not None else 0.0
        parts = self.orders.get(supplier, {})
        filled, comes_to = programme.column(1.0, inf, whole=False), programme.column(0.0, inf, whole=False)
        programme.exactly(amount, {comes_to: 1.0, filled: -1.0, **{column: -money for column, money in parts.items()}})
        if held is not None and held.least:
            programme.at_least(float(held.least), {comes_to: 1.0})
        for column, least in self.leasts.get(supplier, {}).items():
            programme.at_least(0.0, {comes_to: 1.0, column: -float(least)})
        if supplier in self.terms.free_from and supplier in self.terms.carriage:
            self.free[supplier] = free = programme.column(0.0, 1.0, whole=True)
            programme.at_least(0.0, {comes_to: 1.0, free: -float(self.terms.free_from[supplier])})

    def choice(self, values: list[float]) -> Choice:
        """What the columns say is bought, in exact numbers, without packs that nothing is gained by."""
        bought: dict[str, dict[str, int]] = {key: {} for key, one in self.wanted.items() if not one.plans}
        for key, held, lots in self.numbers:
            if number := round(values[lots]):
                bought[key][held.pack.offer] = bought[key].get(held.pack.offer, 0) + number * held.pack.together
        plans = {key: name for key, name, column in self.plans if values[column] > 0.5}
        found = self._reckoned(bought, plans)
        for key, held, _ in self.numbers:
            pack, numbers = held.pack, bought[key]
            while numbers.get(pack.offer) and self._spare(key, numbers) >= pack.holds * pack.together:
                fewer = {**bought, key: {**numbers, pack.offer: numbers[pack.offer] - pack.together}}
                try:
                    other = self._reckoned(fewer, plans)
                except _NotSold:
                    break
                if other.total > found.total or len(other.suppliers) > len(found.suppliers):
                    break
                bought, numbers, found = fewer, fewer[key], other
        return found

    def _spare(self, key: str, numbers: Mapping[str, int]) -> Fraction:
        holds = {held.pack.offer: held.pack.holds for held in self.wanted[key].packs}
        held = sum((holds[offer] * number for offer, number in numbers.items()), Fraction(0))
        return held - self.wanted[key].required

    def _reckoned(self, numbers: Mapping[str, Mapping[str, int]], plans: Mapping[str, str]) -> Choice:
        bought = {}
        for key, counts in numbers.items():
            packs = {held.pack.offer: held.pack for held in self.wanted[key].packs}
            bought[key] = tuple(_bought(packs[offer], number) for offer, number in sorted(counts.items()) if number)
        return chosen(self.wanted, self.terms, bought, plans)


def _least_orders(wanted: Mapping[str, Wanted]) -> dict[str, Fraction]:
    """What everything that can be had of a supplier asks of an order, at least."""
    asked: dict[str, list[Fraction]] = {}
    for one in wanted.values():
        for held in one.packs:
            asked.setdefault(held.order, []).append(held.least)
        for plan in one.plans:
            for supplier in plan.suppliers | plan.orders.keys():
                asked.setdefault(supplier, []).append(plan.orders.get(supplier, NO_ORDER).least)
    return {supplier: min(leasts) for supplier, leasts in asked.items()}


class _NotSold(Exception):
    """So few are not sold."""


def _bought(pack: Pack, number: int) -> Bought:
    cost = pack.cost(number)
    if cost is None:
        raise _NotSold
    return Bought(pack.offer, number, cost)


def _runs(held: Supplied, required: Fraction) -> Iterator[_Run]:
    """The numbers of a pack worth buying, by their price: up to what is needed, or just as many as a lower price asks
    for, where that costs less than what is needed at the price before."""
    pack = held.pack
    enough = min(ceil(required / pack.holds / pack.together), MOST_PACKS)
    needed = pack.cost(enough * pack.together)
    for place, (start, price) in enumerate(pack.prices):
        if price is None:
            continue
        last = pack.prices[place + 1][0] - 1 if place + 1 < len(pack.prices) else MOST_PACKS * pack.together
        least, most = max(1, ceil(Fraction(start, pack.together))), floor(Fraction(last, pack.together))
        most = min(most, max(enough, least))
        free = held.without is not None and held.without.cost(least * pack.together) is not None
        dear = needed is not None and least > enough and price * least * pack.together >= needed and not free
        if least <= most and not dear:
            yield _Run(least, most, price, free)
