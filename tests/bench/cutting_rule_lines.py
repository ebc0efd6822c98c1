"""The benchmark's lines about furniture whose fronts keep their grain running on, and furniture cut by the router."""

from __future__ import annotations

from dataclasses import replace
from statistics import median
from typing import Final

from tests.bench.cutting_data import OFFCUTS, TENTH, THREE_SIZES, furniture
from tests.bench.cutting_run import Bench, Task
from tests.bench.cutting_table import Line
from webapp.costing.cutting.ask.model import SheetPiece, SheetRequest

SEEDS: Final = range(10)
JOBS: Final = ((8, 20), (20, 60), (35, 140))
CHESTS: Final = ((6000, (1200, 1800, 2400)), (4500, (1500, 1500, 2200)), (8000, (1400, 2000)), (3900, (1600, 1600)))
"""Each a width, and the heights of drawer fronts over which the grain runs on, in tenths of a millimetre."""


def grain_running_on(bench: Bench) -> list[Line]:
    """Furniture jobs with four chests of drawers each, their fronts cut from one sheet: price at three limits."""
    return _priced(bench, "fronts kept together", with_fronts)


def by_router(bench: Bench) -> list[Line]:
    """The same furniture jobs cut by the router."""
    return _priced(bench, "router", lambda request: replace(request, method="router"))


def within_rules(bench: Bench) -> list[Line]:
    """The same with a least workpiece of 60 mm and three turns at most."""
    return _priced(bench, "60 mm and 3 turns", lambda one: replace(one, smallest_strip=600 * TENTH, most_turns=3))


def with_fronts(request: SheetRequest) -> SheetRequest:
    """The request, and with it the fronts of the chests."""
    fronts = tuple(
        SheetPiece(f"front {chest}.{place}", high * TENTH, wide * TENTH, 1, may_turn=False, together=f"chest {chest}")
        for chest, (wide, heights) in enumerate(CHESTS)
        for place, high in enumerate(heights)
    )
    return replace(request, pieces=request.pieces + fronts)


def _priced(bench: Bench, words: str, made: object) -> list[Line]:
    assert callable(made)
    lines = []
    for kinds, pieces in JOBS:
        for seconds in (None, bench.limit(1), bench.limit(5)):
            results = bench.work(
                [
                    Task(
                        f"{pieces} {words} {seed}", made(furniture(kinds, pieces, seed, THREE_SIZES + OFFCUTS)), seconds
                    )
                    for seed in SEEDS
                ]
            )
            when = "default steps" if seconds is None else f"{seconds:g} s"
            lines.append(
                Line(
                    f"furniture {kinds}/{pieces}, {words}, {when}: price of ten jobs",
                    f"{float(sum(one.price for one in results)):,.0f}, median gap "
                    f"{median(one.gap for one in results):.2%}, {median(one.took for one in results) * 1000:.0f} ms, "
                    f"{sum(one.proved for one in results)} proved, {sum(one.left_out for one in results)} left out",
                )
            )
    return lines
