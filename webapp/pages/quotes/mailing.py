"""A quote by e-mail: its letter made ready, sent once through the shop's own server, and what became of each."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from urllib.parse import quote as quoted
from uuid import UUID, uuid4

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.measures.manner import whole_number
from webapp.documents.printing.paper import day_text, reader_of
from webapp.documents.quotes.issue import QUOTE
from webapp.mail import LONGEST_BODY, Letter, address_problem, send_letter, subject_problem
from webapp.pages.quotes.view import MAY_BE_SENT, mails_shown
from webapp.pages.web.dependencies import ShopHere, SignedIn
from webapp.pages.web.posting import PostedFields, tidy_text
from webapp.pages.web.routing import PageRouter
from webapp.persistence.quotes.mails import Mail, begin_mail, end_mail, mails_of
from webapp.persistence.quotes.records import StoredQuote, load_quote, load_quote_document
from webapp.persistence.settings.mail import load_mail_server
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.security.mail_password import mail_password

router = PageRouter()

@dataclass(frozen=True, slots=True)
class Typed:
    """A letter as it was typed, and what stands against each of its fields."""

    to: str
    subject: str
    body: str
    again: bool
    problems: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class MailPage:
    """The letter, and what was sent before; `asks_again` where one may have gone already, `program` opens it in the
    shop's own mail program."""

    href: str
    name: str
    title: str
    customer: str
    pdf: str
    key: str
    typed: Typed
    server: str
    sender: str
    may_be_sent: bool
    asks_again: bool
    program: str
    mails: tuple[tuple[str, str, str, str], ...]

    def problem(self, field: str) -> str | None:
        """What stands against a field."""
        return dict(self.typed.problems).get(field)


@router.get("/quotes/{quote_id}/mail")
def show_mail(request: Request, shop: ShopHere, quote_id: UUID) -> Response:
    """The letter made ready."""
    here = running(request)
    with here.database.reading() as session:
        stored = load_quote(session, quote_id, shop.today(here.now()))
        return _page(request, session, shop, stored, ready_letter(stored, shop), 200)


@router.post("/quotes/{quote_id}/mail")
def send_mail(request: Request, shop: ShopHere, user: SignedIn, quote_id: UUID, posted: PostedFields) -> Response:
    """Send the letter, unless something stands against it; one sent twice by a double press goes once."""
    here, fields = running(request), dict(posted)
    now = here.now()
    typed = _typed(fields)
    with here.database.reading() as session:
        stored = load_quote(session, quote_id, shop.today(now))
        server = load_mail_server(session)
        asks = _asks_again(mails_of(session, quote_id, now))
        typed = _judged(typed, stored, asks)
        if typed.problems or server is None:
            return _page(request, session, shop, stored, typed, 422)
        pdf = load_quote_document(session, quote_id, QUOTE).content
    key = _key(fields.get("key", ""))
    mail = Mail(key, quote_id, typed.to, typed.subject, typed.body, "sending", "", now)
    with here.database.writing() as session:
        begun = begin_mail(session, mail, by=user.id)
    if begun:
        listed = stored.listed
        name = f"quote-{listed.number}-revision-{listed.revision}.pdf"
        letter = Letter(key, typed.to, typed.subject, typed.body, now, (name, pdf))
        outcome = send_letter(
            server, mail_password(here.settings), letter, authorities=here.settings.mail_authorities
        )
        with here.database.writing() as session:
            end_mail(session, key, outcome.state, outcome.said, at=here.now(), by=user.id)
    return RedirectResponse(f"/quotes/{quote_id}/mail", 303)


def ready_letter(stored: StoredQuote, shop: Shop) -> Typed:
    """The letter as it is proposed, in words that say only what the quote says."""
    listed, printed = stored.listed, stored.snapshot["papers"]["quote"]
    address = next((line for line in printed["to_lines"] if not address_problem(line)), "")
    total = reader_of(shop).money(Fraction(listed.total)).replace("\N{NO-BREAK SPACE}", " ")
    greeting = f"Dear {listed.customer_name}," if listed.customer_name else "Good day,"
    lines = [
        greeting, "",
        f"Here is our quote {listed.number}, revision {listed.revision}, for “{listed.title}”: {total} in all. It "
        f"is valid until {day_text(listed.stands_until)}.",
        *([printed["ready"]] if printed.get("ready") else []),
        "", "If you would like it, sign the quote and send it back; if anything is unclear, please ask.", "",
        "Kind regards", stored.snapshot["shop"]["name"], *printed["from_lines"],
    ]  # fmt: skip
    subject = f"Quote {listed.number}, revision {listed.revision}: {listed.title}"
    return Typed(address, " ".join(subject.split()), "\n".join(lines), False)


def _typed(fields: dict[str, str]) -> Typed:
    # Line breaks in an address or a subject are refused, not smoothed away.
    return Typed(
        fields.get("to", "").strip(" "), fields.get("subject", "").strip(" "), tidy_text(fields.get("body", "")),
        fields.get("again") == "yes",
    )  # fmt: skip


def _judged(typed: Typed, stored: StoredQuote, asks_again: bool) -> Typed:
    said = [("to", address_problem(typed.to)), ("subject", subject_problem(typed.subject))]
    if not typed.body:
        said.append(("body", "The letter says nothing yet."))
    if len(typed.body) > LONGEST_BODY:
        long, most = whole_number(len(typed.body)), whole_number(LONGEST_BODY)
        said.append(("body", f"The letter has {long} characters; at most {most} are sent."))
    if asks_again and not typed.again:
        said.append(("again", "A letter may have gone already: ask the customer, or say here that it goes again."))
    if stored.listed.state not in MAY_BE_SENT:
        said.append(("to", "This quote is no longer open, so it is not sent."))
    return Typed(typed.to, typed.subject, typed.body, typed.again, tuple(one for one in said if one[1]))


def _asks_again(mails: tuple[Mail, ...]) -> bool:
    """Whether the last letter may have gone without anybody knowing, or is going right now."""
    return bool(mails) and mails[0].state in ("unknown", "sending")


def _key(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError:
        return uuid4()


def _page(
    request: Request, session: Session, shop: Shop, stored: StoredQuote, typed: Typed, status: int
) -> Response:  # fmt: skip
    now, listed = running(request).now(), stored.listed
    server, mails = load_mail_server(session), mails_of(session, listed.id, now)
    href = f"/quotes/{listed.id}"
    page = MailPage(
        href=href,
        name=f"{listed.number}, revision {listed.revision}",
        title=listed.title,
        customer=listed.customer_name,
        pdf=f"{href}/quote.pdf",
        key=str(uuid4()),
        typed=typed,
        server="" if server is None else server.host,
        sender="" if server is None else server.sender,
        may_be_sent=listed.state in MAY_BE_SENT,
        asks_again=_asks_again(mails),
        program=f"mailto:{quoted(typed.to, safe='@')}?subject={quoted(typed.subject)}&body={quoted(typed.body)}",
        mails=mails_shown(mails, shop),
    )
    return render(request, "quotes/mail.html", page, status)
