"""`reckoner backup` and `reckoner restore`: from one data folder to another, and refusals that change nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.conftest import TEST_SHOP, fill_with_shop
from webapp.cli import main
from webapp.opening import open_store
from webapp.persistence.settings.shop import find_shop
from webapp.settings import Settings


@pytest.fixture
def shop_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder with a shop, which the commands are told of."""
    folder = tmp_path / "data"
    opened = open_store(Settings(data_folder=folder), demo=False)
    fill_with_shop(opened.database)
    opened.database.close()
    monkeypatch.setenv("RECKONER_DATA", str(folder))
    return folder


def test_a_shop_moves_to_another_folder(
    shop_folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "shop.zip"
    assert main(["backup", str(file)]) == 0
    assert main(["backup"]) == 0
    (made,) = (shop_folder / "backups").glob("*-backup.zip")
    assert str(made) in capsys.readouterr().out
    assert main(["restore", str(file)]) == 2
    assert "The store is not empty" in capsys.readouterr().err
    assert main(["restore", str(file), "--replace"]) == 0
    assert "What the store held before is kept in" in capsys.readouterr().out

    monkeypatch.setenv("RECKONER_DATA", str(tmp_path / "elsewhere"))
    assert main(["restore", str(file)]) == 0
    opened = open_store(Settings(data_folder=tmp_path / "elsewhere"), demo=False)
    with opened.database.reading() as session:
        assert find_shop(session) == TEST_SHOP
    opened.database.close()


def test_what_cannot_be_done_is_said_and_makes_no_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("RECKONER_DATA", str(tmp_path / "none"))
    (tmp_path / "given.zip").write_bytes(b"nothing of ours")
    assert main(["backup"]) == 2
    assert "There is no shop in" in capsys.readouterr().err
    assert main(["restore", str(tmp_path / "given.zip")]) == 2
    assert "given.zip is no backup of Shop Reckoner" in capsys.readouterr().err
    assert not (tmp_path / "none").exists()
