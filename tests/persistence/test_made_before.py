"""What one took for a bench that was made, kept beside its job; and what somebody has put away."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.persistence.database.database import Database
from webapp.persistence.foundation.audit import history_of
from webapp.persistence.jobs.made_before import MOST_LISTED, MadeBefore, list_made, made_of, tell_made
from webapp.persistence.jobs.records import StoredJob, create_job, load_job, set_job_state
from webapp.persistence.people.put_away import FIRST_STEPS, fetch_back, is_put_away, put_away
from webapp.persistence.people.users import UserRow

NOW = datetime(2026, 11, 2, 15, 30, tzinfo=UTC)


def _bench(session: Session, title: str, minutes: int = 0) -> StoredJob:
    job = create_job(session, uuid4(), {"form": "1", "job": title}, at=NOW)
    tell_made(session, job.id, MadeBefore(Decimal(100 + minutes), False), at=NOW + timedelta(minutes=minutes))
    return job


def test_what_was_told_comes_back_to_the_coin_and_to_the_second(shop_database: Database) -> None:
    told = MadeBefore(Decimal("1180.05"), True, Fraction(1745, 3), Decimal("412.4"))
    with shop_database.writing() as session:
        job = create_job(session, uuid4(), {"form": "1", "job": "A bench"}, at=NOW)
        assert made_of(session, job.id) is None
        tell_made(session, job.id, told, at=NOW + timedelta(minutes=1))
    with shop_database.reading() as session:
        assert made_of(session, job.id) == told
        assert load_job(session, job.id).version == job.version, "the job is no newer"
        assert [one.what for one in history_of(session, "job", str(job.id))] == ["made", "told what was taken for"]
    with shop_database.writing() as session:
        tell_made(session, job.id, MadeBefore(Decimal(900), False), at=NOW)
    with shop_database.reading() as session:
        assert made_of(session, job.id) == MadeBefore(Decimal(900), False), (
            "told again, it takes the place of the first"
        )


def test_the_last_told_come_first_and_dropped_ones_go(shop_database: Database) -> None:
    with shop_database.writing() as session:
        for place in range(MOST_LISTED + 2):
            last = _bench(session, f"Bench {place}", place)
    with shop_database.reading() as session:
        listed = list_made(session)
    assert len(listed) == MOST_LISTED
    assert [one.title for one in listed[:2]] == [f"Bench {MOST_LISTED + 1}", f"Bench {MOST_LISTED}"]
    assert listed[0].told.price == 100 + MOST_LISTED + 1
    with shop_database.writing() as session:
        set_job_state(session, last.id, "dropped", at=NOW)
        assert list_made(session)[0].title == f"Bench {MOST_LISTED}"


def test_what_is_put_away_stays_away_until_it_is_fetched(shop_database: Database) -> None:
    with shop_database.writing() as session:
        user = session.scalars(select(UserRow.id)).one()
        assert not is_put_away(session, user, FIRST_STEPS)
        put_away(session, user, FIRST_STEPS, at=NOW)
        put_away(session, user, FIRST_STEPS, at=NOW + timedelta(hours=1))
    with shop_database.reading() as session:
        assert is_put_away(session, user, FIRST_STEPS)
        assert not is_put_away(session, uuid4(), FIRST_STEPS)
    with shop_database.writing() as session:
        fetch_back(session, user, FIRST_STEPS)
        assert not is_put_away(session, user, FIRST_STEPS)
