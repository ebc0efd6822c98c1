"""The background worker: it takes cutting questions from the store's tasks and looks for better plans, one at a time.

Sweeps of designs go before them. Now and then it sees to the house, which is a task of its own: what nobody needs any
more goes.
Whatever it finds is kept at once, so that a worker that is killed loses the last half second of its work.
"""

from __future__ import annotations

import gc
import logging
import os
import resource
import signal
import socket
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from threading import Event, Thread
from typing import Final

from sqlalchemy.exc import SQLAlchemyError

from webapp.costing.cutting.ask.checking import CutRequestError
from webapp.costing.cutting.ask.model import LengthPlan, SheetPlan, SheetRequest
from webapp.costing.cutting.lengths.plan import plan_lengths
from webapp.costing.cutting.sheets.plan import plan_sheets
from webapp.costing.estimate.snapshot import read_plan
from webapp.costing.plans.again import laid_on
from webapp.costing.plans.key import pieces_key
from webapp.costing.plans.rank import better_plan
from webapp.costing.plans.requests import Plan, Request
from webapp.housekeeping import keep_house
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.errors import StoreFull
from webapp.persistence.foundation.leases import LEASE, LeaseState
from webapp.persistence.plans.records import get_many, keep_best, last_of_pieces
from webapp.persistence.plans.tasks import Claimed, Onward, Progress, claim, let_go, note_progress
from webapp.persistence.sweeps.tasks import claim_sweep, sweep_waits
from webapp.running import utc_now
from webapp.sweeps.second import BETWEEN_ROUNDS
from webapp.sweeps.work import SweepWork, cores_here

LOG: Final = logging.getLogger("reckoner")

#: The clock ends a search long before this.
STEPS: Final = 10**12
#: How often progress is written down, in seconds.
TELL_EVERY: Final = 0.5
#: A task makes way for one that had less only after so much time at a stretch, in ms: each begins its search anew.
AT_A_STRETCH: Final = 5_000
#: How long a worker without work waits before it looks again, in seconds.
LOOK_EVERY: Final = 0.5
#: How often the house is seen to, by each worker for itself: those who come at once leave each other's rows alone.
KEEP_HOUSE_EVERY: Final = timedelta(hours=1)
#: The largest address space of the worker; the solver's libraries alone reserve some of it.
MOST_MEMORY: Final = 2 * 1024**3
#: A worker that is asked to end has so long for it, in seconds.
TO_END: Final = 5.0

#: Makes one plan: (question, seed, seconds, the plan it starts from, watch) -> plan.
Solve = Callable[[Request, int, float, Plan | None, Callable[[Plan], bool]], Plan]


def solve(request: Request, seed: int, seconds: float, start: Plan | None, watch: Callable[[Plan], bool]) -> Plan:
    """The best plan within so many seconds; `watch` hears of it on the way, and stops it by answering False."""
    if isinstance(request, SheetRequest):
        known = start if isinstance(start, SheetPlan) else None
        return plan_sheets(request, steps=STEPS, seed=seed, seconds=seconds, start=known, watch=watch)
    kept = start if isinstance(start, LengthPlan) else None
    return plan_lengths(request, steps=STEPS, seed=seed, seconds=seconds, start=kept, watch=watch)


def work(
    database: Database, ending: Event, *, until_idle: bool = False, lease: timedelta = LEASE, solve: Solve = solve,
    clock: Callable[[], datetime] = utc_now,
) -> None:  # fmt: skip
    """Work on what waits until told to end, or with `until_idle` until nothing waits."""
    holder = f"{socket.gethostname()}:{os.getpid()}"
    house_due, left_over = clock(), False
    while not ending.is_set():
        try:
            if clock() >= house_due:
                left_over = keep_house(database, clock())
                house_due = clock() + (timedelta(0) if left_over else KEEP_HOUSE_EVERY)
            with database.writing() as session:
                # Somebody sits before a sweep, which is done within seconds: it goes before plans that get better.
                sweep = claim_sweep(session, holder, at=clock(), lease=lease)
                task = claim(session, holder, at=clock(), lease=lease) if sweep is None else None
            if sweep is not None:
                SweepWork(database, holder, sweep, ending, clock, lease, cores=cores_here()).run()
                continue
            if task is not None:
                Search(database, holder, task, ending, lease, clock).run(solve)
                continue
        except (SQLAlchemyError, StoreFull):
            # The store is being restored, its disk is full, or its server is away for a moment.
            LOG.warning("The store didn't answer the worker; it tries again.", exc_info=True)
            left_over = False
        if until_idle and not left_over:
            return
        ending.wait(LOOK_EVERY)


