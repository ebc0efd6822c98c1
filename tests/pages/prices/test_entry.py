"""Prices typed for an offer: kept beside the earlier ones, refused with a sentence, asked about where they jump."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from tests.harness.visiting import Visitor
from tests.pages.catalogue.plywood_case import (
    OFFER,
    PLYWOOD,
    SHEET,
    marked_wrong,
    offers_of,
    price_address,
    prices_of,
    sell_plywood,
    today,
)
from webapp.costing.catalogue.materials import PriceSeen


@pytest.fixture
def plywood(client: Visitor) -> Visitor:
    """The owner's browser, in a shop with one material that one supplier sells."""
    return sell_plywood(client)


def test_a_price_typed_in_its_row_is_kept_beside_the_earlier_one(plywood: Visitor) -> None:
    answer = plywood.send_form(price_address(plywood), {"amount": "99.50", "back": "/materials?kind=sheet"})
    (stored,) = offers_of(plywood)
    assert answer.status_code == 303
    assert answer.headers["location"] == f"/materials?kind=sheet#offer-{stored.offer.id}"
    assert [seen.amount for seen in prices_of(plywood)] == [Decimal("99.50"), Decimal(96)]
    assert "99.50" in plywood.get("/materials").text


def test_everything_said_of_a_price_is_kept(plywood: Visitor) -> None:
    day = today(plywood) - timedelta(days=1)
    told = {
        "amount": "1,001.50", "seen_on": day.isoformat(), "where": "receipt", "from_quantity": "5", "with_tax": "yes",
        "delivered": "yes", "one_off": "yes",
    }  # fmt: skip
    assert plywood.send_form(price_address(plywood), told).status_code == 303
    seen = next(one for one in prices_of(plywood) if one.from_quantity == 5)
    assert seen == PriceSeen(
        offers_of(plywood)[0].offer.id, Decimal("1001.50"), "USD", day, "receipt", "owner", 5, True, True, True
    )


WRONG_PRICES: list[tuple[dict[str, str], str, str]] = [
    ({"amount": ""}, "amount", "Type the price of Birch plywood 3/4 first."),
    ({"amount": "0"}, "amount", "“0” is zero; a price must be above zero."),
    ({"amount": "-3"}, "amount", "is below zero"),
    ({"amount": "90 EUR"}, "amount", "is in EUR, but this shop reckons in USD"),
    ({"amount": "€90"}, "amount", "has the sign €, but this shop reckons in USD"),
    ({"amount": "1,00,1"}, "amount", "“1,00,1” is unclear: write it as 12.50 or 1,234.50."),
    ({"amount": "12.505"}, "amount", "has more decimals than the currency"),
    ({"seen_on": "2999-01-01"}, "seen_on", "1 January 2999 is still to come"),
    ({"seen_on": "1026-01-01"}, "seen_on", "is too long ago"),
    ({"seen_on": "last week"}, "seen_on", "“last week” is no day"),
    ({"from_quantity": "0"}, "from_quantity", "is no whole number from 1"),
    ({"where": "x" * 121}, "where", "This has 121 characters"),
]


def test_a_wrong_price_is_said_beside_its_field_and_not_kept(plywood: Visitor) -> None:
    for fields, field, sentence in WRONG_PRICES:
        (stored,) = offers_of(plywood)
        page = plywood.send_form(price_address(plywood), {"amount": "97", **fields})
        assert page.status_code == 422, fields
        assert marked_wrong(page.text) == {f"{field}-{stored.offer.id}"}, fields
        assert sentence in page.text, fields
        typed = fields[field]
        assert f'value="{typed}"' in page.text, fields
        part = plywood.swap(price_address(plywood), {"amount": "97", "place": "row", **fields})
        assert part.status_code == 422, fields
        assert sentence in part.text, fields
        assert "<html" not in part.text, fields
        assert len(prices_of(plywood)) == 1, fields


