"""What is answered for is on the disk before the answer is sent: seen in the system calls of the running program."""

from __future__ import annotations

import os
import re
import shutil
import sys
from datetime import timedelta
from pathlib import Path
from uuid import uuid4

import httpx2
import pytest
from sqlalchemy import select

from tests.conftest import fill_with_shop
from tests.harness.tracing import Call, calls_in, left_by_power_cut, traced
from tests.harness.visiting import Visitor
from webapp.app import create_app
from webapp.costing.settings.first_rates import FIRST_RATES
from webapp.costing.settings.table import default_rates
from webapp.opening import open_store
from webapp.persistence.backups.restore import make_backup
from webapp.persistence.database.database import open_database
from webapp.persistence.jobs.records import create_job
from webapp.persistence.people.users import UserRow, start_sign_in
from webapp.persistence.quotes.records import list_quotes
from webapp.persistence.settings.rates import save_rates
from webapp.running import utc_now
from webapp.security.cookies import SIGN_IN_COOKIE, digest_of, new_key
from webapp.security.forms import TOKEN_FIELD, token_for
from webapp.security.secret_key import secret_key
from webapp.settings import Settings

JOB = {
    "form": "1",
    "job": "Hooks for the glaze room",
    "lines": [{"id": "hang", "kind": "labour", "says": "Hang the hooks", "minutes": "90 min"}],
}
PROGRAM = (sys.executable, "-m", "webapp.cli")


def environment(folder: Path) -> dict[str, str]:
    return {**os.environ, "RECKONER_DATA": str(folder), "RECKONER_PLAN_WORKERS": "0", "PYTHONUNBUFFERED": "1"}


def first(calls: list[Call], wanted: bytes) -> int:
    """The place of the first call that sends a text."""
    return next(place for place, call in enumerate(calls) if any(wanted in text for text in call.texts))


@pytest.fixture
def shop_folder(tmp_path: Path) -> Path:
    """A shop with two jobs in a data folder, closed and wholly on the disk."""
    folder = tmp_path / "data"
    database = open_store(Settings(data_folder=folder), demo=False).database
    fill_with_shop(database)
    with database.writing() as session:
        for _ in range(2):
            create_job(session, uuid4(), JOB, at=utc_now())
        # The rates that it goes by are its own: without them no quote goes out.
        own = {name: default_rates()[name] for one in FIRST_RATES for name in one.settings}
        save_rates(session, own, {}, 0, reason="To begin with", source="the shop", at=utc_now(), answered=own)
    database.close()
    return folder


def test_an_issued_quote_outlasts_a_power_cut_and_its_number_is_not_given_twice(
    shop_folder: Path, tmp_path: Path
) -> None:
    file, key = shop_folder / "reckoner.sqlite", new_key()
    database = open_database(f"sqlite:///{file}")
    with database.writing() as session:
        owner = session.scalars(select(UserRow.id)).one()
        start_sign_in(session, owner, digest_of(key), utc_now(), timedelta(days=1))
    database.close()
    before = tmp_path / "before.sqlite"
    shutil.copy(file, before)

    log = tmp_path / "calls"
    with traced([*PROGRAM, "serve", "--port", "0"], log, environment(shop_folder)) as process:
        assert process.stdout is not None
        line = process.stdout.readline()
        address = re.search(r"http://\S+/", line)
        assert address, line
        with httpx2.Client(base_url=address.group(), cookies={SIGN_IN_COOKIE: key}, timeout=120) as browser:
            issued = browser.post("/jobs/1/issue", data={TOKEN_FIELD: token_for(secret_key(shop_folder), key)})
    assert issued.status_code == 303, issued.text
    calls = calls_in(log)

    answered = first(calls, b"HTTP/1.1 303")
    journal = f"{file}-wal"
    written = max(
        place for place, call in enumerate(calls[:answered]) if (call.name, call.place) == ("pwrite64", journal)
    )
    assert any(call.syncs and call.place == journal for call in calls[written:answered]), "answered before it was kept"

    # Of each file there is what was synced before the answer, and nothing else.
    after = tmp_path / "after.sqlite"
    for ending in ("", "-wal"):
        left = left_by_power_cut(before if not ending else tmp_path / "none", calls[:answered], Path(f"{file}{ending}"))
        Path(f"{after}{ending}").write_bytes(left)
    database = open_database(f"sqlite:///{after}")
    with database.reading() as session:
        quotes = list_quotes(session, utc_now().date()).entries
        assert [f"/quotes/{quote.id}" for quote in quotes] == [issued.headers["location"]]
    visitor = Visitor(create_app(Settings(data_folder=shop_folder), database))
    visitor.sign_in()
    assert visitor.send_form("/jobs/2/issue").status_code == 303
    with database.reading() as session:
        numbers = {quote.number for quote in list_quotes(session, utc_now().date()).entries}
    assert numbers == {1, 2}
    database.close()


