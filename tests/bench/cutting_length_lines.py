"""The benchmark's lines about lengths: open data and the two worked examples."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from statistics import median
from typing import Final

from tests.bench.cutting_data import WIDTH_100, Instance, read_instances, rolls
from tests.bench.cutting_run import Bench, Result, Task
from tests.bench.cutting_table import Line

LIMIT: Final = 3


def worked_examples(bench: Bench) -> list[Line]:
    """The two published examples that end in a known number of rolls."""
    (paper,) = read_instances(bench.folder, "csp1d_worked_example_5600")
    tasks = [
        Task("5600 mm paper rolls", rolls(paper["stock_length"], paper["items"]), bench.limit(LIMIT), Fraction(73)),
        Task("width 100", rolls(100, WIDTH_100), bench.limit(LIMIT), Fraction(453)),
    ]
    return [
        Line(
            f"lengths, {one.task.name}: rolls",
            f"{one.price}, {'proved' if one.proved else f'bound {one.bound}'}, {one.took * 1000:.0f} ms",
            str(one.task.best_known),
            one.price == one.task.best_known,
        )
        for one in bench.work(tasks)
    ]


def large_set(bench: Bench) -> list[Line]:
    """Every tenth instance of the large set."""
    results = _solved(bench, read_instances(bench.folder, "csp1d_scholl")[::10])
    proved = sum(one.proved for one in results)
    return [
        Line(
            f"lengths, the large set, every tenth, {bench.limit(LIMIT):g} s: proved",
            _figure(results),
            "at least 95 %",
            proved >= 0.95 * len(results),
        )
    ]


def triplets_and_uniform(bench: Bench) -> list[Line]:
    """Triplets, in which every length is filled by three pieces without waste, and the uniform class."""
    return _reported(
        bench,
        "csp1d_falkenauer",
        {
            "triplets": lambda one: one["name"].startswith("t"),
            "the uniform class": lambda one: one["name"].startswith("u"),
        },
    )


def hard_ones(bench: Bench) -> list[Line]:
    """Twenty-eight that are hard to prove."""
    return _reported(bench, "csp1d_hard28", {"the twenty-eight hard ones": lambda one: True})


def fifths(bench: Bench) -> list[Line]:
    """A hundred with pieces of a fifth of the length or a little less."""
    return _reported(bench, "csp1d_schwerin1", {"fifths of the length": lambda one: True})


def beyond_rounding(bench: Bench) -> list[Line]:
    """Seventeen in which rounding up the linear optimum may not be enough."""
    return _reported(bench, "csp1d_waescher_gau1", {"beyond rounding up": lambda one: True})


def _reported(bench: Bench, name: str, classes: dict[str, Callable[[Instance], bool]]) -> list[Line]:
    instances = read_instances(bench.folder, name)
    return [
        Line(
            f"lengths, {words}, {bench.limit(LIMIT):g} s: proved",
            _figure(_solved(bench, [one for one in instances if belongs(one)])),
        )
        for words, belongs in classes.items()
    ]


def _solved(bench: Bench, instances: list[Instance]) -> list[Result]:
    tasks = [
        Task(
            one["name"],
            rolls(one["stock_length"], one["items"]),
            bench.limit(LIMIT),
            Fraction(one["best_known"]) if one["best_known"] else None,
        )
        for one in bench.some(instances)
    ]
    return bench.work(tasks)


def _figure(results: list[Result]) -> str:
    proved = sum(one.proved for one in results)
    prices, bounds = int(sum(one.price for one in results)), int(sum(one.bound for one in results))
    middle = median(one.took for one in results)
    return f"{proved} of {len(results)}; {prices} lengths, bound {bounds}; median {middle * 1000:.0f} ms"
