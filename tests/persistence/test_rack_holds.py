"""Pieces that jobs hold: by their accepted quotes, one piece one job, and what is true of the rack goes before."""

from __future__ import annotations

import random
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from threading import Barrier
from uuid import UUID, uuid4

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from tests.harness.examples import LONG
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offcut
from webapp.persistence.catalogue.changes import add_material
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.errors import NotKept, StaleSave, StoreError
from webapp.persistence.jobs.records import StoredJob, create_job, load_job, set_job_state
from webapp.persistence.people.users import list_people
from webapp.persistence.quotes.records import Document, QuoteToIssue, coming_quote, issue_quote
from webapp.persistence.quotes.tables import QuoteState
from webapp.persistence.rack.cuts import mark_cut
from webapp.persistence.rack.holds import (
    HeldByOthers,
    JobEnded,
    hold_for,
    holds_of_job,
    holds_on,
    release_by_hand,
    say_of_quote,
    settle_holds,
    taken_for,
)
from webapp.persistence.rack.records import edit_offcut, load_offcut, move_offcut, moves_of, put_on_rack

NOW = datetime(2026, 11, 2, 15, 30, tzinfo=UTC)
TODAY = date(2026, 11, 2)
PLYWOOD = Material("birch_18", "Birch plywood 18", Kind.SHEET, {"thickness": Fraction(18 * 10**6)})


@pytest.fixture
def racked(shop_database: Database) -> Database:
    with shop_database.writing() as session:
        add_material(session, PLYWOOD, at=NOW)
    return shop_database


def put(database: Database, count: int = 1) -> UUID:
    one = Offcut(str(uuid4()), "birch_18", 1_200_000_000, 600_000_000, count, "Bay 3")
    with database.writing() as session:
        put_on_rack(session, one, "", at=NOW)
    return UUID(one.id)


def job_quoted(database: Database, takes: Mapping[UUID, int]) -> tuple[StoredJob, UUID]:
    """A job with a quote that takes so many of some offcuts from the rack."""
    with database.writing() as session:
        job = create_job(session, uuid4(), {"job": "Kiln table"}, at=NOW)
    return job, quoted(database, job, takes, NOW)


def quoted(database: Database, job: StoredJob, takes: Mapping[UUID, int], at: datetime) -> UUID:
    """A quote of a job, which takes so many of some offcuts from the rack."""
    with database.writing() as session:
        purchases = [
            {"supplier": "rack", "offer": f"rack:{key}", "packs": number} for key, number in takes.items()
        ] + [{"supplier": "ottermead", "offer": str(uuid4()), "packs": 2}]
        estimate = {"materials": [{"code": "birch_18", "purchases": purchases}]}
        ready = QuoteToIssue(
            job.id, job.version, coming_quote(session, job.id), TODAY, TODAY + timedelta(days=30), "USD",
            Decimal("100.00"), 1, {"job": {}}, estimate, (Document("quote", "A4", b"paper"),),
        )  # fmt: skip
        return issue_quote(session, ready, at=at).listed.id


def say(database: Database, quote_id: UUID, state: QuoteState, note: str = "", at: datetime = NOW) -> None:
    with database.writing() as session:
        say_of_quote(session, quote_id, state, TODAY, at=at, note=note)


def holders(database: Database, key: UUID) -> list[int]:
    with database.reading() as session:
        return [one.job_number for one in holds_on(session, [key]).get(key, ())]


def told(database: Database, key: UUID) -> list[tuple[str, int | None, str]]:
    with database.reading() as session:
        return [(one.what, one.job_number, one.note) for one in moves_of(session, key)][::-1]


