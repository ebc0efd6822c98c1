"""A fixed piece of plain Python work: benchmark times are printed beside it, so that machines can be compared."""

from __future__ import annotations

from collections.abc import Callable
from statistics import median
from time import perf_counter

ROUNDS = 5
LOOPS = 300_000
#: So many runs of what is timed, after one that is not counted.
RUNS = 15


def yardstick_seconds() -> float:
    """The least of a few timings of the same loop, in seconds."""
    return min(_one_round() for _ in range(ROUNDS))


def milliseconds(what: Callable[[], object]) -> float:
    """The median of some runs."""
    what()
    times = []
    for _ in range(RUNS):
        started = perf_counter()
        what()
        times.append(perf_counter() - started)
    return median(times) * 1000


def _one_round() -> float:
    started = perf_counter()
    total = 0
    kept = [0] * 64
    for number in range(LOOPS):
        total += number * number % 7
        kept[number & 63] = total
    if sum(kept) < 0:
        raise AssertionError
    return perf_counter() - started
