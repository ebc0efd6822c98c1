"""Cut plans as kept, and the questions that are looked into in the background: on both databases."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from fractions import Fraction
from uuid import UUID, uuid4

import pytest
from sqlalchemy.orm import Session

from webapp.costing.cutting.ask.model import (
    CutSheet,
    LengthPiece,
    LengthRequest,
    LengthStock,
    SheetPiece,
    SheetPlan,
    SheetRequest,
    SheetStock,
    Trim,
)
from webapp.costing.errors import FormError
from webapp.costing.estimate.snapshot import read_plan
from webapp.costing.plans.documents import read_request, write_request
from webapp.costing.plans.key import shape_key
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.leases import LEASE, MOST_TRIES
from webapp.persistence.jobs.records import create_job
from webapp.persistence.plans.records import get_many, keep_best, last_of_shape, marks_of
from webapp.persistence.plans.tasks import (
    Progress,
    Question,
    ask,
    ask_to_stop,
    claim,
    go_on,
    let_go,
    note_progress,
    tasks_of,
    wishes_of,
)

NOW = datetime(2026, 11, 2, 15, 30, tzinfo=UTC)
REQUEST = SheetRequest(
    3,
    "saw",
    (
        SheetStock("a", 2440, 1220, Trim(9, 9, 6, 6), Fraction(575, 7)),
        SheetStock("b", 900, 600, Trim.all_round(0), Fraction(1, 3), 2),
    ),
    (SheetPiece("0", 700, 300, 4, False, "fronts"), SheetPiece("1", 90, 50, 7, True)),
    smallest_strip=80,
    most_turns=2,
)


def test_cut_plans_are_found_by_their_keys(shop_database: Database) -> None:
    with shop_database.writing() as session:
        keep_best(session, "one", plan_at(575), at=NOW)
        keep_best(session, "two", plan_at(300), at=NOW + timedelta(days=2))
    with shop_database.writing() as session:
        keys = ["one", "two", *(f"none_{number}" for number in range(1200))]
        assert {key: read_plan(kept.plan) for key, kept in get_many(session, keys).items()} == {
            "one": plan_at(575),
            "two": plan_at(300),
        }


def plan_at(price: int, bound: int = 0, cuts: int = 4) -> SheetPlan:
    """A plan that costs so many thirds."""
    cost, least = Fraction(price, 3), Fraction(bound, 3)
    return SheetPlan((CutSheet("a", 1, ()),), (), cost, least, price == bound, 9, cuts, 90, (("a", Fraction(1, 3)),))


def test_a_worse_plan_never_takes_the_place_of_a_better_one(shop_database: Database) -> None:
    with shop_database.writing() as session:
        keep_best(session, "key", plan_at(500, 200), at=NOW)
        before = marks_of(session, ["key"])
        assert keep_best(session, "key", plan_at(600, 150), at=NOW) == plan_at(500, 200)
        assert marks_of(session, ["key"]) == before, "a plan that stays has another mark"
        better = keep_best(session, "key", plan_at(450, 100), at=NOW)
        assert better == plan_at(450, 200), "what the older one knew of the least price is lost"
        assert marks_of(session, ["key"]) != before, "another plan of the same moment has the same mark"
        assert keep_best(session, "key", plan_at(450, 450, cuts=9), at=NOW).proved
        assert read_plan(get_many(session, ["key"])["key"].plan) == plan_at(450, 450)


def test_a_plan_kept_before_questions_had_a_shape_is_found_by_it_once_it_is_asked_for(shop_database: Database) -> None:
    with shop_database.writing() as session:
        keep_best(session, "key", plan_at(500), at=NOW)
        assert last_of_shape(session, shape_key(REQUEST)) is None
        before = marks_of(session, ["key"])
        keep_best(session, "key", plan_at(600), at=NOW, request=REQUEST)
    with shop_database.reading() as session:
        found = last_of_shape(session, shape_key(REQUEST))
        assert found is not None
        assert (found.key, found.mark) == ("key", before["key"])
        assert found.prices


def test_a_question_comes_back_from_its_document_to_the_fraction() -> None:
    lengths = LengthRequest(3, (LengthStock("a", 3000, 10, Fraction(22, 7)),), (LengthPiece("0", 815, 4),))
    for request in (REQUEST, lengths):
        assert read_request(write_request(request)) == request
    older = write_request(REQUEST)
    asked = older["asked"]
    assert isinstance(asked, dict)
    asked.pop("most_turns")
    assert read_request(older) == SheetRequest(3, "saw", REQUEST.stocks, REQUEST.pieces, smallest_strip=80)
    asked["kerf"] = "three"
    with pytest.raises(FormError, match=r"“three” is nothing that a cutting question holds at asked\.kerf"):
        read_request(older)


# ---- tasks --------------------------------------------------------------------------------------------------------


def job_of(session: Session) -> UUID:
    return create_job(session, uuid4(), {"form": "1", "job": "Shelves"}, at=NOW).id


def asking(session: Session, *keys: str) -> UUID:
    """A job that asks these questions."""
    job = job_of(session)
    ask(session, job, [Question(key, REQUEST, plan_at(500)) for key in keys], wanted_ms=60_000, at=NOW)
    return job


def later(seconds: float) -> datetime:
    return NOW + timedelta(seconds=seconds)


def test_a_task_is_held_by_one_worker_until_its_lease_is_over(shop_database: Database) -> None:
    with shop_database.writing() as session:
        asking(session, "one")
    with shop_database.writing() as session:
        first = claim(session, "first", at=NOW)
        assert first is not None
        assert (first.key, first.request, first.wanted_ms) == ("one", REQUEST, 60_000)
        assert claim(session, "second", at=later(1)) is None
    with shop_database.writing() as session:
        told = Progress(plan_at(450, 200), 4_000)
        assert note_progress(session, "one", "first", told, at=later(14)) == "on"
        assert claim(session, "second", at=later(16)) is None, "progress doesn't renew the lease"
        taken_over = claim(session, "second", at=later(14) + LEASE + timedelta(seconds=1))
        assert taken_over is not None
        assert taken_over.spent_ms == 4_000
        assert note_progress(session, "one", "first", told, at=later(40)) == "lost"
        let_go(session, "one", "first", "done", at=later(40))
        assert tasks_of(session, ["one"])["one"].state == "running", "one who lost a task ended it"
        let_go(session, "one", "second", "done", at=later(41))
        assert tasks_of(session, ["one"])["one"].price == Fraction(450, 3)


def test_two_workers_at_once_never_take_the_same(shop_database: Database) -> None:
    with shop_database.writing() as session:
        asking(session, "one", "two")
    with shop_database.writing() as session:
        held = claim(session, "first", at=NOW)
        if not shop_database.is_sqlite:
            # On SQLite there is one writer at a time; here the second passes over the row that is being taken.
            with shop_database.writing() as other:
                beside = claim(other, "second", at=NOW)
                assert held is not None
                assert beside is not None
                assert {held.key, beside.key} == {"one", "two"}
    with shop_database.writing() as session:
        claim(session, "second", at=NOW)
        assert claim(session, "third", at=NOW) is None


def test_a_question_asked_again_is_not_looked_into_again_until_more_is_wanted(shop_database: Database) -> None:
    with shop_database.writing() as session:
        job = asking(session, "one")
        claim(session, "worker", at=NOW)
        note_progress(session, "one", "worker", Progress(plan_at(450), 60_000), at=later(60))
        let_go(session, "one", "worker", "done", at=later(60))
        ask(session, job, [Question("one", REQUEST, plan_at(450))], wanted_ms=60_000, at=later(70))
        asking(session, "one")
        assert claim(session, "worker", at=later(71)) is None
        go_on(session, "one", further_ms=120_000, at=later(80))
        again = claim(session, "worker", at=later(81))
        assert again is not None
        assert (again.spent_ms, again.wanted_ms) == (60_000, 180_000)
        assert tasks_of(session, ["one"])["one"].first_price == Fraction(500, 3)


def test_what_no_job_asks_any_more_is_dropped(shop_database: Database) -> None:
    with shop_database.writing() as session:
        job = asking(session, "held")
        assert claim(session, "worker", at=NOW) is not None
        ask(
            session, job, [Question(key, REQUEST, plan_at(500)) for key in ("held", "old", "both")], wanted_ms=1, at=NOW
        )
        asking(session, "both")
        ask(session, job, [Question("new", REQUEST, plan_at(400))], wanted_ms=1, at=NOW)
        assert wishes_of(session, job) == {"new"}
        assert set(tasks_of(session, ["old", "both", "held", "new"])) == {"both", "new"}
        assert note_progress(session, "held", "worker", Progress(plan_at(300), 9), at=NOW) == "lost"


def test_a_worker_is_told_to_stop_and_to_give_way(shop_database: Database) -> None:
    with shop_database.writing() as session:
        asking(session, "one", "two")
        first = claim(session, "worker", at=NOW)
        assert first is not None
        assert note_progress(session, first.key, "worker", Progress(plan_at(450), 900), at=NOW) == "give way"
        let_go(session, first.key, "worker", "waiting", at=NOW)
        second = claim(session, "worker", at=NOW)
        assert second is not None
        assert second.key != first.key, "the one that had its turn comes before the one that had none"
        ask_to_stop(session, first.key, at=NOW)
        ask_to_stop(session, second.key, at=NOW)
        assert tasks_of(session, [first.key])[first.key].state == "stopped"
        assert note_progress(session, second.key, "worker", Progress(plan_at(450), 10), at=NOW) == "stop"


def test_a_task_that_ends_every_worker_is_given_up(shop_database: Database) -> None:
    with shop_database.writing() as session:
        asking(session, "one")
        moment = NOW
        for _ in range(MOST_TRIES):
            assert claim(session, "worker", at=moment) is not None
            moment += LEASE * 2
        assert claim(session, "worker", at=moment) is None
        task = tasks_of(session, ["one"])["one"]
        assert (task.state, task.why) == ("failed", "The search broke off 3 times.")
