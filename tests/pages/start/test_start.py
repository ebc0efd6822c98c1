"""The start page: open jobs and what stands against them, prices in doubt, quotes; and an empty shop's first steps."""

from __future__ import annotations

import re
from datetime import timedelta
from html import unescape

import pytest
from sqlalchemy import func, select

from tests.harness.visiting import Visitor
from webapp.app import create_app
from webapp.persistence.database.database import Database
from webapp.persistence.jobs.records import list_jobs, set_job_state
from webapp.persistence.plans.records import PlanRow
from webapp.running import utc_now
from webapp.settings import Settings


def _rows(page: str, caption: str) -> list[str]:
    table = unescape(page).split(f"{caption}</caption>")[1].split("</table>")[0]
    return table.split("<tbody>")[1].split("<tr")[1:]


def test_an_empty_shop_is_shown_its_first_steps(client: Visitor) -> None:
    page = client.get("/").text
    for href in ("/designs/new", "/jobs/new", "/materials/new"):
        assert f'href="{href}"' in page
    assert 'action="/starters"' in page
    assert page.count('aria-current="step"') == 1
    assert "Jobs in hand" not in page


def test_the_price_is_the_one_on_the_jobs_own_sheet(demo_client: Visitor) -> None:
    row = next(one for one in _rows(demo_client.get("/").text, "Open jobs") if "Drawer cabinets" in one)
    price = row.split('class="value">')[1].split("<")[0]
    href = row.split('href="')[1].split('"')[0]
    assert f">{price}<" in demo_client.get(href).text


def test_cut_plans_are_looked_for_once(demo_client: Visitor, demo_database: Database) -> None:
    demo_client.get("/")
    with demo_database.reading() as session:
        count = session.scalar(select(func.count()).select_from(PlanRow))
        last = session.scalar(select(func.max(PlanRow.created_at)))
    assert count
    demo_client.get("/")
    with demo_database.reading() as session:
        assert session.scalar(select(func.max(PlanRow.created_at))) == last


def test_jobs_that_are_done_ask_for_nothing(demo_client: Visitor, demo_database: Database) -> None:
    with demo_database.writing() as session:
        for job in list_jobs(session, state="open").entries:
            set_job_state(session, job.id, "done", at=utc_now())
    page = demo_client.get("/").text
    assert "No job is open." in page
    assert "Every price that an open job needs is known" in page


def _issue_drawers(visitor: Visitor) -> str:
    """Issue the quote of the demo's drawer cabinets, which lacks nothing; the address of the quote."""
    number = next(row for row in _rows(visitor.get("/").text, "Open jobs") if "Drawer cabinets" in row)
    href = number.split('href="')[1].split('"')[0]
    answer = visitor.send_form(f"{href}/issue")
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


@pytest.mark.both
def test_quotes_are_followed_from_issue_to_purchase(
    demo_client: Visitor, demo_database: Database, settings: Settings
) -> None:
    quote = _issue_drawers(demo_client)
    page = unescape(demo_client.get("/").text)
    drawers = next(row for row in _rows(page, "Open jobs") if "Drawer cabinets" in row)
    left = re.search(r"It is valid for (\d+) more days", drawers)
    assert left is not None

    def asks(page: str) -> str:
        return " ".join(row for row in _rows(page, "Quotes to follow up") if "Drawer cabinets" in row)

    assert not asks(page)

    def seen_after(days: int) -> str:
        visitor = Visitor(create_app(settings, demo_database, lambda: utc_now() + timedelta(days=days)))
        visitor.sign_in()
        return unescape(visitor.get("/").text)

    assert not asks(seen_after(int(left[1]) - 8))
    assert asks(seen_after(int(left[1]) - 7))
    assert "Today is its last day." in asks(seen_after(int(left[1])))
    lapsed = _rows(seen_after(int(left[1]) + 1), "Open jobs")
    assert "Issue the next revision" in next(row for row in lapsed if "Drawer cabinets" in row)
    # The later visitors' sign-ins ended this one's, which by their clock is long over.
    demo_client.sign_in()
    demo_client.send_form(f"{quote}/state", {"state": "accepted"})
    page = demo_client.get("/").text
    row = asks(page)
    assert "Accepted: buy for it and make it." in row
    assert re.search(r">[\d,]+\.\d\d<", row), "the total as the currency writes it"
    assert f"{quote}/shopping-list.pdf" in row
    assert len(_rows(page, "Open jobs")) == 3, "an ordered job is no longer open"
