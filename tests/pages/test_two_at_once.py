"""Two at once: a double press, two people at the same job, two files of prices, two first visitors; and who waits."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from functools import partial
from threading import Barrier
from typing import Any, cast
from uuid import uuid4

import httpx2
import pytest
from fastapi import FastAPI
from sqlalchemy import text

from tests.harness.visiting import Visitor
from tests.pages.settings.test_first_rates import ANSWERS
from webapp import estimating
from webapp.app import create_app
from webapp.costing.estimate.snapshot import estimate_inputs
from webapp.documents.printing.pdf_worker import WORKER
from webapp.pages.prices import preview as price_files
from webapp.persistence.database.database import Database
from webapp.persistence.jobs.records import create_job
from webapp.price_import import preview_prices
from webapp.running import utc_now
from webapp.security.cookies import SIGN_IN_COOKIE
from webapp.settings import Settings

pytestmark = pytest.mark.both

#: A job of the demo that is open.
JOB = 1
LINES = [{"id": "hooks", "kind": "part", "says": "Steel hook", "quantity": "12", "each": "31.50"}]


def count(visitor: Visitor, table: str, where: str = "1 = 1") -> int:
    """How many rows a table has."""
    with visitor.program.database.reading() as session:
        return int(session.execute(text(f"SELECT count(*) FROM {table} WHERE {where}")).scalar_one())


def form_of(visitor: Visitor, page: str, address: str) -> dict[str, str]:
    """The hidden fields of the form of a page that leads to an address: its token and key among them."""
    shown = visitor.get(page).text
    return hidden_in(shown, f'action="{address}"')


def hidden_in(page: str, part: str) -> dict[str, str]:
    """The hidden fields of the form of a page that holds some words."""
    form = next(one for one in re.findall(r"<form.*?</form>", page, re.DOTALL) if part in one)
    return dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form))


def ready_job(visitor: Visitor) -> int:
    """A new job that can be issued as it stands, by its number."""
    with visitor.program.database.writing() as session:
        document = {"form": "1", "job": "Hooks for the glaze room", "lines": LINES}
        return create_job(session, uuid4(), document, at=utc_now()).number


def another(visitor: Visitor) -> Visitor:
    """The same browser in a second press, which doesn't wait for the first."""
    second = Visitor(cast(FastAPI, visitor.app))
    second.cookies.set(SIGN_IN_COOKIE, visitor.cookies[SIGN_IN_COOKIE])
    return second


def at_once(*posts: Callable[[], httpx2.Response]) -> list[httpx2.Response]:
    """Several requests that begin together."""
    together = Barrier(len(posts))

    def send(post: Callable[[], httpx2.Response]) -> httpx2.Response:
        together.wait()
        return post()

    with ThreadPoolExecutor(len(posts)) as pool:
        return list(pool.map(send, posts))


def pressed_twice(visitor: Visitor, address: str, fields: Mapping[str, Any]) -> list[httpx2.Response]:
    """The very same form from one browser, twice at once."""
    return at_once(*(lambda one=one: one.post(address, data=fields) for one in (visitor, another(visitor))))


FORMS: dict[str, tuple[str, str, dict[str, str], str]] = {
    "a job": ("/jobs/new", "/jobs/new", {"title": "Twice", "start": ""}, "jobs"),
    "a material": (
        "/materials/new?kind=piece", "/materials/new?kind=piece", {"kind": "piece", "code": "twice", "name": "Twice"},
        "materials",
    ),
    "a supplier": ("/buying/suppliers/new", "/buying/suppliers/new", {"code": "twice", "name": "Twice"}, "suppliers"),
    "an offcut": (
        "/rack/new?material=birch_plywood_18", "/rack/new",
        {"material": "birch_plywood_18", "length": "400 mm", "width": "300 mm", "count": "1"}, "offcuts",
    ),
    "a quote": ("/jobs/{job}/issue", "/jobs/{job}/issue", {}, "quotes"),
}  # fmt: skip


@pytest.mark.parametrize("what", FORMS)
def test_a_form_pressed_twice_is_done_once_and_both_are_led_to_it(demo_client: Visitor, what: str) -> None:
    page, address, fields, table = FORMS[what]
    number = ready_job(demo_client)
    page, address = page.format(job=number), address.format(job=number)
    before = count(demo_client, table)
    answers = pressed_twice(demo_client, address, {**form_of(demo_client, page, address), **fields})
    assert [one.status_code for one in answers] == [303, 303], [one.text[:300] for one in answers]
    assert len({one.headers["location"] for one in answers}) == 1
    assert count(demo_client, table) == before + 1


