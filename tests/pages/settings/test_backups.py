"""The page of backups: made, fetched, brought in again and restored, with the shop's name typed for it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.harness.visiting import Visitor
from tests.pages.catalogue.plywood_case import sell_plywood
from webapp.persistence.catalogue.records import find_materials

BACKUPS = "/settings/backups"


def only_file(visitor: Visitor, ending: str) -> Path:
    (file,) = (visitor.program.settings.data_folder / "backups").glob(f"*-{ending}.zip")
    return file


def materials(visitor: Visitor) -> int:
    with visitor.program.database.reading() as session:
        return find_materials(session).total


def test_a_backup_is_made_fetched_and_restored_from_a_file_of_ones_own(client: Visitor) -> None:
    assert client.send_form(BACKUPS).status_code == 303
    fetched = client.get(f"{BACKUPS}/{only_file(client, 'backup').name}")
    assert "attachment" in fetched.headers["content-disposition"]
    sell_plywood(client)
    assert materials(client) == 1
    brought = client.send_form(f"{BACKUPS}/bring-in", files={"file": ("of our own.zip", fetched.content)})
    ask = brought.headers["location"]
    assert ask == f"{BACKUPS}/{only_file(client, 'brought-in').name}/restore"
    assert "Everything the shop keeps now gives place to this" in client.get(ask).text

    refused = client.send_form(ask, {"confirm": "another shop"})
    assert refused.status_code == 422
    assert "Type the shop&#39;s name, Test Bench Shop" in refused.text
    assert 'value="another shop"' in refused.text
    assert materials(client) == 1

    assert client.send_form(ask, {"confirm": " test bench shop"}).headers["location"] == "/sign-in"
    assert materials(client) == 0
    assert client.get(BACKUPS).status_code == 303, "whoever was signed in signs in anew"
    client.sign_in()
    assert "Before a restore" in client.get(BACKUPS).text
    client.send_form(f"{BACKUPS}/{only_file(client, 'before-restore').name}/restore", {"confirm": "Test Bench Shop"})
    assert materials(client) == 1


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "The file is no backup of Shop Reckoner"),
        (b"PK\x03\x04 something else", "The file is no backup of Shop Reckoner"),
        (None, "Choose a backup first"),
    ],
)
def test_a_file_that_is_no_backup_is_refused_and_not_kept(
    client: Visitor, content: bytes | None, sentence: str
) -> None:
    files = {"file": ("given.zip", content)} if content is not None else {"other": ("given.zip", b"")}
    answer = client.send_form(f"{BACKUPS}/bring-in", files=files)
    assert answer.status_code == 422
    assert sentence in answer.text
    folder = client.program.settings.data_folder / "backups"
    assert list(folder.glob("*")) == []


def test_a_name_leads_nowhere_but_to_a_backup(client: Visitor) -> None:
    client.send_form(BACKUPS)
    for name in ("secret-key", "..%2Fsecret-key", "..%2Freckoner.sqlite", "20260101-000000-000000-none.zip"):
        for address in (f"{BACKUPS}/{name}", f"{BACKUPS}/{name}/restore"):
            assert client.get(address).status_code == 404, address


def test_one_that_was_damaged_in_the_folder_is_said(client: Visitor) -> None:
    client.send_form(BACKUPS)
    file = only_file(client, "backup")
    file.write_bytes(file.read_bytes()[:-100])
    answer = client.get(f"{BACKUPS}/{file.name}/restore")
    assert answer.status_code == 422
    assert "is cut short" in answer.text