def test_a_backup_is_on_the_disk_with_its_name_before_it_is_told_of(shop_folder: Path, tmp_path: Path) -> None:
    log, file = tmp_path / "calls", tmp_path / "kept" / "shop.zip"
    file.parent.mkdir()
    with traced([*PROGRAM, "backup", str(file)], log, environment(shop_folder)) as process:
        said = process.communicate()[0]
    assert f"{file} holds" in said
    assert_put_in_place(calls_in(log), file, b" rows of ")


def test_what_a_restore_puts_aside_and_gives_back_is_on_the_disk_before_it_is_told_of(
    shop_folder: Path, tmp_path: Path
) -> None:
    log, file = tmp_path / "calls", tmp_path / "shop.zip"
    database = open_database(f"sqlite:///{shop_folder / 'reckoner.sqlite'}")
    make_backup(database, file, at=utc_now())
    database.close()
    with traced([*PROGRAM, "restore", "--replace", str(file)], log, environment(shop_folder)) as process:
        assert "Restored" in process.communicate()[0]
    calls = calls_in(log)
    (aside,) = (shop_folder / "backups").glob("*-before-restore.zip")
    assert_put_in_place(calls, aside, b"Restored")
    journal = str(shop_folder / "reckoner.sqlite-wal")
    told = first(calls, b"Restored")
    last = max(place for place, call in enumerate(calls[:told]) if (call.name, call.place) == ("pwrite64", journal))
    assert any(call.syncs and call.place.startswith(str(shop_folder / "reckoner")) for call in calls[last:told])


def test_a_new_data_folder_is_on_the_disk_before_its_address_is_told(tmp_path: Path) -> None:
    """The forms' secret and the database are entries of the folder, and the folder is one of the folder above."""
    log, folder = tmp_path / "calls", tmp_path / "shops" / "ours"
    with traced([*PROGRAM, "serve", "--port", "0", "--empty"], log, environment(folder)) as process:
        assert process.stdout is not None
        assert "Shop Reckoner is at" in process.stdout.readline()
    calls = calls_in(log)
    before = calls[: first(calls, b"Shop Reckoner is at")]
    synced = [call.place for call in before if call.syncs]
    assert {str(tmp_path), str(tmp_path / "shops"), str(folder)} <= set(synced)
    linked = next(place for place, call in enumerate(before) if call.name in {"link", "linkat"})
    assert any(call.syncs and "secret-key" in call.place for call in before[:linked])
    assert any(call.syncs and call.place == str(folder) for call in before[linked:])


def assert_put_in_place(calls: list[Call], file: Path, told: bytes) -> None:
    """Written beside and synced, then renamed, then its folder synced, and told of only then."""
    renamed = next(
        place
        for place, call in enumerate(calls)
        if call.name.startswith("rename") and call.texts[-1] == str(file).encode()
    )
    beside = calls[renamed].texts[0].decode()
    last = max(place for place, call in enumerate(calls[:renamed]) if call.place == beside and not call.syncs)
    assert any(call.syncs and call.place == beside for call in calls[last:renamed])
    assert any(call.syncs and call.place == str(file.parent) for call in calls[renamed : first(calls, told)])