@dataclass
class Search:
    """The work on one task that is held."""

    database: Database
    holder: str
    task: Claimed
    ending: Event
    lease: timedelta
    clock: Callable[[], datetime] = utc_now
    began: float = field(default_factory=time.monotonic)
    told_at: float = 0.0
    last_kept: Plan | None = None
    onward: Onward = "on"
    broken_off: bool = False

    def run(self, solve: Solve) -> None:
        """Look for better plans until the best is proved, the time is over, or there is reason to stop."""
        task = self.task
        with self.database.reading() as session:
            kept = get_many(session, [task.key]).get(task.key)
            stocks = [stock.id for stock in task.request.stocks]
            earlier = last_of_pieces(session, pieces_key(task.request), stocks)
        start = read_plan(kept.plan) if kept is not None else None
        if earlier is not None and (laid := laid_on(task.request, earlier)) is not None:
            start = laid if start is None else better_plan(start, laid, task.request)
        left = max(0, task.wanted_ms - task.spent_ms) / 1000
        try:
            # A search that was broken off goes on from the plan it left, by another way.
            found = solve(task.request, task.spent_ms // 1000, left, start, self.watch)
        except (SQLAlchemyError, StoreFull):
            raise
        except Exception as error:
            LOG.error("A cut plan could not be looked for", exc_info=error)
            said = str(error) if isinstance(error, CutRequestError) else "The search went wrong; the log says how."
            self._let_go("failed", said)
            return
        self._tell(found)
        self._let_go(self._outcome(found))

    def watch(self, best: Plan) -> bool:
        """Hear of the best plan so far; False where the search is to stop."""
        if time.monotonic() - self.told_at >= TELL_EVERY:
            self._tell(best)
        self.broken_off = self.ending.is_set() or self.onward != "on"
        return not self.broken_off

    def _tell(self, best: Plan) -> None:
        spent = int((time.monotonic() - self.began) * 1000)
        now = self.clock()
        with self.database.writing() as session:
            progress = Progress(best, self.task.spent_ms + spent)
            onward = note_progress(session, self.task.key, self.holder, progress, at=now, lease=self.lease)
            if onward == "give way" and spent < AT_A_STRETCH:
                onward = "on"
            if onward == "on" and sweep_waits(session):
                onward = "give way"
            if best != self.last_kept:
                # Kept even where the task is lost: a better plan is a better plan.
                keep_best(session, self.task.key, best, at=now, request=self.task.request)
        self.last_kept, self.told_at, self.onward = best, time.monotonic(), onward

    def _outcome(self, found_plan: Plan) -> LeaseState:
        if found_plan.proved or not self.broken_off:
            return "done"
        return "stopped" if self.onward == "stop" else "waiting"

    def _let_go(self, state: LeaseState, why: str = "") -> None:
        with self.database.writing() as session:
            let_go(session, self.task.key, self.holder, state, at=self.clock(), why=why)


def run_worker(
    database: Database, *, until_idle: bool, with_parent: bool, first: Callable[[], object] | None = None
) -> None:
    """Be the worker of this process: gentle to others, held to its memory, ended by a signal or with its parent.

    `first` is done before any plan is looked for.
    """
    ending = Event()

    def end(*_: object) -> None:
        ending.set()
        Thread(target=_end_hard, daemon=True).start()

    signal.signal(signal.SIGTERM, end)
    # A key press that stops the program reaches its children too: they end when it does.
    signal.signal(signal.SIGINT, signal.SIG_IGN if with_parent else end)
    if with_parent:
        Thread(target=_end_with_parent, args=(end,), daemon=True).start()
    gc.set_threshold(*BETWEEN_ROUNDS)
    os.nice(10)
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    if first is not None:
        first()
    work(database, ending, until_idle=until_idle)


def _end_with_parent(end: Callable[[], None]) -> None:
    """The parent holds the other end of standard input and never writes: it is gone when reading ends."""
    sys.stdin.read()
    end()


def _end_hard() -> None:
    time.sleep(TO_END)
    os._exit(1)
