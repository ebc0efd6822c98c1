"""The choice of suppliers: large lists with breaks and carriage, and weeks of the demo's jobs against simple rules.

Run as `python -m tests.bench.supplier_bench` on an otherwise idle machine. The lists print their gap and seconds; the
weeks what the whole trip comes to, what it would with each thing from where it is cheapest by itself, and with all of
it from the best single supplier. Suppliers and prices are drawn from fixed seeds and invented.

An open problem of charges by supplier, 16 of them and 50 things (OR-Library, uncapacitated warehouse location, cap71,
1990; least 932 615.75), is read from ../shared/data/suppliers beside the repository; where it is absent, that is said.
"""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from random import Random
from time import perf_counter
from typing import Final

from tests.bench.yardstick import yardstick_seconds
from tests.reference.golden_figures import golden_estimate
from webapp.costing.catalogue.materials import Catalogue, Comes, Offer, PriceSeen
from webapp.costing.catalogue.order_terms import OrderTerms
from webapp.costing.estimate.whole_trip import Desk, buy_all, needs_of
from webapp.costing.jobs.wishes import NO_WISHES, Wishes
from webapp.costing.plans.requests import Plan
from webapp.costing.settings.table import default_rates
from webapp.costing.supplier_choice.choosing import choose_suppliers
from webapp.costing.supplier_choice.packs import Pack
from webapp.costing.supplier_choice.question import Supplied, Terms, Wanted
from webapp.demo_jobs import JOBS
from webapp.paths import CHECKOUT
from webapp.seed import load_catalogue

LISTS: Final = 10
LINES: Final = 150
SUPPLIERS: Final = 6
OFFERS: Final = 4
WEEKS: Final = 20
TODAY: Final = date(2026, 11, 2)
#: Prices of a week's suppliers lie so far around the demo's, in per cent.
SPREAD: Final = 12

F = Fraction
#: As its collection publishes it.
LEAST_OF_CAP71: Final = F("932615.75")


def main() -> None:
    """Print both tables."""
    print(f"yardstick {yardstick_seconds():.3f} s")
    print(f"{LISTS} lists of {LINES} lines, {SUPPLIERS} suppliers, {OFFERS} offers each, breaks and carriage")
    for seed in range(LISTS):
        _print_list(seed, *large_list(seed))
    print("the same with least orders and loads")
    for seed in range(LISTS):
        _print_list(seed, *large_list(seed, harder=True))
    _print_weeks()
    _print_open_problem()


def _print_open_problem() -> None:
    folder = Path(os.environ.get("RECKONER_OPEN_DATA", CHECKOUT.parent / "shared" / "data")) / "suppliers"
    file = folder / "cap71.txt"
    if not file.is_file():
        print(f"open problem cap71: skipped, there is no open data in {folder}")
        return
    wanted, terms = open_problem(file)
    began = perf_counter()
    found = choose_suppliers(wanted, terms)
    assert found is not None
    assert found.total == LEAST_OF_CAP71, found.total
    print(f"open problem cap71: {float(found.total):.2f}, proved {found.proved}, {perf_counter() - began:.1f} s")


def open_problem(file: Path) -> tuple[dict[str, Wanted], Terms]:
    """16 suppliers with a charge each and 50 things, each to be had whole from any of them."""
    numbers = iter(file.read_text(encoding="ascii").split())
    suppliers, things = int(next(numbers)), int(next(numbers))
    charges = {}
    for supplier in range(suppliers):
        next(numbers)
        charges[f"supplier {supplier}"] = F(next(numbers))
    wanted = {}
    for thing in range(things):
        next(numbers)
        packs = (Supplied(Pack(f"{thing} of {one}", F(1), ((1, F(next(numbers))),)), one) for one in charges)
        wanted[f"thing {thing}"] = Wanted(F(1), tuple(packs))
    return wanted, Terms(F(0), charges)


