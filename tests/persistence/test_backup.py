"""Backups: a store given back without loss, from either database to either, and a file in doubt refused unread."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any
from uuid import UUID
from zipfile import ZipFile

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from sqlalchemy import func, select, text, update
from sqlalchemy.exc import DBAPIError

from tests.conftest import TEST_SHOP, fill_with_shop
from tests.harness.examples import tried
from tests.harness.first_version import open_first_shop
from tests.harness.stores import PostgresqlStores, SqliteStores, Stores
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offer, PriceSeen
from webapp.costing.settings.rates import FIRST_EDITION
from webapp.estimating import estimate_jobs
from webapp.opening import open_store
from webapp.persistence.backups.backup import DIGEST_LENGTH, MANIFEST, digest_before, tables_of, write_backup
from webapp.persistence.backups.reading import BackupRefused, reading_backup
from webapp.persistence.backups.restore import StoreNotEmpty, make_backup, restore_backup
from webapp.persistence.backups.upgrade import migrate
from webapp.persistence.catalogue.changes import add_material, add_offer, add_price, add_supplier
from webapp.persistence.catalogue.records import PriceRow, Supplier
from webapp.persistence.database.database import Database, newest_revision, open_database
from webapp.persistence.database.tables import METADATA
from webapp.persistence.jobs.records import JobRow, copy_job, create_job, load_job_by_number
from webapp.persistence.people.users import SignInRow, UserRow, find_credentials
from webapp.persistence.quotes.tables import QuoteDocumentRow, QuoteRow
from webapp.persistence.settings.shop import find_shop, load_shop
from webapp.settings import Settings

NOW = datetime(2026, 3, 4, 5, 6, 7, 890123, tzinfo=UTC)
TODAY = date(2026, 3, 4)
ODD_PRICE = Decimal("12.345678")
ID = UUID(int=7)


def everything(database: Database) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table that a backup holds."""
    with database.engine.connect() as connection:
        return {
            name: [tuple(row) for row in connection.execute(select(table).order_by(*table.primary_key.columns))]
            for name, table in tables_of(connection).items()
        }


def estimates(database: Database) -> list[tuple[Any, ...]]:
    """What every job's estimate says."""
    with database.reading() as session:
        shop = load_shop(session)
        numbers = session.scalars(select(JobRow.number).order_by(JobRow.number)).all()
        kept = [load_job_by_number(session, number) for number in numbers]
        jobs = {job.id: job.document for job in kept}
        return [
            (found.totals.total.value, found.lines, found.problems)
            for _, found in estimate_jobs(session, jobs, shop, TODAY)
        ]


@pytest.fixture
def other(request: pytest.FixtureRequest, stores: Stores) -> Iterator[Database]:
    """An empty store on the other kind of database than the first one is on."""
    kind = "postgresql" if isinstance(stores, SqliteStores) else "sqlite"
    others: Stores = request.getfixturevalue(f"{kind}_stores")
    address = others.copy("empty", lambda _: None)
    database = open_database(address)
    yield database
    database.close()
    others.drop(address)


def address_of(database: Database) -> str:
    return database.engine.url.render_as_string(hide_password=False)


def test_the_demo_shop_comes_back_whole_on_the_other_database(
    demo_database: Database, other: Database, tmp_path: Path
) -> None:
    with demo_database.writing() as session:
        user = session.scalars(select(UserRow)).first()
        assert user is not None
        session.add(SignInRow(key_digest="digest", user_id=user.id, started_at=NOW, ends_at=NOW))
    file = tmp_path / "shop.zip"
    manifest = make_backup(demo_database, file, at=NOW)
    restored = restore_backup(address_of(other), file, tmp_path, at=NOW)
    assert restored.manifest == manifest
    assert restored.before is None
    assert everything(other) == everything(demo_database)
    assert estimates(other) == estimates(demo_database)
    with other.reading() as session, demo_database.reading() as first:
        assert find_credentials(session, "demo") == find_credentials(first, "demo")
        assert session.scalar(select(func.count()).select_from(SignInRow)) == 0
        for quote in session.scalars(select(QuoteRow)):
            assert hashlib.sha256(quote.snapshot.encode()).hexdigest() == quote.snapshot_digest
            assert hashlib.sha256(quote.estimate.encode()).hexdigest() == quote.estimate_digest
        papers = session.scalars(select(QuoteDocumentRow)).all()
        assert papers
        assert all(hashlib.sha256(paper.content).hexdigest() == paper.digest for paper in papers)
    with pytest.raises(DBAPIError, match="never changed"), other.writing() as session:
        session.execute(update(PriceRow).values(amount=1))
    # Keys and numbers go on after the last of them.
    with other.writing() as session:
        offer = session.scalars(select(PriceRow.offer_id)).first()
        seen = PriceSeen(str(offer), ODD_PRICE, load_shop(session).currency, TODAY, "receipt")
        add_price(session, seen, at=NOW)
        create_job(session, ID, {"form": "1"}, at=NOW)


