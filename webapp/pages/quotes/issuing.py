"""From a job to its papers: drafts to talk over, what stands against issuing, and the quote issued."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.alternates.form import in_other_way
from webapp.documents.printing.paper import reader_of
from webapp.documents.printing.pdf_worker import WORKER
from webapp.documents.quotes.issue import (
    Against,
    NotToBeIssued,
    draft_list,
    draft_papers,
    quote_html,
    ready_quote,
    shopping_list_html,
)
from webapp.documents.quotes.options import OfferedWay, offered_by
from webapp.estimating import keep_plans
from webapp.pages.quotes.issue_view import NO_WISH, Coming, NotAskedFor, TooLong, Wish, issue_page, own_wording
from webapp.pages.shown.standing import bought_beside
from webapp.pages.web.answers import pdf_answer
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.reached import address_for_telephones, list_of
from webapp.pages.web.roles import job_seen_by
from webapp.pages.web.routing import PageRouter
from webapp.persistence.foundation.errors import StaleSave, StoreError
from webapp.persistence.foundation.sent_forms import once, refuse_done
from webapp.persistence.jobs.records import StoredJob, load_job_by_number
from webapp.persistence.people.users import User
from webapp.persistence.quotes.records import StoredQuote, coming_quote, issue_quote, quotes_of_job
from webapp.persistence.settings.logo import load_logo
from webapp.persistence.settings.shop import Paper, Shop, load_shop
from webapp.rendering import render
from webapp.running import Running, running
from webapp.security.forms import sent_form
from webapp.standing import Worked, estimate_stored, estimate_to_buy, estimate_ways, followed_by_next, gather_stored

router = PageRouter()

#: How often a quote is rendered anew where prices or rates were changed in the meantime.
TRIES: Final = 3
JOB_SAVED: Final = "The job was saved since this page was opened. Nothing was issued yet; this is how it is now."


class MovedOn(StoreError):
    """What would be issued is no longer what was shown; the sentence says what moved. Nothing was issued."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What stood on the page before it was pressed: the revision, the version of the job, the total to pay, and those
    with its options."""

    revision: str = ""
    version: str = ""
    total: str = ""
    options: str = ""


NOTHING_SHOWN: Final = Shown()


@router.get("/jobs/{number}/issue")
def show_issue(request: Request, shop: ShopHere, number: int) -> Response:
    """What would be issued, before it is."""
    return _page(request, shop, _coming(running(request), shop, number))


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
    shown = Shown(*(fields.get(name, "") for name in ("revision", "version", "total", "options")))
    wish = Wish(fields.get("wish_of", ""), fields.get("reason", "").strip())
    try:
        issued = issue_job(here, shop, user, number, ticks, shown, sent_form(request), wish, fields)
    except NotToBeIssued as refused:
        return _page(request, shop, _coming(here, shop, number), ticks, wish, fields, refused=refused.against)
    except (NotAskedFor, TooLong):
        coming = _coming(here, shop, number)
        return _page(request, shop, coming, ticks, wish, fields, refused=coming.against(shop))
    except StaleSave:
        return _page(request, shop, _coming(here, shop, number), ticks, wish, fields, moved=JOB_SAVED)
    except MovedOn as moved:
        return _page(request, shop, _coming(here, shop, number), ticks, wish, fields, moved=str(moved))
    return RedirectResponse(f"/quotes/{issued.listed.id}", 303)


def issue_job(
    here: Running, shop: Shop, user: User, number: int, agreed: Collection[str], shown: Shown = NOTHING_SHOWN,
    form: str | None = None, wish: Wish = NO_WISH, typed: Mapping[str, str] = MappingProxyType({}),
) -> StoredQuote:  # fmt: skip
    """Render both papers, then freeze everything in one transaction, and a form that is sent twice only once.

    Nothing is locked while rendering but issuing itself, so that the number printed is the number kept. What moved
    meanwhile is seen before it is kept, and then rendered again. Raises NotToBeIssued, NotAskedFor, TooLong, MovedOn,
    NotKept, SentBefore, and StaleSave where the job was saved in between.
    """
    now = here.now()
    today = shop.today(now)
    with here.database.alone("issuing"):
        for _ in range(TRIES):
            with here.database.reading() as session:
                if form is not None:
                    refuse_done(session, form)
                coming = _comes(session, shop, number, today)
                job, inputs, found = coming.job, coming.worked.inputs, coming.worked.estimate
                _hold_to(shown, session, coming, shop, today)
                keep_plans(here.database, session, [found, *(way.estimate for way in coming.offered)], now)
                logo = load_logo(session, shop)
            change, wordings = coming.change(wish, reader_of(shop)), coming.wordings(typed)
            reasons = coming.reasons(coming.against(shop), typed)
            if any(one.problem for one in wordings) or any(one.taken and one.problem for one in reasons):
                raise TooLong
            ready = ready_quote(
                job, coming.quote, shop, inputs, found, today, agreed, WORKER.make, change, own_wording(wordings), logo,
                {one.consent.name: one.taken for one in reasons}, coming.offered,
            )  # fmt: skip
            with here.database.writing() as session, once(session, form, at=now) as sent:
                if load_shop(session) == shop and _still_made_from(session, coming, shop, today):
                    issued = issue_quote(session, ready, at=now, by=user.id)
                    sent.leads_to = f"/quotes/{issued.listed.id}"
                    return issued
    raise MovedOn("Prices, rates or the shop's own words were changed while the quote was made. Nothing was issued.")


def _still_made_from(session: Session, coming: Coming, shop: Shop, today: date) -> bool:
    """Whether a quote that was rendered would still be made from the same, and so each of its options."""
    inputs = coming.worked.inputs
    forms = [(coming.job.document, inputs)]
    forms += [(in_other_way(inputs.job, way.entry, inputs.designs), way.inputs) for way in coming.offered]
    return all(gather_stored(session, coming.job, form, shop, today).inputs == made for form, made in forms)


def _hold_to(shown: Shown, session: Session, comes: Coming, shop: Shop, today: date) -> None:
    """See that what is issued is what the person saw who pressed for it. Raises MovedOn."""
    job, coming, estimate = comes.job, comes.quote, comes.worked.estimate
    if shown.revision and shown.revision != str(coming.revision):
        last = quotes_of_job(session, job.id, today)[0]
        total = reader_of(shop).money(Fraction(last.total))
        raise MovedOn(
            f"Quote {last.number}, revision {last.revision}, was issued meanwhile over {total}. Nothing was issued "
            f"twice; the button issues revision {coming.revision} now."
        )
    if shown.version and shown.version != str(job.version):
        raise MovedOn(JOB_SAVED)
    total = reader_of(shop).amount(estimate.totals.total.value)
    if shown.total and shown.total != total:
        raise MovedOn(
            f"The quote came to {shown.total} when this page was opened and comes to {total} now, since prices, rates "
            "or cut plans have changed. Nothing was issued yet."
        )
    if shown.options and shown.options != comes.options_marked:
        raise MovedOn("What an option comes to has changed since this page was opened. Nothing was issued yet.")


@router.get("/jobs/{number}/quote-draft.pdf")
def send_draft(
    request: Request, session: StoreSession, shop: ShopHere, number: int, paper: Paper | None = None
) -> Response:
    """The quote as it would be today, marked as a draft and kept nowhere."""
    today = shop.today(running(request).now())
    coming = _comes(session, shop, number, today)
    worked = coming.worked
    papers = draft_papers(number, shop, worked.inputs, worked.estimate, today, paper or shop.paper, coming.offered)
    return pdf_answer(WORKER.make(quote_html(papers.quote, load_logo(session, shop))), f"job-{number}-draft-quote.pdf")


@router.get("/jobs/{number}/shopping-list.pdf")
def send_shopping_list(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, number: int, paper: Paper | None = None
) -> Response:
    """What the job needs, at today's prices; of what was agreed it says what that comes to beside what was counted."""
    today, stored = shop.today(running(request).now()), load_job_by_number(session, number)
    to_buy = estimate_to_buy(session, stored, shop, today)
    job = job_seen_by(user, to_buy.inputs.read_job(to_buy.document)[0])
    made = draft_list(number, shop, to_buy.estimate, job, today, paper or shop.paper)
    if to_buy.agreed is not None:
        says = f"As agreed in {to_buy.agreed.name}. {bought_beside(to_buy, reader_of(shop))}"
        made = replace(made, opening=f"{made.opening} {says}")
    opens = address_for_telephones(request, list_of([number]))
    content = WORKER.make(shopping_list_html(made, load_logo(session, shop), opens))
    return pdf_answer(content, f"job-{number}-shopping-list.pdf")


