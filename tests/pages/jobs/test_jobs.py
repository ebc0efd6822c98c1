"""Jobs: found, begun from a design or a past job, saved as typed, shown with the sums that the estimate gives."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import estimate_inputs
from webapp.estimating import estimate_job
from webapp.job_file import load_job_file
from webapp.persistence.jobs.customers import find_customers
from webapp.persistence.jobs.records import JobRow, StoredJob, load_job_by_number
from webapp.persistence.quotes.records import quotes_of_job
from webapp.persistence.settings.shop import load_shop

SHEET = "job-sheet"


def kept(visitor: Visitor, number: int) -> StoredJob:
    """A job as it stands in the store."""
    with visitor.program.database.reading() as session:
        return load_job_by_number(session, number)


def estimated(visitor: Visitor, document: Mapping[str, Any]) -> Estimate:
    """The estimate of a document at today's prices, apart from any page."""
    with visitor.program.database.reading() as session:
        shop = load_shop(session)
        return estimate_job(session, document, shop, shop.today(visitor.program.now()))[1]


def standing_at(visitor: Visitor, number: int) -> Fraction:
    """The total of a job as it is kept: as it was agreed, where a quote of it is accepted, else at today's prices."""
    with visitor.program.database.reading() as session:
        job = load_job_by_number(session, number)
        today = load_shop(session).today(visitor.program.now())
        agreed = [one for one in quotes_of_job(session, job.id, today) if one.state == "accepted"]
    return Fraction(agreed[0].total) if agreed else estimated(visitor, job.document).totals.total.value


def shown_total(page: str) -> str:
    """The total to pay in the strip."""
    found = re.search(r'id="now-total"[^>]*><a[^>]*>([^<]+)</a>', page)
    assert found, "the page has no total"
    return found[1].replace(",", "")


def sheet(visitor: Visitor, number: int) -> dict[str, str]:
    """The fields of a job's sheet as it is kept."""
    return form_fields(visitor.get(f"/jobs/{number}").text, SHEET)


def opened(visitor: Visitor, number: int) -> dict[str, str]:
    """The fields of a job's sheet with all its sections open."""
    return form_fields(visitor.get(f"/jobs/{number}?open=all").text, SHEET)


# ---- the list -----------------------------------------------------------------------------------------------------


def test_a_shop_without_jobs_is_told_how_to_begin(client: Visitor) -> None:
    page = client.get("/jobs").text
    assert "There is no job yet." in page
    assert 'href="/jobs/new"' in page


def test_the_list_shows_what_each_job_comes_to_and_the_day_it_is_wanted_by(demo_client: Visitor) -> None:
    before = demo_client.get("/jobs?state=open&sort=number").text
    assert "not worked out yet" in before
    number = int(re.findall(r'href="/jobs/(\d+)"', before)[0])
    to_come = re.search(r'hx-get="(/jobs/\d+/comes-to)"', _row_of(before, number))
    assert to_come is not None
    came = demo_client.get(to_come[1]).text
    page = demo_client.get(f"/jobs/{number}").text
    assert shown_total(page) in came.replace(",", "")
    row = _row_of(demo_client.get("/jobs").text, number)
    assert shown_total(page) in row.replace(",", "")
    assert "comes-to" not in row
    assert "not worked out yet" not in row
    fields = sheet(demo_client, number) | {"due": "2020-02-29"}
    demo_client.send_form(f"/jobs/{number}", fields)
    assert demo_client.get("/jobs?sort=due").text.index(f'href="/jobs/{number}"') < 10_000
    row = _row_of(demo_client.get("/jobs?sort=due").text, number)
    assert "29 February 2020" in row
    assert "past" in row, "a day that is over is not said to be over"
    assert "Wanted by 29 February 2020, but ready on" in demo_client.get(f"/jobs/{number}").text
    demo_client.send_form(f"/jobs/{number}", sheet(demo_client, number) | {"due": "Friday"})
    assert "“Friday” is no day" in demo_client.get(f"/jobs/{number}").text
    assert sheet(demo_client, number)["due"] == "Friday", "what was typed is lost"


