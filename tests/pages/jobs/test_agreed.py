"""Nothing agreed drifts: what a job shows, makes and buys once a quote of it stands or is accepted."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from html import unescape

import pytest

from tests.documents.paper_case import text_of
from tests.harness.visiting import Visitor
from webapp.app import create_app
from webapp.persistence.catalogue.changes import add_price
from webapp.persistence.database.database import Database
from webapp.persistence.jobs.records import list_jobs, load_job_by_number, save_job
from webapp.persistence.quotes.records import QuoteListed, load_quote, quotes_of_job
from webapp.persistence.settings.shop import load_shop
from webapp.settings import Settings
from webapp.standing import estimate_stored, estimate_to_buy

AGREED, QUOTED = "Trestle benches for the craft room", "Ware carts"


def number_of(visitor: Visitor, title: str) -> int:
    with visitor.program.database.reading() as session:
        return next(one.number for one in list_jobs(session).entries if title in one.title)


def last_quote(visitor: Visitor, number: int) -> QuoteListed:
    with visitor.program.database.reading() as session:
        job = load_job_by_number(session, number)
        return quotes_of_job(session, job.id, load_shop(session).today(visitor.program.now()))[0]


@pytest.fixture
def agreed(demo_client: Visitor) -> int:
    """The number of the job whose quote is accepted."""
    number = number_of(demo_client, AGREED)
    assert last_quote(demo_client, number).state == "accepted"
    return number


def raise_prices(visitor: Visitor, number: int, by: str = "1.40") -> None:
    """Every price that a job's materials are bought at, seen higher today."""
    with visitor.program.database.writing() as session:
        shop, at = load_shop(session), visitor.program.now()
        today = shop.today(at)
        job = load_job_by_number(session, number)
        for seen in estimate_stored(session, job, job.document, shop, today).inputs.catalogue.prices.values():
            for price in seen:
                amount = (price.amount * Decimal(by)).quantize(Decimal("0.01"))
                add_price(session, replace(price, amount=amount, seen_on=today, where="raised"), at=at)


def change_first_item(visitor: Visitor, number: int, **changed: str) -> None:
    """Save the first item of a job otherwise than it is."""
    with visitor.program.database.writing() as session:
        job = load_job_by_number(session, number)
        first, *others = job.document["items"]
        document = {**job.document, "items": [{**first, **changed}, *others]}
        save_job(session, job.id, document, job.version, at=visitor.program.now())


def strip_of(page: str) -> str:
    words = page.split('id="strip"')[1].split("</section>")[0]
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", words)).split())


def _listed(visitor: Visitor, number: int) -> tuple[str, str]:
    """What the list says that a job comes to, and which sum that is."""
    row = next(row for row in visitor.get("/jobs").text.split("<tr>") if f'<a href="/jobs/{number}">' in row)
    found = re.search(r'data-label="To pay"[^>]*>([^ <]+) <span class="quiet break">(\w+)<', row)
    assert found is not None, row
    return found[1], found[2]


def money(total: Decimal) -> str:
    return f"{total:,.2f}"


@pytest.mark.both
def test_an_agreed_job_stays_at_its_sum_when_prices_and_rates_change(demo_client: Visitor, agreed: int) -> None:
    quote = last_quote(demo_client, agreed)
    before = strip_of(demo_client.get(f"/jobs/{agreed}").text)
    assert f"Agreed, to pay, {quote.currency} {money(quote.total)}" in before
    raise_prices(demo_client, agreed)
    page = demo_client.get(f"/jobs/{agreed}").text
    assert strip_of(page) == before
    assert f"As agreed in quote {quote.number}, revision {quote.revision}." in before
    assert f"Agreed, to pay: {money(quote.total)}" in unescape(page)
    # The same through what follows the keys, through a working, and in the list of jobs.
    assert money(quote.total) in demo_client.get(f"/jobs/{agreed}/working/price/total").text
    assert _listed(demo_client, agreed) == (money(quote.total), "agreed")
    with demo_client.program.database.reading() as session:
        job, shop = load_job_by_number(session, agreed), load_shop(session)
        worked = estimate_stored(session, job, job.document, shop, shop.today(demo_client.program.now()))
        stored = load_quote(session, quote.id, quote.issued_on)
    assert worked.as_agreed
    assert worked.estimate.totals.total.value == quote.total
    assert worked.inputs.catalogue.today.isoformat() == stored.snapshot["catalogue"]["today"]


