"""The search over the whole shop and the lists it leads to: what was asked stands in the address."""

from __future__ import annotations

import re
from html import unescape
from uuid import uuid4

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from webapp.pages.sheet import stock as job_stock
from webapp.persistence.database.database import Database
from webapp.persistence.jobs.records import create_job
from webapp.persistence.people.users import HELPER, add_user
from webapp.running import utc_now


def _make_jobs(database: Database, count: int) -> None:
    with database.writing() as session:
        for number in range(count):
            document = {"form": "1", "job": f"Bench {number}", "customer": {"name": "Mill & Sons"}}
            create_job(session, uuid4(), document, at=utc_now())


def test_every_kind_is_found_from_the_box_at_the_head(demo_client: Visitor) -> None:
    page = demo_client.get("/").text
    assert 'action="/search"' in page
    assert 'name="q"' in page
    found = unescape(demo_client.get("/search?q=bench").text)
    for words in ("Jobs", "Quotes", "Designs", "Job 1: Trestle benches", "/designs/trestle_bench"):
        assert words in found, words
    assert "Materials</h2>" in demo_client.get("/search?q=birch").text
    school = demo_client.get("/search?q=quernstead+school").text
    link = re.search(r'href="/customers/(\d+)"', school)
    assert link is not None
    shown = demo_client.get(f"/customers/{link[1]}").text
    assert re.search(r'href="/jobs/\d+"', shown)
    assert "Glaze room" not in shown
    listed = demo_client.get(f"/jobs?customer={link[1]}").text
    assert "Only jobs for Quernstead School" in listed
    assert "Glaze room" not in listed


def test_no_words_and_no_hit_say_what_to_do(client: Visitor) -> None:
    assert "All the words typed have to be there" in client.get("/search").text
    missed = unescape(client.get("/search", params={"q": "<b>x</b>"}).text)
    assert "Nothing holds “<b>x</b>”. Fewer words" in missed
    assert "<b>x</b>" not in client.get("/search", params={"q": "<b>x</b>"}).text


def test_ten_are_shown_and_the_rest_are_in_their_list(client: Visitor, shop_database: Database) -> None:
    _make_jobs(shop_database, 12)
    found = client.get("/search?q=bench").text
    assert found.count('<li><a href="/jobs/') == 10
    link = re.search(r'<a href="([^"]+)">All 12 in jobs</a>', found)
    assert link is not None
    assert "12 jobs" in client.get(unescape(link[1])).text


def test_what_a_list_was_narrowed_to_is_kept_from_page_to_page(client: Visitor, shop_database: Database) -> None:
    _make_jobs(shop_database, 53)
    first = client.get("/jobs", params={"words": "mill & sons", "state": "open", "sort": "number"}).text
    further = re.search(r'<a href="([^"]+)" rel="next">', first)
    assert further is not None
    second = client.get(unescape(further[1])).text
    assert 'value="mill &amp; sons"' in second
    assert '<option value="open" selected>' in second
    assert '<option value="number" selected>' in second
    assert re.findall(r'href="/jobs/(\d+)"', second) == ["51", "52", "53"]
    assert "Page 2 of 2; 53 jobs" in second


@pytest.mark.parametrize(
    "address",
    [
        "/jobs?sort=sideways&state=lost&design=none&customer=x&page=-4",
        "/jobs?page=99999999999999999999",
        "/materials?sort=x&kind=y&unpriced=yes&page=77",
        "/quotes?sort=x&state=y&page=999999999999",
        "/designs?sort=x",
        "/search?q=" + "9" * 400,
    ],
)
def test_an_old_or_odd_address_still_shows_its_list(client: Visitor, address: str) -> None:
    assert client.get(address).status_code == 200


def test_a_helper_finds_the_work_and_no_quote(demo_client: Visitor) -> None:
    with demo_client.program.database.writing() as session:
        add_user(session, name="hand", password_hash="none", added_at=utc_now(), role=HELPER)
    demo_client.sign_in("hand")
    found = demo_client.get("/search?q=bench").text
    assert "Job 1: Trestle benches" in found
    assert "/quotes" not in found


def test_a_place_in_a_design_is_filled_from_a_short_list_and_by_words(
    demo_client: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With more of a kind than a list holds, the likest stand there, and words find others of the kind."""
    whole = demo_client.get("/jobs/2").text
    assert "stock_words" not in whole
    monkeypatch.setattr(job_stock, "MOST_TO_CHOOSE", 3)
    monkeypatch.setattr(job_stock, "LIKEST", 2)
    page = demo_client.get("/jobs/2").text
    lists, before = _stock_lists(page), _stock_lists(whole)
    assert lists
    assert all("selected" in one for one in lists)
    assert sum(one.count("<option") for one in lists) < sum(one.count("<option") for one in before)
    asked = {**form_fields(page, "job-sheet"), "stock_words": "oak", "act": "find-stock"}
    found = demo_client.send_form("/jobs/2/estimate", asked).text
    assert 'value="oak"' in found
    assert "White oak" in "".join(_stock_lists(found))
    assert form_fields(found, "job-sheet")["stock_words"] == "oak"


def _stock_lists(page: str) -> list[str]:
    """The lists of materials to choose from on a job's sheet."""
    return re.findall(r'<select id="[^"]*" name="items\.[^"]*\.materials\.[^"]*".*?</select>', page, re.DOTALL)
