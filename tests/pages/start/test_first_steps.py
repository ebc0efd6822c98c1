"""An empty shop starts with what to do next: each step with how it stands, struck off when it is done."""

from __future__ import annotations

import re
from html import unescape

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.pages.settings.test_first_rates import ANSWERS
from webapp.persistence.people.users import add_user
from webapp.persistence.settings.rates import current_rates
from webapp.running import utc_now


def _steps(visitor: Visitor) -> list[str]:
    """The steps of the start page, each with its tag."""
    page = unescape(visitor.get("/").text)
    if '<ol class="first-steps">' not in page:
        return []
    return page.split('<ol class="first-steps">')[1].split("</ol>")[0].split("<li")[1:]


def _open(visitor: Visitor) -> list[str]:
    """What is still to be done, as it begins."""
    plain = [re.sub(r"<[^>]+>", "", step.partition("<p>")[2].partition("</p>")[0]) for step in _top(visitor)]
    return [" ".join(words.split()[:3]) for words in plain if not words.startswith("Done.")]


def _top(visitor: Visitor) -> list[str]:
    return [step for step in _steps(visitor) if "<p>" in step]


def test_each_step_leads_to_its_field_and_is_struck_off(client: Visitor) -> None:
    assert _open(client) == [
        "Begin with our", "Say what an", "Look at your", "Take one bench", "Type the prices", "Issue the first",
    ]  # fmt: skip
    client.send_form("/starters")
    assert 'href="/settings/first#hour"' in client.get("/").text
    assert 'id="hour"' in client.get("/settings/first").text
    client.send_form("/settings/first", ANSWERS)
    assert "41.50 USD an hour" in " ".join(_steps(client)).replace("\N{NO-BREAK SPACE}", " ")
    assert 'href="/settings/cutting#kerf"' in client.get("/").text
    assert 'id="kerf"' in client.get("/settings/cutting").text
    assert client.send_form("/first-steps/saw").headers["location"] == "/"
    with client.program.database.reading() as session:
        assert {"kerf", "sheet_trim"} <= current_rates(session).own
    assert _open(client) == ["Take one bench", "Type the prices", "Issue the first"]
    assert client.get("/").text.count('aria-current="step"') == 1
    assert "<s>Say what an hour" in client.get("/").text


def test_only_the_prices_of_the_first_bench_are_asked_for(client: Visitor) -> None:
    client.send_form("/starters")
    made = client.send_form("/made-before", {"start": "design:wall_rail_storage", "took": "900"}).headers["location"]
    page = unescape(client.get("/").text)
    said = re.search(r"(\d+) of (\d+) are missing\.", page)
    assert said is not None
    assert said[1] == said[2]
    assert f'href="{made}#prices"' in page
    assert 'id="prices"' in client.get(made).text
    # It was made: it stands in no list of what is open, and nothing warns of it.
    assert "No job is open." in page
    assert "Missing and stale prices" not in page
    action = f'action="{made}/prices"'
    fields = form_fields(client.get(made).text.replace(action, f'{action} id="all"'), "all")
    prices = {name: "12.50" for name in fields if name.endswith(".price")}
    assert len(prices) == int(said[1])
    client.send_form(f"{made}/prices", {**fields, **prices, "who": "Millside Timber"})
    assert f"All {said[2]} are there." in unescape(client.get("/").text)
    assert "/jobs/new?start=job:1" in client.get("/").text


def test_a_first_job_says_in_one_line_what_it_lacks(client: Visitor) -> None:
    client.send_form("/starters")
    client.send_form("/jobs/new", {"start": "design:bench_cabinet"})
    page = unescape(client.get("/").text)
    row = page.split("Open jobs</caption>")[1].split("</table>")[0]
    assert re.search(r"\d\d prices are missing\.", row)
    assert 'href="/jobs/1/prices"' in row
    assert "Nobody offers" not in row
    assert "Missing and stale prices" not in page
    # They are typed in one table and kept in one go; then it is the job again, which lacks nothing.
    action = 'action="/jobs/1/prices"'
    fields = form_fields(client.get("/jobs/1/prices").text.replace(action, f'{action} id="all"'), "all")
    prices = {name: "12.50" for name in fields if name.endswith(".price")}
    wrong = {**fields, **prices, "who": "Millside Timber", next(iter(prices)): "-4"}
    answer = client.send_form("/jobs/1/prices", wrong)
    assert answer.status_code == 422
    assert f"{len(prices) - 1} prices are kept." in unescape(answer.text)
    assert 'value="-4"' in answer.text
    sheet = unescape(client.get("/jobs/1").text)
    assert len(re.findall(r"<strong>\d+ prices missing", sheet)) <= 2
    assert 'id="unpriced"' in sheet
    answer = client.send_form("/jobs/1/prices", {**wrong, next(iter(prices)): "4"})
    assert answer.headers["location"] == "/jobs/1"
    assert 'id="unpriced"' not in client.get("/jobs/1").text


def test_the_list_is_put_away_by_one_person_and_fetched_back(client: Visitor) -> None:
    with client.program.database.writing() as session:
        add_user(session, name="Partner", password_hash="none", role="owner", added_at=utc_now())
    partner = Visitor(client.app)  # type: ignore[arg-type]
    partner.sign_in("Partner")
    assert client.send_form("/first-steps/put-away").headers["location"] == "/"
    assert not _steps(client)
    assert "What needs attention" in client.get("/").text
    assert _steps(partner)
    assert "Show the first steps again" in client.get("/").text
    client.send_form("/first-steps/fetch")
    assert _steps(client)