@pytest.mark.both
def test_making_follows_what_was_agreed_and_buying_tells_the_difference(demo_client: Visitor, agreed: int) -> None:
    quote = last_quote(demo_client, agreed)
    pack = demo_client.get(f"/jobs/{agreed}/workshop").text
    cuts = demo_client.get(f"/jobs/{agreed}/cut").text
    files = re.findall(r'href="(/jobs/[^"]+\.(?:dxf|svg))"', cuts)
    assert files
    drawn = [demo_client.get(href).content for href in files[:2]]
    papers = text_of(demo_client.get(f"/jobs/{agreed}/workshop.pdf").content)
    assert f"quote {quote.number}, revision {quote.revision}" in unescape(cuts)
    with demo_client.program.database.reading() as session:
        job, shop = load_job_by_number(session, agreed), load_shop(session)
        agreed_buys = estimate_to_buy(session, job, shop, shop.today(demo_client.program.now()))
    raise_prices(demo_client, agreed)
    change_first_item(demo_client, agreed, quantity="9")
    assert demo_client.get(f"/jobs/{agreed}/workshop").text == pack
    assert demo_client.get(f"/jobs/{agreed}/cut").text == cuts
    assert [demo_client.get(href).content for href in files[:2]] == drawn
    assert text_of(demo_client.get(f"/jobs/{agreed}/workshop.pdf").content) == papers
    with demo_client.program.database.reading() as session:
        job, shop = load_job_by_number(session, agreed), load_shop(session)
        buys = estimate_to_buy(session, job, shop, shop.today(demo_client.program.now()))
    # It buys for as many as were agreed, at what these cost today.
    assert [one.quantity.value for one in buys.estimate.items] == [
        one.quantity.value for one in agreed_buys.estimate.items
    ]
    counted, costs = buys.agreed_materials, sum(one.bought.value for one in buys.estimate.bought)
    assert counted is not None
    assert costs > counted == agreed_buys.agreed_materials
    page = unescape(demo_client.get(f"/buying?job={agreed}&chosen=yes").text)
    rows = page.split("Materials of agreed jobs</caption>")[1].split("</table>")[0]
    found = [Decimal(text.replace(",", "")) for text in re.findall(r"([\d,]+\.\d\d)", rows)]
    assert found == [counted, costs, costs - counted]
    assert "is the shop's" in page
    listed = text_of(demo_client.get(f"/jobs/{agreed}/shopping-list.pdf").content)
    assert f"As agreed in quote {quote.number}, revision {quote.revision}." in listed
    assert "more, which the shop bears" in listed
    together = demo_client.get(f"/pool?job={agreed}&job={number_of(demo_client, QUOTED)}")
    assert "Materials of agreed jobs" in together.text


@pytest.mark.both
def test_a_change_says_what_differs_and_asks_who_wished_it(demo_client: Visitor, agreed: int) -> None:
    quote = last_quote(demo_client, agreed)
    address = f"/jobs/{agreed}/issue"
    page = demo_client.get(address)
    assert "there is no further revision to issue" in page.text
    assert "Issue quote</button>" not in page.text
    assert demo_client.send_form(address, {"wish_of": "shop"}).status_code == 422
    change_first_item(demo_client, agreed, quantity="9")
    strip = strip_of(demo_client.get(f"/jobs/{agreed}").text)
    assert f"Agreed, to pay, {quote.currency} {money(quote.total)}" in strip
    assert "As this sheet stands, to pay" in strip
    assert "the workshop makes what was agreed" in strip
    page = demo_client.get(address)
    assert "Who asked for the change" in page.text
    rows = unescape(page.text).split("Lines and sums</caption>")[1].split("</table>")[0].split("<tr>")[2:]
    moves = [re.findall(r'class="value">\s*(?:<[^>]+>)*([+−]?[\d,.]+|not)', row) for row in rows]
    by = [Decimal(found[-1].replace(",", "").replace("−", "-").replace("+", "")) for found in moves]
    total = Decimal(moves[-1][1].replace(",", ""))
    assert sum(by[:-1]) == by[-1] == total - quote.total
    assert ": how many" in page.text
    refused = demo_client.send_form(address, {"reason": "one more pupil"})
    assert refused.status_code == 422
    assert "Say who asked for the change." in refused.text
    assert 'value="one more pupil"' in refused.text
    issued = demo_client.send_form(address, {"wish_of": "customer", "reason": "one more pupil"})
    assert issued.status_code == 303, issued.text
    shown = unescape(demo_client.get(issued.headers["location"]).text)
    assert f"It changes revision {quote.revision} asked for by the customer: one more pupil." in shown
    assert f"What differs from revision {quote.revision}" in shown
    assert "Lines and sums" in shown
    assert "one more pupil" in demo_client.get("/people/history?kind=quote").text
    # The agreed sum holds until the further revision is accepted, and is back when that is taken back.
    further = last_quote(demo_client, agreed)
    assert further.total == total
    strip = strip_of(demo_client.get(f"/jobs/{agreed}").text)
    assert f"Agreed, to pay, {quote.currency} {money(quote.total)}" in strip
    assert f"Revision {further.revision} at" in strip
    there = f"/quotes/{further.id}/state"
    assert demo_client.send_form(there, {"state": "accepted"}).status_code == 303
    strip = strip_of(demo_client.get(f"/jobs/{agreed}").text)
    assert f"Agreed, to pay, {quote.currency} {money(further.total)}" in strip
    assert demo_client.send_form(there, {"state": "standing", "note": " "}).status_code == 422
    assert "Say why" in demo_client.send_form(there, {"state": "standing"}).text
    assert demo_client.send_form(there, {"state": "standing", "note": "Signed by a pupil"}).status_code == 303
    assert "Acceptance taken back" in demo_client.get(f"/quotes/{further.id}").text
    assert f"Agreed, to pay, {quote.currency} {money(quote.total)}" in strip_of(demo_client.get(f"/jobs/{agreed}").text)


