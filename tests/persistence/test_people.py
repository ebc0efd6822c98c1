"""Owners and helpers in the store: roles, retiring, passwords, sign-ins ended at once, and how long a miss waits."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime, timedelta
from threading import Barrier
from uuid import UUID

import pytest
from alembic.runtime.migration import MigrationContext
from sqlalchemy import text

from tests.harness.stores import Stores
from webapp.persistence.backups.upgrade import migrate
from webapp.persistence.database.database import Database, open_database
from webapp.persistence.foundation.audit import HistoryEntry, history_of, list_history, record
from webapp.persistence.foundation.errors import LastOwner, NameTaken
from webapp.persistence.people.missed_passwords import (
    Wait,
    forget_missed_passwords,
    note_missed_password,
    waits_until,
)
from webapp.persistence.people.users import (
    add_user,
    change_role,
    find_credentials,
    find_signed_in,
    list_people,
    open_sign_ins,
    rename_user,
    set_password,
    set_retired,
    start_sign_in,
)

NOON = datetime(2024, 6, 1, 12, tzinfo=UTC)
DAY = timedelta(days=1)


@pytest.fixture
def owner(shop_database: Database) -> UUID:
    with shop_database.reading() as session:
        return list_people(session)[0].user.id


def test_the_last_owner_stays_one(shop_database: Database, owner: UUID) -> None:
    with pytest.raises(LastOwner, match="owner is the only owner"), shop_database.writing() as session:
        change_role(session, owner, "helper", at=NOON, by=owner)
    with pytest.raises(LastOwner), shop_database.writing() as session:
        set_retired(session, owner, True, at=NOON, by=owner)
    with shop_database.writing() as session:
        second = add_user(session, name="Mara", password_hash="x", added_at=NOON, role="helper", by=owner)
    with pytest.raises(LastOwner), shop_database.writing() as session:
        set_retired(session, owner, True, at=NOON, by=owner)
    with shop_database.writing() as session:
        change_role(session, second.id, "owner", at=NOON, by=owner)
        set_retired(session, owner, True, at=NOON, by=second.id)
    with pytest.raises(LastOwner), shop_database.writing() as session:
        change_role(session, second.id, "helper", at=NOON, by=second.id)
    with shop_database.reading() as session:
        assert [(one.user.name, one.user.role, one.retired_at) for one in list_people(session)] == [
            ("Mara", "owner", None),
            ("owner", "owner", NOON),
        ]
        assert {entry.what for entry in history_of(session, "person", str(second.id))} == {"added", "made owner"}


def test_whoever_is_retired_is_signed_out_at_once_and_can_come_back(shop_database: Database, owner: UUID) -> None:
    with shop_database.writing() as session:
        helper = add_user(session, name="Mara", password_hash="x", added_at=NOON, role="helper")
        start_sign_in(session, helper.id, "a", NOON, DAY)
        assert find_signed_in(session, "a", NOON) == helper
        set_retired(session, helper.id, True, at=NOON, by=owner)
    with shop_database.reading() as session:
        assert find_signed_in(session, "a", NOON) is None
        assert find_credentials(session, "Mara") is None
    with pytest.raises(NameTaken), shop_database.writing() as session:
        add_user(session, name="mara", password_hash="y", added_at=NOON)
    with shop_database.writing() as session:
        set_retired(session, helper.id, False, at=NOON, by=owner)
        assert find_credentials(session, "Mara") is not None


def test_a_new_password_ends_every_other_sign_in(shop_database: Database, owner: UUID) -> None:
    with shop_database.writing() as session:
        for key in ("here", "there", "elsewhere"):
            start_sign_in(session, owner, key, NOON, DAY, "192.168.1.20", "Some browser " * 40)
        assert len(open_sign_ins(session, owner, NOON)) == 3
        assert open_sign_ins(session, owner, NOON)[0].address == "192.168.1.20"
        set_password(session, owner, "new", at=NOON, by=owner, keep="here")
    with shop_database.reading() as session:
        assert [one.key_digest for one in open_sign_ins(session, owner, NOON)] == ["here"]
        assert find_signed_in(session, "there", NOON) is None
        found = find_credentials(session, "owner")
        assert found is not None
        assert found.password_hash == "new"


def test_a_name_is_given_to_one_person(shop_database: Database, owner: UUID) -> None:
    with shop_database.writing() as session:
        add_user(session, name="Mara", password_hash="x", added_at=NOON)
    with pytest.raises(NameTaken), shop_database.writing() as session:
        rename_user(session, owner, " MARA", at=NOON, by=owner)
    with shop_database.writing() as session:
        rename_user(session, owner, "Owner", at=NOON, by=owner)
        assert [one.user.name for one in list_people(session)] == ["Mara", "Owner"]


# ---- missed passwords ---------------------------------------------------------------------------------------------


def _waits(database: Database, times: int, every: timedelta, begin: datetime = NOON) -> list[float]:
    waits = []
    with database.writing() as session:
        for turn in range(times):
            now = begin + every * turn
            wait = note_missed_password(session, "Mara", "10.0.0.1", now)
            waits.append((wait.until - now).total_seconds() / 60 if wait else 0)
    return waits


def test_waits_begin_with_the_fifth_miss_and_double_up_to_an_hour(database: Database) -> None:
    assert _waits(database, 12, timedelta(seconds=1)) == [0, 0, 0, 0, 1, 2, 4, 8, 16, 32, 60, 60]


def test_five_misses_over_a_longer_time_are_no_wait(database: Database) -> None:
    assert _waits(database, 12, timedelta(minutes=4)) == [0] * 12
    # Four minutes apart no five fall within a quarter of an hour; three and three quarters apart they do.
    assert _waits(database, 5, timedelta(minutes=3, seconds=45), NOON + DAY) == [0, 0, 0, 0, 1]


def test_waiting_ends_and_the_right_password_clears_it(database: Database) -> None:
    _waits(database, 6, timedelta(seconds=1))
    at = NOON + timedelta(seconds=6)
    with database.writing() as session:
        assert waits_until(session, "mara ", "10.0.0.1", at) == Wait(NOON + timedelta(seconds=5, minutes=2), "name")
        assert waits_until(session, "Mara", "10.0.0.2", at) is None
        assert waits_until(session, "Maria", "10.0.0.1", at) is None
        assert waits_until(session, "Mara", "10.0.0.1", at + timedelta(minutes=2)) is None
        forget_missed_passwords(session, "MARA", "10.0.0.1")
        assert waits_until(session, "Mara", "10.0.0.1", at) is None
    assert _waits(database, 1, timedelta()) == [0]


def test_what_was_typed_as_a_name_is_not_kept(database: Database) -> None:
    with database.writing() as session:
        note_missed_password(session, "my secret word", "10.0.0.1", NOON)
    with database.reading() as session:
        kept = session.execute(text("SELECT * FROM missed_passwords")).all()
    assert len(kept) == 3, "for the name, for the address, and in all"
    assert "secret" not in str(kept)


# ---- the trail, and a store from before ---------------------------------------------------------------------------


def test_the_trail_is_narrowed_to_a_person_a_kind_and_the_shops_day(shop_database: Database, owner: UUID) -> None:
    late = datetime(2024, 6, 2, 3, tzinfo=UTC)
    with shop_database.writing() as session:
        for at, by, kind in ((NOON, owner, "job"), (late, owner, "quote"), (late, None, "job")):
            record(session, HistoryEntry(at, by, "saved", kind, "1", {}))
    with shop_database.reading() as session:
        day = date(2024, 6, 1)
        assert [one.at for one in list_history(session, kind="job").entries] == [late, NOON]
        assert {one.subject_kind for one in list_history(session, by=owner).entries} == {"job", "quote"}
        assert list_history(session, on=day, zone="UTC").total == 1
        assert list_history(session, on=day, zone="America/Chicago").total == 3
        assert list_history(session, kind="job", number=2, size=1).entries[0].at == NOON


def test_people_of_an_earlier_store_are_owners(stores: Stores) -> None:
    address = stores.bare()
    try:
        migrate(address, revision="0002")
        old = open_database(address)
        moment = "'2024-06-01 12:00:00.000000'" if old.is_sqlite else "'2024-06-01 12:00:00+00'"
        key = "'0123456789abcdef0123456789abcdef'"
        no = "0" if old.is_sqlite else "false"
        with old.writing() as session:
            session.execute(
                text(
                    "INSERT INTO users (id, name, name_key, password_hash, role, is_demo, failed_attempts, added_at) "
                    f"VALUES ({key}, 'Ines', 'ines', 'x', 'owner', {no}, 3, {moment})"
                )
            )
            session.execute(
                text(
                    "INSERT INTO sign_in_sessions (key_digest, user_id, started_at, ends_at) "
                    f"VALUES ('k', {key}, {moment}, {moment.replace('2024', '2034')})"
                )
            )
        old.close()
        migrate(address)
        database = open_database(address)
        with database.engine.connect() as connection:
            assert MigrationContext.configure(connection).get_current_revision() != "0002"
        with database.reading() as session:
            people = list_people(session)
            assert [(one.user.name, one.user.role, one.added_at) for one in people] == [("Ines", "owner", NOON)]
            assert find_signed_in(session, "k", NOON) == people[0].user
        database.close()
    finally:
        stores.drop(address)


@pytest.mark.parametrize(("tried", "other"), [("192.168.1.20", "192.168.1.21"), ("2001:db8:1:2::7", "2001:db8:1:3::7")])
def test_misses_from_an_address_are_counted_over_all_names(database: Database, tried: str, other: str) -> None:
    """Whoever has one address of the newer kind has the other 18 million million million of its network too."""
    same = "2001:db8:1:2:ffff::1" if ":" in tried else f"::ffff:{tried}"
    with database.writing() as session:
        waits = [note_missed_password(session, f"name {turn}", tried, NOON) for turn in range(20)]
        assert waits[:19] == [None] * 19
        assert waits[19] == Wait(NOON + timedelta(minutes=1), "address")
        assert waits_until(session, "a name never tried", same, NOON) == waits[19]
        assert waits_until(session, "a name never tried", other, NOON) is None
        # Somebody's own password given in between clears their name, and not the address.
        forget_missed_passwords(session, "name 3", tried)
        assert waits_until(session, "name 3", tried, NOON) == waits[19]
        assert waits_until(session, "name 3", tried, NOON + timedelta(minutes=1)) is None


def test_misses_from_many_addresses_make_all_wait_but_those_the_shop_knows(
    shop_database: Database, owner: UUID
) -> None:
    with shop_database.writing() as session:
        start_sign_in(session, owner, "here", NOON, DAY, "192.168.1.20")
        for turn in range(200):
            wait = note_missed_password(session, f"name {turn}", f"10.0.{turn}.1", NOON)
            assert (wait is None) == (turn < 199)
        assert waits_until(session, "owner", "10.1.1.1", NOON) == Wait(NOON + timedelta(minutes=1), "all")
        assert waits_until(session, "owner", "192.168.1.20", NOON) is None


def test_two_who_miss_for_the_first_time_at_once_are_both_counted(database: Database) -> None:
    together = Barrier(6)

    def miss(_: int) -> None:
        together.wait()
        with database.writing() as session:
            note_missed_password(session, "Mara", "10.0.0.1", NOON)

    with ThreadPoolExecutor(6) as pool:
        list(pool.map(miss, range(6)))
    with database.reading() as session:
        assert waits_until(session, "Mara", "10.0.0.1", NOON) == Wait(NOON + timedelta(minutes=2), "name")
