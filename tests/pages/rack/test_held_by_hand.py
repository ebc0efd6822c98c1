"""An open job that holds pieces of the rack by hand is worked out with them wherever it is looked at, and nobody else
is; an agreed job that is open again stays as it was agreed."""

from __future__ import annotations

import re
from uuid import UUID

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.pages.prices.test_work_in_hand import followed, raised, trial_of
from tests.pages.rack.test_holds import accept, plain, two_jobs
from webapp.costing.estimate.estimate import Estimate
from webapp.estimating import estimate_job, estimate_jobs
from webapp.persistence.jobs.cards import JobCard, cards_of
from webapp.persistence.jobs.records import load_job_by_number, set_job_state
from webapp.persistence.rack.holds import hold_for
from webapp.persistence.settings.shop import load_shop

__all__ = ["two_jobs"]

TwoJobs = tuple[Visitor, int, int, list[UUID]]


def card(visitor: Visitor, number: int) -> JobCard:
    """What lists say of a job."""
    with visitor.program.database.reading() as session:
        job = load_job_by_number(session, number)
        return cards_of(session, [job.id])[job.id]


def alone(visitor: Visitor, number: int, *, with_holds: bool = True) -> Estimate:
    """A job worked out by itself, with the pieces it holds or as if it were no job that is kept."""
    with visitor.program.database.reading() as session:
        shop, job = load_shop(session), load_job_by_number(session, number)
        today = shop.today(visitor.program.now())
        return estimate_job(session, job.document, shop, today, job.id if with_holds else None)[1]


@pytest.fixture
def held(two_jobs: TwoJobs) -> tuple[Visitor, int, int]:
    """The first of two alike jobs holds every sheet on the rack."""
    visitor, first, second, keys = two_jobs
    with visitor.program.database.writing() as session:
        for key in keys:
            hold_for(session, key, first, at=visitor.program.now())
    for number in (first, second):
        assert visitor.get(f"/jobs/{number}").status_code == 200
    return visitor, first, second


def test_it_comes_to_the_same_on_its_sheet_on_the_start_page_and_in_a_trial(held: tuple[Visitor, int, int]) -> None:
    visitor, first, second = held
    own, others = alone(visitor, first), alone(visitor, first, with_holds=False)
    assert own.totals.total.value != others.totals.total.value
    cards = [card(visitor, number) for number in (first, second)]
    assert cards[0].total == round(own.totals.total.value, 2)
    with visitor.program.database.reading() as session:
        shop = load_shop(session)
        kept = [load_job_by_number(session, number) for number in (second, first)]
        jobs = {job.id: job.document for job in kept}
        together = estimate_jobs(session, jobs, shop, shop.today(visitor.program.now()))
        assert [one.totals.total.value for _, one in together] == [
            alone(visitor, number).totals.total.value for number in (second, first)
        ]
    told = f"{cards[0].total:,.2f}"
    start = re.search(rf"Job {first}: .*? ([\d,]+\.\d\d) USD", plain(visitor.get("/").text))
    assert start is not None
    assert start[1] == told
    tried = visitor.send_form("/settings/printing/try", {"quote_days": "29", "job": str(first)})
    assert f"Nothing moves in job {first}." in plain(tried.text)
    moved = visitor.send_form("/settings/charges/try", {"overhead_per_hour": "30", "job": str(first)})
    assert told in plain(moved.text.split('id="moves"')[1].split('id="why"')[0])
    place = raised(visitor, "6")
    page = visitor.get(place).text
    trial = trial_of(page)
    followed(visitor, page, place)
    before = {one.work.number: one.before.total for one in trial.moved}
    assert before[first] == own.totals.total.value
    assert before[second] == alone(visitor, second).totals.total.value
    assert [card(visitor, number) for number in (first, second)] == cards


def test_what_was_agreed_of_a_job_that_is_open_again_moves_by_no_price(two_jobs: TwoJobs) -> None:
    visitor, first, _, _ = two_jobs
    accept(visitor, first)
    place = raised(visitor, "6")
    kept = visitor.send_form(f"{place.partition('?')[0]}/keep", form_fields(visitor.get(place).text, "keep-file"))
    assert kept.status_code == 303
    with visitor.program.database.writing() as session:
        job = load_job_by_number(session, first)
        set_job_state(session, job.id, "open", at=visitor.program.now())
    assert visitor.get(f"/jobs/{first}").status_code == 200
    agreed = card(visitor, first)
    place = raised(visitor, "9")
    page = visitor.get(place).text
    trial = trial_of(page)
    assert first in {one.number for one in trial.works}
    followed(visitor, page, place)
    assert trial.over
    assert first not in {one.work.number for one in trial.moved}
    assert card(visitor, first) == agreed
