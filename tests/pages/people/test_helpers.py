"""As a helper, by hand-made requests to every route: nothing of the owner's is seen or done."""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO

import pytest
from fastapi import APIRouter, FastAPI
from pypdf import PdfReader

from tests.harness.form_fields import form_fields
from tests.harness.routes import addresses
from tests.harness.visiting import Visitor
from webapp.app import create_app
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.helper_view import work_of
from webapp.costing.jobs.reader import read_job
from webapp.documents.printing.paper import reader_of
from webapp.pages.shown.figures import all_figures
from webapp.persistence.database.database import Database
from webapp.persistence.jobs.records import StoredJob, list_jobs, load_job, load_job_by_number
from webapp.persistence.people.users import HELPER, OWNER, add_user
from webapp.persistence.quotes.records import list_quotes
from webapp.persistence.settings.shop import load_shop
from webapp.running import utc_now
from webapp.security.access import LEAST_ROLE, may_use
from webapp.settings import Settings
from webapp.standing import estimate_stored

REFUSAL = "This is the owner&#39;s"


@pytest.fixture
def helper(app: FastAPI, shop_database: Database) -> Visitor:
    """A helper's browser, on a shop without stock or jobs."""
    with shop_database.writing() as session:
        add_user(session, name="Mara", password_hash="none", added_at=utc_now(), role=HELPER)
    visitor = Visitor(app)
    visitor.sign_in("Mara")
    return visitor


@pytest.fixture
def demo_helper(settings: Settings, demo_database: Database) -> Visitor:
    """The demo's helper, signed in."""
    visitor = Visitor(create_app(settings, demo_database))
    visitor.sign_in("helper")
    return visitor


# ---- the table ----------------------------------------------------------------------------------------------------


def test_every_route_stands_in_the_table_and_nothing_else_does() -> None:
    assert {*addresses(), ("GET", "/health")} == set(LEAST_ROLE)


def test_who_may_use_what() -> None:
    assert may_use(None, "GET", "/sign-in")
    assert not may_use(None, "GET", "/jobs")
    assert may_use(HELPER, "GET", "/jobs")
    assert not may_use(HELPER, "GET", "/quotes")
    assert not may_use(HELPER, "POST", "/added/tomorrow")
    assert may_use(OWNER, "POST", "/added/tomorrow")


def _filled(path: str) -> str:
    return re.sub(
        r"\{[^}]*\}", lambda found: "1" if ":int" in found[0] else "00000000-0000-4000-8000-000000000000", path
    )


def test_every_route_of_an_owners_refuses_a_helper(helper: Visitor) -> None:
    owners = [(method, path) for method, path in addresses() if LEAST_ROLE.get((method, path), OWNER) == OWNER]
    assert len(owners) > 25
    headers = {"X-CSRF-Token": helper.csrf_token}
    for method, path in owners:
        answer = helper.request(method, _filled(path), headers=headers)
        assert answer.status_code == 403, f"{method} {path} answered {answer.status_code} to a helper"
        assert REFUSAL in answer.text
        assert "Go to the start page" in answer.text
        part = helper.request(method, _filled(path), headers={**headers, "HX-Request": "true"})
        assert part.status_code == 403
        assert part.headers["HX-Retarget"] == "#sheet"


def test_a_route_that_is_in_no_table_is_the_owners(app: FastAPI, helper: Visitor, client: Visitor) -> None:
    router = APIRouter()

    @router.get("/added/tomorrow")
    def added() -> str:
        return "rates"

    app.include_router(router)
    assert helper.get("/added/tomorrow").status_code == 403
    assert client.get("/added/tomorrow").status_code == 200


# ---- what is seen -------------------------------------------------------------------------------------------------


def _estimate(visitor: Visitor, number: int) -> tuple[StoredJob, Estimate]:
    with visitor.program.database.reading() as session:
        shop = load_shop(session)
        job = load_job_by_number(session, number)
        return job, estimate_stored(session, job, job.document, shop, shop.today(visitor.program.now())).estimate


def _owners_words(visitor: Visitor, number: int) -> set[str]:
    """The owner's figures of a job as they would be written, but for those that a figure of the work writes alike."""
    job, found = _estimate(visitor, number)
    work = work_of(found, read_job(job.document, found.system)[0])
    with visitor.program.database.reading() as session:
        reader = reader_of(load_shop(session))
    paid = {reader.figure(one)[0] for one in work.figures.values()}
    paid |= {reader.amount(one.value) for one in work.figures.values()}
    hidden = {
        reader.amount(figure.value)
        for name, figure in all_figures(found).items()
        if "money" in figure.unit and name not in work.figures
    }
    hidden |= {reader.amount(step.labour.value) for step in found.steps}
    hidden.add(reader.percent(found.totals.margin.value))
    # A short or a round amount stands on a page for many reasons.
    return {words for words in hidden - paid if len(words) >= 5 and not words.endswith(".00")}


def _shown(body: str, hidden: set[str]) -> set[str]:
    # A drawing is full of numbers that nobody reads.
    body = re.sub(r"<(?:path|rect|line|circle|polygon|polyline|svg|g|text|tspan)\b[^>]*>", " ", body)
    body = body.replace("&nbsp;", " ").replace("\N{NO-BREAK SPACE}", " ")
    return {
        words for words in hidden
        if words in body and re.search(rf"(?<![\d.,]){re.escape(words)}(?![\d.,]*\d)", body)
    }  # fmt: skip


