"""A kept cut plan outlives the prices and the method it was found by: only its proof lapses. On both databases."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from threading import Event
from typing import Any

import pytest
from alembic.util.pyfiles import load_python_file
from sqlalchemy import select

from tests.poor_plan import poor_plan
from webapp import estimating
from webapp.costing.buying.bought import MaterialBought
from webapp.costing.cutting.ask.model import LengthRequest, SheetPlan, SheetRequest
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.plans import first_plan
from webapp.costing.plans import key as plan_key
from webapp.costing.plans.documents import write_request
from webapp.costing.plans.key import pieces_key
from webapp.costing.plans.requests import Plan, Request
from webapp.estimating import estimate_job, keep_plans
from webapp.paths import MIGRATIONS
from webapp.persistence.catalogue.changes import add_price
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.database.database import Database
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.plans.records import PlanRow, keep_best, last_of_pieces
from webapp.persistence.plans.tasks import Question, ask
from webapp.persistence.settings.shop import load_shop
from webapp.plan_worker import work
from webapp.remembered import Remembered
from webapp.running import utc_now

NOW = utc_now()
#: The demo's job of one table, and the sheets that are cut for it.
JOB, BIRCH = 3, "birch_plywood_18"
FIRST_PLAN = first_plan.first_plan


@pytest.fixture(autouse=True)
def another_run(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is known from an earlier run of the program, and nothing stays for a later one."""
    monkeypatch.setattr(estimating, "FIRST_PLANS", Remembered(estimating.MOST_PLANS))
    monkeypatch.setattr(estimating, "STORED_PLANS", Remembered(estimating.MOST_PLANS))
    monkeypatch.setattr(estimating, "ESTIMATES", estimating.KeptEstimates())


def out_of_luck(request: Request) -> Plan:
    """A search that finds the first best and no better."""
    return poor_plan(request) if isinstance(request, SheetRequest) else FIRST_PLAN(request)


def estimated(database: Database) -> Estimate:
    with database.reading() as session:
        shop = load_shop(session)
        document = load_job_by_number(session, JOB).document
        return estimate_job(session, document, shop, shop.today(NOW))[1]


def sheets_of(estimate: Estimate) -> MaterialBought:
    return next(one for one in estimate.bought if one.material.code == BIRCH)


def kept_estimate(database: Database) -> Estimate:
    """The job's estimate, its plans kept."""
    found = estimated(database)
    with database.reading() as session:
        keep_plans(database, session, [found], NOW)
    return found


def dearer(database: Database, times: int = 2) -> None:
    """Every price so many times as high from today on."""
    with database.writing() as session:
        # The shop's day is not the clock's in every hour, and a price of tomorrow is none.
        today = load_shop(session).today(NOW)
        catalogue = load_catalogue(session, today, None)
        for seen in [seen for of in catalogue.prices.values() for seen in of]:
            add_price(session, replace(seen, amount=seen.amount * times, seen_on=today, where="a new list"), at=NOW)


def laid(plan: Plan | None) -> list[tuple[str, int, Any]]:
    assert isinstance(plan, SheetPlan)
    return sorted((sheet.stock, sheet.count, sheet.placements) for sheet in plan.sheets)


