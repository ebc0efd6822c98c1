"""What goes from the store by itself and what stays, a little at a time: on both databases, with a clock handed in."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from fractions import Fraction
from threading import Event
from uuid import UUID, uuid4

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp import estimating, housekeeping
from webapp.costing.cutting.ask.model import CutSheet, SheetPiece, SheetPlan, SheetRequest, SheetStock, Trim
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import estimate_inputs, read_snapshot
from webapp.estimating import estimate_job, keep_plans
from webapp.housekeeping import keep_house
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.sent_forms import REMEMBERED as FORM_REMEMBERED
from webapp.persistence.foundation.sent_forms import SentFormRow, once
from webapp.persistence.jobs.records import create_job, list_jobs, load_job_by_number, set_job_state
from webapp.persistence.people.missed_passwords import FORGOTTEN_AFTER, MissedRow, note_missed_password
from webapp.persistence.people.users import SignInRow, UserRow, start_sign_in
from webapp.persistence.plans.records import KEPT_UNUSED, PlanRow, get_many, keep_best, note_used
from webapp.persistence.plans.tasks import REMEMBERED, Question, ask, claim, let_go, tasks_of, wishes_of
from webapp.persistence.quotes.records import list_quotes, load_quote
from webapp.persistence.settings.shop import load_shop
from webapp.plan_worker import work
from webapp.remembered import Remembered

NOW = datetime(2026, 11, 2, 15, 30, tzinfo=UTC)
A_SECOND = timedelta(seconds=1)
REQUEST = SheetRequest(
    3, "saw", (SheetStock("a", 2440, 1220, Trim.all_round(0), Fraction(80)),), (SheetPiece("0", 700, 300, 4, False),)
)
PLAN = SheetPlan((CutSheet("a", 1, ()),), (), Fraction(80), Fraction(1), False, 9, 4, 90, (("a", Fraction(1, 3)),))


def a_job(session: Session, *keys: str) -> UUID:
    """An open job that asks these questions, each with a plan."""
    job = create_job(session, uuid4(), {"form": "1", "job": "Shelves"}, at=NOW)
    for key in keys:
        keep_best(session, key, PLAN, at=NOW, request=REQUEST)
    ask(session, job.id, [Question(key, REQUEST, PLAN) for key in keys], wanted_ms=1, at=NOW)
    return job.id


def plans_kept(database: Database) -> set[str]:
    with database.reading() as session:
        return set(session.scalars(select(PlanRow.key)))


def count(database: Database, table: type[Row]) -> int:
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(table)) or 0


def everything_old(database: Database) -> UUID:
    """One of each thing that goes some day, made now; the job whose question it was."""
    with database.writing() as session:
        job = a_job(session, "asked")
        assert claim(session, "worker", at=NOW) is not None
        let_go(session, "asked", "worker", "done", at=NOW)
        user = session.scalars(select(UserRow.id)).one()
        start_sign_in(session, user, "digest", NOW, timedelta(days=14))
        with once(session, "form", at=NOW) as sent:
            sent.leads_to = "/jobs/1"
        note_missed_password(session, "nobody", "10.0.0.1", NOW)
    return job


def test_each_thing_goes_once_its_time_is_over_and_not_before(shop_database: Database) -> None:
    job = everything_old(shop_database)
    for table, lasts in (
        (MissedRow, FORGOTTEN_AFTER),
        (SentFormRow, FORM_REMEMBERED),
        (SignInRow, timedelta(days=14) - A_SECOND),
    ):
        keep_house(shop_database, NOW + lasts)
        assert count(shop_database, table), table
        keep_house(shop_database, NOW + lasts + A_SECOND)
        assert not count(shop_database, table), table
    with shop_database.writing() as session:
        set_job_state(session, job, "dropped", at=NOW)
    keep_house(shop_database, NOW + REMEMBERED)
    with shop_database.reading() as session:
        assert wishes_of(session, job) == {"asked"}
    keep_house(shop_database, NOW + REMEMBERED + A_SECOND)
    with shop_database.reading() as session:
        assert not wishes_of(session, job)
        assert not tasks_of(session, ["asked"])
    keep_house(shop_database, NOW + KEPT_UNUSED)
    assert plans_kept(shop_database) == {"asked"}
    keep_house(shop_database, NOW + KEPT_UNUSED + A_SECOND)
    assert plans_kept(shop_database) == set()


def test_what_an_open_job_asks_stays_however_old(shop_database: Database) -> None:
    with shop_database.writing() as session:
        job = a_job(session, "waiting", "looked into")
        keep_best(session, "nobody's", PLAN, at=NOW)
        claimed = claim(session, "worker", at=NOW)
        assert claimed is not None
        let_go(session, claimed.key, "worker", "done", at=NOW)
    keep_house(shop_database, NOW + timedelta(days=4000))
    assert plans_kept(shop_database) == {"waiting", "looked into"}
    with shop_database.reading() as session:
        assert wishes_of(session, job) == {"waiting", "looked into"}
        assert len(tasks_of(session, ["waiting", "looked into"])) == 2


def test_a_plan_that_is_used_stays(shop_database: Database) -> None:
    with shop_database.writing() as session:
        for key in ("used", "unused"):
            keep_best(session, key, PLAN, at=NOW)
        note_used(session, ["used"], NOW + timedelta(days=1))
        note_used(session, ["used"], NOW - timedelta(days=100))
    keep_house(shop_database, NOW + KEPT_UNUSED + A_SECOND)
    assert plans_kept(shop_database) == {"used"}


def test_a_turn_takes_so_many_rows_and_says_that_more_is_left(shop_database: Database) -> None:
    with shop_database.writing() as session:
        for number in range(5):
            keep_best(session, f"plan {number}", PLAN, at=NOW)
    later = NOW + KEPT_UNUSED + A_SECOND
    assert keep_house(shop_database, later, most=2)
    assert len(plans_kept(shop_database)) == 3
    assert keep_house(shop_database, later, most=2)
    assert not keep_house(shop_database, later, most=2)
    assert plans_kept(shop_database) == set()


def test_what_another_transaction_holds_is_left_to_it(shop_database: Database) -> None:
    with shop_database.writing() as session:
        for key in ("held", "free"):
            keep_best(session, key, PLAN, at=NOW)
    if shop_database.is_sqlite:
        # There whoever writes is alone in any case.
        return
    with shop_database.writing() as session:
        note_used(session, ["held"], NOW + timedelta(days=400))
        keep_house(shop_database, NOW + KEPT_UNUSED + A_SECOND)
    assert plans_kept(shop_database) == {"held"}


def test_the_worker_sees_to_the_house_at_first_and_then_once_an_hour(
    shop_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its clock goes on by twenty minutes whenever it is asked for a task; it ends after so many turns."""
    monkeypatch.setattr("webapp.plan_worker.LOOK_EVERY", 0)
    begin = NOW + timedelta(days=4000)
    moments, seen = [begin], list[datetime]()

    def see_to_it(database: Database, at: datetime) -> bool:
        seen.append(at)
        return housekeeping.keep_house(database, at)

    class AfterTenTurns(Event):
        turns = 0

        def is_set(self) -> bool:
            self.turns += 1
            moments.append(begin + self.turns * timedelta(minutes=20))
            return self.turns > 10

    everything_old(shop_database)
    with shop_database.writing() as session:
        keep_best(session, "nobody's", PLAN, at=NOW)
    monkeypatch.setattr("webapp.plan_worker.keep_house", see_to_it)
    work(shop_database, AfterTenTurns(), clock=lambda: moments[-1])
    assert [(moment - seen[0]) // timedelta(hours=1) for moment in seen] == [0, 1, 2, 3]
    assert plans_kept(shop_database) == {"asked"}
    assert count(shop_database, SignInRow) == 0


def test_a_worker_that_works_once_leaves_nothing_over(shop_database: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("webapp.plan_worker.LOOK_EVERY", 0)
    monkeypatch.setattr("webapp.plan_worker.keep_house", lambda database, at: keep_house(database, at, most=2))
    with shop_database.writing() as session:
        for number in range(7):
            keep_best(session, f"plan {number}", PLAN, at=NOW)
    work(shop_database, Event(), until_idle=True, clock=lambda: NOW + KEPT_UNUSED + A_SECOND)
    assert plans_kept(shop_database) == set()


def begin_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is known from an earlier run of the program."""
    monkeypatch.setattr(estimating, "STORED_PLANS", Remembered(estimating.MOST_PLANS))
    monkeypatch.setattr(estimating, "ESTIMATES", estimating.KeptEstimates())


def test_an_issued_quote_misses_no_plan_and_an_open_job_finds_its_own_again(
    demo_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    def estimated(session: Session, number: int) -> Estimate:
        shop = load_shop(session)
        return estimate_job(session, load_job_by_number(session, number).document, shop, shop.today(NOW))[1]

    begin_anew(monkeypatch)
    with demo_database.reading() as session:
        before = {job.number: estimated(session, job.number).totals.total.value for job in list_jobs(session).entries}
        quotes = [load_quote(session, one.id, NOW.date()) for one in list_quotes(session, NOW.date()).entries]
        one_used = estimated(session, 3)
    assert quotes
    far = NOW + timedelta(days=4000)
    with demo_database.reading() as session:
        keep_plans(demo_database, session, [one_used], far)
    assert keep_house(demo_database, far) is False
    assert plans_kept(demo_database) == set(one_used.plans)
    for quote in quotes:
        again = estimate_inputs(read_snapshot(quote.snapshot))
        assert again.totals.total.value == Fraction(quote.estimate["totals"]["total"])
    begin_anew(monkeypatch)
    with demo_database.reading() as session:
        after = {number: estimated(session, number).totals.total.value for number in before}
        assert set(get_many(session, one_used.plans)) == set(one_used.plans)
    assert after == before
