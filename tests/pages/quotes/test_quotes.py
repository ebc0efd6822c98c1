"""The pages of quotes: issuing, the list, one quote, its papers, and what became of it."""

from __future__ import annotations

import re
from datetime import timedelta
from uuid import uuid4

import pytest
from sqlalchemy import text

from tests.documents.paper_case import text_of
from tests.harness.visiting import Visitor
from tests.pages.settings.test_first_rates import ANSWERS
from webapp.app import create_app
from webapp.persistence.jobs.records import create_job, load_job_by_number, save_job
from webapp.running import utc_now
from webapp.settings import Settings

LINES = [
    {"id": "hooks", "kind": "part", "says": "Steel hook", "quantity": "12", "each": "31.50"},
    {"id": "hang", "kind": "labour", "says": "Hang the hooks", "minutes": "90 min"},
]
#: The same with a part that nobody knows the cost of.
LACKING = [*LINES, {"id": "rail", "kind": "part", "says": "Oak rail"}]
JOB = {
    "form": "1",
    "job": "Hooks for the glaze room",
    "customer": {"name": "Sliphollow"},
    "lines": LINES,
}
NUMBER = 1


@pytest.fixture
def desk(client: Visitor) -> Visitor:
    """The owner's browser, in a shop with one job that can be quoted."""
    with client.program.database.writing() as session:
        create_job(session, uuid4(), JOB, at=utc_now())
    # The figures that tests of sums go by, as the shop's own: without some no quote goes out.
    assert client.send_form("/settings/first", ANSWERS).status_code == 303
    return client


def change_job(visitor: Visitor, **changed: object) -> None:
    """Save a job with some of its form changed."""
    with visitor.program.database.writing() as session:
        job = load_job_by_number(session, NUMBER)
        save_job(session, job.id, {**job.document, **changed}, job.version, at=utc_now())


def issue(visitor: Visitor) -> str:
    """Issue a job's quote and return the address of its page."""
    answer = visitor.send_form(f"/jobs/{NUMBER}/issue")
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def test_before_the_first_quote_the_list_says_how_one_comes_about(desk: Visitor) -> None:
    page = desk.get("/quotes")
    assert page.status_code == 200
    assert "No quote has been issued yet" in page.text
    assert 'href="/jobs"' in page.text


@pytest.mark.both
def test_a_quote_is_issued_and_read_back(desk: Visitor) -> None:
    asked = desk.get(f"/jobs/{NUMBER}/issue")
    assert asked.status_code == 200
    assert "1, revision 1" in asked.text
    address = issue(desk)
    page = desk.get(address)
    assert page.status_code == 200
    assert "Quote 1, revision 1" in page.text
    assert re.search(r"\d+ days left", page.text)
    quote = desk.get(f"{address}/quote.pdf")
    assert quote.headers["content-type"] == "application/pdf"
    assert quote.headers["content-disposition"] == 'inline; filename="quote-1-revision-1.pdf"'
    total = re.search(r"Total to pay ([\d,.]+) USD", text_of(quote.content))
    assert total is not None
    assert total[1] in page.text
    listing = desk.get("/quotes")
    assert "1, revision 1" in listing.text
    assert total[1] in listing.text
    shopping = desk.get(f"{address}/shopping-list.pdf")
    assert shopping.headers["content-disposition"] == 'inline; filename="shopping-list-1-revision-1.pdf"'
    assert "Shopping list" in text_of(shopping.content)


def test_what_lacks_a_price_is_refused_in_a_sentence(desk: Visitor) -> None:
    change_job(desk, lines=LACKING)
    answer = desk.send_form(f"/jobs/{NUMBER}/issue", {"agreed": ["discount", "below_cost"]})
    assert answer.status_code == 422
    assert "“Oak rail” has no cost" in answer.text
    assert "Issue quote</button>" not in answer.text
    assert "No quote has been issued yet" in desk.get("/quotes").text


def test_a_large_discount_goes_out_only_with_its_tick(desk: Visitor) -> None:
    change_job(desk, discount="9 %")
    answer = desk.send_form(f"/jobs/{NUMBER}/issue")
    assert answer.status_code == 422
    assert "The discount of 9 % is over 5 %" in answer.text
    answer = desk.send_form(f"/jobs/{NUMBER}/issue", {"agreed": ["discount"]})
    assert answer.status_code == 303
    assert "Approved: The discount of 9 % is over 5 %" in desk.get(answer.headers["location"]).text


@pytest.mark.both
def test_the_next_issue_replaces_the_first(desk: Visitor) -> None:
    first = issue(desk)
    before = desk.get(f"{first}/quote.pdf").content
    change_job(desk, discount="2 %")
    second = issue(desk)
    page = desk.get(first).text
    assert "Replaced" in page
    assert "by revision 2" in page
    assert f'href="{second}"' in page
    assert "Mark accepted" not in page
    assert desk.get(f"{first}/quote.pdf").content == before
    assert "revision 2" in text_of(desk.get(f"{second}/quote.pdf").content)


@pytest.mark.both
def test_accepting_a_quote_orders_its_job(desk: Visitor) -> None:
    address = issue(desk)
    answer = desk.send_form(f"{address}/state", {"state": "accepted", "note": "By telephone, signed copy follows"})
    assert (answer.status_code, answer.headers["location"]) == (303, address)
    page = desk.get(address).text
    assert "Accepted" in page
    assert "By telephone, signed copy follows" in page
    with desk.program.database.reading() as session:
        assert load_job_by_number(session, NUMBER).state == "ordered"
    again = desk.send_form(f"{address}/state", {"state": "declined"})
    assert again.status_code == 409
    assert "This quote is accepted" in again.text


