"""`reckoner import-prices`: the same preview as the page, kept only where that is said."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import fill_with_shop
from webapp.cli import main
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offer, PriceSeen
from webapp.opening import open_store
from webapp.persistence.catalogue.changes import add_material, add_offer, add_price, add_supplier
from webapp.persistence.catalogue.records import Supplier, load_catalogue
from webapp.price_shelf import shelve
from webapp.running import utc_now
from webapp.settings import Settings


def test_a_file_is_shown_and_kept_where_that_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    settings = Settings(data_folder=tmp_path / "data")
    opened = open_store(settings, demo=False)
    fill_with_shop(opened.database)
    offer = Offer("00000000-0000-0000-0000-000000000007", "weld", "yard", {})
    with opened.database.writing() as session:
        add_supplier(session, Supplier("yard", "Yard"), at=utc_now())
        add_material(session, Material("weld", "Welding", Kind.SERVICE), at=utc_now())
        add_offer(session, offer, at=utc_now())
    monkeypatch.setenv("RECKONER_DATA", str(settings.data_folder))
    file = tmp_path / "list.csv"
    file.write_text("material,price\nweld,12.50\nnone,1\n")

    def prices() -> int:
        with opened.database.reading() as session:
            return len(load_catalogue(session, date(2100, 1, 1)).prices)

    assert main(["import-prices", str(file)]) == 0
    told = capsys.readouterr().out
    assert "unreadable line 3: none    There is no material under the code “none”." in told
    assert "new        line 2: Welding" in told
    assert "Nothing was kept yet. --yes keeps 1 prices." in told
    assert prices() == 0
    assert main(["import-prices", str(file), "--yes", "--supplier", "yard"]) == 0
    assert "1 prices were kept." in capsys.readouterr().out
    assert prices() == 1
    price_typed_meanwhile = PriceSeen(offer.id, Decimal(9), "USD", date(2026, 1, 2), "typed")

    def shelve_and_type(*told: Any) -> str:
        with opened.database.writing() as session:
            add_price(session, price_typed_meanwhile, at=utc_now())
        return shelve(*told)

    with monkeypatch.context() as patched:
        patched.setattr("webapp.price_shelf.shelve", shelve_and_type)
        file.write_text("material,price\nweld,13.00\n")
        assert main(["import-prices", str(file), "--yes", "--supplier", "yard"]) == 2
    assert "Prices were kept by somebody while the file was read." in capsys.readouterr().err
    with opened.database.reading() as session:
        held = load_catalogue(session, date(2100, 1, 1)).prices[offer.id]
    assert Decimal(13) not in {seen.amount for seen in held}, "none of the file is kept"
    for arguments, sentence in (
        ([str(tmp_path / "none.csv")], "can't be read: No such file"),
        ([str(file), "--supplier", "nobody"], "There is no supplier under the code nobody. Known are: yard."),
    ):
        assert main(["import-prices", *arguments]) == 2
        assert sentence in capsys.readouterr().err
    opened.database.close()
