"""The shop's row, its people, their sign-ins and the trail of what was done."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from tests.conftest import TEST_SHOP
from webapp.costing.measures.manner import PLAIN, Manner
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.audit import HistoryEntry, history_of, record
from webapp.persistence.foundation.errors import CurrencyFixed, NameTaken, NotKept, ShopExists, StaleSave
from webapp.persistence.people.users import (
    add_user,
    end_sign_in,
    find_credentials,
    find_signed_in,
    start_sign_in,
)
from webapp.persistence.settings.shop import fix_currency, load_shop, open_shop, save_shop

NOON = datetime(2024, 6, 1, 12, tzinfo=UTC)


def test_the_shops_day_is_the_day_in_its_zone() -> None:
    late = datetime(2024, 7, 1, 2, tzinfo=UTC)
    assert TEST_SHOP.today(late) == date(2024, 6, 30)
    assert replace(TEST_SHOP, time_zone="Pacific/Auckland").today(late) == date(2024, 7, 1)


def test_a_second_shop_is_refused(shop_database: Database) -> None:
    with pytest.raises(ShopExists), shop_database.writing() as session:
        open_shop(session, TEST_SHOP)


def test_an_empty_store_has_no_shop(database: Database) -> None:
    with pytest.raises(NotKept), database.reading() as session:
        load_shop(session)


def test_a_stale_save_shows_both_and_keeps_the_first(shop_database: Database) -> None:
    with shop_database.reading() as session:
        read = load_shop(session)
    with shop_database.writing() as session:
        assert save_shop(session, replace(read, name="First")).version == 2
    with pytest.raises(StaleSave) as caught, shop_database.writing() as session:
        save_shop(session, replace(read, name="Second"))
    assert (caught.value.stored.name, caught.value.given.name) == ("First", "Second")  # type: ignore[attr-defined]
    with shop_database.reading() as session:
        assert load_shop(session).name == "First"


def test_the_currency_is_fixed_with_the_first_price(shop_database: Database) -> None:
    with shop_database.writing() as session:
        shop = save_shop(session, replace(load_shop(session), currency="JPY", currency_places=0))
        fix_currency(session)
    with pytest.raises(CurrencyFixed, match="keeps prices in JPY"), shop_database.writing() as session:
        save_shop(session, replace(shop, currency="USD"))
    with shop_database.writing() as session:
        assert save_shop(session, replace(shop, paper="A4")).paper == "A4"


def test_names_are_compared_as_people_read_them(shop_database: Database) -> None:
    with shop_database.writing() as session:
        user = add_user(session, name="  Mara   Ohm ", password_hash="x", added_at=NOON)
        assert user.name == "Mara Ohm"
    with shop_database.reading() as session:
        found = find_credentials(session, "mara ohm")
        assert found is not None
        assert found.user == user
    with pytest.raises(NameTaken), shop_database.writing() as session:
        add_user(session, name="MARA OHM", password_hash="y", added_at=NOON)


def test_a_sign_in_ends_with_its_time_or_when_signed_out(shop_database: Database) -> None:
    with shop_database.writing() as session:
        owner = find_credentials(session, "owner")
        assert owner is not None
        for key in ("a", "b"):
            start_sign_in(session, owner.user.id, key, NOON, timedelta(days=1))
    with shop_database.writing() as session:
        assert find_signed_in(session, "a", NOON + timedelta(hours=23)) == owner.user
        assert find_signed_in(session, "a", NOON + timedelta(hours=24)) is None
        end_sign_in(session, "a")
        assert find_signed_in(session, "a", NOON) is None
        assert find_signed_in(session, "b", NOON) == owner.user


def test_deeds_are_kept_in_order(shop_database: Database) -> None:
    first = HistoryEntry(NOON, None, "issued", "quote", "7", {"total": "12.50"})
    second = HistoryEntry(NOON + timedelta(minutes=1), None, "withdrawn", "quote", "7", {})
    with shop_database.writing() as session:
        record(session, second)
        record(session, first)
        record(session, HistoryEntry(NOON, None, "issued", "quote", "8", {}))
    with shop_database.reading() as session:
        assert history_of(session, "quote", "7") == (first, second)


def test_how_a_shop_writes_and_what_its_tax_is_called_is_kept(shop_database: Database) -> None:
    told: dict[str, Any] = {
        "decimal_sign": ",", "thousands_sign": " ", "day_order": "year month day", "trade_words": "American",
        "tax_name": "MwSt.", "tax_number": "XX 123",
    }  # fmt: skip
    with shop_database.writing() as session:
        save_shop(session, replace(load_shop(session), **told))
    with shop_database.reading() as session:
        shop = load_shop(session)
    assert {name: getattr(shop, name) for name in told} == told
    assert shop.manner == Manner(",", " ", "year month day", "American", shop.currency)


def test_a_shop_that_was_there_before_writes_as_it_did(shop_database: Database) -> None:
    with shop_database.reading() as session:
        shop = load_shop(session)
    assert replace(shop.manner, currency="") == PLAIN
    assert (shop.tax_name, shop.tax_number) == ("", "")
