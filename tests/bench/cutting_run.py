"""Cutting questions put one at a time to processes of one core each, every plan judged, time and memory measured."""

from __future__ import annotations

import os
import resource
import sys
from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from fractions import Fraction
from multiprocessing import get_context
from pathlib import Path
from time import perf_counter
from typing import Final, TypeVar

from tests.cut_checker import faults_of_length_plan, faults_of_sheet_plan
from webapp.costing.cutting.ask.effort import SHEET_STEPS
from webapp.costing.cutting.ask.model import (
    LengthPiece,
    LengthPlan,
    LengthRequest,
    LengthStock,
    SheetPlan,
    SheetRequest,
)
from webapp.costing.cutting.lengths.plan import plan_lengths
from webapp.costing.cutting.sheets.plan import plan_sheets

Asked = TypeVar("Asked")
Answered = TypeVar("Answered")

NO_END: Final = 10**9
ONE_THREAD: Final = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


@dataclass(frozen=True)
class Task:
    """A question, and the seconds for it; without seconds it is worked at the default steps."""

    name: str
    request: SheetRequest | LengthRequest
    seconds: float | None
    best_known: Fraction | None = None


@dataclass(frozen=True)
class Result:
    """What became of a task; `peak` is the most memory in bytes that its process has held so far."""

    task: Task
    price: Fraction
    bound: Fraction
    proved: bool
    left_out: int
    took: float
    faults: tuple[str, ...]
    peak: int

    @property
    def gap(self) -> float:
        """How far the price is above the bound, as a share of the bound."""
        if self.price == self.bound:
            return 0.0
        return float(self.price / self.bound) - 1 if self.bound else float("inf")

    @property
    def overrun(self) -> float:
        """Seconds past the limit; below nothing where it ended earlier."""
        return self.took - self.task.seconds if self.task.seconds is not None else -1.0

    @property
    def bound_too_high(self) -> bool:
        """Whether the bound is above what somebody has reached."""
        return self.task.best_known is not None and self.bound > self.task.best_known


def work(task: Task) -> Result:
    """Plan, measure, judge."""
    request = task.request
    plan: SheetPlan | LengthPlan
    started = perf_counter()
    if isinstance(request, SheetRequest):
        steps = SHEET_STEPS if task.seconds is None else NO_END
        plan = sheet_plan = plan_sheets(request, steps=steps, seconds=task.seconds)
        took = perf_counter() - started
        faults = faults_of_sheet_plan(request, sheet_plan)
    else:
        plan = length_plan = plan_lengths(request, steps=NO_END, seconds=task.seconds)
        took = perf_counter() - started
        faults = faults_of_length_plan(request, length_plan)
    return Result(
        task=task,
        price=plan.price,
        bound=plan.bound,
        proved=plan.proved,
        left_out=sum(one.count for one in plan.unplaced),
        took=took,
        faults=tuple(faults),
        peak=resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024),
    )


@dataclass
class Bench:
    """What the lines share: where the data is, how much of it is taken, and all results so far."""

    folder: Path
    every: int
    seconds: float | None
    jobs: int
    picture: Path | None
    results: list[Result] = field(default_factory=list)
    kept: dict[str, list[Result]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for name in ONE_THREAD:
            os.environ[name] = "1"
        self._pool = ProcessPoolExecutor(self.jobs, mp_context=get_context("spawn"), initializer=_warm_up)

    def spread(self, function: Callable[[Asked], Answered], asked: Iterable[Asked]) -> list[Answered]:
        """The answers in the order of the questions."""
        return list(self._pool.map(function, asked))

    def work(self, tasks: list[Task]) -> list[Result]:
        """The results in the order of the tasks; each is kept for the lines about them all."""
        results = self.spread(work, tasks)
        self.results += results
        return results

    def limit(self, usual: float) -> float:
        """The seconds for each question."""
        return usual if self.seconds is None else self.seconds

    def some(self, everything: list[Answered]) -> list[Answered]:
        """Every so-manieth, each time from a later place, so that no class or size is left out for good."""
        return [one for place, one in enumerate(everything) if place % self.every == place // self.every % self.every]

    def close(self) -> None:
        """End the processes."""
        self._pool.shutdown()


def bins_of(result: Result) -> SheetRequest:
    """The question of a result about sheets."""
    if not isinstance(result.task.request, SheetRequest):
        raise TypeError(result.task.name)
    return result.task.request


def _warm_up() -> None:
    """Have everything loaded before the first clock starts."""
    stock = (LengthStock("stock", 100, 0, Fraction(1)),)
    plan_lengths(LengthRequest(0, stock, tuple(LengthPiece(str(n), n, 7) for n in (45, 36, 31, 14))))