def test_the_same_page_typed_otherwise_is_another_form(demo_client: Visitor) -> None:
    fields = form_of(demo_client, "/jobs/new", "/jobs/new")
    before = count(demo_client, "jobs")
    leads = [
        demo_client.post("/jobs/new", data={**fields, "title": title, "start": ""}).headers["location"]
        for title in ("One", "Another", "One")
    ]
    assert count(demo_client, "jobs") == before + 2
    assert leads[0] == leads[2] != leads[1]


def test_what_was_refused_may_be_sent_again(demo_client: Visitor) -> None:
    fields = {**form_of(demo_client, "/jobs/new", "/jobs/new"), "title": "", "start": ""}
    assert [demo_client.post("/jobs/new", data=fields).status_code for _ in range(2)] == [422, 422]
    assert count(demo_client, "sent_forms") == 0


def test_two_who_issue_the_same_job_at_once_make_one_revision(demo_client: Visitor) -> None:
    address, second = f"/jobs/{ready_job(demo_client)}/issue", another(demo_client)
    forms = [form_of(one, address, address) for one in (demo_client, second)]
    before = count(demo_client, "quotes")
    answers = at_once(
        lambda: demo_client.post(address, data=forms[0]), lambda: second.post(address, data=forms[1])
    )  # fmt: skip
    assert sorted(one.status_code for one in answers) == [303, 409]
    told = next(one for one in answers if one.status_code == 409)
    assert "was issued meanwhile" in told.text
    assert "Nothing was issued twice" in told.text
    assert count(demo_client, "quotes") == before + 1


def test_a_quote_is_not_issued_otherwise_than_it_was_shown(demo_client: Visitor) -> None:
    address = f"/jobs/{ready_job(demo_client)}/issue"
    fields = form_of(demo_client, address, address)
    before = count(demo_client, "quotes")
    answer = demo_client.post(address, data={**fields, "total": "1.00"})
    assert answer.status_code == 409
    assert "came to 1.00 when this page was opened" in answer.text
    assert demo_client.post(address, data={**fields, "version": "999"}).status_code == 409
    assert count(demo_client, "quotes") == before
    assert demo_client.post(address, data=fields).status_code == 303


def test_first_quotes_of_several_jobs_at_once_have_a_number_each(client: Visitor) -> None:
    assert client.send_form("/settings/first", ANSWERS).status_code == 303
    posts = []
    for place in range(4):
        fields = {**form_of(client, "/jobs/new", "/jobs/new"), "title": f"Job {place}", "start": ""}
        number = client.post("/jobs/new", data=fields).headers["location"].rpartition("/")[2]
        line = {"lines.new.kind": "part", "lines.new.says": "Hook", "lines.new.quantity": "2", "lines.new.each": "9"}
        saved = client.send_form(f"/jobs/{number}", {"job": f"Job {place}", "version": "1", **line})
        assert saved.status_code == 303
        one, address = another(client), f"/jobs/{number}/issue"
        form = form_of(one, address, address)
        posts.append(lambda one=one, address=address, form=form: one.post(address, data=form))
    answers = at_once(*posts)
    assert [one.status_code for one in answers] == [303] * 4, [one.text[:500] for one in answers]
    with client.program.database.reading() as session:
        assert sorted(session.scalars(text("SELECT number FROM quotes"))) == [1, 2, 3, 4]


def previewed(visitor: Visitor, content: str) -> tuple[str, dict[str, str]]:
    """A file of prices as the page has it that asks whether it is to be kept, and where it is sent."""
    place = visitor.send_form("/prices/import", {"text": content}).headers["location"]
    return f"{place}/keep", {**hidden_in(visitor.get(place).text, f'{place}/keep"'), "group": "jump"}


def test_of_two_files_at_once_the_second_is_told_of_the_first(demo_client: Visitor) -> None:
    lines = demo_client.get("/prices/export.csv").text.splitlines()
    head, line = lines[0], next(one for one in lines if "birch_plywood_18" in one).split(",")
    place = head.lstrip("\ufeff").split(",").index("price")
    contents = []
    for more in (1, 2):
        line[place] = f"{float(line[place]) + more:.2f}"
        contents.append("\n".join((head.lstrip("\ufeff"), ",".join(line))))
    second, before = another(demo_client), count(demo_client, "price_observations")
    forms = [previewed(demo_client, contents[0]), previewed(second, contents[1])]
    answers = at_once(
        lambda: demo_client.post(forms[0][0], data=forms[0][1]),
        lambda: second.post(forms[1][0], data=forms[1][1]),
    )
    assert sorted(one.status_code for one in answers) == [303, 409], [one.text[:300] for one in answers]
    told = next(one for one in answers if one.status_code == 409)
    assert "A price of it was typed since" in told.text
    assert count(demo_client, "price_observations") == before + 1