def _pages(visitor: Visitor, number: int) -> Iterator[tuple[str, str]]:
    """Everything that a helper can be answered about a job: pages, parts, a working, files and papers."""
    sheet = visitor.get(f"/jobs/{number}?open=all").text
    fields = form_fields(sheet, "job-sheet")
    yield "the sheet", sheet
    yield "the part that follows the keys", visitor.swap(f"/jobs/{number}/estimate", fields).text
    for act in ("add-line", "add-setting"):
        sent = {**fields, "act": act, "new_setting": "profit"}
        yield act, visitor.send_form(f"/jobs/{number}/estimate", sent).text
    yield "the drawings", visitor.swap(f"/jobs/{number}/drawings", fields).text
    yield "a price kept", visitor.swap(f"/jobs/{number}/price", {**fields, "keep": ""}).text
    yield "someone else's save", visitor.send_form(f"/jobs/{number}", {**fields, "version": "0"}).text
    yield "the workshop", visitor.get(f"/jobs/{number}/workshop").text
    yield "the file", visitor.get(f"/jobs/{number}/job.yaml").text
    listed = visitor.get(f"/jobs/{number}/shopping-list.pdf")
    assert listed.status_code == 200
    yield "the shopping list", " ".join(page.extract_text() for page in PdfReader(BytesIO(listed.content)).pages)
    # Workings by way of what is no work of anybody's: the sums they are asked for are the owner's.
    for figure in ("buy/further_stops", "coin"):
        yield f"working {figure}", visitor.get(f"/jobs/{number}/working/{figure}").text


def test_nothing_of_the_owners_is_in_any_answer_about_a_job(demo_helper: Visitor) -> None:
    with demo_helper.program.database.reading() as session:
        numbers = [one.number for one in list_jobs(session).entries if load_job(session, one.id).document.get("items")]
    # The owner sees them, so that finding none is no accident of how they are written.
    owner = Visitor(demo_helper.app)  # type: ignore[arg-type]
    owner.sign_in("demo")
    for number in numbers[:2]:
        hidden = _owners_words(owner, number)
        assert len(_shown(owner.get(f"/jobs/{number}?open=all").text, hidden)) > 10
        for what, body in _pages(demo_helper, number):
            assert not _shown(body, hidden), f"{what} of job {number} shows a helper an owner's figure"
            for word in ("Without tax", "to pay", ">Margin<", "An hour earns", "Contingency", "Overhead", "Profit is"):
                assert word not in body, f"{what} of job {number} says {word}"


def test_lists_and_the_start_page_hold_no_price_to_a_customer(demo_helper: Visitor) -> None:
    with demo_helper.program.database.reading() as session:
        shop = load_shop(session)
        reader, today = reader_of(shop), shop.today(demo_helper.program.now())
        jobs = [one.number for one in list_jobs(session, state="open").entries]
        totals = {f"{one.total:,}" for one in list_quotes(session, today).entries}
    totals |= {reader.amount(_estimate(demo_helper, number)[1].totals.total.value) for number in jobs}
    for address in ("/", "/jobs", "/buying", "/designs", "/jobs/new"):
        answer = demo_helper.get(address)
        assert answer.status_code == 200
        assert not _shown(answer.text, totals), address
        for there in ("/quotes", "/settings", "/people", "/price"):
            assert f'href="{there}"' not in answer.text, f"{address} leads to {there}"
    assert "/issue" not in demo_helper.get("/").text


def test_workings_open_for_the_work_and_for_nothing_else(demo_helper: Visitor) -> None:
    job, found = _estimate(demo_helper, 1)
    step, bought = found.steps[0], found.bought[0]
    for figure in (step.likely, found.totals.minutes_mean, bought.bought, bought.required):
        answer = demo_helper.get(f"/jobs/{job.number}/working/{figure.id}")
        assert answer.status_code == 200, figure.id
    for figure in (step.labour, found.totals.net, found.totals.cost, found.totals.margin, found.lines[0].unit_price):
        answer = demo_helper.get(f"/jobs/{job.number}/working/{figure.id}")
        assert answer.status_code == 403, figure.id
        posted = demo_helper.swap(f"/jobs/{job.number}/working/{figure.id}")
        assert posted.status_code in (403, 404), figure.id
    assert demo_helper.get(f"/jobs/{job.number}/working/stretch/overhead").status_code in (403, 404)


# ---- what is done -------------------------------------------------------------------------------------------------


def test_a_helper_sets_the_work_and_the_terms_stay(demo_helper: Visitor) -> None:
    job, _ = _estimate(demo_helper, 1)
    kept = job.document
    assert kept["discount"]
    assert kept["lines"]
    fields = form_fields(demo_helper.get("/jobs/1").text, "job-sheet")
    item = str(kept["items"][0]["id"])
    line = str(kept["lines"][0]["id"])
    sent = {
        **fields, f"items.{item}.quantity": "7", "notes": "The floor slopes.", "discount": "50 %", "card": "yes",
        "novelty": "new", "settings.profit.value": "1 %", "lines.new.kind": "hire", "lines.new.says": "A free line",
        "lines.new.each": "1", f"lines.{line}.each": "1", f"lines.{line}.says": "Changed", "state": "dropped",
        "then": "issue",
    }  # fmt: skip
    assert demo_helper.send_form("/jobs/1", sent).status_code == 303
    after, _ = _estimate(demo_helper, 1)
    assert (after.document["items"][0]["quantity"], after.document["notes"]) == ("7", "The floor slopes.")
    for name in ("discount", "lines", "novelty"):
        assert after.document.get(name) == kept.get(name)
    assert not {"card", "settings"} & after.document.keys()
    assert after.state == job.state
    text = demo_helper.get("/jobs/1/job.yaml").text
    assert "The floor slopes." in text
    for word in ("discount", "rates:", "each:", "settings:"):
        assert word not in text
