"""In Chromium: six stale prices brought up to date on a telephone, with the keys alone."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from itertools import pairwise

from playwright.sync_api import Page, expect
from sqlalchemy import select

from tests.harness.barriers import assert_no_barrier
from tests.harness.serving import serve, sign_in
from tests.harness.stores import Filling, SqliteStores
from webapp.persistence.catalogue.records import PriceRow
from webapp.persistence.database.database import open_database
from webapp.running import utc_now
from webapp.settings import Settings

SIX = 6
TARGET = 44


def test_six_stale_prices_are_brought_up_to_date_on_a_telephone(
    settings: Settings, sqlite_stores: SqliteStores, fill_demo: Filling, browser_page: Page
) -> None:
    page, address = browser_page, sqlite_stores.copy("demo", fill_demo)
    database = open_database(address)
    with serve(settings, database, lambda: utc_now() + timedelta(days=100)) as server:
        page.set_viewport_size({"width": 390, "height": 844})
        sign_in(page, server)
        page.goto(f"{server.url}/prices")
        assert_no_barrier(page)
        fields = page.locator("#doubts input[name=amount]")
        ids = [fields.nth(place).get_attribute("id") for place in range(SIX + 1)]
        expect(page.locator(f"#{ids[0]}")).to_be_focused()
        typed = {}
        for this, following in pairwise(ids):
            field = page.locator(f"#{this}")
            expect(field).to_be_focused()
            box = field.bounding_box()
            assert box is not None
            assert box["height"] >= TARGET
            row = page.locator(f"tr:has(#{this})")
            shown = row.locator("td.number .value")
            price = Decimal(shown.first.inner_text().replace(",", "")) if shown.count() else Decimal("7.25")
            typed[str(this).removeprefix("amount-")] = price
            page.keyboard.type(str(price))
            page.keyboard.press("Enter")
            expect(row.get_by_text("Kept.")).to_be_visible()
            expect(page.locator(f"#{following}")).to_be_focused()
        page.reload()
        for this in ids[:SIX]:
            expect(page.locator(f"#{this}")).to_have_count(0)
        expect(fields.first).to_be_focused()
        with database.reading() as session:
            kept = session.execute(select(PriceRow.offer_id, PriceRow.amount).order_by(PriceRow.id.desc()).limit(SIX))
            assert {str(row.offer_id): row.amount for row in kept} == typed
    database.close()
    sqlite_stores.drop(address)