def test_the_list_draws_each_job_once_it_was_worked_out(demo_client: Visitor) -> None:
    before = demo_client.get("/jobs?state=open&sort=number").text
    number = int(re.findall(r'href="/jobs/(\d+)"', before)[0])
    assert "<svg" not in _row_of(before, number)
    came = demo_client.get(f"/jobs/{number}/comes-to").text
    assert re.search(rf'<span id="stamp-{number}"[^>]*hx-swap-oob="true"[^>]*><svg', came)
    row = _row_of(demo_client.get("/jobs?state=open&sort=number").text, number)
    assert row.count("<svg") == 1
    assert len(row) < 12_000, "fifty such rows are no longer a quick page"


def test_a_job_is_drawn_without_a_word_of_its_price(demo_client: Visitor) -> None:
    """Who sees no price is given the bench alone; it is kept for the next time."""
    assert "<svg" not in _row_of(demo_client.get("/jobs?sort=job").text, 1)
    drawn = demo_client.get("/jobs/1/drawn").text
    assert re.fullmatch(r'\s*<span id="stamp-1"[^>]*><svg .*</svg></span>\s*', drawn, re.DOTALL)
    assert "<text" not in drawn
    assert _row_of(demo_client.get("/jobs?sort=job").text, 1).count("<svg") == 1


def test_jobs_are_found_by_size_material_and_added_line(demo_client: Visitor) -> None:
    number = int(re.findall(r'href="/jobs/(\d+)"', demo_client.get("/jobs?state=open&sort=number").text)[0])
    fields = sheet(demo_client, number)
    size = next(text for name, text in fields.items() if ".sizes." in name and text.endswith(" mm"))
    for words in (size, size.replace(" mm", " x " + size)):
        assert f'href="/jobs/{number}"' in demo_client.get("/jobs", params={"words": words}).text, words
        assert f'href="/jobs/{number}"' in demo_client.get("/search", params={"q": words}).text, words


def _row_of(page: str, number: int) -> str:
    return next(row for row in page.split("<tr>") if f'<a href="/jobs/{number}">' in row)


@pytest.mark.both
def test_jobs_are_found_by_words_and_state_which_stand_in_the_address(demo_client: Visitor) -> None:
    everything = demo_client.get("/jobs").text
    assert everything.index("oak top") < everything.index("Trestle benches"), "the last touched does not come first"
    found = demo_client.get("/jobs?words=quernstead%20trestle").text
    assert "Trestle benches" in found
    assert "oak top" not in found
    assert 'value="quernstead trestle"' in found
    ordered = demo_client.get("/jobs?state=ordered").text
    assert "Trestle benches" in ordered
    assert "oak top" not in ordered
    nothing = demo_client.get("/jobs?words=nowhere").text
    assert "No job is like that." in nothing


@pytest.mark.both
def test_a_list_longer_than_a_page_goes_on(demo_client: Visitor) -> None:
    first = kept(demo_client, 1)
    for _ in range(48):
        demo_client.send_form(f"/jobs/{first.id}/copy")
    page = demo_client.get("/jobs?words=trestle").text
    assert "Page 1 of 1; 49 jobs" in page
    everything = demo_client.get("/jobs").text
    assert "Page 1 of 2; 53 jobs" in everything
    assert 'href="/jobs?page=2"' in everything
    assert "Page 2 of 2" in demo_client.get("/jobs?page=2").text


# ---- new and copied -----------------------------------------------------------------------------------------------