def test_a_piece_is_held_from_acceptance_until_that_is_taken_back(racked: Database) -> None:
    key = put(racked)
    (job, quote), (late, late_quote) = job_quoted(racked, {key: 1}), job_quoted(racked, {key: 1})
    assert holders(racked, key) == []
    say(racked, quote, "accepted")
    say(racked, late_quote, "accepted")
    assert holders(racked, key) == [job.number]
    with racked.reading() as session:
        assert load_catalogue(session, TODAY).offcuts == {}
        assert load_catalogue(session, TODAY, for_jobs=[late.id]).offcuts == {}
        assert [one.count for one in load_catalogue(session, TODAY, for_jobs=[job.id]).offcuts["birch_18"]] == [1]
    say(racked, quote, "standing", "They think it over.")
    assert holders(racked, key) == []
    with racked.writing() as session:
        settle_holds(session, late.id, at=NOW)
    assert holders(racked, key) == [late.number]
    with racked.writing() as session:
        set_job_state(session, late.id, "dropped", at=NOW)
        settle_holds(session, late.id, at=NOW)
    assert told(racked, key) == [
        ("put", None, ""), ("held", job.number, ""), ("released", job.number, ""), ("held", late.number, ""),
        ("released", late.number, ""),
    ]  # fmt: skip


def test_the_database_refuses_that_two_hold_one_piece(racked: Database) -> None:
    key = put(racked)
    job, quote = job_quoted(racked, {key: 1})
    other, _ = job_quoted(racked, {})
    say(racked, quote, "accepted")
    hold = "INSERT INTO offcut_holds (offcut_id, piece, job_id, held_at) SELECT offcut_id, 1, :job, held_at FROM "
    shown = other.id.hex if racked.is_sqlite else other.id
    with pytest.raises(IntegrityError), racked.writing() as session:
        session.execute(text(f"{hold} offcut_holds"), {"job": shown})
    assert holders(racked, key) == [job.number]


def test_what_is_held_is_used_when_it_is_cut_and_nobody_elses_is(racked: Database) -> None:
    key = put(racked, 2)
    (first, one), (second, two) = job_quoted(racked, {key: 1}), job_quoted(racked, {key: 1})
    say(racked, one, "accepted")
    say(racked, two, "accepted")
    said = "1 of Birch plywood 18 can't be taken: none is free, the rest is held for job 1 and job 2."
    with pytest.raises(HeldByOthers, match=said), racked.writing() as session:
        move_offcut(session, key, "taken", 1, 1, at=NOW)
    with racked.writing() as session:
        move_offcut(session, key, "taken", 1, 1, at=NOW, job=first.number)
        # It has what it counted on: it does not ask for the next one.
        settle_holds(session, first.id, at=NOW)
    assert holders(racked, key) == [second.number]
    with racked.reading() as session:
        assert load_offcut(session, key).offcut.count == 1
        assert holds_of_job(session, first.id) == ()


def test_what_was_cut_or_counted_is_true_whatever_was_held(racked: Database) -> None:
    key = put(racked, 3)
    (first, one), (second, two) = job_quoted(racked, {key: 2}), job_quoted(racked, {key: 1})
    say(racked, one, "accepted")
    say(racked, two, "accepted")
    with racked.writing() as session:
        move_offcut(session, key, "taken", 2, 1, at=NOW, job=second.number, whatever=True)
    assert holders(racked, key) == [first.number]
    with racked.writing() as session:
        move_offcut(session, key, "counted", 0, 2, at=NOW)
    assert holders(racked, key) == []
    assert [row for row in told(racked, key) if row[0] == "lost"] == [
        ("lost", first.number, f"cut for job {second.number}"), ("lost", first.number, "fewer were counted"),
    ]  # fmt: skip


def test_the_owner_takes_a_piece_for_a_job_that_can_not_wait(racked: Database) -> None:
    key = put(racked)
    (first, quote), (rush, _) = job_quoted(racked, {key: 1}), job_quoted(racked, {})
    say(racked, quote, "accepted")
    with pytest.raises(HeldByOthers, match="held for job 1"), racked.writing() as session:
        hold_for(session, key, rush.number, at=NOW)
    with racked.writing() as session:
        hold_for(session, key, rush.number, at=NOW, whatever=True)
    assert holders(racked, key) == [rush.number]
    assert ("lost", first.number, f"taken for job {rush.number}") in told(racked, key)
    with racked.writing() as session:
        # What was taken by hand stays with a job that has no quote, until it is let go.
        settle_holds(session, rush.id, at=NOW)
    assert holders(racked, key) == [rush.number]
    with racked.writing() as session:
        release_by_hand(session, key, rush.number, at=NOW, by=None)
    with pytest.raises(NotKept), racked.writing() as session:
        release_by_hand(session, key, rush.number, at=NOW, by=None)
    with pytest.raises(NotKept), racked.writing() as session:
        hold_for(session, key, 999, at=NOW)


