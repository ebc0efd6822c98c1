"""What open quotes earn today: their prices hold, whatever the prices of what goes into them do."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from tests.harness.visiting import Visitor
from webapp.persistence.catalogue.changes import add_price
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.quotes.records import estimates_of, standing_quotes
from webapp.persistence.quotes.states import change_state
from webapp.persistence.settings.shop import load_shop

PAGE = "/quotes/earning"


def earned(page: str, label: str) -> Fraction:
    found = re.search(rf'data-label="{label}".*?class="value">([^<]+)<', page)
    assert found is not None, page
    return Fraction(found[1].replace(",", "").replace("−", "-"))


def test_as_issued_and_today_stand_side_by_side(demo_client: Visitor) -> None:
    """The demo's quote was issued before the price of what it uses went up."""
    database = demo_client.program.database
    with database.writing() as session:
        today = load_shop(session).today(demo_client.program.now())
        (quote,) = standing_quotes(session, today)
        issued = estimates_of(session, [quote.id])[quote.id]
        dear = load_catalogue(session, today, [one["code"] for one in issued["materials"]])
        for seen in [one for found in dear.prices.values() for one in found]:
            add_price(session, replace(seen, amount=seen.amount * 3, seen_on=today), at=demo_client.program.now())
    page = demo_client.get(PAGE).text
    assert "about" in page
    page = demo_client.get(f"{PAGE}?wholly=yes").text
    assert "about" not in page
    assert "aria-busy" not in page
    assert earned(page, "Earns as issued") == Fraction(issued["totals"]["net"]) - Fraction(issued["totals"]["cost"])
    bought = sum(Decimal(one["bought"]) for one in issued["materials"])
    lost = earned(page, "Earns as issued") - earned(page, "Earns today")
    # Twice as much more for the goods; handling and contingency come on top, and some would be bought otherwise.
    assert lost > Fraction(bought)
    assert "below floor 3" in page
    assert f'href="/quotes/{quote.id}#became"' in page


def test_it_goes_on_by_itself_until_all_is_worked_out(demo_client: Visitor) -> None:
    page = demo_client.get(PAGE).text
    more = re.search(r'hx-get="([^"]+)" hx-trigger="load', page)
    assert more is not None
    assert 'Work it out exactly</a></p></noscript>' in page
    for _ in range(10):
        page = demo_client.swap(more[1].replace("&amp;", "&"), method="GET").text
        if "aria-busy" not in page:
            break
    assert "aria-busy" not in page
    assert "1 of them" not in page


def test_a_quote_that_is_answered_is_none_of_them(demo_client: Visitor) -> None:
    now = demo_client.program.now()
    with demo_client.program.database.writing() as session:
        today = load_shop(session).today(now)
        for quote in standing_quotes(session, today):
            change_state(session, quote.id, "declined", today, at=now)
    page = demo_client.get(PAGE).text
    assert "No job and no quote is open, so nothing moves." in page
    assert "<table" not in page


def test_list_and_quote_lead_to_it(demo_client: Visitor) -> None:
    assert f'href="{PAGE}"' in demo_client.get("/quotes").text
    with demo_client.program.database.reading() as session:
        (quote,) = standing_quotes(session, load_shop(session).today(demo_client.program.now()))
    assert f'href="{PAGE}"' in demo_client.get(f"/quotes/{quote.id}").text