def test_of_two_first_visitors_one_sets_the_shop_up(settings: Settings, database: Database) -> None:
    app = create_app(settings, database)
    shop = {
        "shop_name": "First", "currency": "USD", "length_system": "inch", "paper": "Letter", "time_zone": "UTC",
        "user_name": "Someone", "password": "a long enough pass", "password_again": "a long enough pass",
    }  # fmt: skip
    visitors = [Visitor(app), Visitor(app)]
    forms = [{**form_of(one, "/set-up", "/set-up"), **shop} for one in visitors]
    answers = at_once(
        *(lambda one=one, form=form: one.post("/set-up", data=form) for one, form in zip(visitors, forms, strict=True))
    )
    assert sorted(one.status_code for one in answers) == [303, 409]
    assert "set up already" in next(one for one in answers if one.status_code == 409).text
    assert count(visitors[0], "shop") == count(visitors[0], "users") == 1


def test_many_who_open_the_same_pages_for_the_first_time_all_see_them(demo_client: Visitor) -> None:
    for address in (f"/jobs/{JOB}", "/"):
        answers = at_once(*(partial(another(demo_client).get, address) for _ in range(4)))
        assert [one.status_code for one in answers] == [200] * 4


# ---- the writer's lock --------------------------------------------------------------------------------------------


def somebody_writes(database: Database) -> bool:
    """Whether a transaction that writes is open."""
    if database.file is not None:
        with closing(sqlite3.connect(database.file, timeout=0, isolation_level=None)) as connection:
            try:
                connection.execute("BEGIN IMMEDIATE")
            except sqlite3.OperationalError:
                return True
            connection.execute("ROLLBACK")
            return False
    held = "SELECT count(*) FROM pg_locks WHERE mode = 'RowExclusiveLock' AND locktype = 'relation' AND pid IN "
    held += "(SELECT pid FROM pg_stat_activity WHERE datname = current_database())"
    with database.engine.connect() as connection:
        return bool(connection.execute(text(held)).scalar_one())


@pytest.fixture
def worked(demo_client: Visitor, monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, bool]]:
    """Everything that takes long, as it is done from here on: what it was, and whether somebody wrote meanwhile."""
    seen: list[tuple[str, bool]] = []
    database = demo_client.program.database

    def watched(name: str, done: Callable[..., Any]) -> Callable[..., Any]:
        def run(*given: Any, **named: Any) -> Any:
            seen.append((name, somebody_writes(database)))
            return done(*given, **named)

        return run

    monkeypatch.setattr(estimating, "ESTIMATES", estimating.KeptEstimates())
    monkeypatch.setattr(estimating, "estimate_inputs", watched("estimate", estimate_inputs))
    monkeypatch.setattr(price_files, "preview_prices", watched("file", preview_prices))
    monkeypatch.setattr(WORKER, "make", watched("paper", WORKER.make))
    return seen


def test_nothing_is_worked_out_while_the_lock_is_held(demo_client: Visitor, worked: list[tuple[str, bool]]) -> None:
    with demo_client.program.database.writing() as session:
        session.execute(text("UPDATE counters SET last = last"))
        assert somebody_writes(demo_client.program.database)
    sheet = {**form_of(demo_client, f"/jobs/{JOB}", f"/jobs/{JOB}"), "job": "Saved", "price.none": ""}
    worked.clear()
    assert demo_client.post(f"/jobs/{JOB}", data=sheet).status_code == 303
    assert not worked, "a save works nothing out"
    assert demo_client.get(f"/jobs/{JOB}").status_code == 200
    issuing = f"/jobs/{ready_job(demo_client)}/issue"
    estimating.ESTIMATES.forget()
    demo_client.post(issuing, data=form_of(demo_client, issuing, issuing))
    estimating.ESTIMATES.forget()
    telephone = {"bench": "design:workbench", "quantity": "1"}
    demo_client.send_form("/price/keep", telephone)
    content = demo_client.get("/prices/export.csv").text.lstrip("\ufeff")
    place, form = previewed(demo_client, content)
    kept = demo_client.post(place, data=form)
    assert kept.status_code in (200, 303)
    assert {name for name, _ in worked} == {"estimate", "file", "paper"}
    assert [one for one in worked if one[1]] == []
