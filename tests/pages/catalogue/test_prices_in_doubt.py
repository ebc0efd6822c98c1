"""The page of prices that are missing or stale, by the money that rides on them in open jobs."""

from __future__ import annotations

import re
from datetime import timedelta
from fractions import Fraction

import pytest
from sqlalchemy import select

from tests.harness.visiting import Visitor
from webapp import in_short
from webapp.app import create_app
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.price_state import STALE
from webapp.estimating import estimate_jobs
from webapp.pages.catalogue import prices_in_doubt as prices_in_doubt
from webapp.persistence.database.database import Database
from webapp.persistence.jobs.records import JobRow, load_job, set_job_state
from webapp.persistence.quotes.records import estimates_of, standing_quotes
from webapp.persistence.settings.rates import current_rate_set, save_rates
from webapp.persistence.settings.shop import load_shop
from webapp.remembered import Remembered
from webapp.running import utc_now
from webapp.settings import Settings


@pytest.fixture
def later(settings: Settings, demo_database: Database) -> Visitor:
    """A browser signed in to the demo shop, months after its prices were seen."""
    visitor = Visitor(create_app(settings, demo_database, lambda: utc_now() + timedelta(days=100)))
    visitor.sign_in()
    return visitor


def riding(visitor: Visitor) -> dict[str, Fraction]:
    """The money on stale prices over all open jobs, reckoned from their estimates."""
    here, found = visitor.program, dict[str, Fraction]()
    with here.database.reading() as session:
        shop = load_shop(session)
        ids = session.scalars(select(JobRow.id).where(JobRow.state == "open")).all()
        jobs = {one: load_job(session, one).document for one in ids}
        for _, estimate in estimate_jobs(session, jobs, shop, shop.today(here.now())):
            for doubt in estimate.basis.doubts:
                if doubt.state == STALE:
                    found[doubt.name] = found.get(doubt.name, Fraction(0)) + (doubt.amount or 0)
    return found


def test_stale_prices_stand_in_the_order_of_the_money_on_them(later: Visitor) -> None:
    wanted = riding(later)
    assert len(wanted) > 1
    page = later.get("/prices").text
    shown = re.findall(r'<a href="/materials/[a-z0-9_]+">([^<]+)</a> <span class="quiet">stale; .*?([0-9,.]+)', page)
    in_order = sorted(wanted, key=lambda name: (-wanted[name], name))
    assert [name for name, _ in shown] == in_order
    for name, amount in shown:
        assert abs(Fraction(amount.replace(",", "")) - wanted[name]) <= Fraction(1, 200), name
    assert page.count("autofocus") == 1


def test_what_an_open_quote_was_issued_for_is_among_it(settings: Settings, demo_database: Database) -> None:
    """Its job is ordered meanwhile, so that no open job asks for it; with the job open it counts once all the same."""
    with demo_database.writing() as session:
        ages = {f"price_age_{kind}": Fraction(10) for kind in Kind}
        save_rates(session, ages, {}, current_rate_set(session).number, reason="a test", source="a test", at=utc_now())
    visitor = Visitor(create_app(settings, demo_database, lambda: utc_now() + timedelta(days=15)))
    visitor.sign_in()
    with demo_database.reading() as session:
        shop = load_shop(session)
        (quote,) = standing_quotes(session, shop.today(visitor.program.now()))
        issued = estimates_of(session, [quote.id])[quote.id]
    charged = {one["name"]: Fraction(one["charged"]) for one in issued["materials"]}

    def rows() -> dict[str, tuple[Fraction, str]]:
        page = visitor.get("/prices").text
        told = r'<a href="/materials/[a-z0-9_]+">([^<]+)</a> <span class="quiet">stale; .*?([0-9,.]+)'
        found = re.findall(rf"{told}.*?</span>; in (.*?)</span>", page)
        return {name: (Fraction(amount.replace(",", "")), where) for name, amount, where in found}

    with_job = rows()
    quoted = {name for name, (_, where) in with_job.items() if f"/quotes/{quote.id}" in where}
    assert quoted
    assert quoted <= charged.keys()
    assert all("/jobs/5" in with_job[name][1] for name in quoted)
    with demo_database.writing() as session:
        set_job_state(session, quote.job_id, "ordered", at=utc_now())
    alone = rows()
    for name in quoted:
        amount, where = alone[name]
        assert "/jobs/5" not in where
        assert amount <= with_job[name][0]
        if "job" not in where:
            assert abs(amount - charged[name]) <= Fraction(1, 100)
    assert "issued for" in visitor.get("/prices").text


def test_a_price_kept_without_script_leads_back_and_is_no_longer_in_doubt(later: Visitor) -> None:
    page = later.get("/prices").text
    action = re.search(r'action="(/materials/[^"]+/price)"', page)
    assert action is not None
    answer = later.send_form(action[1], {"amount": "100", "back": "/prices"})
    if answer.status_code == 422:
        answer = later.send_form(action[1], {"amount": "100", "confirmed": "100", "back": "/prices"})
    assert answer.headers["location"].startswith("/prices#")
    assert action[1] not in later.get("/prices").text


def test_many_jobs_are_worked_out_little_by_little(later: Visitor, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(prices_in_doubt, "ANEW_AT_ONCE", 1)
    monkeypatch.setattr(in_short, "IN_SHORT", Remembered(in_short.MOST_KEPT))
    assert "Worked out from 1 of" in later.get("/prices").text
    seen = later.get("/prices").text
    assert "Worked out from 2 of" in seen or "Worked out from all 2 open jobs" in seen
