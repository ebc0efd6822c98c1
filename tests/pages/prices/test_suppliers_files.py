"""A supplier's own file: its columns pointed at once, remembered, its prices kept and undone as a whole."""

from __future__ import annotations

from decimal import Decimal

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.pages.catalogue.plywood_case import offers_of, price_address, prices_of, sell_plywood

ADDRESS = "/prices/import"
SUPPLIER = "invented_timber"
#: Sheets for a square metre, net, with a title, a blank row and a heading in German, as an old program writes it.
FIRST = (
    "Holzhandel Musterwald;;;\r\nPreisliste gültig ab sofort;;;\r\n;;;\r\n"
    "Artikel-Nr.;Bezeichnung;ME;Preis USD\r\n"
    "IT-34;Birkensperrholz für Möbel 2440 x 1220 x 18;m²;33,10\r\n"
    "IT-99;Türzarge weiß;Stk;1.204,00\r\n"
    ";Zwischenüberschrift;;\r\n"
)
SECOND = FIRST.replace("33,10", "33,40")


@pytest.fixture
def plywood(client: Visitor) -> Visitor:
    """The owner's browser, in a shop with one material that one supplier sells at 96."""
    return sell_plywood(client)


def send(visitor: Visitor, text: str, encoding: str, supplier: str = "") -> str:
    """Where a file leads that is sent in."""
    files = {"file": ("list.csv", text.encode(encoding))}
    answer = visitor.send_form(ADDRESS, {"supplier": supplier}, files=files)
    assert answer.status_code == 303, answer.text
    place = answer.headers["location"]
    led = visitor.get(place)
    return led.headers["location"] if led.status_code == 303 else place


def test_columns_are_pointed_at_once_and_known_again(plywood: Visitor) -> None:
    (offer,) = offers_of(plywood)
    supplier = offer.offer.supplier
    place = send(plywood, FIRST, "cp1252", supplier)
    assert "/columns" in place
    page = plywood.get(place).text
    fields = form_fields(page, "point")
    assert [fields[f"column.{at}"] for at in range(4)] == ["article", "words", "unit", "price"]
    assert "Birkensperrholz für Möbel" in page
    answer = plywood.send_form(place.partition("?")[0], fields)
    assert answer.status_code == 303, answer.text
    preview = plywood.get(answer.headers["location"]).text
    assert "by its code IT-34" in preview
    assert "Reckoned from 33.10 a square metre." in preview
    assert "1 about something it doesn&#39;t buy" in preview or "1 about something it doesn't buy" in preview
    keep = answer.headers["location"].partition("?")[0] + "/keep"
    kept = plywood.send_form(keep, form_fields(preview, "keep-file"))
    assert kept.status_code == 303, kept.text
    # 8 ft x 4 ft are 2.97289728 m2 (exact, the foot being 0.3048 m): 33.10 x 2.97289728 = 98.40.
    assert prices_of(plywood)[0].amount == Decimal("98.40")
    again = send(plywood, SECOND.replace("€", "USD"), "cp850")
    assert "/columns" not in again, "nobody points a second time"
    assert "was 98.40, now <strong>99.29</strong>" in plywood.get(again).text


def test_a_file_is_undone_as_a_whole_and_what_came_later_stays(plywood: Visitor) -> None:
    place = plywood.send_form(ADDRESS, {"text": "material\tprice\nbirch_plywood_3_4\t99.50\n"}).headers["location"]
    kept = plywood.send_form(f"{place}/keep", form_fields(plywood.get(place).text, "keep-file"))
    said = plywood.get(kept.headers["location"]).text
    undo = said.split('action="/prices/imports/')[1].split('"')[0]
    plywood.send_form(price_address(plywood), {"amount": "98"})
    assert [seen.amount for seen in prices_of(plywood)] == [Decimal(98), Decimal("99.50"), Decimal(96)]
    undone = plywood.send_form(f"/prices/imports/{undo}")
    assert "its price is no longer in use" in plywood.get(undone.headers["location"]).text
    assert [seen.amount for seen in prices_of(plywood)] == [Decimal(98), Decimal(96)]


def test_a_suppliers_article_and_price_are_not_taken_for_the_shops_own_file(plywood: Visitor) -> None:
    (offer,) = offers_of(plywood)
    text = "Article\tDescription\tUnit\tPrice\nIT-34\tBirch\tm2\t33.10\n"
    answer = plywood.send_form(ADDRESS, {"supplier": offer.offer.supplier, "text": text})
    assert "/columns" in plywood.get(answer.headers["location"]).headers["location"]


def test_columns_are_pointed_at_anew_as_they_were_left(plywood: Visitor) -> None:
    supplier = offers_of(plywood)[0].offer.supplier
    place = send(plywood, FIRST.replace("€", "USD"), "utf-8", supplier).partition("?")[0]
    fields = {**form_fields(plywood.get(f"{place}?supplier={supplier}").text, "point"), "discount": "10"}
    preview = plywood.send_form(place, fields).headers["location"]
    assert "33.10 less discount" in plywood.get(preview).text
    again = form_fields(plywood.get(f"{place}?supplier={supplier}").text, "point")
    assert {**again, "form_key": ""} == {**fields, "form_key": "", "known": supplier}
    other = plywood.send_form(place, {**again, "column.1": ""})
    assert other.status_code == 303


def test_a_heading_in_another_currency_keeps_every_price_out(plywood: Visitor) -> None:
    (offer,) = offers_of(plywood)
    place = send(plywood, FIRST.replace("USD", "€"), "cp1252", offer.offer.supplier)
    answer = plywood.send_form(place.partition("?")[0], form_fields(plywood.get(place).text, "point"))
    preview = plywood.get(answer.headers["location"]).text
    assert "The heading of its price says €, but this shop reckons in USD." in preview
    assert "was 96.00" not in preview
