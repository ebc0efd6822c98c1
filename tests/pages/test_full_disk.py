"""A disk without room: said on every page that writes, with all that was typed kept; pages that only show still do."""

from __future__ import annotations

import gc
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from uuid import uuid4

import pytest
from sqlalchemy import event, text

from tests.harness.visiting import Visitor
from tests.pages.catalogue.plywood_case import sell_plywood
from tests.pages.settings.test_first_rates import ANSWERS
from tests.persistence.test_kept_files import files_no_longer_than
from webapp.persistence.jobs.records import create_job
from webapp.running import utc_now

SENTENCE = "The disk that holds the shop&#39;s data is full, so this was not kept; what was kept before is as it was."
JOB = {
    "form": "1",
    "job": "Hooks for the glaze room",
    "lines": [{"id": "hang", "kind": "labour", "says": "Hang the hooks", "minutes": "90 min"}],
}
#: More than fits on the pages that the database has already.
LONG = "A long note about the glaze room, with “quotes”, <signs> & all. " * 400


@pytest.fixture
def desk(client: Visitor) -> Visitor:
    """The owner's browser, in a shop with a job, a material and a supplier."""
    sell_plywood(client)
    assert client.send_form("/settings/first", ANSWERS).status_code == 303
    with client.program.database.writing() as session:
        create_job(session, uuid4(), JOB, at=utc_now())
    return client


@pytest.fixture
def full(desk: Visitor) -> Iterator[Visitor]:
    """The same where the database may not grow by a single page: SQLite then finds its disk full, as it would."""
    database = desk.program.database
    with database.writing() as session:
        session.execute(text("CREATE TABLE filler (held BLOB)"))
    with database.engine.connect() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
    database.close()

    def hold(connection: object, _: object) -> None:
        connection.execute(f"PRAGMA max_page_count = {pages}")  # type: ignore[attr-defined]

    event.listen(database.engine, "connect", hold)
    yield desk
    event.remove(database.engine, "connect", hold)
    database.close()


def unfinished(visitor: Visitor) -> list[Path]:
    """Whatever is left in the folder of backups."""
    folder = visitor.program.settings.data_folder / "backups"
    return [*folder.glob("*"), *folder.glob(".*")]


WRITING = {
    "a job": ("/jobs/1", {"version": "1", "job": "Hooks", "notes": LONG, "save": "yes"}),
    "a quote": ("/jobs/1/issue", {"agreed": "discount"}),
}


@pytest.mark.parametrize("what", WRITING)
def test_a_full_disk_is_said_and_what_was_typed_is_sent_again(full: Visitor, what: str) -> None:
    address, typed = WRITING[what]
    answer = full.send_form(address, typed)
    assert answer.status_code == 507, answer.text
    assert SENTENCE in answer.text
    (form,) = re.findall(rf'<form method="post" action="{address}">(.*?)</form>', answer.text, re.DOTALL)
    given_back = {
        unescape(name): unescape(value)
        for name, value in re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)">', form, re.DOTALL)
    }
    assert given_back.pop("csrf_token") == full.csrf_token
    assert given_back.pop("form_key")
    assert given_back == typed
    assert "Send it once more</button>" in form


def test_a_part_says_it_in_the_open_page_which_keeps_what_is_typed(full: Visitor) -> None:
    part = full.swap("/jobs/1", {"version": "1", "job": "Hooks", "notes": LONG})
    assert (part.status_code, part.headers["HX-Reswap"]) == (507, "afterbegin")
    assert SENTENCE in part.text
    assert "<form" not in part.text


def test_pages_that_only_show_still_do(full: Visitor) -> None:
    for address in ("/", "/jobs", "/jobs/1", "/materials", "/quotes", "/settings", "/settings/backups", "/sign-in"):
        assert full.get(address).status_code in {200, 303}, address


def test_a_backup_without_room_is_said(desk: Visitor) -> None:
    with files_no_longer_than(2000):
        answer = desk.send_form("/settings/backups")
    assert answer.status_code == 507
    assert SENTENCE in answer.text
    assert unfinished(desk) == []


@pytest.mark.filterwarnings("ignore:.*SpooledTemporaryFile:pytest.PytestUnraisableExceptionWarning")
def test_a_backup_brought_in_without_room_is_said(desk: Visitor) -> None:
    """Twice: where what is sent is laid aside while it comes, and where it is kept.

    The first is left to Python to close, here and now: the framework lets go of a file that it couldn't write.
    """
    for size, most in ((5_000_000, 50_000), (500_000, 400_000)):
        with files_no_longer_than(most):
            answer = desk.send_form("/settings/backups/bring-in", files={"file": ("of our own.zip", b"x" * size)})
        assert answer.status_code == 507, size
        assert SENTENCE in answer.text
    gc.collect()
    assert unfinished(desk) == []


def test_no_page_gives_a_password_back(full: Visitor) -> None:
    """Whatever form it came in: those with a password are typed anew."""
    password = "saw horses and clamps"
    answer = full.send_form("/jobs/1", {"version": "1", "notes": LONG, "password": password})
    assert answer.status_code == 507
    assert password not in answer.text
    assert "Send it once more" not in answer.text


def test_a_file_has_to_be_chosen_again(full: Visitor) -> None:
    """A list of prices is kept in the page once it was read; the file itself is no page's to hold."""
    answer = full.send_form("/jobs/1", {"version": "1", "notes": LONG}, files={"file": ("list.csv", b"code;price")})
    assert answer.status_code == 507
    assert "The file has to be chosen again." in answer.text
    assert "Send it once more" not in answer.text