def test_no_piece_is_held_twice_however_two_people_meet(racked: Database) -> None:
    """Two people do what they will with two offcuts at the same moment, each in a transaction of their own."""
    keys = [put(racked, 2), put(racked, 1)]
    jobs = [job_quoted(racked, {keys[0]: 1, keys[1]: 1}) for _ in range(3)]
    drawn = random.Random(11)
    with racked.reading() as session:
        owner = list_people(session)[0].user.id

    def do(choice: tuple[int, int, int]) -> None:
        act, which, piece = choice
        (job, quote), key = jobs[which], keys[piece]
        with racked.writing() as session:
            if act == 0:
                say_of_quote(session, quote, "accepted", TODAY, at=NOW, by=owner)
            elif act == 1:
                say_of_quote(session, quote, "standing", TODAY, at=NOW, by=owner, note="not yet")
            elif act == 2:
                hold_for(session, key, job.number, at=NOW, by=owner, whatever=True)
            elif act == 3:
                version = load_offcut(session, key).version
                move_offcut(session, key, "taken", 1, version, at=NOW, by=owner, job=job.number)
            else:
                version = load_offcut(session, key).version
                move_offcut(session, key, "counted", 1 + act % 2, version, at=NOW, by=owner)

    def meet(choice: tuple[int, int, int]) -> None:
        together.wait()
        with suppress(StoreError):
            do(choice)

    with ThreadPoolExecutor(2) as pool:
        for _ in range(1000 if LONG else 40):
            together = Barrier(2)
            choices = [(drawn.randrange(6), drawn.randrange(3), drawn.randrange(2)) for _ in range(2)]
            list(pool.map(meet, choices))
            with racked.reading() as session:
                found = holds_on(session, keys)
                for key in keys:
                    held, count = found.get(key, ()), load_offcut(session, key).offcut.count
                    assert len({one.piece for one in held}) == len(held) <= count
                    assert all(1 <= one.piece <= count for one in held)
                    # What was written down, and nothing else, leads to who holds it.
                    moves = [(one.what, one.job_number) for one in moves_of(session, key)]
                    ever = moves.count
                    for job, _ in jobs:
                        number = job.number
                        own = sum(1 for one in held if one.job_number == number)
                        ended = ever(("released", number)) + ever(("lost", number))
                        assert 0 <= ever(("held", number)) - ended - own <= ever(("taken", number))
    with racked.reading() as session:
        assert all(load_job(session, job.id).state in ("open", "ordered") for job, _ in jobs)


def test_a_hold_does_not_make_a_save_of_the_offcut_stale_but_a_count_does(racked: Database) -> None:
    key = put(racked, 2)
    _, quote = job_quoted(racked, {key: 1})
    say(racked, quote, "accepted")
    with racked.writing() as session:
        move_offcut(session, key, "counted", 2, 1, at=NOW)
    with pytest.raises(StaleSave), racked.writing() as session:
        move_offcut(session, key, "counted", 1, 1, at=NOW)
    assert len(holders(racked, key)) == 1


def test_a_job_that_is_cut_holds_nothing_any_more_and_asks_for_nothing(racked: Database) -> None:
    keys = [put(racked), put(racked)]
    job, quote = job_quoted(racked, {keys[0]: 1, keys[1]: 1})
    say(racked, quote, "accepted")
    with racked.writing() as session:
        move_offcut(session, keys[0], "taken", 1, 1, at=NOW, job=job.number, whatever=True)
        mark_cut(session, job.id, at=NOW)
    assert holders(racked, keys[1]) == []
    with racked.writing() as session:
        settle_holds(session, job.id, at=NOW)
    assert holders(racked, keys[1]) == []
    assert told(racked, keys[1])[-1] == ("released", job.number, "")


