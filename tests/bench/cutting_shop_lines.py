"""The benchmark's lines about furniture jobs, very large jobs and how the first plan's time grows."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import compress
from statistics import median, median_high
from time import perf_counter
from typing import Final, Literal

from tests.bench.cutting_data import LARGE, OFFCUTS, THREE_SIZES, furniture, many_pieces, tiny_squares
from tests.bench.cutting_rectpack import all_settings, pack_task, sheets_by_setting
from tests.bench.cutting_run import Bench, Task, bins_of
from tests.bench.cutting_table import Line, growth_picture
from webapp.costing.cutting.ask.model import SheetRequest
from webapp.costing.cutting.sheets.plan import plan_sheets

SEEDS: Final = range(10)
JOBS: Final = ((20, 60), (35, 140))
GROWTH: Final = (20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000)
ONE_SIZE: Final = (LARGE,)


def furniture_mixed(bench: Bench) -> list[Line]:
    """Half of the kinds grain-locked, three sizes and two offcuts."""
    lines = []
    for kinds, pieces in JOBS:
        results = bench.work(
            [
                Task(f"{pieces} mixed {seed}", furniture(kinds, pieces, seed, THREE_SIZES + OFFCUTS), bench.limit(10))
                for seed in SEEDS
            ]
        )
        middle = median(one.gap for one in results)
        lines += [
            Line(
                f"furniture {kinds}/{pieces}, 3 sizes and 2 offcuts, {bench.limit(10):g} s: median gap",
                f"{middle:.2%} (largest {max(one.gap for one in results):.2%})",
                "at most 5 %",
                middle <= 0.05,
            ),
            Line("  the same", f"{middle:.2%}", "aim: 3 %", middle <= 0.03),
        ]
    return lines


def furniture_one_size(bench: Bench) -> list[Line]:
    """The same jobs from sheets of one size: how long until the plan is proved."""
    lines = []
    for kinds, pieces in JOBS:
        results = bench.work(
            [
                Task(f"{pieces} of one size {seed}", furniture(kinds, pieces, seed, ONE_SIZE), bench.limit(5))
                for seed in SEEDS
            ]
        )
        middle = median_high(one.took if one.proved else float("inf") for one in results)
        proved = sum(one.proved for one in results)
        when = f"median proved after {middle:.2f} s" if proved > len(results) / 2 else "median not proved"
        lines.append(
            Line(
                f"furniture {kinds}/{pieces}, one size, {bench.limit(5):g} s: proved",
                f"{proved} of {len(results)}; {when}",
                "median proved in 5 s",
                middle <= 5,
            )
        )
    return lines


def furniture_waiting(bench: Bench) -> list[Line]:
    """At the default steps: what an estimate waits for each material."""
    lines = []
    for kinds, pieces in ((8, 20), *JOBS):
        results = bench.work(
            [Task(f"{pieces} default {seed}", furniture(kinds, pieces, seed, THREE_SIZES), None) for seed in SEEDS]
        )
        lines.append(
            Line(
                f"furniture {kinds}/{pieces}, three sizes, default steps: median time",
                f"{median(one.took for one in results) * 1000:.0f} ms, median gap {median(r.gap for r in results):.1%}",
            )
        )
    return lines


def furniture_library(bench: Bench) -> list[Line]:
    """Furniture from one size against the best of all settings of rectpack.

    The library turns all pieces or none, so it is asked about jobs in which every piece may turn and about jobs in
    which every piece keeps its grain; a job with some of each it can't be asked.
    """
    settings = all_settings()
    lines = []
    grains: tuple[tuple[Literal["free", "locked"], str], ...] = (("free", "free to turn"), ("locked", "grain kept"))
    for grain, words in grains:
        tasks = [
            Task(f"{pieces} {grain} {seed}", furniture(kinds, pieces, seed, ONE_SIZE, grain), bench.limit(1))
            for kinds, pieces in JOBS
            for seed in SEEDS
        ]
        results = bench.work(tasks)
        needed = bench.spread(sheets_by_setting, [pack_task(bins_of(result)) for result in results])
        ours = [int(result.price / LARGE.price) for result in results]
        for kind, counted in (("guillotine", [one.guillotine for one in settings]), ("any", [True] * len(settings))):
            theirs = [min(compress(each, counted)) for each in needed]
            worse = sum(one > other for one, other in zip(ours, theirs, strict=True))
            lines.append(
                Line(
                    f"furniture, {words}, {bench.limit(1):g} s: worse than rectpack ({sum(counted)} {kind} settings)",
                    f"{worse} of {len(ours)} jobs; {sum(ours)} sheets against {sum(theirs)}",
                    "never",
                    worse == 0,
                )
            )
    return lines


def two_thousand(bench: Bench) -> list[Line]:
    """2,000 pieces of a hundred kinds, half of them grain-locked."""
    lines = []
    for words, stocks in (("one size", ONE_SIZE), ("three sizes", THREE_SIZES)):
        tasks = [Task(f"2000, {words}, {seed}", many_pieces(2000, seed, stocks), bench.limit(30)) for seed in range(2)]
        gap = max(one.gap for one in bench.work(tasks))
        lines.append(
            Line(
                f"2,000 pieces, {words}, {bench.limit(30):g} s: larger gap of two jobs",
                f"{gap:.2%}",
                "2.5 %",
                gap <= 0.025,
            )
        )
    return lines


def first_plans(bench: Bench) -> list[Line]:
    """Time to the first plan against pieces, one job after the other, and the picture of it."""
    points = []
    for pieces in GROWTH:
        (seconds,) = bench.spread(first_plan_seconds, [many_pieces(pieces, 0, THREE_SIZES)])
        points.append((pieces, seconds))
    if bench.picture is not None:
        bench.picture.write_text(growth_picture(points), encoding="utf-8")
    at_5000 = dict(points)[5000]
    return [
        Line("5,000 pieces, three sizes: first plan", f"{at_5000 * 1000:.0f} ms", "200 ms", at_5000 <= 0.2),
        Line("  growth", ", ".join(f"{pieces:,}: {seconds * 1000:.1f}" for pieces, seconds in points[::2]) + " ms"),
    ]


def first_plan_seconds(request: SheetRequest) -> float:
    """The least of three timings of a plan for which no time is given."""
    times = []
    for _ in range(3):
        started = perf_counter()
        plan_sheets(request, steps=10**9, seconds=0.0)
        times.append(perf_counter() - started)
    return min(times)


def bad_input(bench: Bench) -> list[Line]:
    """What is likely to run away: ten thousand pieces of a millimetre, and sheets that cost nothing."""
    free = tuple(replace(stock, price=Fraction(0)) for stock in THREE_SIZES)
    results = bench.work(
        [
            Task("tiny squares", tiny_squares(), bench.limit(2)),
            Task("sheets for nothing", furniture(20, 60, 0, free), bench.limit(2)),
        ]
    )
    return [
        Line(
            f"{one.task.name}, {bench.limit(2):g} s",
            f"{one.took:.2f} s, price {float(one.price):g}, bound {float(one.bound):g}",
            "ends within 0.3 s of the limit",
            one.overrun <= 0.3,
        )
        for one in results
    ]
