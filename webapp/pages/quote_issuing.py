"""From a job to its papers: drafts to talk over, what stands against issuing, and the quote issued."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import timedelta
from typing import Annotated, Final

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from webapp.costing.estimate import Estimate
from webapp.costing.read_job import read_job
from webapp.documents.frozen import Papers
from webapp.documents.issue import (
    Against,
    NotToBeIssued,
    draft_list,
    draft_papers,
    quote_html,
    ready_quote,
    shopping_list_html,
    what_stands_against,
)
from webapp.documents.paper import day_text, reader_of
from webapp.documents.pdf_worker import WORKER
from webapp.estimating import estimate_job, keep_plans
from webapp.pages.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.job_terms import job_seen_by
from webapp.persistence.jobs import StoredJob, load_job_by_number
from webapp.persistence.quotes import ComingQuote, QuoteNumberTaken, StoredQuote, coming_quote, issue_quote
from webapp.persistence.shop import Paper, Shop
from webapp.persistence.users import User
from webapp.rendering import render
from webapp.running import Running, running

router = APIRouter(default_response_class=HTMLResponse)

#: How often a quote is rendered anew where another one took its number in the meantime.
TRIES: Final = 3


@dataclass(frozen=True, slots=True)
class IssuePage:
    """What the coming quote will be called and say, what stands against it, and what was ticked already."""

    action: str
    job_href: str
    name: str
    title: str
    customer: str
    total: str
    currency: str
    complete: bool
    stands_until: str
    refusals: tuple[str, ...]
    consents: tuple[tuple[str, str, bool], ...]
    asked: bool


@router.get("/jobs/{number}/issue")
def show_issue(request: Request, session: StoreSession, shop: ShopHere, number: int) -> Response:
    """What would be issued, before it is."""
    job = load_job_by_number(session, number)
    _, found = estimate_job(session, job.document, shop, shop.today(running(request).now()))
    against = what_stands_against(found, reader_of(shop))
    return _page(request, job, coming_quote(session, job.id), shop, found, against, (), 200)


@router.post("/jobs/{number}/issue")
def issue(
    request: Request,
    shop: ShopHere,
    user: SignedIn,
    number: int,
    agreed: Annotated[list[str] | None, Form()] = None,
) -> Response:
    """Issue the next revision of a job's quote, or say what stands against it."""
    here, ticks = running(request), agreed or []
    try:
        issued = issue_job(here, shop, user, number, ticks)
    except NotToBeIssued as refused:
        with here.database.reading() as session:
            job = load_job_by_number(session, number)
            coming = coming_quote(session, job.id)
            _, found = estimate_job(session, job.document, shop, shop.today(here.now()))
        return _page(request, job, coming, shop, found, refused.against, ticks, 422)
    return RedirectResponse(f"/quotes/{issued.listed.id}", 303)


def issue_job(here: Running, shop: Shop, user: User, number: int, agreed: Collection[str]) -> StoredQuote:
    """Render both papers, then freeze everything in one transaction.

    Nothing is locked while rendering; where another quote took the number meanwhile, it is rendered again. Raises
    NotToBeIssued, NotKept, and StaleSave where the job was saved in between.
    """
    now = here.now()
    today = shop.today(now)
    for attempt in range(TRIES):
        with here.database.reading() as session:
            job = load_job_by_number(session, number)
            inputs, found = estimate_job(session, job.document, shop, today)
            coming = coming_quote(session, job.id)
        ready = ready_quote(job, coming, shop, inputs, found, today, agreed, WORKER.make)
        try:
            with here.database.writing() as session:
                keep_plans(session, found, now)
                return issue_quote(session, ready, at=now, by=user.id)
        except QuoteNumberTaken:
            if attempt == TRIES - 1:
                raise
    raise AssertionError("every try either returns or raises")


@router.get("/jobs/{number}/quote-draft.pdf")
def send_draft(
    request: Request, session: StoreSession, shop: ShopHere, number: int, paper: Paper | None = None
) -> Response:
    """The quote as it would be today, marked as a draft and kept nowhere."""
    papers = _draft(request, session, shop, number, paper)
    return pdf_answer(WORKER.make(quote_html(papers.quote)), f"job-{number}-draft-quote.pdf")


@router.get("/jobs/{number}/shopping-list.pdf")
def send_shopping_list(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, number: int, paper: Paper | None = None
) -> Response:
    """What the job needs, at today's prices."""
    today, stored = shop.today(running(request).now()), load_job_by_number(session, number)
    inputs, found = estimate_job(session, stored.document, shop, today)
    job = job_seen_by(user, read_job(inputs.job, inputs.system)[0])
    made = draft_list(number, shop, found, job, today, paper or shop.paper)
    return pdf_answer(WORKER.make(shopping_list_html(made)), f"job-{number}-shopping-list.pdf")


def pdf_answer(content: bytes, file_name: str) -> Response:
    """A PDF that opens in the browser and is saved under a plain name."""
    return Response(
        content, media_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{file_name}"'}
    )


def _draft(request: Request, session: StoreSession, shop: Shop, number: int, paper: Paper | None) -> Papers:
    today = shop.today(running(request).now())
    job = load_job_by_number(session, number)
    inputs, found = estimate_job(session, job.document, shop, today)
    return draft_papers(job.number, shop, inputs, found, today, paper or shop.paper)


def _page(
    request: Request, job: StoredJob, coming: ComingQuote, shop: Shop, found: Estimate, against: Against,
    ticks: Collection[str], status: int,
) -> Response:  # fmt: skip
    until = shop.today(running(request).now()) + timedelta(days=found.basis.stands_days)
    page = IssuePage(
        action=f"/jobs/{job.number}/issue",
        job_href=f"/jobs/{job.number}",
        name=f"{coming.number}, revision {coming.revision}",
        title=job.title,
        customer=job.customer_name,
        total=reader_of(shop).amount(found.totals.total.value),
        currency=found.currency,
        complete=found.complete,
        stands_until=day_text(until),
        refusals=against.refusals,
        consents=tuple((one.name, one.sentence, one.name in ticks) for one in against.consents),
        asked=status != 200,
    )
    return render(request, "quotes/issue.html", page, status)
