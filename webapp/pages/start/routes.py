"""The start page: what needs attention today, each with its next step; an empty shop is shown its first steps."""

from __future__ import annotations

from datetime import date
from typing import Final

from fastapi import Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.estimate.estimate import Estimate
from webapp.costing.jobs.reader import read_job
from webapp.estimating import estimate_jobs, keep_plans
from webapp.pages.start import first_prices as first_prices
from webapp.pages.start import first_steps, sums
from webapp.pages.start.first_steps import FirstSteps, first_steps_for
from webapp.pages.start.view import StartPage, job_line, price_lines, quote_lines
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.roles import seen_by, sees_money
from webapp.pages.web.routing import PageRouter
from webapp.persistence.drafts.records import count_drafts
from webapp.persistence.jobs.records import StoredJob, list_jobs, load_job, states_of
from webapp.persistence.quotes.records import latest_quotes, list_quotes
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import Running, running
from webapp.standing import how_jobs_stand

router = PageRouter()
router.include_router(first_prices.router)
router.include_router(first_steps.router)
router.include_router(sums.router)

#: So many open jobs are worked out, the last touched first; the list of jobs has them all.
MOST_JOBS: Final = 12
MOST_QUOTES: Final = 50


@router.get("/")
def show_start(request: Request, session: StoreSession, shop: ShopHere, user: SignedIn) -> Response:
    """What needs attention; those who see no money are shown no quotes either."""
    here = running(request)
    today = shop.today(here.now())
    jobs = list_jobs(session, state="open", size=MOST_JOBS)
    worked = _work_out(session, here, [load_job(session, one.id) for one in jobs.entries], shop, today)
    seen = [(job, seen_by(user, found, read_job(job.document, found.system)[0])) for job, found in worked]
    latest = latest_quotes(session, [job.id for job, _ in worked], today)
    stands = how_jobs_stand(session, [job.id for job, _ in worked], today)
    standing = list_quotes(session, today, state="standing", size=MOST_QUOTES)
    accepted = list_quotes(session, today, state="accepted", size=MOST_QUOTES)
    states = states_of(session, [one.job_id for one in accepted.entries])
    ordered = list_jobs(session, state="ordered", size=1).total
    counts = [("Jobs open", jobs.total), ("Jobs ordered", ordered)]
    if sees_money(user):
        counts.append(("Open quotes", standing.total))
    page = StartPage(
        sees_money(user),
        first_steps_for(session, shop, user, request) if sees_money(user) else FirstSteps(),
        bool(list_jobs(session, size=1).total),
        tuple(job_line(job, found, latest.get(job.id), stands[job.id], today, shop) for job, found in seen),
        f"{jobs.total - MOST_JOBS} more open jobs" if jobs.total > MOST_JOBS else "",
        price_lines(seen, shop),
        quote_lines(standing.entries, accepted.entries, states, today, shop) if sees_money(user) else (),
        tuple((words, str(count), None, None, None) for words, count in counts),
        _typed_words(count_drafts(session, user.id)),
    )
    return render(request, "start/start.html", page)


def _typed_words(places: int) -> str:
    """That something was typed and not saved, in a sentence; empty where nothing was."""
    if not places:
        return ""
    return f"You typed in {'one place' if places == 1 else f'{places} places'} and did not save it."


def _work_out(
    session: Session, here: Running, jobs: list[StoredJob], shop: Shop, today: date
) -> list[tuple[StoredJob, Estimate]]:
    """Every job estimated; cut plans that are new are kept, so that no other page looks for them again."""
    found = [one for _, one in estimate_jobs(session, {job.id: job.document for job in jobs}, shop, today)]
    keep_plans(here.database, session, found, here.now())
    return list(zip(jobs, found, strict=True))
