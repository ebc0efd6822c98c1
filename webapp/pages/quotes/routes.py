"""Issued quotes: the list, the sheet of one, its papers as they went out, and what became of it."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Final, cast
from uuid import UUID

from fastapi import Form, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session
from starlette.exceptions import HTTPException

from webapp.documents.quotes.frozen import work_out_again
from webapp.documents.quotes.issue import QUOTE, SHOPPING_LIST
from webapp.pages.quotes import cut_files, earning, mailing
from webapp.pages.quotes import issuing as quote_issuing
from webapp.pages.quotes import workshop as job_workshop
from webapp.pages.quotes.making import follow
from webapp.pages.quotes.papers import begin_pack, pack_pdf
from webapp.pages.quotes.view import VERBS, QuotePage, again_page, change_of, quote_page, quotes_page
from webapp.pages.stock.held import rack_of_quote
from webapp.pages.web.answers import pdf_answer
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.listing import one_of, page_number
from webapp.pages.web.routing import PageRouter
from webapp.persistence.quotes.mails import mails_of
from webapp.persistence.quotes.records import StoredQuote, list_quotes, load_quote, load_quote_document, quotes_of_job
from webapp.persistence.quotes.states import ReasonMissing
from webapp.persistence.quotes.tables import QUOTE_SORTS, QUOTE_WORDS, QuoteSort, QuoteState
from webapp.persistence.rack.holds import say_of_quote
from webapp.persistence.settings.shop import Paper, Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()
router.include_router(quote_issuing.router)
# Its address has to be looked for before a quote of that name.
router.include_router(earning.router)
router.include_router(job_workshop.router)
router.include_router(cut_files.router)
router.include_router(mailing.router)

LONGEST_NOTE: Final = 500


@router.get("/quotes")
def show_quotes(
    request: Request,
    session: StoreSession,
    shop: ShopHere,
    words: str = "",
    state: str = "",
    sort: str = "",
    page: int = 1,
) -> Response:
    """Issued quotes, the last first where no other order is asked for."""
    today = shop.today(running(request).now())
    wanted = cast(QuoteState, state) if state in QUOTE_WORDS else None
    order = cast(QuoteSort, one_of(sort, QUOTE_SORTS, QUOTE_SORTS[0]))
    found = list_quotes(session, today, words, wanted, sort=order, number=page_number(page))
    return render(request, "quotes/list.html", quotes_page(found, words, wanted or "", order, today, shop))


@router.get("/quotes/{quote_id}")
def show_quote(request: Request, session: StoreSession, shop: ShopHere, quote_id: UUID) -> Response:
    """One quote."""
    today = shop.today(running(request).now())
    stored = load_quote(session, quote_id, today)
    return render(request, "quotes/show.html", _sheet(session, stored, running(request).now(), shop))


@router.get("/quotes/{quote_id}/quote.pdf")
def send_quote(session: StoreSession, shop: ShopHere, request: Request, quote_id: UUID) -> Response:
    """The quote as it went out, byte for byte."""
    return _send(request, session, shop, quote_id, QUOTE, "quote")


@router.get("/quotes/{quote_id}/shopping-list.pdf")
def send_shopping_list(session: StoreSession, shop: ShopHere, request: Request, quote_id: UUID) -> Response:
    """The shopping list as it was made with the quote, byte for byte."""
    return _send(request, session, shop, quote_id, SHOPPING_LIST, "shopping-list")


@router.get("/quotes/{quote_id}/workshop.pdf")
def send_workshop(
    session: StoreSession, shop: ShopHere, request: Request, quote_id: UUID, paper: Paper | None = None
) -> Response:
    """The workshop pack of what was quoted, byte for byte as it was first printed."""
    here = running(request)
    stored = load_quote(session, quote_id, shop.today(here.now()))
    content = pack_pdf(here, shop, stored, paper)
    name = f"workshop-pack-{stored.listed.number}-revision-{stored.listed.revision}.pdf"
    return pdf_answer(content, name)


@router.get("/quotes/{quote_id}/workshop.pdf/making")
def follow_workshop(
    request: Request, session: StoreSession, shop: ShopHere, quote_id: UUID, key: str = "", seconds: int = 0
) -> Response:
    """How far the PDF is, for the page that waits for it."""
    here = running(request)
    stored = load_quote(session, quote_id, shop.today(here.now()))
    key = key or begin_pack(here, shop, stored, None)
    asked = f"paper={stored.snapshot['quote']['paper']}"
    return follow(request, "The workshop pack", f"/quotes/{quote_id}/workshop.pdf", asked, key, seconds)


@router.post("/quotes/{quote_id}/state")
def set_state(
    request: Request,
    session: StoreSession,
    shop: ShopHere,
    user: SignedIn,
    quote_id: UUID,
    state: Annotated[str, Form()] = "",
    note: Annotated[str, Form()] = "",
    option: Annotated[str, Form()] = "",
) -> Response:
    """Say what became of a quote."""
    here = running(request)
    today = shop.today(here.now())
    if state not in VERBS:
        raise HTTPException(422, f"“{state}” is nothing that can be said of a quote.")
    said = ""
    if len(note) > LONGEST_NOTE:
        said = f"The note has {len(note)} characters; at most {LONGEST_NOTE} are kept."
    else:
        try:
            say_of_quote(
                session, quote_id, cast(QuoteState, state), today, at=here.now(), by=user.id, note=note.strip(),
                option=option,
            )  # fmt: skip
        except ReasonMissing as missing:
            said = str(missing)
    if said:
        shown = _sheet(session, load_quote(session, quote_id, today), here.now(), shop, note.strip(), said)
        return render(request, "quotes/show.html", shown, 422)
    return RedirectResponse(f"/quotes/{quote_id}", 303)


@router.get("/quotes/{quote_id}/again")
def show_again(request: Request, session: StoreSession, shop: ShopHere, quote_id: UUID) -> Response:
    """The quote worked out again from what was kept, beside what was kept."""
    stored = load_quote(session, quote_id, shop.today(running(request).now()))
    found, papers = work_out_again(stored.snapshot)
    return render(request, "quotes/again.html", again_page(stored, found, papers))


def _sheet(
    session: Session, stored: StoredQuote, now: datetime, shop: Shop, note: str = "", note_problem: str | None = None
) -> QuotePage:
    today = shop.today(now)
    revisions = quotes_of_job(session, stored.listed.job_id, today)
    followed = change_of(stored).from_revision
    before = next((load_quote(session, one.id, today) for one in revisions if one.revision == followed), None)
    mails = mails_of(session, stored.listed.id, now)
    rack = rack_of_quote(session, stored.listed, shop, today)
    return quote_page(stored, revisions, before, today, shop, note, note_problem, mails, rack)


def _send(request: Request, session: StoreSession, shop: Shop, quote_id: UUID, name: str, file_name: str) -> Response:
    listed = load_quote(session, quote_id, shop.today(running(request).now())).listed
    content = load_quote_document(session, quote_id, name).content
    return pdf_answer(content, f"{file_name}-{listed.number}-revision-{listed.revision}.pdf")
