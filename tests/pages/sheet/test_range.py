"""What a job may come to, on its sheet, on the telephone, in a quote that was issued: asked for once the sums stand."""

from __future__ import annotations

import re
from decimal import Decimal

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from webapp.costing.cost_range.range import simulate
from webapp.documents.printing.paper import reader_of
from webapp.estimating import estimate_job
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.quotes.records import list_quotes, load_quote
from webapp.persistence.settings.shop import load_shop
from webapp.running import utc_now

SENTENCE = "job in five of this kind costs more than"
PART = {"HX-Request": "true"}


def plain(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def beyond(html: str) -> str:
    """The amount that one job in five goes beyond."""
    told = re.search(rf"{SENTENCE} ([\d,.]+)", plain(html))
    assert told, plain(html)[:400]
    return told[1]


def drawn(client: Visitor, number: int) -> str:
    """The same, drawn from the job as it is kept."""
    here = client.program
    with here.database.reading() as session:
        shop = load_shop(session)
        job = load_job_by_number(session, number)
        _, found = estimate_job(session, job.document, shop, shop.today(utc_now()))
    return reader_of(shop).amount(simulate(found.range_question).cost.p80.value)


def test_the_sheet_asks_for_its_range_and_draws_none_as_one_types(demo_client: Visitor) -> None:
    simulate.cache_clear()
    page = demo_client.get("/jobs/2").text
    fields = form_fields(page, "job-sheet")
    answer = demo_client.send_form("/jobs/2/estimate", fields, headers=PART).text
    for text in (page, answer):
        assert 'hx-post="/jobs/2/range"' in text
        assert SENTENCE not in plain(text)
    assert simulate.cache_info().misses == 0
    assert beyond(demo_client.send_form("/jobs/2/range", fields, headers=PART).text) == drawn(demo_client, 2)


def test_the_range_is_of_what_is_typed(demo_client: Visitor) -> None:
    fields = form_fields(demo_client.get("/jobs/2").text, "job-sheet")
    quantity = next(name for name in fields if name.endswith(".quantity") and name.startswith("items."))
    more = {**fields, quantity: str(int(fields[quantity]) + 3)}
    amounts = [
        float(beyond(demo_client.send_form("/jobs/2/range", one, headers=PART).text).replace(",", ""))
        for one in (fields, more)
    ]
    assert amounts[0] < amounts[1]


def test_without_script_the_range_is_a_page_whose_figures_open(demo_client: Visitor) -> None:
    page = demo_client.get("/jobs/2/range").text
    assert beyond(page) == drawn(demo_client, 2)
    for words in ("1 in 10 within", "Half within", "Mean", "4 in 5 within", "9 in 10 within", "What moves it most"):
        assert words in plain(page)
    links = set(re.findall(r'href="(/jobs/2/working/risk/[^"]+)"', page))
    assert len(links) == 5 + 5 + 1 + 9
    for link in links:
        working = plain(demo_client.get(link).text)
        assert "10000 draws by SplitMix64 from seed 1" in working
        assert "How much the hours of steps go together" in working
        assert "30 %" in working


def test_a_helper_is_told_nothing_of_it(demo_client: Visitor) -> None:
    assert 'id="range"' in demo_client.get("/jobs/2").text
    demo_client.sign_in("helper")
    assert 'id="range"' not in demo_client.get("/jobs/2").text
    assert demo_client.get("/jobs/2/range").status_code == 403
    assert demo_client.get("/jobs/2/working/risk/cost_p80").status_code == 403


def test_the_telephone_tells_it_to_the_shop_beside_one_price_and_a_day(demo_client: Visitor) -> None:
    page = demo_client.get("/price?bench=design:trestle_bench").text
    fields = form_fields(page, "price-form")
    part = demo_client.send_form("/price", fields, headers=PART).text
    assert 'hx-post="/price/range"' in part
    assert SENTENCE not in plain(part)
    told = demo_client.send_form("/price/range", fields, headers=PART).text
    # A whole page, as one has it without script, shows it at once.
    assert beyond(told) == beyond(page)
    assert "/working/" not in told


def test_an_issued_quote_keeps_its_range(demo_client: Visitor) -> None:
    with demo_client.program.database.reading() as session:
        shop = load_shop(session)
        today = shop.today(utc_now())
        listed = list_quotes(session, today).entries[0]
        kept = load_quote(session, listed.id, today).snapshot["risk"]
    assert set(kept) == {"cost", "minutes", "suffices", "movers", "parameters"}
    assert len(kept["movers"]) == 3
    page = plain(demo_client.get(f"/quotes/{listed.id}").text)
    assert f"One job in five costs more than {Decimal(kept['cost']['p80']):,}" in page


def test_the_range_of_an_agreed_job_is_of_what_was_agreed(demo_client: Visitor) -> None:
    # Job 1 is accepted: its cost on the sheet is the one that the range is held against.
    cost = re.search(r"Cost ([\d,.]+)", plain(demo_client.get("/jobs/1").text))
    assert cost
    said = plain(demo_client.get("/jobs/1/range").text)
    assert f"The {cost[1]} USD charged as cost" in said
