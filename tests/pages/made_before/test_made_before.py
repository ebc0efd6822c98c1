"""A bench that was made: told, held against the estimate, explained; the value that is kept closes the difference."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from html import unescape
from uuid import uuid4

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from webapp.estimating import estimate_job
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.jobs.made_before import MadeBefore, made_of
from webapp.persistence.jobs.records import StoredJob, create_job, list_jobs, load_job_by_number, save_job
from webapp.persistence.people.users import add_user
from webapp.persistence.settings.rates import current_rate_set
from webapp.persistence.settings.shop import load_shop
from webapp.running import utc_now

BENCH = {
    "start": "design:trestle_bench", "begin.trestle_bench.sizes.length": "1700 mm", "took": "2,100.00",
    "took_tax": "without", "took_hours": "", "took_materials": "",
}  # fmt: skip


def _told(visitor: Visitor, **typed: str) -> str:
    """Tell of a bench; the address of its comparison."""
    answer = visitor.send_form("/made-before", {**BENCH, **typed})
    assert answer.status_code == 303, unescape(answer.text)
    return str(answer.headers["location"])


def _job(visitor: Visitor, address: str) -> tuple[StoredJob, MadeBefore | None]:
    with visitor.program.database.reading() as session:
        job = load_job_by_number(session, int(address.split("/")[2]))
        return job, made_of(session, job.id)


def _net(visitor: Visitor, address: str) -> Fraction:
    job, _ = _job(visitor, address)
    with visitor.program.database.reading() as session:
        shop = load_shop(session)
        _, found = estimate_job(session, job.document, shop, shop.today(visitor.program.now()))
    return found.totals.net.value


def _lines(page: str) -> dict[str, dict[str, str]]:
    """The lines of a page by their label: the name and the value that keeping one sends, and what it says."""
    found = {}
    for part in page.split('<li id="line-')[1:]:
        label = unescape(part.split("<h3>")[1].split("</h3>")[0])
        name = re.search(r'name="line" value="([^"]*)"', part)
        value = re.search(r'name="value" value="([^"]*)"', part)
        assert name is not None
        assert value is not None
        words = unescape(re.sub(r"<[^>]+>", " ", part.split("<form")[0]))
        found[label] = {"line": name[1], "value": value[1], "words": " ".join(words.split())}
    return found


@pytest.mark.both
def test_the_rate_that_one_corrects_closes_the_difference(demo_client: Visitor) -> None:
    there = _told(demo_client)
    job, told = _job(demo_client, there)
    assert job.state == "done"
    assert job.document["items"][0]["sizes"]["length"] == "1700 mm"
    assert told == MadeBefore(Decimal("2100.00"), False)
    page = demo_client.get(there).text
    assert "less than you took" in unescape(page)
    lines = _lines(page)
    assert len(lines) == 3
    rate = next(one for one in lines.values() if one["line"] == "setting/labour_maker")
    assert "instead of" in rate["words"]
    before = _net(demo_client, there)
    answer = demo_client.send_form(f"{there}/keep", rate)
    assert answer.status_code == 303
    with demo_client.program.database.reading() as session:
        kept = current_rate_set(session)
    assert kept.rates["labour_maker"] == Fraction(rate["value"])
    assert kept.reason == f"worked back from job {job.number}, {job.title}"
    # Prices from 1,000 are rounded up to 5.
    assert abs(_net(demo_client, there) - 2100) <= 5 < abs(before - 2100)
    after = unescape(demo_client.get(str(answer.headers["location"])).text)
    assert "give what you took" in after
    assert "It is kept as the shop’s own" in after
    assert not _lines(after)
    # And its cut drawing, in one press.
    assert f'href="/jobs/{job.number}/cut.pdf">Cut drawing, PDF' in after


def test_minutes_are_kept_as_the_shops_own_steps(demo_client: Visitor) -> None:
    there = _told(demo_client, took="2,050", took_hours="19")
    lines = _lines(demo_client.get(there).text)
    stage = next(one for one in lines.values() if one["line"].startswith("hours/"))
    with demo_client.program.database.reading() as session:
        before = current_rate_set(session).rates
    assert demo_client.send_form(f"{there}/keep", stage).status_code == 303
    with demo_client.program.database.reading() as session:
        after = current_rate_set(session).rates
    changed = {name for name, step in after.operations.items() if step != before.operations[name]}
    assert changed
    assert changed <= after.own
    for name in changed:
        assert abs(after.operations[name].likely - before.operations[name].likely * Fraction(stage["value"])) <= 1
    assert "19 h" in unescape(demo_client.get(there).text)


def test_a_price_is_kept_as_one_seen_today(demo_client: Visitor) -> None:
    there = _told(demo_client, took="2,300", took_materials="800")
    lines = _lines(demo_client.get(there).text)
    label, price = next((label, one) for label, one in lines.items() if one["line"].startswith("price/"))
    assert label.startswith("Price of ")
    assert demo_client.send_form(f"{there}/keep", price).status_code == 303
    offer = price["line"].split("/")[1]
    with demo_client.program.database.reading() as session:
        today = load_shop(session).today(demo_client.program.now())
        seen = load_catalogue(session, today).prices[offer][-1]
    assert seen.amount == Decimal(Fraction(price["value"]).numerator) / Fraction(price["value"]).denominator
    assert (seen.seen_on, seen.where.startswith("worked back from job ")) == (today, True)
    said = demo_client.get(there, params={"kept": price["line"]}).text
    assert "The price is kept as one seen today." in said
    assert re.search(r'href="/materials/\w+">All its prices', said)


def test_a_price_that_is_right_from_other_hours_is_still_explained(demo_client: Visitor) -> None:
    there = _told(demo_client)
    says = re.search(r"The estimate, without tax</dt>.*?class=\"value\">([\d,.]+)<", demo_client.get(there).text, re.S)
    assert says is not None
    demo_client.send_form(there, {"took": says[1], "took_tax": "without", "took_hours": "30"})
    page = unescape(demo_client.get(there).text)
    assert "but not from the hours and materials that you told" in page
    lines = _lines(page)
    assert len(lines) >= 2
    assert "explain it together" in page
    assert any(one["line"].startswith("hours/") for one in lines.values())


def test_a_value_of_yesterday_is_not_kept(demo_client: Visitor) -> None:
    """Two people: the one keeps a rate, the other's page shows what was worked out before."""
    there = _told(demo_client)
    rate, other = list(_lines(demo_client.get(there).text).values())[:2]
    assert demo_client.send_form(f"{there}/keep", rate).status_code == 303
    answer = demo_client.send_form(f"{there}/keep", other)
    assert answer.status_code == 409
    assert "changed meanwhile, so nothing was kept" in unescape(answer.text)
    with demo_client.program.database.reading() as session:
        assert current_rate_set(session).number == 1


