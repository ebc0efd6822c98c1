"""The rack as kept: counts move and never fall below nothing, who did what stays, and two at once are told apart."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offcut
from webapp.persistence.backups.restore import make_backup, restore_backup
from webapp.persistence.catalogue.changes import KindFixed, add_material, edit_material
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.audit import history_of
from webapp.persistence.foundation.errors import NotKept, StaleSave, StoreError
from webapp.persistence.people.users import list_people
from webapp.persistence.rack.records import (
    RackShort,
    StoredOffcut,
    edit_offcut,
    find_offcuts,
    load_offcut,
    move_offcut,
    moves_of,
    put_on_rack,
)

NOW = datetime(2026, 11, 2, 15, 30, tzinfo=UTC)
PLYWOOD = Material("birch_18", "Birch plywood 18", Kind.SHEET, {"thickness": Fraction(18 * 10**6)})
STICK = Material("stick", "Ash stick", Kind.LENGTH)
GLUE = Material("glue", "Glue", Kind.LIQUID)


def offcut(material: str = "birch_18", count: int = 3) -> Offcut:
    """Large enough that its nanometres need 64 bits."""
    return Offcut(str(uuid4()), material, 2_440_000_001, 0 if material == "stick" else 610_000_000, count, "Bay 3")


def put(database: Database, one: Offcut, at: datetime = NOW) -> StoredOffcut:
    with database.writing() as session:
        return put_on_rack(session, one, "sawn clean", at=at, by=list_people(session)[0].user.id, job=7)


@pytest.fixture
def racked(shop_database: Database) -> Database:
    with shop_database.writing() as session:
        for material in (PLYWOOD, STICK, GLUE):
            add_material(session, material, at=NOW)
    return shop_database


def test_what_stands_on_the_rack_is_in_the_catalogue_until_none_is_left(racked: Database) -> None:
    one, other = offcut(), offcut("stick", 1)
    stored = put(racked, one)
    put(racked, other)
    assert (stored.offcut, stored.note, stored.version) == (one, "sawn clean", 1)
    with racked.reading() as session:
        assert load_catalogue(session, date(2026, 11, 2)).offcuts == {"birch_18": (one,), "stick": (other,)}
        assert load_catalogue(session, date(2026, 11, 2), ["stick"]).offcuts == {"stick": (other,)}
    with racked.writing() as session:
        move_offcut(session, UUID(one.id), "gone", 0, 1, at=NOW, note="damp")
    with racked.reading() as session:
        assert "birch_18" not in load_catalogue(session, date(2026, 11, 2)).offcuts
        assert [found.offcut.id for found in find_offcuts(session).entries] == [other.id]
        assert [found.offcut.id for found in find_offcuts(session, gone=True).entries] == [one.id]


def test_every_move_is_kept_with_who_did_it_and_can_not_be_changed(racked: Database) -> None:
    key = UUID(put(racked, offcut()).offcut.id)
    with racked.writing() as session:
        owner = list_people(session)[0].user
        move_offcut(session, key, "taken", 2, 1, at=NOW + timedelta(hours=1), by=owner.id, job=9)
        move_offcut(session, key, "returned", 1, 2, at=NOW + timedelta(hours=2), by=owner.id)
        move_offcut(session, key, "counted", 5, 3, at=NOW + timedelta(hours=3), note="found behind")
    with racked.reading() as session:
        told = [(one.what, one.moved, one.remaining, one.by, one.job_number) for one in moves_of(session, key)]
        assert [one.what for one in history_of(session, "offcut", str(key))] == [
            "put on the rack", "taken", "returned", "counted",
        ]  # fmt: skip
    assert told == [
        ("counted", 3, 5, "", None), ("returned", 1, 2, "owner", None), ("taken", -2, 1, "owner", 9),
        ("put", 3, 3, "owner", 7),
    ]  # fmt: skip
    for statement in ("UPDATE offcut_moves SET moved = 9", "DELETE FROM offcut_moves"):
        with pytest.raises(DatabaseError, match="never changed"), racked.writing() as session:
            session.execute(text(statement))


def test_no_more_is_taken_than_there_is(racked: Database) -> None:
    key = UUID(put(racked, offcut(count=1)).offcut.id)
    said = "2 of Birch plywood 18 can't be taken: only 1 is on the rack"
    with pytest.raises(RackShort, match=said), racked.writing() as session:
        move_offcut(session, key, "taken", 2, 1, at=NOW)
    with racked.reading() as session:
        assert load_offcut(session, key).offcut.count == 1
        assert len(moves_of(session, key)) == 1


def test_the_second_of_two_at_once_is_told_and_nothing_is_saved_over(racked: Database) -> None:
    one = put(racked, offcut()).offcut
    with racked.writing() as session:
        edit_offcut(session, replace(one, place="Bay 4"), "", 1, at=NOW)
    with pytest.raises(StaleSave), racked.writing() as session:
        move_offcut(session, UUID(one.id), "taken", 1, 1, at=NOW)
    with pytest.raises(StaleSave), racked.writing() as session:
        edit_offcut(session, replace(one, place="Bay 5"), "", 1, at=NOW)
    with racked.reading() as session:
        stored = load_offcut(session, UUID(one.id))
    assert (stored.offcut.count, stored.offcut.place, stored.version) == (3, "Bay 4", 2)


def test_the_rack_is_found_by_material_place_and_note_the_newest_first(racked: Database) -> None:
    old, new = put(racked, offcut()), put(racked, offcut(), NOW + timedelta(days=1))
    put(racked, offcut("stick"))
    with racked.reading() as session:
        assert find_offcuts(session).entries[0].material_name == "Ash stick"
        found = find_offcuts(session, "BIRCH bay clean").entries
        assert [one.offcut.id for one in found] == [new.offcut.id, old.offcut.id]
        assert find_offcuts(session, material="stick").total == 1
        assert find_offcuts(session, "elsewhere").total == 0


def test_a_material_that_stands_on_the_rack_stays_of_its_kind(racked: Database) -> None:
    put(racked, offcut())
    with pytest.raises(KindFixed, match="birch_18 is on the rack as a sheet"), racked.writing() as session:
        edit_material(session, replace(PLYWOOD, kind=Kind.LENGTH), 1, at=NOW)


def test_a_backup_carries_the_rack_and_its_moves_stay(racked: Database, tmp_path: Path) -> None:
    one = put(racked, offcut()).offcut
    make_backup(racked, tmp_path / "shop.zip", at=NOW)
    address = racked.engine.url.render_as_string(hide_password=False)
    with racked.writing() as session:
        move_offcut(session, UUID(one.id), "gone", 0, 1, at=NOW)
    restore_backup(address, tmp_path / "shop.zip", tmp_path / "before", at=NOW, replace=True)
    with racked.writing() as session:
        assert [found.offcut for found in find_offcuts(session).entries] == [one]
        move_offcut(session, UUID(one.id), "taken", 1, 1, at=NOW)
        assert [(told.what, told.remaining) for told in moves_of(session, UUID(one.id))] == [("taken", 2), ("put", 3)]
    with pytest.raises(DatabaseError, match="never changed"), racked.writing() as session:
        session.execute(text("DELETE FROM offcut_moves"))


def test_only_what_is_cut_stands_on_the_rack(racked: Database) -> None:
    for material, error in (("glue", StoreError), ("nothing", NotKept)):
        with pytest.raises(error), racked.writing() as session:
            put_on_rack(session, offcut(material), "", at=NOW)
    with pytest.raises(NotKept), racked.reading() as session:
        load_offcut(session, uuid4())
