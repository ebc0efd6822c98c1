"""The background worker as a process of its own, on both databases: killed in the middle of its work it loses none."""

from __future__ import annotations

import os
import signal
import time
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path
from threading import Event
from uuid import uuid4

from sqlalchemy import select, update

from tests.poor_plan import poor_plan
from webapp.costing.cutting.ask.model import SheetPiece, SheetRequest, SheetStock, Trim
from webapp.costing.estimate.snapshot import read_plan
from webapp.costing.plans.requests import Plan
from webapp.persistence.database.database import Database
from webapp.persistence.jobs.records import create_job
from webapp.persistence.plans.records import get_many, keep_best
from webapp.persistence.plans.tasks import PlanTask, PlanTaskRow, Question, ask, ask_to_stop, tasks_of
from webapp.plan_worker import work
from webapp.plan_workers import PlanWorkers
from webapp.settings import Settings

KEY = "a question"
NOW = datetime(2026, 11, 2, 15, 30, tzinfo=UTC)
TRIM = Trim.all_round(10)
#: Too many pieces of too many sizes for a proof within seconds.
HARD = SheetRequest(
    3,
    "saw",
    tuple(
        SheetStock(f"s{place}", length, width, TRIM, Fraction(price))
        for place, (length, width, price) in enumerate([(2440, 1220, 83), (3050, 1525, 131), (2000, 1000, 61)])
    ),
    tuple(
        SheetPiece(str(number), 180 + 97 * number * number % 811, 120 + 61 * number * number % 487, 5, number % 2 == 0)
        for number in range(30)
    ),
)


def ask_for(database: Database, request: SheetRequest, wanted_ms: int) -> Plan:
    """Ask a question to which only a poor answer is known."""
    poor = poor_plan(request)
    with database.writing() as session:
        job = create_job(session, uuid4(), {"form": "1", "job": "Shelves"}, at=NOW)
        keep_best(session, KEY, poor, at=NOW)
        ask(session, job.id, [Question(KEY, request, poor)], wanted_ms=wanted_ms, at=NOW)
    return poor


def task_of(database: Database) -> PlanTask:
    with database.reading() as session:
        return tasks_of(session, [KEY])[KEY]


def kept_plan(database: Database) -> Plan:
    with database.reading() as session:
        return read_plan(get_many(session, [KEY])[KEY].plan)


def wait_until(database: Database, state: str) -> PlanTask:
    """Wait until the task is in a state and has come to a better plan than the poor one.

    A worker makes way for everything else, so that on a busy machine it may take minutes to begin.
    """
    until = time.monotonic() + 300
    while (task := task_of(database)).state != state or task.price == task.first_price:
        assert time.monotonic() < until, f"it is {task}"
        time.sleep(0.1)
    return task


def alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


def holder_of(database: Database) -> int:
    with database.reading() as session:
        holder = session.scalars(select(PlanTaskRow.holder)).one()
    assert holder is not None
    return int(holder.rpartition(":")[2])


def test_a_worker_killed_at_its_work_loses_nothing(shop_database: Database, tmp_path: Path) -> None:
    ask_for(shop_database, HARD, 600_000)
    workers = PlanWorkers(Settings(data_folder=tmp_path, database_url=shop_database.address, plan_workers=1))
    workers.start()
    try:
        wait_until(shop_database, "running")
        first = holder_of(shop_database)
        os.kill(first, signal.SIGKILL)
        before = kept_plan(shop_database)
        # So much time goes by that the lease is over; and a second more is all that is wanted now.
        with shop_database.writing() as session:
            row = PlanTaskRow
            session.execute(update(row).values(held_until=NOW, wanted_ms=row.spent_ms + 1000, price=row.first_price))
        done = wait_until(shop_database, "done")
        after = kept_plan(shop_database)
        assert after.price <= before.price
        assert after.bound >= before.bound
        assert (done.price, done.spent_ms > 0) == (after.price, True)
        assert not after.unplaced
        # The one that took its place ends with those who started it.
        with shop_database.writing() as session:
            session.execute(update(PlanTaskRow).values(state="waiting", wanted_ms=600_000))
        wait_until(shop_database, "running")
        second = holder_of(shop_database)
        assert second != first
    finally:
        workers.stop()
    assert not alive(second)


class OnceBetter(Event):
    """Whoever asks whether the end has come is the worker, at its work: it is told so once a plan was bettered."""

    def __init__(self, database: Database, poor: Plan) -> None:
        super().__init__()
        self.database, self.poor = database, poor

    def is_set(self) -> bool:
        return kept_plan(self.database).price < self.poor.price


class StopOnceBetter(OnceBetter):
    """An end that never comes; the search is asked to stop instead."""

    told = False

    def is_set(self) -> bool:
        if not self.told and super().is_set():
            self.told = True
            with self.database.writing() as session:
                ask_to_stop(session, KEY, at=NOW)
        return False


def test_a_worker_that_is_ended_hands_its_task_back(shop_database: Database) -> None:
    poor = ask_for(shop_database, HARD, 600_000)
    work(shop_database, OnceBetter(shop_database, poor))
    task = task_of(shop_database)
    assert task.state == "waiting"
    assert task.spent_ms < 300_000, "it went on to the end of its time"
    assert task.price == kept_plan(shop_database).price < poor.price


def test_a_search_that_is_stopped_keeps_what_it_found(shop_database: Database) -> None:
    poor = ask_for(shop_database, HARD, 600_000)
    work(shop_database, StopOnceBetter(shop_database, poor), until_idle=True)
    task = task_of(shop_database)
    assert task.state == "stopped"
    assert task.spent_ms < 300_000, "it went on to the end of its time"
    assert task.price == kept_plan(shop_database).price < poor.price


def test_a_question_that_makes_no_sense_ends_failed_with_its_sentence(shop_database: Database) -> None:
    small = SheetRequest(-1, "saw", HARD.stocks, HARD.pieces[:1])
    ask_for(shop_database, small, 1_000)
    work(shop_database, Event(), until_idle=True)
    task = task_of(shop_database)
    assert task.state == "failed"
    assert "kerf" in task.why