def test_another_line_is_worked_out_where_one_asks(demo_client: Visitor) -> None:
    there = _told(demo_client)
    page = demo_client.get(there).text
    further = re.findall(r'<option value="([^"]+)"', page.split('name="line"', 4)[-1])
    assert further
    assert further[0] in {
        one["line"] for one in _lines(demo_client.get(there, params={"line": further[0]}).text).values()
    }


def test_what_can_not_be_taken_is_said_beside_its_field_and_stays(demo_client: Visitor) -> None:
    wrong = {
        "took": "12 EUR", "took_hours": "many", "took_materials": "-3", "title": "x" * 300,
        "begin.trestle_bench.sizes.length": "9 m",
    }  # fmt: skip
    answer = demo_client.send_form("/made-before", {**BENCH, **wrong})
    page = unescape(answer.text)
    assert answer.status_code == 422
    for name in ("took", "took_hours", "took_materials", "title", "begin-trestle_bench-sizes-length"):
        assert f'id="{name}-problem"' in answer.text, name
    assert "What you took for it: “12 EUR” is in EUR, but this shop reckons in USD." in page
    for text in ("12 EUR", "many", "-3", "9 m"):
        assert f'value="{text}"' in page
    with demo_client.program.database.reading() as session:
        assert "x" * 300 not in {one.title for one in list_jobs(session, size=50).entries}
    nothing = unescape(demo_client.send_form("/made-before", {"took": "0"}).text)
    assert "Choose the bench" in nothing
    assert "a bench that brought in nothing says nothing about the rates" in nothing
    assert demo_client.send_form("/made-before", {**BENCH, "start": "job:999999"}).status_code == 422


