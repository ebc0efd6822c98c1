"""Jobs and customers as kept."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import UUID, uuid4

import pytest
from sqlalchemy.orm import Session

from webapp.costing.jobs.job import Customer
from webapp.persistence.database.database import Database
from webapp.persistence.finding.jobs import jobs_holding
from webapp.persistence.foundation.audit import history_of
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.jobs.customers import add_customer, edit_customer, find_customers, load_customer
from webapp.persistence.jobs.records import (
    JobState,
    StoredJob,
    copy_job,
    create_job,
    list_jobs,
    load_job,
    load_job_by_number,
    save_job,
    set_job_state,
)

NOW = datetime(2026, 11, 2, 15, 30, tzinfo=UTC)


def _make(session: Session, title: str, customer: str = "", minutes: int = 0, site: str = "") -> StoredJob:
    document = {"form": "1", "job": title, "customer": {"name": customer}, "site": site}
    return create_job(session, uuid4(), document, at=NOW + timedelta(minutes=minutes))


def test_a_job_comes_back_as_typed_however_wrong_its_form_is(shop_database: Database) -> None:
    documents: list[dict[str, object]] = [
        {"job": " Kiln table ", "customer": {"name": " The Studio "}, "items": [{"design": "bench", "quantity": "-3"}]},
        {"job": ["no", "title"], "customer": "nobody", "items": "none", "what": {"is": "this"}},
        {"job": "zero\x00byte", "items": [{"design": "\x00"}], "notes": "\x00"},
        {},
    ]
    with shop_database.writing() as session:
        ids = [create_job(session, uuid4(), document, at=NOW).id for document in documents]
    with shop_database.reading() as session:
        found = [load_job(session, job_id) for job_id in ids]
    assert [job.document for job in found] == documents
    assert [(job.number, job.title, job.customer_name) for job in found] == [
        (1, "Kiln table", "The Studio"),
        (2, "", ""),
        (3, "zero byte", ""),
        (4, "", ""),
    ]
    assert {(job.state, job.version, job.created_at) for job in found} == {("open", 1, NOW)}


def test_a_stale_save_shows_both_and_changes_nothing(shop_database: Database) -> None:
    theirs, mine = {"job": "Theirs"}, {"job": "Mine"}
    with shop_database.writing() as session:
        job = _make(session, "Table")
        later = save_job(session, job.id, theirs, 1, at=NOW + timedelta(minutes=1))
        assert (later.version, later.title, later.updated_at) == (2, "Theirs", NOW + timedelta(minutes=1))
        with pytest.raises(StaleSave) as stale:
            save_job(session, job.id, mine, 1, at=NOW)
        assert (stale.value.stored, stale.value.given) == (later, mine)
        assert load_job(session, job.id) == later


def test_a_save_that_changes_nothing_makes_no_version(shop_database: Database) -> None:
    with shop_database.writing() as session:
        job = _make(session, "Table")
        assert save_job(session, job.id, dict(job.document), 1, at=NOW + timedelta(minutes=1)) == job


def test_a_copy_is_a_job_of_its_own(shop_database: Database) -> None:
    with shop_database.writing() as session:
        customer = add_customer(session, Customer("The Studio"), at=NOW)
        document = {"form": "1", "job": "Table", "customer": {"name": "The Studio"}}
        past = create_job(session, uuid4(), document, at=NOW, customer_id=customer.id)
        set_job_state(session, past.id, "done", at=NOW)
        copied = copy_job(session, past.id, uuid4(), at=NOW)
        save_job(session, copied.id, {"job": "Longer table"}, 1, at=NOW)
        assert (copied.number, copied.state, copied.copied_from) == (2, "open", past.id)
        assert copied.customer_id == customer.id
        assert copied.document == past.document
        assert load_job(session, past.id).title == "Table"
        assert load_job_by_number(session, 2).title == "Longer table"


def test_what_is_not_there_is_named(shop_database: Database) -> None:
    nothing = UUID(int=1)
    with shop_database.writing() as session:
        for ask in (
            lambda: load_job(session, nothing),
            lambda: load_job_by_number(session, 99),
            lambda: save_job(session, nothing, {}, 1, at=NOW),
            lambda: set_job_state(session, nothing, "done", at=NOW),
            lambda: copy_job(session, nothing, uuid4(), at=NOW),
            lambda: load_customer(session, 99),
        ):
            with pytest.raises(NotKept):
                ask()


def test_jobs_are_found_by_their_words_the_last_touched_first(shop_database: Database) -> None:
    with shop_database.writing() as session:
        first = _make(session, "Kiln table", "The Studio", 1)
        _make(session, "Drying rack", "The Studio", 2, site="Upper hall")
        _make(session, "Straße bench", "The School", 3)
        set_job_state(session, first.id, "ordered", at=NOW + timedelta(minutes=9))

        def numbers(words: str = "", state: JobState | None = None, number: int = 1, size: int = 50) -> list[int]:
            found = list_jobs(session, jobs_holding(words), state, number=number, size=size)
            return [job.number for job in found.entries]

        assert numbers() == [1, 3, 2]
        assert numbers("STUDIO") == [1, 2]
        assert numbers("upper rack") == [2]
        assert numbers("upper\x00hall") == [2]
        assert numbers("STRASSE") == [3]
        assert numbers("", "open") == [3, 2]
        assert numbers(number=2, size=2) == [2]
        assert list_jobs(session, size=2).total == 3
        assert [entry.what for entry in history_of(session, "job", str(first.id))] == ["made", "ordered"]


def test_jobs_are_listed_by_the_design_they_use(shop_database: Database) -> None:
    with shop_database.writing() as session:
        create_job(session, uuid4(), {"job": "A", "items": [{"design": "bench"}]}, at=NOW)
        create_job(session, uuid4(), {"job": "B", "items": [{"design": "stool"}]}, at=NOW)
        assert [job.title for job in list_jobs(session, design="bench").entries] == ["A"]


def test_customers_are_kept_found_and_guarded(shop_database: Database) -> None:
    with shop_database.writing() as session:
        studio = add_customer(
            session, Customer("The Studio", "1 Clay Road", "a@b.example", "555 0101"), "Pays late", at=NOW
        )
        add_customer(session, Customer("A School"), at=NOW)
        assert load_customer(session, studio.id) == studio
        assert [one.customer.name for one in find_customers(session).entries] == ["A School", "The Studio"]
        assert [one.id for one in find_customers(session, "clay 0101").entries] == [studio.id]
        changed = edit_customer(session, studio.id, Customer("The Clay Studio"), "", 1, at=NOW)
        assert (changed.customer.name, changed.version) == ("The Clay Studio", 2)
        with pytest.raises(StaleSave):
            edit_customer(session, studio.id, Customer("Another"), "", 1, at=NOW)
