"""The start page: what needs attention today, each with its next step; an empty shop is shown its first steps."""

from __future__ import annotations

from datetime import date
from typing import Final

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.estimate import Estimate
from webapp.estimating import estimate_jobs, keep_plans
from webapp.pages.dependencies import ShopHere, StoreSession
from webapp.pages.start_view import StartPage, first_steps, job_line, price_lines, quote_lines
from webapp.persistence.designs import list_designs
from webapp.persistence.jobs import StoredJob, list_jobs, load_job, states_of
from webapp.persistence.plans import get_many
from webapp.persistence.quotes import latest_quotes, list_quotes
from webapp.persistence.shop import Shop
from webapp.rendering import render
from webapp.running import Running, running

router = APIRouter(default_response_class=HTMLResponse)

#: So many open jobs are worked out, the last touched first; the list of jobs has them all.
MOST_JOBS: Final = 12
MOST_QUOTES: Final = 50


@router.get("/")
def show_start(request: Request, session: StoreSession, shop: ShopHere) -> Response:
    """What needs attention."""
    here = running(request)
    today = shop.today(here.now())
    jobs = list_jobs(session, state="open", size=MOST_JOBS)
    worked = _work_out(session, here, [load_job(session, one.id) for one in jobs.entries], shop, today)
    latest = latest_quotes(session, [job.id for job, _ in worked], today)
    standing = list_quotes(session, today, state="standing", size=MOST_QUOTES)
    accepted = list_quotes(session, today, state="accepted", size=MOST_QUOTES)
    states = states_of(session, [one.job_id for one in accepted.entries])
    ordered = list_jobs(session, state="ordered", size=1).total
    empty = not list_jobs(session, size=1).total
    page = StartPage(
        first_steps(bool(list_designs(session)), shop.currency_fixed) if empty else (),
        tuple(job_line(job, found, latest.get(job.id), today, shop) for job, found in worked),
        f"{jobs.total - MOST_JOBS} more open jobs" if jobs.total > MOST_JOBS else "",
        price_lines(worked, shop),
        quote_lines(standing.entries, accepted.entries, states, today),
        tuple(
            (words, str(count), None, None, None)
            for words, count in (
                ("Jobs open", jobs.total),
                ("Jobs ordered", ordered),
                ("Quotes that stand", standing.total),
            )
        ),
    )
    return render(request, "start/start.html", page)


def _work_out(
    session: Session, here: Running, jobs: list[StoredJob], shop: Shop, today: date
) -> list[tuple[StoredJob, Estimate]]:
    """Every job estimated; cut plans that are new are kept, so that no other page looks for them again."""
    found = [one for _, one in estimate_jobs(session, [job.document for job in jobs], shop, today)]
    kept = get_many(session, {key for one in found for key in one.plans}).keys()
    fresh = [one for one in found if one.plans.keys() - kept]
    if fresh:
        with here.database.writing() as keeping:
            for one in fresh:
                keep_plans(keeping, one, here.now())
    return list(zip(jobs, found, strict=True))
