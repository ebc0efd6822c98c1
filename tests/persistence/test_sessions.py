"""Reading and writing: nothing half kept, nothing lost between people, nothing written by a page that only shows."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from uuid import uuid4

import pytest
from sqlalchemy import insert, literal, select, text
from sqlalchemy.exc import DBAPIError, IntegrityError
from sqlalchemy.orm import Session

from tests.conftest import TEST_SHOP
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.counters import CounterRow, last_number, next_number
from webapp.persistence.people.users import SignInRow
from webapp.persistence.settings.shop import ShopRow, find_shop, open_shop
from webapp.running import utc_now


def test_a_reading_session_writes_nothing(shop_database: Database) -> None:
    with shop_database.reading() as session:
        session.scalars(select(ShopRow)).one().name = "Changed"
        with pytest.raises(RuntimeError, match="open a writing one"):
            session.flush()
    with shop_database.reading() as session:
        shop = find_shop(session)
        assert shop is not None
        assert shop.name == TEST_SHOP.name


def test_a_writing_session_is_kept_whole_or_not_at_all(database: Database) -> None:
    def fail(session: Session) -> None:
        open_shop(session, TEST_SHOP)
        next_number(session, "job")
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError), database.writing() as session:
        fail(session)
    with database.reading() as session:
        assert find_shop(session) is None
        assert last_number(session, "job") == 0


def test_numbers_are_given_out_once_each_under_a_crowd(database: Database) -> None:
    """Reads before it writes, the way that loses to other writers on SQLite unless the lock is taken at once."""
    together = Barrier(8)

    def take(_: int) -> list[int]:
        together.wait()
        taken = []
        for _turn in range(12):
            with database.writing() as session:
                last_number(session, "quote")
                taken.append(next_number(session, "quote"))
        return taken

    with ThreadPoolExecutor(8) as pool:
        numbers = [number for taken in pool.map(take, range(8)) for number in taken]
    assert sorted(numbers) == list(range(1, 97))


def test_an_undone_number_is_given_out_again(database: Database) -> None:
    def take_and_fail(session: Session) -> None:
        assert next_number(session, "quote") == 1
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError), database.writing() as session:
        take_and_fail(session)
    with database.writing() as session:
        assert next_number(session, "quote") == 1


def test_foreign_keys_are_kept(database: Database) -> None:
    with pytest.raises(IntegrityError), database.writing() as session:
        session.add(SignInRow(key_digest="x", user_id=uuid4(), started_at=utc_now(), ends_at=utc_now()))


def test_only_one_shop_fits(shop_database: Database) -> None:
    columns = ShopRow.__table__.columns
    another = select(*(literal(2) if column.name == "id" else column for column in columns))
    with pytest.raises(IntegrityError), shop_database.writing() as session:
        session.execute(insert(ShopRow).from_select([column.name for column in columns], another))


def test_sqlite_runs_as_it_is_meant_to(database: Database) -> None:
    if database.is_sqlite:
        with database.engine.connect() as connection:
            assert connection.execute(text("PRAGMA journal_mode")).scalar_one() == "wal"
            assert connection.execute(text("PRAGMA foreign_keys")).scalar_one() == 1
            assert connection.execute(text("PRAGMA busy_timeout")).scalar_one() == 10_000
    else:
        with pytest.raises(DBAPIError, match="read-only"), database.reading() as session:
            session.execute(text("DELETE FROM counters"))


def test_a_counter_is_a_row(database: Database) -> None:
    with database.writing() as session:
        next_number(session, "job")
        next_number(session, "job")
    with database.reading() as session:
        assert session.scalars(select(CounterRow.last)).all() == [2]