def test_a_copy_of_a_later_job_and_odd_words_come_back(
    shop_database: Database, other: Database, tmp_path: Path
) -> None:
    first, second = UUID(int=9), UUID(int=3)
    with shop_database.writing() as session:
        create_job(session, first, {"form": "1", "job": 'Line\u2028end, "quotes", 棚 and \x7f'}, at=NOW)
        copy_job(session, first, second, at=NOW)
        add_supplier(session, Supplier("yard", "Yard"), at=NOW)
        add_material(session, Material("screw", "Screw", Kind.FASTENER), at=NOW)
        add_offer(session, Offer(str(ID), "screw", "yard", {"count": Fraction(1)}), at=NOW)
        add_price(session, PriceSeen(str(ID), ODD_PRICE, "USD", TODAY, "list"), at=NOW)
    make_backup(shop_database, tmp_path / "shop.zip", at=NOW)
    restore_backup(address_of(other), tmp_path / "shop.zip", tmp_path, at=NOW)
    assert everything(other) == everything(shop_database)


def test_only_an_empty_store_is_filled_unless_it_is_to_be_replaced(shop_database: Database, tmp_path: Path) -> None:
    make_backup(shop_database, tmp_path / "first.zip", at=NOW)
    with shop_database.writing() as session:
        create_job(session, ID, {"form": "1", "job": "Kept since"}, at=NOW)
    later = everything(shop_database)
    with pytest.raises(StoreNotEmpty, match="--replace"):
        restore_backup(address_of(shop_database), tmp_path / "first.zip", tmp_path / "kept", at=NOW)
    assert everything(shop_database) == later
    restored = restore_backup(
        address_of(shop_database), tmp_path / "first.zip", tmp_path / "kept", at=NOW, replace=True
    )
    assert everything(shop_database)["jobs"] == []
    assert restored.before is not None
    restore_backup(address_of(shop_database), restored.before, tmp_path / "again", at=NOW, replace=True)
    assert everything(shop_database) == later


def test_a_backup_of_an_older_program_is_brought_up_to_date(stores: Stores, other: Database, tmp_path: Path) -> None:
    address = stores.bare()
    try:
        migrate(address, revision="0001")
        old = open_database(address)
        open_first_shop(old)
        make_backup(old, tmp_path / "old.zip", at=NOW)
        old.close()
        restored = restore_backup(address_of(other), tmp_path / "old.zip", tmp_path, at=NOW)
        assert restored.manifest.revision == "0001"
        with other.reading() as session:
            assert find_shop(session) == replace(TEST_SHOP, edition=FIRST_EDITION)
            assert session.execute(text("SELECT version_num FROM alembic_version")).scalar_one() == newest_revision()
        assert set(everything(other)) <= set(METADATA.tables)
    finally:
        stores.drop(address)


def test_a_store_on_postgresql_is_backed_up_before_it_is_migrated(
    postgresql_stores: PostgresqlStores, tmp_path: Path
) -> None:
    address = postgresql_stores.bare()
    try:
        migrate(address, revision="0001")
        kept = open_database(address)
        open_first_shop(kept)
        opened = open_store(Settings(data_folder=tmp_path, database_url=address), demo=False)
        assert opened.backup is not None
        with reading_backup(opened.backup) as backup:
            assert backup.manifest.revision == "0001"
            assert {table.name: table.rows for table in backup.manifest.tables}["shop"] == 1
        opened.database.close()
        kept.close()
    finally:
        postgresql_stores.drop(address)


def test_an_empty_folder_has_nothing_to_back_up_and_no_file_is_written_over(
    shop_database: Database, stores: Stores, tmp_path: Path
) -> None:
    make_backup(shop_database, tmp_path / "shop.zip", at=NOW)
    kept = (tmp_path / "shop.zip").read_bytes()
    with pytest.raises(Exception, match="is there already"):
        make_backup(shop_database, tmp_path / "shop.zip", at=NOW)
    assert (tmp_path / "shop.zip").read_bytes() == kept
    bare = open_database(stores.bare())
    with pytest.raises(Exception, match="nothing to back up"):
        make_backup(bare, tmp_path / "none.zip", at=NOW)
    assert not (tmp_path / "none.zip").exists()
    bare.close()


# ---- files in doubt -----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def small_backup(sqlite_stores: SqliteStores, tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A backup of a shop without stock or jobs."""
    address = sqlite_stores.copy("shop", fill_with_shop)
    database = open_database(address)
    file = tmp_path_factory.mktemp("backup") / "small.zip"
    make_backup(database, file, at=NOW)
    database.close()
    sqlite_stores.drop(address)
    return file.read_bytes()