def large_list(seed: int, *, harder: bool = False) -> tuple[dict[str, Wanted], Terms]:
    """A list to choose suppliers for; carriage, and from what sum on it is free, are about what an order is; `harder`
    with least orders and loads too."""
    chance = Random(seed)
    names = [f"supplier {number}" for number in range(SUPPLIERS)]
    least = {name: F(chance.choice((0, 0, 50, 150)) if harder else 0) for name in names}
    wanted = {}
    for line in range(LINES):
        base, packs = chance.randint(50, 800), []
        for number, name in enumerate(chance.sample(names, OFFERS)):
            holds = chance.choice((1, 1, 2, 5, 10, 50))
            price = max(2, int(base * holds**0.9 * chance.uniform(0.88, 1.15)))
            breaks = [(5, price * 94 // 100), (20, price * 88 // 100)][: chance.randint(0, 2)]
            prices = ((1, F(price, 100)), *((start, F(told, 100)) for start, told in breaks))
            pack = Pack(f"{line} {number}", F(holds), prices)
            packs.append(Supplied(pack, name, None, name, least[name], F(chance.randint(1, 30), 10)))
        wanted[f"line {line}"] = Wanted(F(chance.randint(1, 12)), tuple(packs))
    delivering = names[: SUPPLIERS - 2]
    terms = Terms(
        F(35), {name: F(chance.randint(20, 90)) for name in delivering},
        free_from={name: F(chance.randint(100, 1200)) for name in delivering},
        loads={name: F(chance.randint(100, 400)) for name in names[-2:]} if harder else {},
    )  # fmt: skip
    return wanted, terms


def _print_list(seed: int, wanted: dict[str, Wanted], terms: Terms) -> None:
    began = perf_counter()
    choice = choose_suppliers(wanted, terms)
    seconds = perf_counter() - began
    assert choice is not None
    gap = float((choice.total - choice.bound) / choice.total)
    print(f"  list {seed}: {float(choice.total):9.2f} from {len(choice.suppliers)}, gap {gap:.3%}, {seconds:.2f} s")


def week_of(seed: int) -> tuple[list[str], Catalogue]:
    """Some of the demo's jobs, and a catalogue where four suppliers sell everything, on terms of their own."""
    chance, start = Random(seed), load_catalogue(TODAY)
    jobs = chance.sample([f"job_{job.name}" for job in JOBS], min(len(JOBS), chance.randint(2, 3)))
    terms = {}
    for number in range(4):
        comes = chance.choice((Comes.FETCHED, Comes.DELIVERED))
        delivers = comes is Comes.DELIVERED
        asked = OrderTerms(
            minimum_order=Decimal(chance.choice((0, 30, 60))) or None,
            free_from=Decimal(chance.randint(150, 900)) if delivers and chance.random() < 0.7 else None,
        )
        terms[f"seller_{number}"] = (comes, Decimal(chance.randint(12, 60)) if delivers else None, asked)
    offers: dict[str, tuple[Offer, ...]] = {}
    prices: dict[str, tuple[PriceSeen, ...]] = {}
    for code, held in start.offers.items():
        told = []
        for offer in held:
            for name, (comes, carriage, asked) in terms.items():
                key, factor = f"{offer.id} {name}", Decimal(100 + chance.randint(-SPREAD, SPREAD)) / 100
                told.append(
                    replace(
                        offer, id=key, supplier=name, supplier_name=name, comes=comes, carriage=carriage, terms=asked,
                        minimum_order=None,
                    )
                )  # fmt: skip
                prices[key] = tuple(
                    replace(one, offer=key, amount=(one.amount * factor).quantize(Decimal("0.01")))
                    for one in start.prices[offer.id]
                )
        offers[code] = tuple(told)
    return jobs, replace(start, offers=offers, prices=prices)


def _print_weeks() -> None:
    rates, plans = default_rates(), dict[str, Plan]()
    whole = by_line = by_one = F(0)
    for seed in range(WEEKS):
        names, catalogue = week_of(seed)
        bought = {number: golden_estimate(name, "metric").bought for number, name in enumerate(names)}
        needs, desk = needs_of(bought), Desk(catalogue, rates, plans, "metric", 2)
        best = buy_all(needs, desk, NO_WISHES)
        decision = best.decision
        assert decision.choice is not None
        assert decision.by_price is not None
        line = decision.total - decision.choice.total + decision.by_price.total
        sellers = {offer.supplier for held in catalogue.offers.values() for offer in held}
        one = min(buy_all(needs, desk, Wishes(frozenset(sellers - {name}))).total for name in sorted(sellers))
        whole, by_line, by_one = whole + best.total, by_line + line, by_one + one
        print(
            f"  week {seed:2}: {len(names)} jobs, whole trip {float(best.total):8.2f} from {len(best.goods)}, "
            f"line by line {float(line):8.2f}, one supplier {float(one):8.2f}"
        )
    print(f"{WEEKS} weeks of the demo's jobs: {float(whole):.2f}")
    for words, other in (("cheapest line by line", by_line), ("one supplier", by_one)):
        print(f"  {float(other - whole):.2f} less than {words} ({float(1 - whole / other):.1%})")


if __name__ == "__main__":
    main()
