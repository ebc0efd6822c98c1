"""What was typed and not saved, on both databases: of one person alone, in bounds, and gone once it is saved."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID
from zipfile import ZipFile

import pytest
from sqlalchemy import func, select

from webapp.housekeeping import keep_house
from webapp.persistence.backups.restore import make_backup
from webapp.persistence.database.database import Database
from webapp.persistence.drafts.records import (
    KEPT_FOR,
    LARGEST,
    MOST,
    Draft,
    DraftRow,
    count_drafts,
    drafts_at,
    forget_drafts,
    is_too_large,
    keep_draft,
    list_drafts,
    load_draft,
    note_saved,
    throw_away,
)
from webapp.persistence.people.users import UserRow, add_user

NOW = datetime(2026, 11, 2, 15, 30, tzinfo=UTC)
A_SECOND = timedelta(seconds=1)
PLACE = "/jobs/4"


def typed(name: str, text: str = "1200 mm", at: datetime = NOW, place: str = PLACE) -> Draft:
    return Draft(name, place, "Job 4", "", (("width", text), ("notes", "“a” & <b>\x00")), (("Width", "900", text),), at)


@pytest.fixture
def people(shop_database: Database) -> tuple[UUID, UUID]:
    """The owner, and a helper."""
    with shop_database.writing() as session:
        owner = session.scalars(select(UserRow.id)).one()
        helper = add_user(session, name="helper", password_hash="none", added_at=NOW, role="helper")
    return owner, helper.id


def test_what_one_person_typed_is_theirs_alone(shop_database: Database, people: tuple[UUID, UUID]) -> None:
    mara, ben = people
    with shop_database.writing() as session:
        assert keep_draft(session, mara, typed("a"))
        assert keep_draft(session, ben, typed("b", "700 mm"))
        # Whoever has seen the id of another's draft still can't write to it, or be rid of it.
        assert not keep_draft(session, ben, typed("a", "1 mm"))
        throw_away(session, ben, ["a"])
        note_saved(session, ben, PLACE, ["a"], at=NOW)
    with shop_database.reading() as session:
        assert drafts_at(session, mara, PLACE) == (typed("a"),)
        assert drafts_at(session, ben, PLACE) == (typed("b", "700 mm"),)
        assert load_draft(session, mara, "a") == typed("a")
        assert load_draft(session, ben, "a") is None


def test_two_sittings_of_one_person_write_over_nothing(shop_database: Database, people: tuple[UUID, UUID]) -> None:
    mara, _ = people
    with shop_database.writing() as session:
        keep_draft(session, mara, typed("first"))
        keep_draft(session, mara, typed("second", "700 mm", NOW + A_SECOND))
        keep_draft(session, mara, typed("first", "1300 mm", NOW + 2 * A_SECOND))
        keep_draft(session, mara, typed("elsewhere", place="/jobs/5"))
    with shop_database.reading() as session:
        assert [draft.fields[0][1] for draft in drafts_at(session, mara, PLACE)] == ["1300 mm", "700 mm"]
        assert len(list_drafts(session, mara)) == count_drafts(session, mara) == 3


def test_what_is_saved_or_thrown_away_is_offered_no_more(shop_database: Database, people: tuple[UUID, UUID]) -> None:
    mara, _ = people
    with shop_database.writing() as session:
        for name in ("saved", "thrown", "taken", "stays"):
            keep_draft(session, mara, typed(name))
        note_saved(session, mara, PLACE, ["saved", "never brought"], at=NOW)
        throw_away(session, mara, ["thrown"])
        assert keep_draft(session, mara, typed("next"), instead_of=["taken", "next"])
    with shop_database.writing() as session:
        assert {draft.id for draft in drafts_at(session, mara, PLACE)} == {"stays", "next"}
        for name in ("saved", "thrown", "taken", "never brought"):
            assert not keep_draft(session, mara, typed(name)), name
            assert load_draft(session, mara, name) is None
        assert count_drafts(session, mara) == 2


def test_what_was_typed_otherwise_stays_said_where_a_form_came_back(
    shop_database: Database, people: tuple[UUID, UUID]
) -> None:
    mara, _ = people
    again = Draft("a", PLACE, "Job 4", "", (("width", "wide"),), (), NOW + A_SECOND)
    with shop_database.writing() as session:
        keep_draft(session, mara, typed("a"))
        keep_draft(session, mara, again)
    with shop_database.reading() as session:
        (kept,) = drafts_at(session, mara, PLACE)
    assert (kept.fields, kept.typed) == ((("width", "wide"),), (("Width", "900", "1200 mm"),))


def test_a_person_has_no_more_drafts_than_are_kept(shop_database: Database, people: tuple[UUID, UUID]) -> None:
    mara, ben = people
    with shop_database.writing() as session:
        keep_draft(session, ben, typed("of ben", at=NOW - timedelta(days=1)))
        for number in range(MOST + 5):
            keep_draft(session, mara, typed(f"{number:03}", at=NOW + number * A_SECOND))
    with shop_database.reading() as session:
        assert [draft.id for draft in list_drafts(session, mara)] == [f"{MOST + 4 - one:03}" for one in range(MOST)]
        assert count_drafts(session, ben) == 1
    assert not is_too_large((("notes", "x" * (LARGEST - 5)),))
    assert is_too_large((("notes", "x" * (LARGEST - 4)),))


def test_drafts_go_once_their_time_is_over(shop_database: Database, people: tuple[UUID, UUID]) -> None:
    mara, _ = people

    def count() -> int:
        with shop_database.reading() as session:
            return session.scalar(select(func.count()).select_from(DraftRow)) or 0

    with shop_database.writing() as session:
        keep_draft(session, mara, typed("a"))
        note_saved(session, mara, PLACE, ["b"], at=NOW)
    keep_house(shop_database, NOW + KEPT_FOR)
    assert count() == 2
    keep_house(shop_database, NOW + KEPT_FOR + A_SECOND)
    assert count() == 0
    with shop_database.writing() as session:
        for number in range(5):
            keep_draft(session, mara, typed(f"{number}"))
        assert forget_drafts(session, NOW + KEPT_FOR + A_SECOND, 2) == 2
    assert count() == 3


def test_no_backup_holds_what_somebody_has_not_saved(
    shop_database: Database, people: tuple[UUID, UUID], tmp_path: Path
) -> None:
    with shop_database.writing() as session:
        keep_draft(session, people[0], typed("a", "a very own thought"))
    make_backup(shop_database, tmp_path / "backup.zip", at=NOW)
    with ZipFile(tmp_path / "backup.zip") as archive:
        names = archive.namelist()
        assert "tables/users.jsonl" in names
        assert "tables/drafts.jsonl" not in names
        assert not any(b"a very own thought" in archive.read(name) for name in names)
