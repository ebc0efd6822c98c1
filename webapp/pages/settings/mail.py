"""The shop's mail server: through which quotes go out, with a letter to try it. Its password is never shown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final
from uuid import uuid4

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from webapp.costing.measures.typed_numbers import small_number
from webapp.mail import SECURITIES, Letter, Outcome, address_problem, send_letter
from webapp.pages.web.dependencies import ShopHere, SignedIn
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.settings.mail import StoredMailServer, load_mail_server, save_mail_server
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import Running, running
from webapp.security.mail_password import keep_mail_password, mail_password

router = PageRouter()

LONGEST: Final = 200
MOST_PORTS: Final = 65535
FIELDS: Final = ("host", "port", "security", "user", "sender", "sender_name")


@dataclass(frozen=True, slots=True)
class MailSettingsPage:
    """The server as typed, what stands against each field, and what became of the letter that tried it."""

    typed: Mapping[str, str]
    problems: Mapping[str, str]
    securities: tuple[tuple[str, str], ...]
    is_set: bool
    has_password: bool
    from_environment: bool
    tried: Outcome | None
    to: str


@router.get("/settings/mail")
def show_mail(request: Request, shop: ShopHere) -> Response:
    """The server as it is kept."""
    stored = _stored(running(request))
    return _page(request, shop, _fields(stored, shop), {}, stored, None, "", 200)


@router.post("/settings/mail")
def keep_mail(request: Request, shop: ShopHere, user: SignedIn, posted: PostedFields) -> Response:
    """Keep the server; a password left empty stays as it is."""
    here, sent = running(request), dict(posted)
    if sent.get("act") == "forget":
        with here.database.writing() as session:
            save_mail_server(session, None)
            record(session, HistoryEntry(here.now(), user.id, "forgot", "mail server", "1", {}))
        keep_mail_password(here.settings, "")
        return RedirectResponse("/settings/mail", 303)
    typed = {name: " ".join(sent.get(name, "").split()) for name in FIELDS}
    problems = _problems(typed)
    if problems:
        return _page(request, shop, typed, problems, _stored(here), None, "", 422)
    server = StoredMailServer(
        typed["host"], int(typed["port"]), typed["security"], typed["user"], typed["sender"], typed["sender_name"]
    )
    with here.database.writing() as session:
        save_mail_server(session, server)
        kept = {name: text for name, text in typed.items() if name != "user"}
        record(session, HistoryEntry(here.now(), user.id, "saved", "mail server", "1", kept))
    password = sent.get("password", "")
    if password or not typed["user"]:
        keep_mail_password(here.settings, password if typed["user"] else "")
    return RedirectResponse("/settings/mail", 303)


@router.post("/settings/mail/try")
def try_mail(request: Request, shop: ShopHere, posted: PostedFields) -> Response:
    """Send a letter that says only that the server works."""
    here = running(request)
    stored, to = _stored(here), dict(posted).get("to", "").strip(" ")
    typed = _fields(stored, shop)
    problem = address_problem(to)
    if problem or stored is None:
        return _page(request, shop, typed, {"to": problem or "Keep a mail server first."}, stored, None, to, 422)
    letter = Letter(
        uuid4(), to, f"{shop.name}: a letter to try the mail server",
        f"This letter says that quotes of {shop.name} can go out through {stored.host}.\n", here.now(),
    )  # fmt: skip
    tried = send_letter(
        stored, mail_password(here.settings), letter, authorities=here.settings.mail_authorities
    )
    return _page(request, shop, typed, {}, stored, tried, to, 200 if tried.state == "sent" else 422)


def _stored(here: Running) -> StoredMailServer | None:
    with here.database.reading() as session:
        return load_mail_server(session)


def _fields(stored: StoredMailServer | None, shop: Shop) -> dict[str, str]:
    if stored is None:
        return {**dict.fromkeys(FIELDS, ""), "port": "587", "security": "starttls", "sender_name": shop.name}
    return {name: str(getattr(stored, name)) for name in FIELDS}


def _problems(typed: Mapping[str, str]) -> dict[str, str]:
    """Everything that stands against the form, a sentence for each field."""
    problems = {
        name: f"This has {len(text)} characters; at most {LONGEST} are kept."
        for name, text in typed.items()
        if len(text) > LONGEST
    }
    host = typed["host"]
    if not host or not all(letter.isascii() and (letter.isalnum() or letter in ".-:") for letter in host):
        problems["host"] = f"“{host[:80]}” is no name of a server, such as mail.example.org."
    if not 0 < (small_number(typed["port"]) or 0) <= MOST_PORTS:
        problems["port"] = "A port is a whole number up to 65535, usually 465 or 587."
    if typed["security"] not in SECURITIES:
        problems["security"] = "Choose how the line is made safe; a letter never goes over an open one."
    if said := address_problem(typed["sender"]):
        problems["sender"] = said
    return problems


def _page(
    request: Request, shop: Shop, typed: Mapping[str, str], problems: Mapping[str, str],
    stored: StoredMailServer | None, tried: Outcome | None, to: str, status: int,
) -> Response:  # fmt: skip
    here = running(request)
    page = MailSettingsPage(
        typed, problems, tuple(SECURITIES.items()), stored is not None, bool(mail_password(here.settings)),
        bool(here.settings.mail_password), tried, to or (stored.sender if stored is not None else ""),
    )  # fmt: skip
    return render(request, "settings/mail.html", page, status)
