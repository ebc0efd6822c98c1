"""Every setting is in the README, by the name it is set with."""

from __future__ import annotations

import pytest

from webapp.cli import main
from webapp.paths import CHECKOUT
from webapp.settings import Settings


def test_every_setting_is_documented() -> None:
    readme = (CHECKOUT / "README.md").read_text(encoding="utf-8")
    special = {"data_folder": "RECKONER_DATA", "database_url": "RECKONER_DATABASE"}
    names = [special.get(name, f"RECKONER_{name.upper()}") for name in Settings.model_fields]
    assert [name for name in names if f"`{name}`" not in readme] == []


def test_settings_are_read_from_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RECKONER_DATA", "elsewhere")
    monkeypatch.setenv("RECKONER_PORT", "9001")
    monkeypatch.setenv("RECKONER_HOST_NAMES", "Shop.example, bench.example")
    settings = Settings()
    assert str(settings.data_folder) == "elsewhere"
    assert settings.port == 9001
    assert settings.host_names == ("shop.example", "bench.example")
    assert settings.database_address.endswith("/elsewhere/reckoner.sqlite")


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("RECKONER_PORT", "eighty", "The setting port can't be 'eighty'"),
        ("RECKONER_DATABASE", "mysql://somewhere/shop", "keeps its store in sqlite or postgresql+psycopg"),
        ("RECKONER_LOG_LEVEL", "loud", "The setting log_level can't be 'loud'"),
    ],
)
def test_a_bad_setting_ends_with_a_sentence(
    name: str,
    value: str,
    said: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    monkeypatch.setenv("RECKONER_DATA", str(tmp_path_factory.mktemp("data")))
    monkeypatch.setenv(name, value)
    assert main(["serve"]) == 2
    assert said in capsys.readouterr().err
