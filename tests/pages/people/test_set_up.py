"""The page that a first visit to an empty store opens."""

from __future__ import annotations

from fractions import Fraction

import pytest
from fastapi import FastAPI

from tests.harness.visiting import Visitor
from webapp.app import create_app
from webapp.costing.settings.first_rates import FIRST_RATES
from webapp.persistence.database.database import Database
from webapp.persistence.people.users import list_people
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import find_shop, load_shop
from webapp.settings import Settings

FILLED = {
    "shop_name": "Beam & Bolt",
    "address": "2 Mill Yard\nAnywhere",
    "contact": "",
    "currency": "JPY",
    "length_system": "metric",
    "paper": "A4",
    "time_zone": "Asia/Tokyo",
    "user_name": "Ines",
    "password": "a long enough one",
    "password_again": "a long enough one",
}


@pytest.fixture
def empty_app(settings: Settings, database: Database) -> FastAPI:
    return create_app(settings, database)


@pytest.fixture
def first(empty_app: FastAPI) -> Visitor:
    visitor = Visitor(empty_app)
    visitor.get("/set-up")
    return visitor


@pytest.mark.parametrize("address", ["/sign-in", "/sign-out"])
def test_an_empty_store_sends_everyone_to_set_up(first: Visitor, address: str) -> None:
    answer = first.get(address) if address == "/sign-in" else first.send_form(address)
    assert (answer.status_code, answer.headers["location"]) == (303, "/set-up")


def test_one_form_makes_the_shop_and_signs_its_owner_in(first: Visitor, database: Database) -> None:
    answer = first.send_form("/set-up", FILLED)
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    assert first.get("/sign-in").status_code == 303
    with database.reading() as session:
        shop = find_shop(session)
    assert shop is not None
    assert (shop.name, shop.currency, shop.currency_places, shop.length_system) == ("Beam & Bolt", "JPY", 0, "metric")
    assert not shop.is_demo
    assert first.get("/set-up").headers["location"] == "/sign-in"


def test_a_shop_is_set_up_once(first: Visitor, empty_app: FastAPI, database: Database) -> None:
    late = Visitor(empty_app)
    late.get("/set-up")
    first.send_form("/set-up", FILLED)
    answer = late.send_form("/set-up", {**FILLED, "user_name": "Someone else"})
    assert answer.status_code == 409
    assert "set up already" in answer.text
    with database.reading() as session:
        assert len(list_people(session)) == 1


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"shop_name": "  "}, "The shop needs a name"),
        ({"shop_name": "x" * 201}, "This has 201 characters; at most 200 fit on a line."),
        ({"user_name": ""}, "Type the name you will sign in with."),
        ({"currency": "XYZQ"}, "XYZQ is no known currency code"),
        ({"time_zone": "Nowhere/Land"}, "Nowhere/Land is no known time zone"),
        ({"time_zone": "../../etc/passwd"}, "../../etc/passwd is no known time zone"),
        ({"length_system": "ells"}, "Choose inches or millimetres."),
        ({"paper": "vellum"}, "Choose US Letter or A4."),
        ({"password": "short"}, "The password has 5 characters; it needs at least 12."),
        ({"password": "aaaaaaaaaaaa", "password_again": "aaaaaaaaaaaa"}, "The password repeats a few characters"),
        ({"password": "l"}, "The password has one character; it needs at least 12."),
        ({"password": "Password 2024!", "password_again": "Password 2024!"}, "one of those that are tried first"),
        ({"password": "at beam & BOLT"}, "The password holds the shop&#39;s name"),
        ({"password": "ines was here"}, "The password holds the name you sign in with"),
        ({"password_again": "another long one"}, "The two passwords differ."),
    ],
)
def test_each_field_says_what_stands_against_it(
    first: Visitor, database: Database, changed: dict[str, str], sentence: str
) -> None:
    answer = first.send_form("/set-up", {**FILLED, **changed})
    assert answer.status_code == 422
    assert sentence in answer.text
    assert "a long enough one" not in answer.text, "a password was sent back"
    with database.reading() as session:
        assert find_shop(session) is None


def test_everything_wrong_is_said_at_once_and_what_was_typed_stays(first: Visitor) -> None:
    wrong = {"shop_name": "", "currency": "", "time_zone": "x", "user_name": "", "password": "", "address": "5 <b>Lane"}
    answer = first.send_form("/set-up", {**FILLED, **wrong})
    for sentence in ("The shop needs a name", "Nothing is no known curr", "x is no known time zone", "Type the name"):
        assert sentence in answer.text
    assert "5 &lt;b&gt;Lane" in answer.text


def test_the_first_rates_are_read_as_the_shop_is_to_write(first: Visitor, database: Database) -> None:
    told = {"currency": "EUR", "decimal_sign": ",", "thousands_sign": ".", "hour": "1.250,50 €", "tax": "7,7"}
    assert first.send_form("/set-up", {**FILLED, **told}).status_code == 303
    with database.reading() as session:
        shop, rates = load_shop(session), current_rates(session)
    assert (shop.decimal_sign, shop.thousands_sign, shop.currency_places) == (",", ".", 2)
    assert rates["tax_goods"] == Fraction("0.077")
    assert Fraction("1250.5") in {rates[name] for name in FIRST_RATES[0].settings}


def test_a_currency_that_is_no_more_is_not_offered(first: Visitor) -> None:
    page = first.get("/set-up").text
    assert 'value="EUR"' in page
    assert not any(f'value="{code}"' in page for code in ("DEM", "BGN", "XAU", "XTS"))
    assert first.send_form("/set-up", {**FILLED, "currency": "DEM"}).status_code == 422
