"""From a job to its papers: drafts to talk over, what stands against issuing, and the quote issued."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from typing import Final

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

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
from webapp.estimating import estimate_job, gather_inputs, keep_plans
from webapp.pages.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.job_form import PostedFields
from webapp.pages.job_terms import job_seen_by
from webapp.pages.routing import PageRouter
from webapp.persistence.errors import StaleSave, StoreError
from webapp.persistence.jobs import StoredJob, load_job_by_number
from webapp.persistence.quotes import ComingQuote, StoredQuote, coming_quote, issue_quote, quotes_of_job
from webapp.persistence.sent_forms import once, refuse_done
from webapp.persistence.shop import Paper, Shop, load_shop
from webapp.persistence.users import User
from webapp.rendering import render
from webapp.running import Running, running
from webapp.security.forms import sent_form

router = PageRouter()

#: How often a quote is rendered anew where prices or rates were changed in the meantime.
TRIES: Final = 3
JOB_SAVED: Final = "The job was saved since this page was opened. Nothing was issued yet; this is how it is now."


class MovedOn(StoreError):
    """What would be issued is no longer what was shown; the sentence says what moved. Nothing was issued."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What stood on the page before it was pressed: the revision, the version of the job, the total to pay."""

    revision: str = ""
    version: str = ""
    total: str = ""


NOTHING_SHOWN: Final = Shown()


@dataclass(frozen=True, slots=True)
class IssuePage:
    """What the coming quote will be called and say, what stands against it, and what was ticked already."""

    action: str
    job_href: str
    name: str
    revision: str
    version: str
    title: str
    customer: str
    total: str
    currency: str
    complete: bool
    stands_until: str
    refusals: tuple[str, ...]
    consents: tuple[tuple[str, str, bool], ...]
    asked: bool
    moved: str


@router.get("/jobs/{number}/issue")
def show_issue(request: Request, shop: ShopHere, number: int) -> Response:
    """What would be issued, before it is."""
    return _page(request, *_coming(running(request), shop, number))


@router.post("/jobs/{number}/issue")
def issue(
    request: Request,
    shop: ShopHere,
    user: SignedIn,
    number: int,
    posted: PostedFields,
) -> Response:
    """Issue the next revision of a job's quote, or say what stands against it."""
    here, fields = running(request), dict(posted)
    ticks = [text for name, text in posted if name == "agreed"]
    shown = Shown(fields.get("revision", ""), fields.get("version", ""), fields.get("total", ""))
    try:
        issued = issue_job(here, shop, user, number, ticks, shown, sent_form(request))
    except NotToBeIssued as refused:
        return _page(request, *_coming(here, shop, number), ticks, refused=refused.against)
    except StaleSave:
        return _page(request, *_coming(here, shop, number), ticks, moved=JOB_SAVED)
    except MovedOn as moved:
        return _page(request, *_coming(here, shop, number), ticks, moved=str(moved))
    return RedirectResponse(f"/quotes/{issued.listed.id}", 303)


def issue_job(
    here: Running, shop: Shop, user: User, number: int, agreed: Collection[str], shown: Shown = NOTHING_SHOWN,
    form: str | None = None,
) -> StoredQuote:  # fmt: skip
    """Render both papers, then freeze everything in one transaction, and a form that is sent twice only once.

    Nothing is locked while rendering but issuing itself, so that the number printed is the number kept. What moved
    meanwhile is seen before it is kept, and then rendered again. Raises NotToBeIssued, MovedOn, NotKept, SentBefore,
    and StaleSave where the job was saved in between.
    """
    now = here.now()
    today = shop.today(now)
    with here.database.alone("issuing"):
        for _ in range(TRIES):
            with here.database.reading() as session:
                if form is not None:
                    refuse_done(session, form)
                job = load_job_by_number(session, number)
                inputs, found = estimate_job(session, job.document, shop, today)
                coming = coming_quote(session, job.id)
                _hold_to(shown, session, job, coming, found, shop, today)
                keep_plans(here.database, session, [found], now)
            ready = ready_quote(job, coming, shop, inputs, found, today, agreed, WORKER.make)
            with here.database.writing() as session, once(session, form, at=now) as sent:
                if load_shop(session) == shop and gather_inputs(session, job.document, shop, today) == inputs:
                    issued = issue_quote(session, ready, at=now, by=user.id)
                    sent.leads_to = f"/quotes/{issued.listed.id}"
                    return issued
    raise MovedOn("Prices, rates or the shop's own words were changed while the quote was made. Nothing was issued.")


def _hold_to(
    shown: Shown, session: Session, job: StoredJob, coming: ComingQuote, found: Estimate, shop: Shop, today: date
) -> None:
    """See that what is issued is what the person saw who pressed for it. Raises MovedOn."""
    if shown.revision and shown.revision != str(coming.revision):
        last = quotes_of_job(session, job.id, today)[0]
        total = reader_of(shop).money(Fraction(last.total))
        raise MovedOn(
            f"Quote {last.number}, revision {last.revision}, was issued meanwhile over {total}. Nothing was issued "
            f"twice; the button issues revision {coming.revision} now."
        )
    if shown.version and shown.version != str(job.version):
        raise MovedOn(JOB_SAVED)
    total = reader_of(shop).amount(found.totals.total.value)
    if shown.total and shown.total != total:
        raise MovedOn(
            f"The quote came to {shown.total} when this page was opened and comes to {total} now, since prices, rates "
            "or cut plans have changed. Nothing was issued yet."
        )


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


def _coming(here: Running, shop: Shop, number: int) -> tuple[StoredJob, ComingQuote, Shop, Estimate, date]:
    """A job, and what its next quote would be called and say today."""
    today = shop.today(here.now())
    with here.database.reading() as session:
        job = load_job_by_number(session, number)
        _, found = estimate_job(session, job.document, shop, today)
        return job, coming_quote(session, job.id), shop, found, today


def _page(
    request: Request, job: StoredJob, coming: ComingQuote, shop: Shop, found: Estimate, today: date,
    ticks: Collection[str] = (), *, refused: Against | None = None, moved: str = "",
) -> Response:  # fmt: skip
    against = refused or what_stands_against(found, reader_of(shop))
    page = IssuePage(
        action=f"/jobs/{job.number}/issue",
        job_href=f"/jobs/{job.number}",
        name=f"{coming.number}, revision {coming.revision}",
        revision=str(coming.revision),
        version=str(job.version),
        title=job.title,
        customer=job.customer_name,
        total=reader_of(shop).amount(found.totals.total.value),
        currency=found.currency,
        complete=found.complete,
        stands_until=day_text(today + timedelta(days=found.basis.stands_days)),
        refusals=against.refusals,
        consents=tuple((one.name, one.sentence, one.name in ticks) for one in against.consents),
        asked=refused is not None,
        moved=moved,
    )
    return render(request, "quotes/issue.html", page, 409 if moved else 422 if refused is not None else 200)
