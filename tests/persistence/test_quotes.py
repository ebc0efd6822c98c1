"""Issued quotes as kept: numbered, frozen, each revision in the place of the last."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from hashlib import sha256
from uuid import UUID, uuid4

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError
from sqlalchemy.orm import Session

from webapp.persistence.database.database import Database
from webapp.persistence.foundation.audit import history_of
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.jobs.records import StoredJob, create_job, load_job, save_job, set_job_state
from webapp.persistence.quotes.records import (
    Change,
    ComingQuote,
    DamagedRecord,
    Document,
    QuoteNumberTaken,
    QuoteToIssue,
    binding_quotes,
    coming_quote,
    issue_quote,
    latest_quotes,
    list_quotes,
    load_quote,
    load_quote_document,
    quotes_of_job,
)
from webapp.persistence.quotes.states import ReasonMissing, StateRefused, WorkDone, change_state
from webapp.persistence.quotes.tables import QuoteState

NOW = datetime(2026, 11, 2, 15, 30, tzinfo=UTC)
TODAY = date(2026, 11, 2)
LAST_DAY = date(2026, 12, 2)
PDF = bytes(range(256)) * 40


def _job(session: Session, title: str = "Kiln table") -> StoredJob:
    return create_job(session, uuid4(), {"job": title, "customer": {"name": "The Studio"}}, at=NOW)


def _rendered(session: Session, job: StoredJob, total: str = "1192.03") -> QuoteToIssue:
    return QuoteToIssue(
        job.id,
        job.version,
        coming_quote(session, job.id),
        TODAY,
        LAST_DAY,
        "USD",
        Decimal(total),
        1,
        {"job": dict(job.document), "prices": {"b": "2", "a": "1"}},
        {"total": total},
        (
            Document("quote", "A4", PDF),
            Document("quote", "Letter", PDF[::-1]),
            Document("shopping_list", "A4", b"list"),
        ),
    )


def test_a_quote_comes_back_as_issued_to_the_byte(shop_database: Database) -> None:
    with shop_database.writing() as session:
        job = _job(session)
        issue = _rendered(session, job)
        issued = issue_quote(session, issue, at=NOW)
    with shop_database.reading() as session:
        found = load_quote(session, issued.listed.id, TODAY)
        assert found == issued
        assert load_quote_document(session, found.listed.id, "quote", "A4").content == PDF
        assert load_quote_document(session, found.listed.id, "quote", "Letter").content == PDF[::-1]
        assert load_quote_document(session, found.listed.id, "shopping_list").paper == "A4"
        with pytest.raises(NotKept):
            load_quote_document(session, found.listed.id, "invoice")
    assert (found.snapshot, found.estimate) == (issue.snapshot, issue.estimate)
    assert (
        found.snapshot_digest
        == sha256(
            b'{"job":{"job":"Kiln table","customer":{"name":"The Studio"}},"prices":{"b":"2","a":"1"}}'
        ).hexdigest()
    )
    assert ("quote", "A4", sha256(PDF).hexdigest()) in found.documents
    assert (found.listed.number, found.listed.revision, found.listed.total) == (1, 1, Decimal("1192.03"))
    assert (found.listed.title, found.listed.customer_name) == ("Kiln table", "The Studio")
    assert [event.state for event in found.events] == ["standing"]


def test_the_next_revision_replaces_the_standing_one_under_the_same_number(shop_database: Database) -> None:
    with shop_database.writing() as session:
        job, other = _job(session), _job(session, "Rack")
        issue_quote(session, _rendered(session, job), at=NOW)
        issue_quote(session, _rendered(session, other), at=NOW)
        changed = save_job(session, job.id, {"job": "Longer table"}, 1, at=NOW)
        issue_quote(session, _rendered(session, changed, "1300"), at=NOW + timedelta(minutes=1))
        found = quotes_of_job(session, job.id, TODAY)
        assert [(one.number, one.revision, one.state, one.total) for one in found] == [
            (1, 2, "standing", Decimal(1300)),
            (1, 1, "replaced", Decimal("1192.03")),
        ]
        assert [one.number for one in quotes_of_job(session, other.id, TODAY)] == [2]
        assert [one.title for one in found] == ["Longer table", "Kiln table"]
        events = load_quote(session, found[1].id, TODAY).events
        assert [(event.state, event.note) for event in events] == [("standing", ""), ("replaced", "by revision 2")]
        latest = latest_quotes(session, [job.id, other.id, uuid4()], TODAY)
        assert {key: one.revision for key, one in latest.items()} == {job.id: 2, other.id: 1}


def test_a_number_that_was_taken_in_the_meantime_is_refused_and_leaves_no_gap(shop_database: Database) -> None:
    with shop_database.writing() as session:
        job, other = _job(session), _job(session)
        rendered = _rendered(session, job)
        issue_quote(session, _rendered(session, other), at=NOW)
    with pytest.raises(QuoteNumberTaken) as taken, shop_database.writing() as session:
        issue_quote(session, rendered, at=NOW)
    assert (taken.value.rendered, taken.value.coming) == (ComingQuote(1, 1), ComingQuote(2, 1))
    with shop_database.writing() as session:
        assert quotes_of_job(session, job.id, TODAY) == ()
        assert issue_quote(session, _rendered(session, job), at=NOW).listed.number == 2


def test_a_job_saved_since_it_was_rendered_is_not_issued(shop_database: Database) -> None:
    with shop_database.writing() as session:
        job = _job(session)
        rendered = _rendered(session, job)
        save_job(session, job.id, {"job": "Longer table"}, 1, at=NOW)
        with pytest.raises(StaleSave):
            issue_quote(session, rendered, at=NOW)
        with pytest.raises(NotKept):
            issue_quote(session, replace(rendered, job_id=UUID(int=1)), at=NOW)
        assert list_quotes(session, TODAY).total == 0


def test_a_failure_half_way_leaves_nothing(shop_database: Database) -> None:
    with shop_database.writing() as session:
        job = _job(session)
        issue_quote(session, _rendered(session, job), at=NOW)
    twice = (Document("quote", "A4", b"one"), Document("quote", "A4", b"two"))
    with pytest.raises(DatabaseError), shop_database.writing() as session:
        issue_quote(session, replace(_rendered(session, job), documents=twice), at=NOW)
    with shop_database.reading() as session:
        assert [(one.revision, one.state) for one in quotes_of_job(session, job.id, TODAY)] == [(1, "standing")]
        assert coming_quote(session, job.id) == ComingQuote(1, 2)


def test_a_quote_lapses_after_its_last_day(shop_database: Database) -> None:
    with shop_database.writing() as session:
        quote = issue_quote(session, _rendered(session, _job(session)), at=NOW).listed
        assert load_quote(session, quote.id, LAST_DAY).listed.state == "standing"
        day_after = LAST_DAY + timedelta(days=1)
        assert load_quote(session, quote.id, day_after).listed.state == "lapsed"
        assert list_quotes(session, LAST_DAY, state="standing").total == 1
        assert list_quotes(session, LAST_DAY, state="lapsed").total == 0
        assert list_quotes(session, day_after, state="standing").total == 0
        assert list_quotes(session, day_after, state="lapsed").total == 1
        with pytest.raises(StateRefused, match="has lapsed, so it can't be accepted"):
            change_state(session, quote.id, "accepted", day_after, at=NOW)
        assert change_state(session, quote.id, "declined", day_after, at=NOW).listed.state == "declined"


@pytest.mark.parametrize(
    ("wanted", "job_state"), [("accepted", "ordered"), ("declined", "open"), ("withdrawn", "open")]
)
def test_what_becomes_of_a_quote_is_said_once(shop_database: Database, wanted: QuoteState, job_state: str) -> None:
    with shop_database.writing() as session:
        job = _job(session)
        quote = issue_quote(session, _rendered(session, job), at=NOW).listed
        found = change_state(session, quote.id, wanted, TODAY, at=NOW + timedelta(hours=1), note="by telephone")
        assert found.listed.state == wanted
        assert found.events[-1].note == "by telephone"
        assert load_job(session, job.id).state == job_state
        # Only an acceptance is taken back, and that with a reason.
        others: tuple[QuoteState, ...] = ("accepted", "declined", "withdrawn", "standing")
        for other in others[: 3 if wanted == "accepted" else 4]:
            with pytest.raises(StateRefused, match=f"This quote is {wanted}"):
                change_state(session, quote.id, other, TODAY, at=NOW)
        issue_quote(session, _rendered(session, job), at=NOW)
        assert load_quote(session, quote.id, TODAY).listed.state == wanted


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE quotes SET total = 1",
        "UPDATE quotes SET snapshot = '{}'",
        "UPDATE quotes SET estimate_digest = ''",
        "UPDATE quotes SET stands_until = '2030-01-01'",
        "UPDATE quote_documents SET digest = ''",
        "UPDATE quote_events SET note = ''",
    ],
)
def test_nothing_issued_is_ever_changed(shop_database: Database, change: str) -> None:
    with shop_database.writing() as session:
        quote = issue_quote(session, _rendered(session, _job(session)), at=NOW)
    with pytest.raises(DatabaseError, match="never changed"), shop_database.writing() as session:
        session.execute(text(change))
    with shop_database.reading() as session:
        assert load_quote(session, quote.listed.id, TODAY) == quote


def test_damage_that_gets_past_the_guard_is_noticed(shop_database: Database) -> None:
    with shop_database.writing() as session:
        quote = issue_quote(session, _rendered(session, _job(session)), at=NOW).listed
        for table in ("quotes", "quote_documents"):
            on = "" if shop_database.is_sqlite else f" ON {table}"
            session.execute(text(f"DROP TRIGGER {table}_stay{on}"))
        session.execute(text("UPDATE quotes SET estimate = '{}'"))
        session.execute(text("UPDATE quote_documents SET content = :content"), {"content": b"other"})
    with shop_database.reading() as session:
        with pytest.raises(DamagedRecord, match="The estimate kept for quote 1, revision 1, is damaged"):
            load_quote(session, quote.id, TODAY)
        with pytest.raises(DamagedRecord, match="The shopping list kept for quote 1"):
            load_quote_document(session, quote.id, "shopping_list")


def test_quotes_are_found_by_their_words_the_last_issued_first(shop_database: Database) -> None:
    with shop_database.writing() as session:
        for minutes, title in enumerate(("Kiln table", "Drying rack", "Kiln shelf")):
            job = _job(session, title)
            issue_quote(session, _rendered(session, job), at=NOW + timedelta(minutes=minutes))
        assert [one.title for one in list_quotes(session, TODAY, "KILN").entries] == ["Kiln shelf", "Kiln table"]
        assert [one.number for one in list_quotes(session, TODAY, number=2, size=2).entries] == [1]
        assert list_quotes(session, TODAY, state="accepted").total == 0


def test_an_acceptance_is_taken_back_with_a_reason(shop_database: Database) -> None:
    with shop_database.writing() as session:
        job = _job(session)
        quote = issue_quote(session, _rendered(session, job), at=NOW).listed
        change_state(session, quote.id, "accepted", TODAY, at=NOW)
    with pytest.raises(ReasonMissing), shop_database.writing() as session:
        change_state(session, quote.id, "standing", TODAY, at=NOW)
    with shop_database.writing() as session:
        assert load_quote(session, quote.id, TODAY).listed.state == "accepted"
        assert load_job(session, job.id).state == "ordered"
        found = change_state(session, quote.id, "standing", TODAY, at=NOW, note="It was the other customer")
        assert found.listed.state == "standing"
        assert [(one.state, one.note) for one in found.events][1:] == [
            ("accepted", ""), ("standing", "It was the other customer"),
        ]  # fmt: skip
        assert load_job(session, job.id).state == "open"
        trail = history_of(session, "quote", str(quote.id))
        assert sorted(one.what for one in trail) == ["accepted", "issued", "took back acceptance of"]
        assert {"note": "It was the other customer"} in [one.details for one in trail]
        assert change_state(session, quote.id, "accepted", TODAY, at=NOW).listed.state == "accepted"
        assert load_job(session, job.id).state == "ordered"


def test_an_acceptance_taken_back_after_its_date_has_lapsed(shop_database: Database) -> None:
    with shop_database.writing() as session:
        quote = issue_quote(session, _rendered(session, _job(session)), at=NOW).listed
        change_state(session, quote.id, "accepted", TODAY, at=NOW)
        late = LAST_DAY + timedelta(days=1)
        assert change_state(session, quote.id, "standing", late, at=NOW, note="never signed").listed.state == "lapsed"


def test_of_a_job_that_is_done_no_acceptance_is_taken_back(shop_database: Database) -> None:
    with shop_database.writing() as session:
        job = _job(session)
        quote = issue_quote(session, _rendered(session, job), at=NOW).listed
        change_state(session, quote.id, "accepted", TODAY, at=NOW)
        set_job_state(session, job.id, "done", at=NOW)
        with pytest.raises(WorkDone):
            change_state(session, quote.id, "standing", TODAY, at=NOW, note="a slip")
        assert load_quote(session, quote.id, TODAY).listed.state == "accepted"


def test_one_agreement_holds_at_a_time_and_comes_back_with_the_one_before(shop_database: Database) -> None:
    with shop_database.writing() as session:
        job = _job(session)
        first = issue_quote(session, _rendered(session, job), at=NOW).listed
        change_state(session, first.id, "accepted", TODAY, at=NOW)
        changed = save_job(session, job.id, {"job": "Longer table"}, 1, at=NOW)
        wished = replace(_rendered(session, changed, "1300"), change=Change(1, "customer", "two more shelves"))
        second = issue_quote(session, wished, at=NOW)
        assert second.events[0].note == "changes revision 1 asked for by the customer: two more shelves"
        issued = history_of(session, "quote", str(second.listed.id))[0]
        assert (issued.details["wish_of"], issued.details["reason"]) == ("customer", "two more shelves")

        def states() -> list[tuple[int, str]]:
            return [(one.revision, one.state) for one in quotes_of_job(session, job.id, TODAY)]

        def binding() -> list[int]:
            return [one.revision for one in binding_quotes(session, [job.id], TODAY)[job.id]]

        assert (states(), binding()) == ([(2, "standing"), (1, "accepted")], [2, 1])
        change_state(session, second.listed.id, "accepted", TODAY, at=NOW)
        assert (states(), binding()) == ([(2, "accepted"), (1, "replaced")], [2])
        assert load_quote(session, first.id, TODAY).events[-1].note == "by revision 2"
        change_state(session, second.listed.id, "standing", TODAY, at=NOW, note="signed by the wrong one")
        assert (states(), binding()) == ([(2, "standing"), (1, "accepted")], [2, 1])
        assert load_job(session, job.id).state == "ordered"
        # Of the first the acceptance is taken back as well: what was issued since has taken its place.
        change_state(session, first.id, "standing", TODAY, at=NOW, note="nothing is agreed")
        assert (states(), binding()) == ([(2, "standing"), (1, "replaced")], [2])
        assert load_job(session, job.id).state == "open"
