"""Stores as the first version of the program kept them, for what has to be brought up to date."""

from __future__ import annotations

from sqlalchemy import text

from tests.conftest import TEST_SHOP
from webapp.persistence.database.database import Database


def open_first_shop(database: Database) -> None:
    """The shop as the first version of the program kept it."""
    held = {
        name: getattr(TEST_SHOP, name)
        for name in ("name", "address", "contact", "currency", "currency_places", "length_system", "time_zone", "paper")
    }
    columns = [*held, "id", "currency_fixed", "is_demo", "version"]
    with database.engine.begin() as connection:
        connection.execute(
            text(f"INSERT INTO shop ({', '.join(columns)}) VALUES ({', '.join(f':{name}' for name in columns)})"),
            {**held, "id": 1, "currency_fixed": False, "is_demo": False, "version": 1},
        )
