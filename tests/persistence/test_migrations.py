"""The schema: equal to the tables in the code on both databases, brought up step by step, and never half done."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine, inspect, text
from sqlalchemy.exc import SQLAlchemyError

from tests.conftest import TEST_SHOP
from tests.harness.first_version import open_first_shop
from tests.harness.stores import Stores
from webapp.costing.settings.rates import FIRST_EDITION
from webapp.costing.settings.table import default_rates
from webapp.opening import open_store
from webapp.paths import MIGRATIONS
from webapp.persistence.backups import upgrade as upgrade_module
from webapp.persistence.backups.upgrade import migrate
from webapp.persistence.database import database as database_module
from webapp.persistence.database.database import Database, migration_settings, newest_revision, open_database
from webapp.persistence.database.tables import METADATA
from webapp.persistence.foundation.errors import NewerDatabase, StoreError
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import find_shop
from webapp.settings import Settings


def test_the_migrations_make_the_tables_of_the_code(database: Database) -> None:
    with database.engine.connect() as connection:
        context = MigrationContext.configure(
            connection, opts={"compare_type": True, "compare_server_default": True, "target_metadata": METADATA}
        )
        assert compare_metadata(context, METADATA) == []


def test_revisions_are_numbered_one_after_another() -> None:
    scripts = ScriptDirectory.from_config(migration_settings())
    assert len(scripts.get_heads()) == 1
    revisions = [script.revision for script in scripts.walk_revisions()][::-1]
    assert revisions == [f"{place:04}" for place in range(1, len(revisions) + 1)]
    files = sorted(file.name for file in (MIGRATIONS / "versions").glob("*.py"))
    assert [name[:5] for name in files] == [f"{revision}_" for revision in revisions]


def test_a_store_kept_by_the_first_version_comes_up_to_date(stores: Stores) -> None:
    address = stores.bare()
    try:
        migrate(address, revision="0001")
        database = open_database(address)
        open_first_shop(database)
        migrate(address)
        with database.reading() as session:
            # It goes on by the figures that it was kept with.
            assert find_shop(session) == replace(TEST_SHOP, edition=FIRST_EDITION)
            assert current_rates(session) == default_rates(FIRST_EDITION)
        database.close()
    finally:
        stores.drop(address)


def test_a_newer_database_is_refused_and_left_alone(stores: Stores, tmp_path: Path) -> None:
    address = stores.copy("newer", _make_newer)
    settings = Settings(data_folder=tmp_path, database_url=address)
    try:
        with pytest.raises(NewerDatabase, match=r"made by a newer Shop Reckoner \(its revision is 9999\)"):
            open_store(settings, demo=True)
        database = open_database(address)
        with database.engine.connect() as connection:
            assert connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one() == "9999"
            assert connection.execute(text("SELECT count(*) FROM shop")).scalar_one() == 0
        database.close()
    finally:
        stores.drop(address)


def _make_newer(database: Database) -> None:
    with database.engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))


def test_a_sqlite_store_is_copied_before_it_is_migrated(tmp_path: Path) -> None:
    settings = Settings(data_folder=tmp_path / "data")
    (tmp_path / "data").mkdir()
    assert migrate(settings.database_address, tmp_path / "backups", revision="0001") is None
    kept = open_database(settings.database_address)
    open_first_shop(kept)
    opened = open_store(settings, demo=True)
    assert opened.backup is not None
    assert not opened.demo_loaded
    with closing(sqlite3.connect(opened.backup)) as copy:
        assert copy.execute("SELECT version_num FROM alembic_version").fetchone() == ("0001",)
        assert copy.execute("SELECT name FROM shop").fetchone() == (TEST_SHOP.name,)
    opened.database.close()
    again = open_store(settings, demo=True)
    assert again.backup is None
    again.database.close()
    kept.close()


BROKEN = """
import sqlalchemy as sa
from alembic import op

revision = "{revision}"
down_revision = "{before}"


def upgrade():
    op.create_table("half_done", sa.Column("id", sa.Integer, primary_key=True))
    op.execute("INSERT INTO half_done (id) VALUES (1)")
    op.execute("INSERT INTO not_there VALUES (1)")
"""


def test_a_migration_that_fails_leaves_nothing_behind(
    stores: Stores, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, revision = newest_revision(), f"{int(newest_revision()) + 1:04}"
    (tmp_path / f"{revision}_broken.py").write_text(BROKEN.format(revision=revision, before=before))
    plain = migration_settings()
    plain.set_main_option("version_locations", f"{MIGRATIONS / 'versions'} {tmp_path}")
    plain.set_main_option("path_separator", "space")
    plain.toml_alembic_config = {}
    plain.set_main_option("script_location", str(MIGRATIONS))
    address = stores.copy("empty", lambda _: None)
    for module in (database_module, upgrade_module):
        monkeypatch.setattr(module, "migration_settings", lambda: plain)
    try:
        with pytest.raises(SQLAlchemyError):
            migrate(address)
        engine = create_engine(address)
        assert not inspect(engine).has_table("half_done")
        with engine.connect() as connection:
            assert MigrationContext.configure(connection).get_current_revision() == before
        engine.dispose()
    finally:
        stores.drop(address)


def test_a_database_that_is_not_there_is_named_without_its_password(tmp_path: Path) -> None:
    address = f"postgresql+psycopg://shop:secret-word@/reckoner?host={tmp_path}"
    with pytest.raises(StoreError, match="doesn't answer") as caught:
        open_store(Settings(data_folder=tmp_path, database_url=address), demo=True)
    assert "secret-word" not in str(caught.value)


def test_alembic_finds_its_way_from_the_project_file(database: Database) -> None:
    settings = migration_settings()
    with database.engine.connect() as connection:
        settings.attributes["connection"] = connection
        command.check(settings)
