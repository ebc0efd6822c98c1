"""What the shop doesn't buy is found in the last file and added in one press; and prices that are raised where no file
comes."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from urllib.parse import urlencode

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.pages.catalogue.plywood_case import offers_of, prices_of, sell_plywood, today
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.measures.written import day_in_words
from webapp.persistence.catalogue.changes import add_price
from webapp.persistence.catalogue.records import load_material

ADDRESS = "/prices/import"
FILE = (
    "Code;Text;Size;Unit;Price\n"
    "IT-34;Birch plywood;2440 x 1220 x 18;m2;33,10\n"
    "IT-50;Beech plywood;2500 mm x 1250 mm x 15 mm;m2;20,00\n"
    "IT-60;Beech dowel;10 mm;100;12,50\n"
    "IT-61;Beech dowel;12 mm;100;on request\n"
)


@pytest.fixture
def sent(client: Visitor) -> tuple[Visitor, str]:
    """The owner's browser and a supplier whose file was taken."""
    sell_plywood(client)
    supplier = offers_of(client)[0].offer.supplier
    answer = client.send_form(ADDRESS, {"supplier": supplier}, files={"file": ("list.csv", FILE.encode())})
    columns = client.get(answer.headers["location"]).headers["location"]
    pointed = client.send_form(columns.partition("?")[0], form_fields(client.get(columns).text, "point"))
    place = pointed.headers["location"]
    kept = client.send_form(f"{place.partition('?')[0]}/keep", form_fields(client.get(place).text, "keep-file"))
    assert kept.status_code == 303, kept.text
    return client, supplier


def add_forms(page: str) -> list[str]:
    return page.split('<form method="post" action="/prices/lines/add"')[1:]


def fields_in(form: str) -> dict[str, str]:
    return form_fields(f'<form id="one"{form.partition("</form>")[0]}</form>', "one")


def test_a_line_is_found_in_the_last_file_and_added_with_its_price(sent: tuple[Visitor, str]) -> None:
    client, supplier = sent
    page = client.get("/prices/lines?words=beech+ply").text
    assert "list.csv" in page
    (form,) = add_forms(page)
    fields = fields_in(form)
    assert (fields["kind"], fields["supplier"]) == ("sheet", supplier)
    added = client.send_form("/prices/lines/add", fields)
    assert added.status_code == 303, added.text
    code = added.headers["location"].removeprefix("/materials/")
    with client.program.database.reading() as session:
        material = load_material(session, code).material
    assert (material.kind, material.values["thickness"]) == (Kind.SHEET, Fraction(15 * 10**6))
    (offer,) = offers_of(client, code)
    assert offer.offer.supplier_code == "IT-50"
    (seen,) = prices_of(client, offer.offer.id)
    assert seen.amount == Decimal("62.50")  # 20.00 x 2.5 m x 1.25 m
    assert add_forms(client.get("/prices/lines?words=beech+ply").text) == [], "it is bought now"


def test_what_is_bought_or_tells_no_price_is_not_offered(sent: tuple[Visitor, str]) -> None:
    client, _ = sent
    assert add_forms(client.get("/prices/lines?words=birch").text) == []
    page = client.get("/prices/lines?words=dowel").text
    (form,) = add_forms(page)
    assert fields_in(form)["size"] == "100"
    assert "on request" in page
    assert "No line holds all of “nothing like it”." in client.get("/prices/lines?words=nothing+like+it").text


def test_a_size_that_cannot_be_is_said_beside_it_and_nothing_added(sent: tuple[Visitor, str]) -> None:
    client, _ = sent
    (form,) = add_forms(client.get("/prices/lines?words=beech+ply").text)
    answer = client.send_form("/prices/lines/add", {**fields_in(form), "size": "2500 x 1250", "name": "My beech"})
    assert answer.status_code == 422
    assert "can&#39;t be a size here: write length x width x thickness." in answer.text
    assert fields_in(add_forms(answer.text)[0])["name"] == "My beech", "nothing typed is lost"