def test_what_was_told_can_be_told_anew(demo_client: Visitor) -> None:
    there = _told(demo_client)
    fields = form_fields(
        demo_client.get(there).text.replace(f'method="post" action="{there}"', f'id="told-form" action="{there}"'),
        "told-form",
    )
    assert fields["took"] == "2100.00"
    answer = demo_client.send_form(there, {**fields, "took": "1,990", "took_hours": "14 h 30 min", "took_tax": "with"})
    assert answer.status_code == 303
    assert _job(demo_client, there)[1] == MadeBefore(Decimal(1990), True, Fraction(870))
    again = demo_client.send_form(there, {**fields, "took": ""})
    assert again.status_code == 422
    assert "Type what you took for it" in unescape(again.text)


def test_any_job_can_be_told_of(demo_client: Visitor) -> None:
    """A list of parts, or what was made long ago: the job stays as it is, and is no copy."""
    with demo_client.program.database.reading() as session:
        before = list_jobs(session, size=1).total
    assert _told(demo_client, start="job:2", took="5000") == "/jobs/2/made-before"
    with demo_client.program.database.reading() as session:
        assert list_jobs(session, size=1).total == before
        assert load_job_by_number(session, 2).state == "open"
    assert "Job 2: Drawer cabinets" in unescape(demo_client.get("/made-before").text)


def test_a_list_of_parts_is_explained_as_a_design_is(demo_client: Visitor) -> None:
    parts = [{"name": "Shelf", "count": "4", "length": "800 mm", "width": "300 mm", "material": "birch_plywood_18"}]
    document = {"form": "1", "job": "Shelves", "items": [{"id": "shelves", "parts": parts}]}
    with demo_client.program.database.writing() as session:
        number = create_job(session, uuid4(), document, at=utc_now()).number
    there = _told(demo_client, start=f"job:{number}", took="620")
    page = demo_client.get(there).text
    lines = _lines(page)
    assert len(lines) == 3
    assert "hours/sheets" in {one["line"] for one in lines.values()}
    assert f'href="/jobs/{number}/cut.pdf"' in page


def test_missing_prices_come_first_in_one_table(client: Visitor) -> None:
    client.send_form("/starters")
    there = _told(client, start="design:wall_rail_storage", took="900")
    page = client.get(there).text
    assert "prices are missing, so the estimate leaves something out" in unescape(page)
    assert not _lines(page)
    assert 'id="difference"' not in page
    action = f'action="{there}/prices"'
    fields = form_fields(page.replace(action, f'{action} id="prices-form"'), "prices-form")
    prices = [name for name in fields if name.endswith(".price")]
    assert client.send_form(f"{there}/prices", fields).status_code == 422, "nothing was typed"
    some = {**fields, "who": "Millside Timber", **dict.fromkeys(prices, "21.50"), prices[0]: "-1"}
    answer = client.send_form(f"{there}/prices", some)
    assert answer.status_code == 422
    assert f"{len(prices) - 1} prices are kept." in unescape(answer.text)
    assert 'value="-1"' in answer.text
    assert client.send_form(f"{there}/prices", {**some, prices[0]: "30"}).status_code == 303
    page = client.get(there).text
    assert 'id="difference"' in page
    assert len(_lines(page)) == 3


def test_a_bench_that_cannot_be_worked_out_says_why(demo_client: Visitor) -> None:
    there = _told(demo_client, start="job:2", took="900")
    with demo_client.program.database.writing() as session:
        job = load_job_by_number(session, 2)
        item = {**job.document["items"][0], "sizes": {"width": "90 m"}}
        save_job(session, job.id, {**job.document, "items": [item]}, job.version, at=utc_now())
    page = unescape(demo_client.get(there).text)
    assert "The estimate leaves something out, so there is nothing yet to compare" in page
    assert "Put it right on its sheet" in page


@pytest.mark.parametrize("address", ["/made-before", "/jobs/2/made-before"])
def test_helpers_do_not_see_it(demo_client: Visitor, address: str) -> None:
    with demo_client.program.database.writing() as session:
        add_user(session, name="Apprentice", password_hash="none", role="helper", added_at=utc_now())
    helper = Visitor(demo_client.app)  # type: ignore[arg-type]
    helper.sign_in("Apprentice")
    assert helper.get(address).status_code == 403
    assert helper.send_form(address, BENCH).status_code == 403
    assert "/made-before" not in helper.get("/").text
