"""On the page of a material its offers are compared by a useful unit, and their prices are drawn as they went."""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal

import pytest

from tests.harness.visiting import Visitor
from tests.pages.catalogue.plywood_case import PLYWOOD, SHEET, offers_of, sell_plywood, today
from webapp.costing.catalogue.materials import PriceSeen
from webapp.persistence.catalogue.changes import add_price


@pytest.fixture
def sold(client: Visitor) -> Visitor:
    """A shop that buys one sheet of 4 by 8 feet at 96, at 80 three months ago, of whom no order is under 250."""
    sell_plywood(client)
    (offer,) = offers_of(client)
    with client.program.database.writing() as session:
        day = today(client) - timedelta(days=90)
        add_price(session, PriceSeen(offer.offer.id, Decimal(80), "USD", day, "typed"), at=client.program.now())
    return client


def rows(page: str) -> list[str]:
    part = page.split('id="offers-compared"')[1].split("</table>")[0]
    return [re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", row)).strip() for row in part.split("<tr")[2:]]


def test_a_square_foot_is_what_is_compared(sold: Visitor) -> None:
    """One sheet of 32 square feet: 96, and 154 that the least order lacks, are 250."""
    page = sold.get(SHEET).text
    assert "What a ft² costs" in page
    (row,) = rows(page)
    assert row.endswith("7.81 1 96.00 154.00")
    assert 'value="32"' in page


def test_as_much_as_is_typed_is_compared_for(sold: Visitor) -> None:
    """Two sheets are 192 and 58 that lack; three are 288 and lack nothing: 3 a square foot."""
    (row,) = rows(sold.get(f"{SHEET}?for=64").text)
    assert row.endswith("3.91 2 192.00 58.00")
    (row,) = rows(sold.get(f"{SHEET}?for=96").text)
    assert row.endswith("3.00 3 288.00 0.00")
    wrong = sold.get(f"{SHEET}?for=ten").text
    assert "“ten” is no number." in wrong
    assert rows(wrong)[0].endswith("7.81 1 96.00 154.00")
    assert "more than nothing" in sold.get(f"{SHEET}?for=-3").text


def test_the_prices_seen_are_drawn(sold: Visitor) -> None:
    page = sold.get(SHEET).text
    drawn = page.split('class="price-history"')[1].split("</svg>")[0]
    title = re.search(r"<title>([^<]+)", drawn)
    assert title is not None
    assert title[1].endswith("a ft² without tax: Invented Timber 2.50, now 3.00")


def test_where_nobody_told_a_price_nothing_is_compared(client: Visitor) -> None:
    assert client.send_form("/materials/new", PLYWOOD).status_code == 303
    page = client.get(SHEET)
    assert page.status_code == 200
    assert "compared" not in page.text
