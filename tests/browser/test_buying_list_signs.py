"""In Chromium: what a telephone reckons at a list, written with the shop's own signs."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final
from uuid import uuid4

from playwright.sync_api import expect

from tests.browser.test_buying_list import make, settled
from tests.harness.browsing import Pages
from tests.harness.serving import LiveServer, sign_in
from webapp.costing.buying_list.entries import Entry, Said
from webapp.persistence.buying_lists.records import keep_entry
from webapp.persistence.settings.shop import load_shop, save_shop

#: A day on which something was entered.
MADE: Final = date(2026, 11, 3)


def test_fewer_cost_so_much_less_in_a_shop_that_writes_a_comma(live_server: LiveServer, pages: Pages) -> None:
    """1.298,00 for two are 649,00 for one, and 324,50 for a half, by hand."""
    address = make(live_server, 2)
    line = next(one for one in settled(live_server, address).making.lines if one.till and one.count == 2)
    with live_server.database.writing() as session:
        save_shop(session, replace(load_shop(session), decimal_sign=",", thousands_sign="."))
        dear = Entry(str(uuid4()), line.id, 1, frozenset(), Said("loaded", Fraction(2), Decimal("1298.00")), MADE)
        keep_entry(session, int(address.rpartition("/")[2]), dear, at=live_server.now(), by=None)
    with pages.opened(width=390, height=844) as page:
        sign_in(page, live_server)
        page.goto(f"{live_server.url}{address}")
        row = page.locator(f'[data-line="{line.id}"]')
        row.locator("summary").first.click()
        row.locator(".otherwise > summary").click()
        expect(row.get_by_label("Paid in all")).to_have_value("1.298,00")
        for count, amount in (("1", "649,00"), ("0,5", "324,50"), ("2", "1298,00")):
            row.get_by_label("How many").fill(count)
            expect(row.get_by_label("Paid in all")).to_have_value(amount)