def refusal(content: bytes, folder: Path, largest: int = 1024**3) -> str:
    """Why a file is refused."""
    file = folder / "given.zip"
    file.write_bytes(content)
    with pytest.raises(BackupRefused) as caught, reading_backup(file, largest=largest):
        pass
    return str(caught.value)


@given(data=st.data())
@hypothesis_settings(max_examples=tried(150), suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_no_byte_of_a_backup_can_change_or_be_missing(small_backup: bytes, tmp_path: Path, data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(small_backup) - 1))
    flipped = bytearray(small_backup)
    flipped[at] ^= data.draw(st.integers(1, 255))
    sentence = refusal(bytes(flipped), tmp_path)
    assert any(words in sentence for words in ("altered", "no backup of Shop Reckoner", "cut short"))
    sentence = refusal(small_backup[:at], tmp_path)
    assert "cut short" in sentence or "no backup of Shop Reckoner" in sentence


def sealed_anew(content: bytes, folder: Path, manifest: dict[str, Any] | None, members: dict[str, bytes]) -> bytes:
    """A backup changed by somebody who knows its form: the seal is right, what is inside need not be."""
    given, made = folder / "in.zip", folder / "out.zip"
    given.write_bytes(content)
    with ZipFile(given) as source, ZipFile(made, "w", 8) as target:
        for member in source.infolist():
            held = members.get(member.filename, source.read(member))
            if member.filename == MANIFEST and manifest is not None:
                held = json.dumps({**json.loads(held), **manifest}).encode()
            target.writestr(member.filename, held, 8 if len(held) > 100 else 0)
        for name in members.keys() - set(source.namelist()):
            target.writestr(name, members[name])
        target.comment = source.comment
    with made.open("r+b") as file:
        end = len(made.read_bytes()) - DIGEST_LENGTH
        seal = digest_before(file, end)
        file.seek(end)
        file.write(seal.encode())
    return made.read_bytes()


@pytest.mark.parametrize(
    ("manifest", "members", "sentence"),
    [
        ({"form": 2}, {}, "made by a newer Shop Reckoner (its form is 2)"),
        ({"revision": "9999"}, {}, "made by a newer Shop Reckoner (its revision is 9999)"),
        ({"tables": []}, {}, "doesn't hold what its manifest says"),
        ({"tables": 3}, {}, "manifest of given.zip can't be read"),
        (None, {"tables/shop.jsonl": b"[]\n"}, "altered or damaged"),
        (None, {"../../outside.txt": b"elsewhere"}, "doesn't hold what its manifest says"),
        (None, {"tables/more.jsonl": b""}, "doesn't hold what its manifest says"),
        (None, {MANIFEST: b"no manifest"}, "manifest of given.zip can't be read"),
    ],
)
def test_a_file_with_a_right_seal_and_wrong_contents_is_refused(
    small_backup: bytes, tmp_path: Path, manifest: dict[str, Any] | None, members: dict[str, bytes], sentence: str
) -> None:
    assert sentence in refusal(sealed_anew(small_backup, tmp_path, manifest, members), tmp_path)


def test_a_file_that_unfolds_without_end_is_refused_before_it_is_unfolded(small_backup: bytes, tmp_path: Path) -> None:
    bomb = sealed_anew(small_backup, tmp_path, None, {"tables/shop.jsonl": b"0" * 4_000_000})
    assert len(bomb) < 100_000
    assert "would unfold into more than 1 MB" in refusal(bomb, tmp_path, largest=1024**2)


def test_a_foreign_file_and_none_at_all_are_refused(tmp_path: Path) -> None:
    for content in (b"", b"PK", b"%PDF-1.7 something", b"SQLite format 3\x00"):
        assert "no backup of Shop Reckoner" in refusal(content, tmp_path)
    with pytest.raises(BackupRefused, match="can't be opened: No such file"), reading_backup(tmp_path / "none.zip"):
        pass


def test_a_refused_file_changes_nothing(shop_database: Database, small_backup: bytes, tmp_path: Path) -> None:
    """One that is found out early, and one whose rows the tables don't take, when half of it is in already."""
    before = everything(shop_database)
    twice = tmp_path / "twice.zip"
    with shop_database.engine.connect() as connection, connection.begin():
        write_backup(connection, newest_revision(), twice, at=NOW)
    with ZipFile(twice) as source:
        told = json.loads(source.read(MANIFEST))
        member = source.read("tables/users.jsonl")
    for table in told["tables"]:
        if table["name"] == "users":
            table["rows"], table["sha256"] = 2, hashlib.sha256(member * 2).hexdigest()
    doubled = sealed_anew(twice.read_bytes(), tmp_path, told, {"tables/users.jsonl": member * 2})
    for content in (small_backup[:-1], doubled):
        file = tmp_path / "given.zip"
        file.write_bytes(content)
        with pytest.raises(BackupRefused, match="Nothing was changed"):
            restore_backup(address_of(shop_database), file, tmp_path / "kept", at=NOW, replace=True)
        assert everything(shop_database) == before