def test_a_job_begins_with_a_design_at_its_usual_sizes(demo_client: Visitor) -> None:
    answer = demo_client.send_form(
        "/jobs/new", {"start": "design:bench_cabinet", "title": "Two cabinets", "customer_name": "Mill Street School"}
    )
    assert answer.status_code == 303
    document = kept(demo_client, 6).document
    item = document["items"][0]
    assert document["job"] == "Two cabinets"
    assert (item["design"], item["version"], item["quantity"]) == ("bench_cabinet", "1", "1")
    assert item["sizes"]["width"] == "900 mm"
    assert document["customer"] == {"name": "Mill Street School"}
    assert estimated(demo_client, document).complete
    with demo_client.program.database.reading() as session:
        known = find_customers(session, "mill street").entries
    assert [one.customer.name for one in known] == ["Mill Street School"]
    again = demo_client.send_form("/jobs/new", {"start": "job:6", "customer": str(known[0].id)})
    assert again.headers["location"] == "/jobs/7"
    copied = kept(demo_client, 7)
    assert copied.copied_from == kept(demo_client, 6).id
    assert copied.customer_id == known[0].id


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({}, "Say what the job is"),
        ({"start": "design:no_such", "title": "x"}, "There is no design under no_such."),
        ({"start": "job:999", "title": "x"}, "There is no job under 999."),
        ({"start": "anything", "title": "x"}, "neither a design nor a past job"),
        (
            {"title": "x", "customer": "1", "customer_name": "Somebody"},
            "Choose a customer or type a new one, not both.",
        ),
        ({"title": "x" * 300}, "This has 300 characters; at most 200 are kept."),
    ],
)
def test_a_job_that_can_not_begin_says_why_and_loses_nothing(
    demo_client: Visitor, fields: dict[str, str], sentence: str
) -> None:
    answer = demo_client.send_form("/jobs/new", fields)
    assert answer.status_code == 422
    assert sentence in answer.text
    for text in fields.values():
        assert text in answer.text or text in {"anything", "design:no_such", "job:999"}
    with demo_client.program.database.reading() as session:
        assert len(session.scalars(select(JobRow.id)).all()) == 5


@pytest.mark.both
def test_a_copy_is_a_new_open_job_that_knows_where_it_came_from(demo_client: Visitor) -> None:
    first = kept(demo_client, 1)
    answer = demo_client.send_form(f"/jobs/{first.id}/copy")
    assert answer.headers["location"] == "/jobs/6"
    copied = kept(demo_client, 6)
    assert (copied.document, copied.state, copied.copied_from) == (first.document, "open", first.id)


# ---- the sheet ----------------------------------------------------------------------------------------------------


@pytest.mark.both
@pytest.mark.parametrize("number", [1, 2, 3, 4])
def test_the_sheet_shows_the_total_of_the_estimate_and_gives_it_again_when_saved(
    demo_client: Visitor, number: int
) -> None:
    total = standing_at(demo_client, number)
    page = demo_client.get(f"/jobs/{number}").text
    assert shown_total(page) == f"{float(total):.2f}"
    fields = form_fields(page, SHEET)
    assert demo_client.send_form(f"/jobs/{number}", fields).headers["location"] == f"/jobs/{number}"
    saved = kept(demo_client, number)
    assert standing_at(demo_client, number) == total
    assert shown_total(demo_client.get(f"/jobs/{number}").text) == f"{float(total):.2f}"
    demo_client.send_form(f"/jobs/{number}", sheet(demo_client, number))
    assert kept(demo_client, number).version == saved.version, "a save that changes nothing makes a new version"


def test_what_is_in_sight_is_there_without_a_click(demo_client: Visitor) -> None:
    page = demo_client.get("/jobs/4").text
    in_sight = page[page.index('class="bar"') : page.index('id="plans-section"')]
    for words in (
        "Without tax", "Cost", "Work", "Hours, likely", "Margin", "An hour earns", "of 65.00", "incomplete",
        "1 price missing", "Sheets to buy", "% full", "Dearest", "Heaviest", "finished", "changes from standard",
        "White oak in place of Sugar maple", "Check", "kg: more than the 69.0 kg that three people lift",
        "Not issued", "would be valid for 30 days", "Nearest to their limit", "Sliphollow",
    ):  # fmt: skip
        assert words in in_sight, f"{words} is not in sight"
    # The rows of a folded section are not sent; an address can ask for them.
    assert 'id="material-white_oak"' not in page
    assert 'id="material-white_oak"' in demo_client.get("/jobs/4?open=materials").text