def test_a_plan_stays_a_candidate_at_other_prices(demo_database: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    before = sheets_of(kept_estimate(demo_database))
    dearer(demo_database)
    monkeypatch.setattr(first_plan, "first_plan", out_of_luck)
    after = sheets_of(estimated(demo_database))
    assert after.plan_key != before.plan_key
    assert laid(after.plan) == laid(before.plan)
    assert before.plan is not None
    assert after.plan is not None
    assert after.plan.price == before.plan.price * 2
    assert after.bought.value == before.bought.value * 2
    assert after.plan.bound == before.plan.bound * 2
    assert after.plan.proved == before.plan.proved


def test_what_was_bettered_at_other_prices_is_taken_at_those_of_today(
    demo_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A plan was kept at new prices before they held, and bettered at the old ones meanwhile."""
    before = sheets_of(kept_estimate(demo_database))
    dearer(demo_database)
    dear = sheets_of(estimated(demo_database))
    assert before.plan is not None
    assert dear.plan is not None
    assert isinstance(dear.request, SheetRequest)
    poor = poor_plan(dear.request)
    assert poor.price > dear.plan.price
    with demo_database.writing() as session:
        keep_best(session, dear.plan_key, poor, at=NOW, request=dear.request)
        better = replace(before.plan, cuts=before.plan.cuts - 1)
        keep_best(session, before.plan_key, better, at=NOW + timedelta(hours=1), request=before.request)
    monkeypatch.setattr(estimating, "STORED_PLANS", Remembered(estimating.MOST_PLANS))
    monkeypatch.setattr(estimating, "ESTIMATES", estimating.KeptEstimates())
    after = sheets_of(estimated(demo_database))
    assert after.plan_key == dear.plan_key
    assert laid(after.plan) == laid(before.plan)


def test_a_plan_stays_a_candidate_when_the_method_is_raised(
    demo_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = sheets_of(kept_estimate(demo_database))
    monkeypatch.setattr(first_plan, "first_plan", out_of_luck)
    monkeypatch.setattr(plan_key, "METHOD", plan_key.METHOD + 1)
    monkeypatch.setattr(estimating, "ESTIMATES", estimating.KeptEstimates())
    after = sheets_of(estimated(demo_database))
    assert after.plan_key != before.plan_key
    assert laid(after.plan) == laid(before.plan)


def test_a_better_first_plan_takes_its_place(demo_database: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(first_plan, "first_plan", out_of_luck)
    poor = sheets_of(kept_estimate(demo_database))
    dearer(demo_database, 3)
    monkeypatch.setattr(first_plan, "first_plan", FIRST_PLAN)
    after = sheets_of(estimated(demo_database))
    assert poor.plan is not None
    assert after.plan is not None
    assert after.plan.price < poor.plan.price * 3


def test_the_worker_starts_from_the_last_plan_of_the_same_pieces(demo_database: Database) -> None:
    before = sheets_of(kept_estimate(demo_database))
    assert before.plan is not None
    request = before.request
    assert isinstance(request, SheetRequest)
    dear = replace(request, stocks=tuple(replace(one, price=one.price + 7, breaks=()) for one in request.stocks))
    with demo_database.writing() as session:
        job = load_job_by_number(session, JOB)
        ask(session, job.id, [Question("another", dear, poor_plan(dear))], wanted_ms=1000, at=NOW)
    begun: list[Plan | None] = []

    def solve(request: Request, seed: int, seconds: float, start: Plan | None, watch: object) -> Plan:
        begun.append(start)
        assert start is not None
        return start

    work(demo_database, Event(), until_idle=True, solve=solve)
    (start,) = begun
    assert laid(start) == laid(before.plan)
    assert start is not None
    assert start.price == before.plan.price + 7 * sum(sheet.count for sheet in getattr(start, "sheets", ()))


def test_the_same_pieces_of_another_material_are_no_candidate(demo_database: Database) -> None:
    before = sheets_of(kept_estimate(demo_database))
    assert isinstance(before.request, SheetRequest)
    pieces = pieces_key(before.request)
    with demo_database.reading() as session:
        offered = [stock.id for stock in before.request.stocks]
        assert last_of_pieces(session, pieces, offered) == before.plan
        assert last_of_pieces(session, pieces, ["another sheet"]) is None
        assert last_of_pieces(session, "other pieces", offered) is None


def test_plans_that_were_kept_before_are_found_by_what_was_asked_in_the_background(demo_database: Database) -> None:
    """The migration reads the questions that were kept then; it says what the program says of the same pieces."""
    told = load_python_file(str(MIGRATIONS / "versions"), Path("0007_pieces_of_plans.py").name)
    kept = kept_estimate(demo_database)
    asked = [one.request for one in kept.bought if one.request is not None]
    assert {type(one) for one in asked} == {SheetRequest, LengthRequest}
    for request in asked:
        assert told.pieces_of(write_request(request)) == pieces_key(request)
    assert told.pieces_of({"form": "1", "cut": "boards"}) is None
    with demo_database.reading() as session:
        held = set(session.scalars(select(PlanRow.pieces)))
    assert {pieces_key(request) for request in asked} <= held