def test_a_jump_is_asked_about_once(plywood: Visitor) -> None:
    """The shop asks above 15 % from the start; 110.40 is just 15 % more than 96.00, 110.41 is beyond."""
    address = price_address(plywood)
    asked = plywood.send_form(address, {"amount": "110.41"})
    assert asked.status_code == 422
    assert "110.41\u00a0USD is 15 % more than the 96.00\u00a0USD" in asked.text
    assert 'name="confirmed" value="110.41"' in asked.text
    assert len(prices_of(plywood)) == 1
    other = plywood.send_form(address, {"amount": "960", "confirmed": "110.41"})
    assert other.status_code == 422
    assert "900 % more" in other.text
    assert plywood.send_form(address, {"amount": "110.41", "confirmed": "110.41"}).status_code == 303
    assert prices_of(plywood)[0].amount == Decimal("110.41")


def test_what_is_near_or_never_becomes_the_price_in_use_is_not_asked_about(plywood: Visitor) -> None:
    yesterday = (today(plywood) - timedelta(days=1)).isoformat()
    told: list[dict[str, str]] = [
        {"amount": "40", "one_off": "yes"},
        {"amount": "40", "seen_on": yesterday},
        {"amount": "110.40", "from_quantity": "2"},
        {"amount": "81.60"},
    ]
    for fields in told:
        assert plywood.send_form(price_address(plywood), fields).status_code == 303, fields
    assert len(prices_of(plywood)) == 1 + len(told)


def test_a_one_off_price_is_kept_but_not_used(plywood: Visitor) -> None:
    plywood.send_form(price_address(plywood), {"amount": "40", "one_off": "yes"})
    row = plywood.get("/materials").text
    assert ">96.00<" in row
    assert ">40.00<" not in row
    assert "40.00" in plywood.get(SHEET).text


def test_a_price_sent_twice_is_kept_once(plywood: Visitor) -> None:
    for _ in range(2):
        assert plywood.send_form(price_address(plywood), {"amount": "97"}).status_code == 303
    assert [seen.amount for seen in prices_of(plywood)] == [Decimal(97), Decimal(96)]


def test_a_part_is_put_in_place_of_the_row_or_the_offer_it_came_from(plywood: Visitor) -> None:
    (stored,) = offers_of(plywood)
    row = plywood.swap(price_address(plywood), {"amount": "97", "place": "row"})
    assert row.status_code == 200
    assert row.text.strip().startswith(f'<tr id="offer-{stored.offer.id}"')
    assert ">97.00<" in row.text
    sheet = plywood.swap(price_address(plywood), {"amount": "98", "place": "sheet"})
    assert sheet.text.strip().startswith(f'<section class="offer" id="offer-{stored.offer.id}"')
    assert "3 prices seen so far" in sheet.text


def test_a_kept_price_never_leads_elsewhere(plywood: Visitor) -> None:
    for back in ("https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example"):
        answer = plywood.send_form(price_address(plywood), {"amount": "97", "back": back})
        assert answer.headers["location"].startswith("/#offer-")


def test_an_old_price_is_called_stale(client: Visitor) -> None:
    """Prices of sheets are old after 30 days, as the shop's settings begin: common practice."""
    for days, old in ((30, False), (31, True)):
        code = f"plywood_{days}"
        client.send_form("/materials/new", {**PLYWOOD, "code": code})
        seen_on = (today(client) - timedelta(days=days)).isoformat()
        supplier = {"new_supplier": f"Invented Timber {days}", "seen_on": seen_on}
        client.send_form(f"/materials/{code}/offers/new", {**OFFER, **supplier})
        sheet, row = client.get(f"/materials/{code}").text, client.get(f"/materials?words={code}").text
        assert ("stale</span> after 30 days" in sheet) is old
        assert f"{days} days ago" in row
        assert ('<span class="state">stale</span>' in row) is old


def test_an_offer_without_a_price_says_so(client: Visitor) -> None:
    client.send_form("/materials/new", PLYWOOD)
    client.send_form(f"{SHEET}/offers/new", {**OFFER, "amount": ""})
    assert prices_of(client) == []
    assert '<span class="state">no price</span>' in client.get("/materials").text
    assert '<span class="state">no price</span>' in client.get(SHEET).text