@pytest.mark.both
def test_saving_keeps_what_was_typed_even_where_it_can_not_be_worked_out(demo_client: Visitor) -> None:
    fields = {**sheet(demo_client, 4), "items.cabinet.sizes.width": "18 in by 2", "state": "dropped"}
    assert demo_client.send_form("/jobs/4", fields).status_code == 303
    assert kept(demo_client, 4).document["items"][0]["sizes"]["width"] == "18 in by 2"
    assert kept(demo_client, 4).state == "dropped"
    page = demo_client.get("/jobs/4").text
    assert 'value="18 in by 2"' in page
    assert "Overall width: “18 in by 2” can&#39;t be read as a length" in page


@pytest.mark.both
def test_two_who_save_see_both_and_nothing_is_lost(demo_client: Visitor) -> None:
    fields = sheet(demo_client, 2)
    theirs = {**fields, "items.cabinets.sizes.width": "700 mm"}
    ours = {**fields, "items.cabinets.sizes.width": "1100 mm", "notes": "Ring the doorbell"}
    assert demo_client.send_form("/jobs/2", theirs).status_code == 303
    answer = demo_client.send_form("/jobs/2", ours)
    assert answer.status_code == 409
    assert "Someone else saved this job while you were typing" in answer.text
    assert "700 mm" in answer.text
    shown = form_fields(answer.text, SHEET)
    assert shown["items.cabinets.sizes.width"] == "1100 mm"
    assert shown["notes"] == "Ring the doorbell"
    assert kept(demo_client, 2).document["items"][0]["sizes"]["width"] == "700 mm"
    assert demo_client.send_form("/jobs/2", shown).status_code == 303
    assert kept(demo_client, 2).document["items"][0]["sizes"]["width"] == "1100 mm"


@pytest.mark.parametrize(
    ("then", "there"),
    [
        ("issue", "/jobs/4/issue"),
        ("list", "/jobs/4/shopping-list.pdf"),
        ("draft", "/jobs/4/quote-draft.pdf"),
        ("file", "/jobs/4/job.yaml"),
        ("copy", "/jobs/6"),
        ("nowhere", "/jobs/4"),
    ],
)
def test_a_button_that_goes_on_saves_first(demo_client: Visitor, then: str, there: str) -> None:
    fields = {**sheet(demo_client, 4), "items.cabinet.quantity": "3", "then": then}
    assert demo_client.send_form("/jobs/4", fields).headers["location"] == there
    assert kept(demo_client, 4).document["items"][0]["quantity"] == "3"


def test_the_file_gives_the_same_total_on_the_command_line(demo_client: Visitor, tmp_path: Path) -> None:
    for number in (1, 2, 3, 4):
        answer = demo_client.get(f"/jobs/{number}/job.yaml")
        assert f'filename="job-{number}.yaml"' in answer.headers["content-disposition"]
        file = tmp_path / f"{number}.yaml"
        file.write_text(answer.text, encoding="utf-8")
        found = estimate_inputs(load_job_file(file, "demo", demo_client.program.settings))
        expected = estimated(demo_client, kept(demo_client, number).document)
        assert found.totals.total.value == expected.totals.total.value
        assert [problem.message for problem in found.problems] == [problem.message for problem in expected.problems]


def test_a_job_that_is_not_kept_is_said_not_to_be(demo_client: Visitor) -> None:
    assert demo_client.get("/jobs/99").status_code == 404
    assert demo_client.get("/jobs/99/job.yaml").status_code == 404
    assert demo_client.get("/jobs/99/working/price/net").status_code == 404
    assert demo_client.swap("/jobs/99/estimate").status_code == 404
    assert demo_client.get("/jobs/one").status_code == 404
