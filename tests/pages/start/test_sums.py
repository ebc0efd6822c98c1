"""The sheet of how the sums are made: the workings' own words, an example that is no shop's, and the same as PDF."""

from __future__ import annotations

import re
from fractions import Fraction
from html import unescape
from io import BytesIO

from pypdf import PdfReader

from tests.harness.visiting import Visitor
from webapp.costing.ledger.working import rework
from webapp.estimating import estimate_job
from webapp.example_job import worked_example
from webapp.pages.shown.steps import plain_name
from webapp.pages.start.sums import ADDRESS, house_figures, rule_key
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.settings.rates import current_rate_set, save_rates
from webapp.persistence.settings.shop import load_shop
from webapp.running import utc_now


def _plain(page: str) -> str:
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", page)))


def test_every_rule_of_a_job_of_the_shop_is_told_in_its_own_words(demo_client: Visitor) -> None:
    told = re.sub(r"\d+", "n", _plain(demo_client.get(ADDRESS).text))
    with demo_client.program.database.reading() as session:
        shop = load_shop(session)
        document = load_job_by_number(session, 2).document
        found = estimate_job(session, document, shop, shop.today(utc_now()))[1]
    missing = {rule_key(figure) for figure in house_figures(found.figures) if rule_key(figure) not in told}
    assert not missing


def test_the_example_is_whole_and_comes_out_again_from_what_is_printed(demo_client: Visitor) -> None:
    found = worked_example("metric")
    assert found.complete
    assert all(rework(figure, found.figures) == figure.value for figure in house_figures(found.figures))
    page = demo_client.get(ADDRESS).text
    assert len(re.findall(r'<tr id="rule-', page)) == len(set(re.findall(r'<tr id="(rule-[^"]+)"', page))) > 80
    # The point between names goes, that of a number stays.
    assert plain_name("board.thickness * 0.84") == "board thickness * 0.84"
    assert "Wood Handbook FPL-GTR-190" in page


def test_it_shows_no_rate_of_the_shop(demo_client: Visitor) -> None:
    before = demo_client.get(ADDRESS).text
    with demo_client.program.database.writing() as session:
        held = current_rate_set(session)
        rate = {"labour_maker": Fraction("87.65")}
        save_rates(session, rate, {}, held.number, reason="Dearer", source="typed", at=utc_now())
    after = demo_client.get(ADDRESS).text
    assert _plain(after) == _plain(before)


def test_it_is_printed_and_linked(demo_client: Visitor) -> None:
    answer = demo_client.get(f"{ADDRESS}.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    text = " ".join(" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(answer.content)).pages)
    assert "How the sums are made" in text
    assert "cost / (1 - margin) / quantity" in text
    for address in ("/settings", "/jobs/2/working/price/net"):
        assert f'href="{ADDRESS}"' in demo_client.get(address).text, address