def test_a_change_costs_what_it_brings_not_what_drifted_since(demo_client: Visitor, agreed: int) -> None:
    change_first_item(demo_client, agreed, quantity="9")
    at_once = strip_of(demo_client.get(f"/jobs/{agreed}").text)
    raise_prices(demo_client, agreed)
    assert strip_of(demo_client.get(f"/jobs/{agreed}").text) == at_once


def test_a_note_or_another_address_is_no_change_of_what_was_agreed(demo_client: Visitor, agreed: int) -> None:
    before = strip_of(demo_client.get(f"/jobs/{agreed}").text)
    with demo_client.program.database.writing() as session:
        job = load_job_by_number(session, agreed)
        noted = {**job.document, "notes": "Bring the long ladder"}
        save_job(session, job.id, noted, job.version, at=demo_client.program.now())
    assert strip_of(demo_client.get(f"/jobs/{agreed}").text) == before


def test_an_open_quote_shows_what_was_quoted_with_today_beside(demo_client: Visitor) -> None:
    number = number_of(demo_client, QUOTED)
    quote = last_quote(demo_client, number)
    assert f"Quoted, to pay, {quote.currency} {money(quote.total)}" in strip_of(demo_client.get(f"/jobs/{number}").text)
    raise_prices(demo_client, number)
    start = unescape(demo_client.get("/").text)
    row = next(one for one in start.split("Open jobs</caption>")[1].split("<tr")[1:] if QUOTED in one)
    assert money(quote.total) in row
    assert "Today it would come to" in row
    assert "more than quoted" in row
    strip = strip_of(demo_client.get(f"/jobs/{number}").text)
    assert f"Quoted, to pay, {quote.currency} {money(quote.total)}" in strip
    assert "Today, to pay" in strip
    assert "more than was quoted" in strip
    assert _listed(demo_client, number) == (money(quote.total), "quoted")
    tried = demo_client.get(f"/jobs/{number}/issue").text
    assert "Prices of one pack" in tried
    assert "Who asked for the change" not in tried


def test_a_helper_sees_that_it_is_agreed_and_no_sum(
    demo_client: Visitor, settings: Settings, demo_database: Database, agreed: int
) -> None:
    change_first_item(demo_client, agreed, quantity="9")
    helper = Visitor(create_app(settings, demo_database))
    helper.sign_in("helper")
    quote, page = last_quote(demo_client, agreed), helper.get(f"/jobs/{agreed}").text
    assert f"As agreed in quote {quote.number}, revision {quote.revision}." in strip_of(page)
    assert "the workshop makes what was agreed" in strip_of(page)
    for text in (page, helper.get("/jobs").text, helper.get("/").text):
        assert money(quote.total) not in text
    assert f"/jobs/{agreed}/issue" not in page