def _coming(here: Running, shop: Shop, number: int) -> Coming:
    with here.database.reading() as session:
        return _comes(session, shop, number, shop.today(here.now()))


def _comes(session: Session, shop: Shop, number: int, today: date) -> Coming:
    """A job, and what its next quote would be called and say today."""
    job = load_job_by_number(session, number)
    worked = estimate_stored(session, job, job.document, shop, today)
    before = followed_by_next(session, job.id, today)
    offered = _offered(session, job, worked, shop, today)
    return Coming(job, worked, coming_quote(session, job.id), before, today, offered)


def _offered(session: Session, job: StoredJob, worked: Worked, shop: Shop, today: date) -> tuple[OfferedWay, ...]:
    """The other ways of a job that its quote offers, each worked out."""
    form, _ = worked.inputs.read_job(worked.inputs.job)
    keys = [way.id for way in offered_by(form)]
    return tuple(
        OfferedWay(way.entry, made.inputs, made.estimate)
        for way, made in estimate_ways(session, job, worked, shop, today, keys).values()
    )


def _page(
    request: Request, shop: Shop, coming: Coming, ticks: Collection[str] = (), wish: Wish = NO_WISH,
    typed: Mapping[str, str] = MappingProxyType({}), *, refused: Against | None = None, moved: str = "",
) -> Response:  # fmt: skip
    against = refused or coming.against(shop)
    page = issue_page(coming, against, shop, ticks, wish, typed, refused=refused is not None, moved=moved)
    return render(request, "quotes/issue.html", page, 409 if moved else 422 if refused is not None else 200)
