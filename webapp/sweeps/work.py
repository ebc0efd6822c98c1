"""The work on one sweep that is held: piece by piece, kept every second, with a second process where there are cores.

Whatever is done is kept with the sweep, so that one that is killed loses the last second of its work.
"""

from __future__ import annotations

import os
import pickle
import time
from collections import deque
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from threading import Event, Thread
from typing import Any, Final

from webapp.costing.design_form.reader import read_design
from webapp.costing.measures.manner import writing_as
from webapp.costing.sweep.cases import Subject
from webapp.costing.sweep.course import CASE, Course, Piece, Worker
from webapp.costing.sweep.result import write_result
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.leases import LEASE, LeaseState
from webapp.persistence.sweeps.tasks import (
    ClaimedSweep,
    Onward,
    Progress,
    claim_sweep,
    let_go,
    note_progress,
)
from webapp.remembered import Remembered
from webapp.sweeps.gathered import gather
from webapp.sweeps.second import Second

#: How often what is done is kept, in seconds; it says as well that somebody is at it still.
TELL_EVERY: Final = 1.0
#: So long a page works on a sweep while somebody waits for it, where no worker does, in seconds.
A_SLICE: Final = 0.7
#: So many cases are given to the second process at a time: it waits for the first one between two givings.
AT_A_TIME: Final = 4
#: Who works in slices, by store and sweep: what was made ready for one is there for the next.
READY: Final = Remembered[tuple[str, str, str], Worker](4)


def work_a_slice(database: Database, key: str, holder: str, now: Callable[[], datetime]) -> None:
    """Work on a sweep for a moment, where nobody else is at it: for pages of a shop without workers."""
    with database.writing() as session:
        held = claim_sweep(session, holder, at=now(), key=key)
    if held is not None:
        SweepWork(database, holder, held, Event(), clock=now, seconds=A_SLICE).run()


@dataclass
class SweepWork:
    """The work on a sweep by whoever holds it, to its end, or for so many `seconds`; `cores` at most 2 are used."""

    database: Database
    holder: str
    held: ClaimedSweep
    ending: Event
    clock: Callable[[], datetime]
    lease: timedelta = LEASE
    seconds: float | None = None
    cores: int = 1
    onward: Onward = "on"
    basis: str = ""
    told_at: float = field(default_factory=time.monotonic)
    began: float = field(default_factory=time.monotonic)

    def run(self) -> None:
        """Work until it is done, the time is over, or there is reason to stop."""
        design, _ = read_design(self.held.document)
        if design is None:
            self._let_go("failed", "The text is no whole design any more.")
            return
        with self.database.reading() as session:
            gathered = gather(session, self.held.document, design, self.clock())
        self.basis = gathered.basis
        with writing_as(gathered.manner):
            worker = self._worker(gathered.subject(design))
            done = self.held.done if self.held.basis == self.basis else {}
            course = Course(worker.subject, worker.cases, done)
            second = Second(gathered) if self.cores > 1 else None
            try:
                while self._goes_on() and (left := course.left()):
                    self._work_on(course, worker, deque(left), second)
            finally:
                if second is not None:
                    second.end()
            self._tell(course)
            if not course.left():
                self._let_go("done", result=write_result(course.result()))
            elif self.onward != "lost":
                self._let_go("stopped" if self.onward == "stop" else "waiting")

    def _worker(self, subject: Subject) -> Worker:
        if self.seconds is None:
            return Worker(subject)
        place = (self.database.address, self.held.key, self.basis)
        known = READY.get(place)
        if known is None:
            known = Worker(subject)
            READY.put(place, known)
        return known

    def _work_on(self, course: Course, worker: Worker, pieces: deque[Piece], second: Second | None) -> None:
        """Do pieces of one sort of work, some of them in the second process."""
        done = deque[tuple[Piece, dict[str, Any]]]()
        beside = None
        if second is not None:
            beside = Thread(target=_give_all, args=(second, pieces, done, self._goes_on), daemon=True)
            beside.start()
        while pieces and self._goes_on():
            try:
                piece = pieces.popleft()
            except IndexError:
                break
            done.append((piece, worker.do(piece)))
            self._take(course, done)
        while beside is not None and beside.is_alive() and self._goes_on():
            beside.join(0.1)
            self._take(course, done)
        self._take(course, done)

    def _take(self, course: Course, done: deque[tuple[Piece, dict[str, Any]]]) -> None:
        while done:
            course.take(*done.popleft())
        if time.monotonic() - self.told_at >= TELL_EVERY:
            self._tell(course)

    def _goes_on(self) -> bool:
        over = self.seconds is not None and time.monotonic() - self.began >= self.seconds
        return self.onward == "on" and not over and not self.ending.is_set()

    def _tell(self, course: Course) -> None:
        progress = Progress(self.basis, course.done, course.judged, len(course.cases.all))
        with self.database.writing() as session:
            self.onward = note_progress(
                session, self.held.key, self.holder, progress, at=self.clock(), lease=self.lease
            )
        self.told_at = time.monotonic()

    def _let_go(self, state: LeaseState, why: str = "", result: dict[str, Any] | None = None) -> None:
        with self.database.writing() as session:
            let_go(session, self.held.key, self.holder, state, at=self.clock(), why=why, result=result)


def cores_here() -> int:
    """How many cores this process may use."""
    return len(os.sched_getaffinity(0))


def _give_all(
    second: Second, pieces: deque[Piece], done: deque[tuple[Piece, dict[str, Any]]], goes_on: Callable[[], bool]
) -> None:  # fmt: skip
    """Let the second process do pieces as long as there are any. Where it is gone, the first one does them all."""
    while goes_on():
        taken: list[Piece] = []
        with suppress(IndexError):
            while len(taken) < (AT_A_TIME if pieces[0].sort == CASE else 1):
                taken.append(pieces.popleft())
        if not taken:
            return
        try:
            done.extend(zip(taken, second.do(taken), strict=True))
        except (OSError, EOFError, pickle.UnpicklingError):
            pieces.extend(taken)
            return
