"""The background worker at a sweep, on both databases: killed in the middle of it, stopped, ended, and at its end."""

from __future__ import annotations

import os
import signal
import time
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path
from threading import Event

from sqlalchemy import select, update

from tests.costing.sweep.stool_case import BLOCK, STOOL
from tests.persistence.test_plan_worker import HARD, ask_for, task_of
from webapp.costing.sweep.result import read_result
from webapp.design_text import read_text
from webapp.persistence.database.database import Database
from webapp.persistence.designs.records import load_design
from webapp.persistence.plans.tasks import PlanTaskRow
from webapp.persistence.sweeps.tasks import Sweep, SweepRow, ask, ask_to_stop, claim_sweep, find_sweep, go_on
from webapp.plan_worker import work
from webapp.plan_workers import PlanWorkers
from webapp.running import utc_now
from webapp.settings import Settings
from webapp.sweeps.work import SweepWork, work_a_slice

KEY = "a sweep"
LONG_AGO = datetime(2026, 1, 1, tzinfo=UTC)


def ask_for_stool(database: Database) -> None:
    document, problems = read_text(STOOL)
    assert document is not None, problems
    with database.writing() as session:
        ask(session, KEY, "plain_stool", "Plain stool", document, at=utc_now())


def sweep_of(database: Database, key: str = KEY) -> Sweep:
    with database.reading() as session:
        found = find_sweep(session, key)
    assert found is not None
    return found


def holder_of(database: Database) -> int:
    with database.reading() as session:
        holder = session.scalars(select(SweepRow.holder)).one()
    assert holder is not None
    return int(holder.rpartition(":")[2])


def wait_until_judged(database: Database, more_than: int) -> Sweep:
    """A worker makes way for everything else, so that on a busy machine it may take minutes to come so far."""
    until = time.monotonic() + 300
    while (sweep := sweep_of(database)).judged <= more_than:
        assert time.monotonic() < until, f"it is {sweep}"
        time.sleep(0.05)
    return sweep


def started_by(process: int) -> list[int]:
    """The processes that one began."""
    return [int(one) for one in Path(f"/proc/{process}/task/{process}/children").read_text(encoding="ascii").split()]


def gone(process: int) -> bool:
    """Whether a process has ended, waited for a while: one that is killed is seen to by its parent, or by the first."""
    until = time.monotonic() + 60
    while time.monotonic() < until:
        try:
            state = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()[0]
        except (FileNotFoundError, ProcessLookupError):
            return True
        if state == "Z":
            return True
        time.sleep(0.1)
    return False


def test_a_worker_killed_at_a_sweep_loses_nothing_that_was_kept(demo_database: Database, tmp_path: Path) -> None:
    with demo_database.writing() as session:
        document = load_design(session, "ware_cart").document
        ask(session, KEY, "ware_cart", "Ware cart", document, at=utc_now())
    workers = PlanWorkers(Settings(data_folder=tmp_path, database_url=demo_database.address, plan_workers=1))
    workers.start()
    try:
        wait_until_judged(demo_database, 0)
        first = holder_of(demo_database)
        beside = started_by(first)
        os.kill(first, signal.SIGKILL)
        # What helped it ends as well: it reads that nobody is there any more.
        assert all(map(gone, beside))
        before = sweep_of(demo_database)
        assert (before.state, before.cases) == ("running", 515)
        # So much time goes by that the lease is over.
        with demo_database.writing() as session:
            session.execute(update(SweepRow).values(held_until=LONG_AGO))
        after = wait_until_judged(demo_database, before.judged)
        assert holder_of(demo_database) != first
        assert after.judged > before.judged > 0
    finally:
        workers.stop()
    # The one that took its place ends with those who started it, and leaves the sweep to whoever comes next.
    assert sweep_of(demo_database).judged >= after.judged


def test_a_sweep_goes_to_its_end_and_finds_what_is_planted(demo_database: Database) -> None:
    ask_for_stool(demo_database)
    work(demo_database, Event(), until_idle=True)
    sweep = sweep_of(demo_database)
    assert (sweep.state, sweep.judged, sweep.cases, sweep.why) == ("done", 507, 507, "")
    assert sweep.result is not None
    (block,) = [one for one in read_result(sweep.result).faults if one.kind == BLOCK]
    assert [(one.size, one.holds, one.fails) for one in block.limits] == [
        ("width", Fraction(350_000_000), Fraction(349_000_000))
    ]
    with demo_database.reading() as session:
        assert session.scalars(select(SweepRow.done)).one() == {}


class StopOnceBegun(Event):
    """Whoever asks whether the end has come is the worker, at its work: its sweep is asked to stop instead."""

    told = False

    def __init__(self, database: Database) -> None:
        super().__init__()
        self.database = database

    def is_set(self) -> bool:
        if not self.told:
            self.told = True
            with self.database.writing() as session:
                ask_to_stop(session, KEY, at=utc_now())
        return False


def test_a_sweep_that_is_stopped_keeps_what_was_done(demo_database: Database) -> None:
    ask_for_stool(demo_database)
    with demo_database.writing() as session:
        held = claim_sweep(session, "one", at=utc_now())
    assert held is not None
    SweepWork(demo_database, "one", held, StopOnceBegun(demo_database), utc_now).run()
    stopped = sweep_of(demo_database)
    assert stopped.state == "stopped"
    assert 0 < stopped.judged < 507
    # By whom it is gone on with makes no difference: here a page, for a moment.
    with demo_database.writing() as session:
        go_on(session, KEY, at=utc_now())
    work_a_slice(demo_database, KEY, "a page", utc_now)
    further = sweep_of(demo_database)
    assert (further.state, further.judged > stopped.judged) == ("waiting", True)


def test_a_worker_that_is_ended_hands_a_sweep_back(demo_database: Database) -> None:
    ask_for_stool(demo_database)
    with demo_database.writing() as session:
        held = claim_sweep(session, "one", at=utc_now())
    assert held is not None
    ending = Event()
    ending.set()
    SweepWork(demo_database, "one", held, ending, utc_now).run()
    assert sweep_of(demo_database).state == "waiting"


def test_what_is_no_design_any_more_ends_failed_with_its_sentence(demo_database: Database) -> None:
    with demo_database.writing() as session:
        ask(session, "no design", "stool", "Stool", {"form": "1", "design": "stool"}, at=utc_now())
    work_a_slice(demo_database, "no design", "a page", utc_now)
    sweep = sweep_of(demo_database, "no design")
    assert (sweep.state, sweep.why) == ("failed", "The text is no whole design any more.")


class SweepAskedMeanwhile(Event):
    """Whoever asks whether the end has come is the worker, at a cut plan: a sweep is asked for then, and the end comes
    once that was seen to."""

    asked = False

    def __init__(self, database: Database) -> None:
        super().__init__()
        self.database = database

    def is_set(self) -> bool:
        with self.database.reading() as session:
            at_work = session.scalars(select(PlanTaskRow.state)).all() == ["running"]
        if at_work and not self.asked:
            self.asked = True
            with self.database.writing() as session:
                ask(session, KEY, "stool", "Stool", {"form": "1", "design": "stool"}, at=utc_now())
        return self.asked and not sweep_of(self.database).goes_on


def test_a_search_for_plans_makes_way_for_a_sweep(shop_database: Database) -> None:
    ask_for(shop_database, HARD, 600_000)
    work(shop_database, SweepAskedMeanwhile(shop_database))
    assert sweep_of(shop_database).state == "failed"
    task = task_of(shop_database)
    assert task.state == "waiting"
    assert task.spent_ms < 300_000, "it went on to the end of its time"