def test_a_state_that_cannot_be_said_and_a_note_too_long_change_nothing(desk: Visitor) -> None:
    address = issue(desk)
    assert desk.send_form(f"{address}/state", {"state": "replaced"}).status_code == 422
    assert desk.send_form(f"{address}/state", {"state": ""}).status_code == 422
    long = "word " * 200
    answer = desk.send_form(f"{address}/state", {"state": "declined", "note": long})
    assert answer.status_code == 422
    assert "at most 500 are kept" in answer.text
    assert long.strip() in answer.text
    assert "<strong>Open</strong>" in desk.get(address).text


@pytest.mark.both
def test_a_quote_lapses_by_the_shop_s_date(desk: Visitor, settings: Settings) -> None:
    address = issue(desk)
    database = desk.program.database
    later = Visitor(create_app(settings, database, now=lambda: utc_now() + timedelta(days=400)))
    later.sign_in()
    page = later.get(address).text
    assert "<strong>Lapsed</strong>" in page
    assert "Mark accepted" not in page
    assert "lapsed" in later.send_form(f"{address}/state", {"state": "accepted"}).text
    assert "1, revision 1" in later.get("/quotes?state=lapsed").text
    assert "No quote is like that" in later.get("/quotes?state=standing").text


@pytest.mark.both
def test_the_list_is_narrowed_by_words_and_state(desk: Visitor) -> None:
    issue(desk)
    assert "1, revision 1" in desk.get("/quotes?words=hooks&state=standing").text
    assert "No quote is like that" in desk.get("/quotes?words=nobody").text
    assert "1, revision 1" in desk.get("/quotes?state=nonsense&page=-3").text


@pytest.mark.both
def test_it_is_worked_out_again_from_what_was_kept(desk: Visitor) -> None:
    address = issue(desk)
    change_job(desk, discount="3 %", lines=LACKING)
    page = desk.get(f"{address}/again")
    assert page.status_code == 200
    assert "comes out as it was issued" in page.text
    assert "Something comes out differently" not in page.text


@pytest.mark.both
def test_a_damaged_record_is_said_to_be_damaged(desk: Visitor) -> None:
    address = issue(desk)
    with desk.program.database.writing() as session:
        session.execute(
            text("DROP TRIGGER quote_documents_stay")
            if desk.program.database.is_sqlite
            else text("ALTER TABLE quote_documents DISABLE TRIGGER USER")
        )
        session.execute(text("UPDATE quote_documents SET content = :other"), {"other": b"%PDF-1.7 other"})
    answer = desk.get(f"{address}/quote.pdf")
    assert answer.status_code == 409
    assert "is damaged" in answer.text


@pytest.mark.parametrize(("name", "file_name"), [("quote-draft", "draft-quote"), ("shopping-list", "shopping-list")])
def test_a_draft_is_made_of_a_job_that_is_not_whole(desk: Visitor, name: str, file_name: str) -> None:
    change_job(desk, lines=LACKING)
    answer = desk.get(f"/jobs/{NUMBER}/{name}.pdf?paper=A4")
    assert answer.status_code == 200
    assert answer.headers["content-disposition"] == f'inline; filename="job-{NUMBER}-{file_name}.pdf"'
    words = text_of(answer.content)
    assert "raft" in words
    assert ("Total so far, incomplete" in words) == (name == "quote-draft")
    assert ("price?" in words) == (name == "shopping-list")
    assert "No quote has been issued yet" in desk.get("/quotes").text


@pytest.mark.parametrize(
    "address",
    [
        "/quotes/nonsense",
        "/quotes/00000000-0000-0000-0000-000000000000",
        "/jobs/999/issue",
        "/jobs/999/quote-draft.pdf",
    ],
)
def test_what_is_not_there_is_not_found(desk: Visitor, address: str) -> None:
    assert desk.get(address).status_code == 404


def test_a_paper_that_nobody_has_is_refused(desk: Visitor) -> None:
    assert desk.get(f"/jobs/{NUMBER}/quote-draft.pdf?paper=A9").status_code == 422


def test_a_form_without_its_token_issues_nothing(desk: Visitor) -> None:
    assert desk.post(f"/jobs/{NUMBER}/issue").status_code == 403
    assert "No quote has been issued yet" in desk.get("/quotes").text


def test_the_words_of_a_quote_are_changed_before_it_goes_and_kept_with_it(
    demo_client: Visitor, unprinted: None
) -> None:
    page = demo_client.get("/jobs/2/issue").text
    found = re.search(r'<textarea id="(wording[^"]+)" [^>]*>\n(.*?)</textarea>', page, re.DOTALL)
    assert found is not None
    name, standard = found.groups()
    assert standard.startswith("A bench cabinet")
    shown = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', page))
    too_long = demo_client.send_form("/jobs/2/issue", {**shown, name: "x" * 2001})
    assert too_long.status_code == 422
    assert "at most 2,000 stand on a quote" in too_long.text
    otherwise = "Two cabinets for the glaze room,\nas we talked it over."
    issued = demo_client.send_form("/jobs/2/issue", {**shown, name: otherwise.replace("\n", "\r\n")})
    assert issued.status_code == 303
    address = issued.headers["location"]
    assert "as we talked it over." in demo_client.get(address).text
    assert "as we talked it over." in demo_client.get(f"{address}/quote.pdf").text
    again = demo_client.get(f"{address}/again").text
    assert "Every line, sum and word" in again
    # The next revision of the same begins with these words.
    assert "as we talked it over." in demo_client.get("/jobs/2/issue").text
