"""Two customers made one, and the jobs beside each: on both databases."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from threading import Barrier
from uuid import UUID, uuid4

import pytest
from sqlalchemy import select, text, update
from sqlalchemy.orm import Session

from tests.harness.stores import Stores
from webapp.costing.jobs.job import Customer
from webapp.persistence.backups.upgrade import migrate
from webapp.persistence.database.database import Database, open_database
from webapp.persistence.foundation.audit import history_of
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.jobs.customers import (
    SameCustomer,
    StoredCustomer,
    add_customer,
    edit_customer,
    find_customers,
    jobs_for,
    keep_first_way,
    load_customer,
    merge_customers,
)
from webapp.persistence.jobs.records import JobRow, create_job, list_jobs, load_job
from webapp.persistence.people.history_subjects import customers_kept
from webapp.persistence.quotes.tables import QuoteDocumentRow, QuoteRow

NOW = datetime(2026, 11, 2, 15, 30, tzinfo=UTC)


def a_customer(session: Session, name: str) -> StoredCustomer:
    return add_customer(session, Customer(name, f"{name} road"), at=NOW)


def a_job(session: Session, title: str, customer: StoredCustomer | None = None, later: int = 0) -> UUID:
    words = {"name": customer.customer.name} if customer else {}
    document = {"form": "1", "job": title, "customer": words}
    at = NOW + timedelta(minutes=later)
    return create_job(session, uuid4(), document, at=at, customer_id=customer.id if customer else None).id


def test_the_jobs_of_the_one_that_goes_are_the_kept_ones_and_keep_their_words(shop_database: Database) -> None:
    with shop_database.writing() as session:
        studio, again, other = (a_customer(session, name) for name in ("The Studio", "Studio", "A School"))
        first, second, third = (a_job(session, "One", studio), a_job(session, "Two", again), a_job(session, "Three"))
        before = load_job(session, second)
    with shop_database.writing() as session:
        kept = merge_customers(session, (again.id, 1), (studio.id, 1), at=NOW + timedelta(minutes=1))
    assert kept == StoredCustomer(studio.id, studio.customer, "", 2)
    with shop_database.reading() as session:
        assert {one.id for one in list_jobs(session, customer=studio.id).entries} == {first, second}
        after = load_job(session, second)
        assert (after.document, after.version, after.customer_name) == (before.document, before.version, "Studio")
        assert load_job(session, third).customer_id is None
        assert [one.id for one in find_customers(session).entries] == [other.id, studio.id]
        with pytest.raises(NotKept):
            load_customer(session, again.id)
        entry = history_of(session, "customer", str(studio.id))[-1]
        assert entry.what == "merged"
        assert entry.details == {"name": "The Studio", "merged": "Studio", "was": again.id, "jobs": 1}
        assert customers_kept(session, history_of(session, "customer", str(again.id))) == set()
        assert customers_kept(session, [entry]) == {str(studio.id)}


def test_issued_quotes_stay_byte_for_byte(demo_database: Database) -> None:
    with demo_database.writing() as session:
        first, second = find_customers(session).entries[:2]
        session.execute(update(JobRow).values(customer_id=first.id))

    def issued() -> list[object]:
        with demo_database.reading() as session:
            tables = (QuoteRow.__table__, QuoteDocumentRow.__table__)
            return [sorted(map(repr, session.execute(select(table)).all())) for table in tables]

    before = issued()
    assert before[0]
    assert before[1]
    with demo_database.writing() as session:
        merge_customers(session, (first.id, first.version), (second.id, second.version), at=NOW)
    assert issued() == before
    with demo_database.reading() as session:
        assert list_jobs(session, customer=second.id).total == list_jobs(session).total


WAY = {"door_width": "825 mm", "stair": "turning"}


def test_the_way_is_kept_with_the_customer_and_only_what_is_told_moves_it(shop_database: Database) -> None:
    with shop_database.writing() as session:
        one = a_customer(session, "One")
        two = add_customer(session, Customer("Two"), at=NOW, way=WAY)
        assert (dict(one.way), dict(two.way)) == ({}, WAY)
        edit_customer(session, two.id, Customer("Two and a half"), "", 1, at=NOW)
        edit_customer(session, one.id, Customer("One"), "", 1, at=NOW, way={"door_width": "900 mm"})
    with shop_database.reading() as session:
        assert dict(load_customer(session, two.id).way) == WAY
        assert dict(load_customer(session, one.id).way) == {"door_width": "900 mm"}
    with shop_database.writing() as session:
        edit_customer(session, two.id, Customer("Two"), "", 2, at=NOW, way={})
    with shop_database.reading() as session:
        assert load_customer(session, two.id).way == {}


def test_a_first_way_is_kept_and_never_put_in_place_of_another(shop_database: Database) -> None:
    with shop_database.writing() as session:
        one = a_customer(session, "One")
        assert not keep_first_way(session, one.id, {}, at=NOW)
        assert keep_first_way(session, one.id, WAY, at=NOW)
        assert not keep_first_way(session, one.id, {"door_width": "1 m"}, at=NOW)
        assert not keep_first_way(session, 99, WAY, at=NOW)
    with shop_database.reading() as session:
        kept = load_customer(session, one.id)
        assert (kept.way, kept.version) == (WAY, 2)
        assert {entry.what for entry in history_of(session, "customer", str(one.id))} == {"added", "edited"}


def test_customers_from_before_have_no_way(stores: Stores) -> None:
    address = stores.bare()
    try:
        migrate(address, revision="0031")
        database = open_database(address)
        with database.engine.begin() as connection:
            connection.execute(text(
                "INSERT INTO customers (name, name_key, search, address, email, phone, note, version) "
                "VALUES ('Old', 'old', 'old', '', '', '', '', 1)"
            ))  # fmt: skip
        migrate(address)
        with database.reading() as session:
            (old,) = find_customers(session).entries
            assert (old.customer.name, old.way) == ("Old", {})
        database.close()
    finally:
        stores.drop(address)


def test_nobody_is_merged_with_themselves_or_with_nobody_or_unseen(shop_database: Database) -> None:
    with shop_database.writing() as session:
        one, two = a_customer(session, "One"), a_customer(session, "Two")
        edit_customer(session, two.id, Customer("Two and a half"), "", 1, at=NOW)

    def refused(gone: tuple[int, int], kept: tuple[int, int], kind: type[Exception]) -> None:
        with pytest.raises(kind), shop_database.writing() as session:
            merge_customers(session, gone, kept, at=NOW)

    refused((one.id, 1), (one.id, 1), SameCustomer)
    refused((one.id, 1), (two.id, 1), StaleSave)
    refused((two.id, 1), (one.id, 1), StaleSave)
    refused((one.id, 1), (99, 1), NotKept)
    refused((99, 1), (one.id, 1), NotKept)
    with shop_database.reading() as session:
        assert find_customers(session).total == 2


def at_once(database: Database, *actions: Callable[[Session], object]) -> list[str]:
    """What came of actions that begin together."""
    together = Barrier(len(actions))

    def do(action: Callable[[Session], object]) -> str:
        together.wait()
        try:
            with database.writing() as session:
                action(session)
        except (StaleSave, NotKept) as refused:
            return type(refused).__name__
        return "done"

    with ThreadPoolExecutor(len(actions)) as pool:
        return list(pool.map(do, actions))


@pytest.mark.parametrize("turn", range(4))
def test_two_who_merge_the_same_two_each_the_other_way_leave_one(shop_database: Database, turn: int) -> None:
    with shop_database.writing() as session:
        one, two = a_customer(session, "One"), a_customer(session, "Two")
        jobs = {a_job(session, "A", one), a_job(session, "B", two)}
    came = at_once(
        shop_database,
        lambda session: merge_customers(session, (one.id, 1), (two.id, 1), at=NOW),
        lambda session: merge_customers(session, (two.id, 1), (one.id, 1), at=NOW),
    )
    assert sorted(came) == ["NotKept", "done"]
    with shop_database.reading() as session:
        (left,) = find_customers(session).entries
        assert {job.id for job in list_jobs(session, customer=left.id).entries} == jobs


@pytest.mark.parametrize("turn", range(4))
def test_a_job_made_while_its_customer_goes_is_the_kept_ones_or_refused(shop_database: Database, turn: int) -> None:
    with shop_database.writing() as session:
        one, two = a_customer(session, "One"), a_customer(session, "Two")

    def make(session: Session) -> None:
        a_job(session, "New", load_customer(session, one.id, hold=True))

    merged, made = at_once(
        shop_database, lambda session: merge_customers(session, (one.id, 1), (two.id, 1), at=NOW), make
    )
    assert merged == "done"
    with shop_database.reading() as session:
        assert list_jobs(session, customer=two.id).total == (1 if made == "done" else 0)
        assert list_jobs(session).total == (1 if made == "done" else 0)


def test_the_jobs_beside_a_customer_are_the_last_touched(shop_database: Database) -> None:
    with shop_database.writing() as session:
        many, few, none = (a_customer(session, name) for name in ("Many", "Few", "None"))
        for minute in (3, 1, 4, 2):
            a_job(session, f"Touched {minute}", many, minute)
        a_job(session, "Only", few)
        found = jobs_for(session, [many.id, few.id, none.id], 2)
        assert [job.title for job in found[many.id].last] == ["Touched 4", "Touched 3"]
        assert found[many.id].total == 4
        assert ([job.title for job in found[few.id].last], found[few.id].total) == (["Only"], 1)
        assert none.id not in found