@pytest.mark.parametrize(("percent", "amount"), [("6", "104.30"), ("-2.5", "95.94"), ("2,5 %", "100.86")])
def test_all_prices_of_a_supplier_are_raised_as_one_entry(
    sent: tuple[Visitor, str], percent: str, amount: str
) -> None:
    client, supplier = sent
    assert prices_of(client)[0].amount == Decimal("98.40")
    answer = client.send_form("/prices/raise", {"supplier": supplier, "kind": "sheet", "percent": percent})
    place = answer.headers["location"]
    page = client.get(place).text
    assert f"All sheets of Invented Timber {'down' if percent.startswith('-') else 'up'}" in page
    kept = client.send_form(f"{place.partition('?')[0]}/keep", form_fields(page, "keep-file"))
    seen = prices_of(client)[0]
    assert (seen.amount, seen.where, seen.seen_on) == (Decimal(amount), "reckoned", today(client))
    assert ", reckoned" in client.get(kept.headers["location"]).text
    assert "list.csv" in client.get("/prices/lines").text, "what was reckoned is no supplier's file"


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"percent": "6"}, "Choose whose prices go up or down."),
        ({"percent": "six"}, "“six” is no share"),
        ({"percent": "1e-999999999"}, "“1e-999999999” is no share"),
        ({"percent": "1/3"}, "“1/3” is no share"),
        ({"percent": "0"}, "“0” can&#39;t be"),
        ({"percent": "600"}, "prices go up by 100 % at most"),
        ({"percent": "6", "kind": "liquid", "supplier": "+"}, "There is no price of glue and finish"),
    ],
)
def test_what_cannot_be_raised_is_said(sent: tuple[Visitor, str], fields: dict[str, str], sentence: str) -> None:
    client, supplier = sent
    told = {name: supplier if text == "+" else text for name, text in fields.items()}
    answer = client.send_form("/prices/raise", told)
    assert answer.status_code == 422
    assert sentence in answer.text
    assert f'value="{fields["percent"]}"' in answer.text


def test_a_line_added_from_a_preview_of_a_day_to_come_counts_from_then(sent: tuple[Visitor, str]) -> None:
    client, supplier = sent
    later = today(client) + timedelta(days=30)
    answer = client.send_form(ADDRESS, {"supplier": supplier}, files={"file": ("next.csv", FILE.encode())})
    place = answer.headers["location"].partition("?")[0]
    preview = client.get(f"{place}?supplier={supplier}&from={later}").text
    fields = form_fields(preview, "find-line") | {"words": "beech ply"}
    page = client.get(f"/prices/lines?{urlencode(fields)}").text
    (form,) = add_forms(page)
    assert f", from {day_in_words(later)}" in page
    refused = client.send_form("/prices/lines/add", fields_in(form) | {"size": "none"})
    assert refused.status_code == 422
    (form,) = add_forms(refused.text)
    added = client.send_form("/prices/lines/add", fields_in(form) | {"size": fields_in(add_forms(page)[0])["size"]})
    assert added.status_code == 303, added.text
    (offer,) = offers_of(client, added.headers["location"].removeprefix("/materials/"))
    (seen,) = prices_of(client, offer.offer.id)
    assert seen.seen_on == later


def test_a_price_below_a_cent_is_raised_as_well(sent: tuple[Visitor, str]) -> None:
    client, supplier = sent
    here = client.program
    with here.database.writing() as session:
        add_price(session, replace(prices_of(client)[0], amount=Decimal("0.0412")), at=here.now())
    place = client.send_form("/prices/raise", {"supplier": supplier, "percent": "5"}).headers["location"]
    page = client.get(place).text
    client.send_form(f"{place.partition('?')[0]}/keep", {**form_fields(page, "keep-file"), "group": "kept"})
    assert prices_of(client)[0].amount == Decimal("0.04326"), "0.0412 and a twentieth of it, by hand"
