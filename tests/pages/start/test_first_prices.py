"""What a shop of its own begins with: starter designs and materials without prices, and the prices of one design."""

from __future__ import annotations

import re
from html import unescape

import pytest
from fastapi import FastAPI
from sqlalchemy import func, select

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.pages.people.test_set_up import FILLED
from webapp.app import create_app
from webapp.persistence.catalogue.records import MaterialRow, OfferRow, PriceRow, SupplierRow
from webapp.persistence.database.database import Database
from webapp.persistence.designs.records import list_designs
from webapp.settings import Settings

PRICES = "/designs/trestle_bench/prices"


@pytest.fixture
def begun(client: Visitor) -> Visitor:
    """A shop that has taken over the starters and typed no price yet."""
    assert client.send_form("/starters").status_code == 303
    return client


def _count(visitor: Visitor, row: type) -> int:
    with visitor.program.database.reading() as session:
        return session.scalar(select(func.count()).select_from(row)) or 0


def _fields(visitor: Visitor) -> dict[str, str]:
    page = visitor.get(PRICES).text
    return form_fields(page.replace(f'action="{PRICES}"', f'action="{PRICES}" id="prices"'), "prices")


def test_the_tick_at_set_up_brings_designs_and_materials_but_no_price(settings: Settings, database: Database) -> None:
    app: FastAPI = create_app(settings, database)
    visitor = Visitor(app)
    assert "checked" in visitor.get("/set-up").text.split('name="starters"')[1].split(">")[0]
    assert visitor.send_form("/set-up", {**FILLED, "starters": "yes"}).status_code == 303
    with database.reading() as session:
        assert {"bench_cabinet", "trestle_bench"} <= {one.code for one in list_designs(session)}
        for material in session.scalars(select(MaterialRow)):
            assert "invented" not in f"{material.name} {material.note} {material.sources}".casefold(), material.code
    assert _count(visitor, MaterialRow) > 30
    assert [_count(visitor, row) for row in (SupplierRow, OfferRow, PriceRow)] == [0, 0, 0]


def test_taking_over_twice_adds_nothing(begun: Visitor) -> None:
    before = _count(begun, MaterialRow)
    begun.send_form("/starters")
    assert _count(begun, MaterialRow) == before
    with begun.program.database.reading() as session:
        assert {one.version for one in list_designs(session)} == {1}


def test_steps_are_ticked_as_they_are_taken(client: Visitor) -> None:
    assert client.get("/").text.count("state-done") == 0
    client.send_form("/starters")
    page = client.get("/").text
    assert page.count("state-done") == 1
    assert f'href="{PRICES}"' in page
    client.send_form("/jobs/new", {"start": "design:trestle_bench"})
    page = client.get("/").text
    assert page.count("state-done") == 2
    assert "/jobs/1/issue" in page
    assert "Jobs in hand" in page


def test_a_design_is_priced_on_one_page(begun: Visitor) -> None:
    fields = _fields(begun)
    prices = [name for name in fields if name.endswith(".price")]
    assert "offer.sugar_maple.price" in prices
    sent = {**fields, "who": "Millside Timber", **dict.fromkeys(prices, "12.50")}
    # Two rows are wrong: they are said, and everything else is kept.
    sent["offer.wood_glue.price"] = "-3"
    sent["offer.softwood_2x4.length"] = "long"
    answer = begun.send_form(PRICES, sent)
    assert answer.status_code == 422
    page = unescape(answer.text)
    assert f"{len(prices) - 2} prices are kept." in page
    assert 'value="long"' in page
    assert 'value="-3"' in page
    assert len(re.findall(r'class="problem" id="offer-', page)) == 2
    assert _count(begun, SupplierRow) == 1, "one name is one supplier"
    # The same form again keeps nothing twice: only the open rows are asked for.
    offers = _count(begun, OfferRow)
    sent["offer.softwood_2x4.length"] = "8 ft"
    sent["offer.wood_glue.price"] = "9.80"
    assert begun.send_form(PRICES, sent).status_code == 200
    assert _count(begun, OfferRow) == offers + 2
    done = begun.get(PRICES).text
    assert "Every price that it needs is there." in done
    assert "/jobs/new?start=design:trestle_bench" in done
    made = begun.send_form("/jobs/new", {"start": "design:trestle_bench"})
    assert "incomplete" not in begun.get(made.headers["location"]).text.lower()
    # The top planes to 40 mm, which takes boards of two inches: thinner ones would leave it without a price.
    assert fields["offer.sugar_maple.rough_thickness"] == "2 in"


def test_a_row_without_a_seller_says_so_and_loses_nothing(begun: Visitor) -> None:
    answer = begun.send_form(PRICES, {**_fields(begun), "offer.wood_glue.price": "9.80"})
    assert answer.status_code == 422
    page = unescape(answer.text)
    assert re.search(r'id="offer-wood_glue-who-problem">.*name a new supplier', page)
    assert 'value="9.80"' in page
    assert _count(begun, PriceRow) == 0


def test_nothing_typed_is_said(begun: Visitor) -> None:
    assert "Nothing was typed" in begun.send_form(PRICES, _fields(begun)).text
    assert begun.get("/designs/nothing/prices").status_code == 404