def test_what_was_put_back_is_asked_for_again(racked: Database) -> None:
    key = put(racked, 2)
    job, quote = job_quoted(racked, {key: 1})
    say(racked, quote, "accepted")
    with racked.writing() as session:
        move_offcut(session, key, "taken", 1, 1, at=NOW, job=job.number)
    with racked.reading() as session:
        assert taken_for(session, job.number) == {key: 1}
    with racked.writing() as session:
        move_offcut(session, key, "returned", 1, 2, at=NOW, job=job.number)
        settle_holds(session, job.id, at=NOW)
    with racked.reading() as session:
        assert taken_for(session, job.number) == {}
    assert holders(racked, key) == [job.number]
    with racked.writing() as session:
        # Who puts back more than was taken has taken none.
        move_offcut(session, key, "returned", 1, 3, at=NOW, job=job.number)
        assert taken_for(session, job.number) == {}


def test_a_job_that_is_done_holds_nothing_and_nothing_is_held_for_an_ended_one(racked: Database) -> None:
    key = put(racked, 3)
    (job, quote), (cut, _) = job_quoted(racked, {key: 1}), job_quoted(racked, {})
    say(racked, quote, "accepted")
    with racked.writing() as session:
        hold_for(session, key, job.number, at=NOW)
        set_job_state(session, job.id, "done", at=NOW)
        settle_holds(session, job.id, at=NOW)
        mark_cut(session, cut.id, at=NOW)
    assert holders(racked, key) == []
    for number, why in ((job.number, "done"), (cut.number, "cut")):
        said = f"Job {number} is {why}, so that nothing is held for it."
        with pytest.raises(JobEnded, match=said), racked.writing() as session:
            hold_for(session, key, number, at=NOW)
    # Ordered again, it holds what it counts on.
    with racked.writing() as session:
        set_job_state(session, job.id, "ordered", at=NOW)
        settle_holds(session, job.id, at=NOW)
    assert holders(racked, key) == [job.number]


def test_a_cut_ends_what_was_agreed_by_then_and_not_a_revision_that_follows(racked: Database) -> None:
    first, second = put(racked, 2), put(racked, 2)
    job, quote = job_quoted(racked, {first: 2})
    say(racked, quote, "accepted")
    later = NOW + timedelta(days=1)
    with racked.writing() as session:
        move_offcut(session, first, "taken", 1, 1, at=later, job=job.number)
        mark_cut(session, job.id, at=later)
    assert holders(racked, first) == []
    # Taken back and agreed again, what was cut is not asked for once more.
    say(racked, quote, "standing", "They think it over.", later + timedelta(hours=1))
    say(racked, quote, "accepted", at=later + timedelta(hours=2))
    assert holders(racked, first) == []
    # Further parts are agreed: they hold what they count on, less what was taken.
    following = quoted(racked, job, {first: 1, second: 2}, later + timedelta(hours=3))
    say(racked, following, "accepted", at=later + timedelta(hours=4))
    assert (holders(racked, first), holders(racked, second)) == ([], [job.number] * 2)
    with racked.writing() as session:
        mark_cut(session, job.id, at=later + timedelta(hours=5))
    assert holders(racked, second) == []


def test_a_revision_that_stood_when_the_agreed_one_was_cut_is_cut_after_it(racked: Database) -> None:
    key = put(racked, 2)
    job, quote = job_quoted(racked, {})
    say(racked, quote, "accepted")
    following = quoted(racked, job, {key: 2}, NOW + timedelta(hours=1))
    with racked.writing() as session:
        mark_cut(session, job.id, at=NOW + timedelta(hours=2))
    say(racked, following, "accepted", at=NOW + timedelta(hours=3))
    assert holders(racked, key) == [job.number] * 2


def test_a_piece_that_is_made_smaller_is_lost_by_those_who_count_on_it(racked: Database) -> None:
    key = put(racked, 2)
    (job, quote), (other, _) = job_quoted(racked, {key: 1}), job_quoted(racked, {})
    say(racked, quote, "accepted")
    with racked.writing() as session:
        hold_for(session, key, other.number, at=NOW)
        stored = load_offcut(session, key)
        moved = edit_offcut(session, replace(stored.offcut, place="Bay 9"), "", stored.version, at=NOW)
    # Put elsewhere it is the same piece.
    assert holders(racked, key) == [job.number, other.number]
    with racked.writing() as session:
        edit_offcut(session, replace(moved.offcut, length=900_000_000), "", moved.version, at=NOW)
    assert holders(racked, key) == [other.number]
    assert told(racked, key)[-1] == ("lost", job.number, "it has another size by now")
