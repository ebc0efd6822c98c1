"""Your own sign-in: another password, where you are signed in, and signing out everywhere at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from fastapi import Form, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.pages.people.sign_in import address_of, wait_words
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.routing import PageRouter
from webapp.pages.web.times import moment
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.people.missed_passwords import forget_missed_passwords, note_missed_password, waits_until
from webapp.persistence.people.users import User, end_all_sign_ins, find_credentials, open_sign_ins, set_password
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.security.cookies import SIGN_IN_COOKIE, digest_of, take_sign_in
from webapp.security.gate import SIGN_IN
from webapp.security.passwords import hash_password, password_fits, problems_with_new

router = PageRouter()

ROLE_WORDS: Mapping[str, str] = {"owner": "an owner", "helper": "a helper"}


@dataclass(frozen=True, slots=True)
class YourPage:
    """Who you are, what stands against the form, and the browsers signed in with: (when, where, until, here)."""

    name: str
    role: str
    is_demo: bool
    problems: Mapping[str, str]
    changed: bool
    browsers: tuple[tuple[str, str, str, bool], ...]


@router.get("/your-sign-in")
def show_yours(request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, changed: str = "") -> Response:
    """Your sign-in."""
    return _page(request, session, shop, user, {}, 200, changed=bool(changed))


@router.post("/your-sign-in")
def change_password(
    request: Request,
    shop: ShopHere,
    user: SignedIn,
    password_now: Annotated[str, Form()] = "",
    password: Annotated[str, Form()] = "",
    password_again: Annotated[str, Form()] = "",
) -> Response:
    """Keep another password; every other browser is signed out. Passwords are tried outside any transaction."""
    here, address = running(request), address_of(request)
    with here.database.reading() as session:
        held = find_credentials(session, user.name)
        until = waits_until(session, user.name, address, here.now())
    problems: dict[str, str] = {}
    if user.is_demo:
        problems["password"] = "The demonstration keeps the passwords it tells at its start."
    elif until is not None:
        problems["password_now"] = wait_words(until, here.now())
    elif not password_fits(password_now, held.password_hash if held else None):
        with here.database.writing() as session:
            note_missed_password(session, user.name, address, here.now())
        problems["password_now"] = "This is not the password you sign in with now."
    for field, said in problems_with_new(password, password_again, user.name, shop.name).items():
        problems.setdefault(field, said)
    if problems:
        with here.database.reading() as session:
            return _page(request, session, shop, user, problems, 422)
    password_hash = hash_password(password)
    with here.database.writing() as session:
        forget_missed_passwords(session, user.name, address)
        set_password(session, user.id, password_hash, at=here.now(), by=user.id, keep=_own_digest(request))
    return RedirectResponse("/your-sign-in?changed=yes", 303)


@router.post("/your-sign-in/everywhere")
def sign_out_everywhere(request: Request, session: StoreSession, user: SignedIn) -> Response:
    """End every sign-in of yours at once, this one with them."""
    end_all_sign_ins(session, user.id)
    record(session, HistoryEntry(running(request).now(), user.id, "signed out everywhere", "person", str(user.id), {}))
    answer = RedirectResponse(SIGN_IN, 303)
    take_sign_in(answer)
    return answer


def browser_words(agent: str) -> str:
    """What a browser says of itself, in a word or two: it names several others to be taken for them."""
    system = next(
        (words for sign, words in (("Android", "Android"), ("iPhone", "a phone"), ("iPad", "a tablet"),
         ("Windows", "Windows"), ("Mac OS", "a Mac"), ("Linux", "Linux")) if sign in agent), "",
    )  # fmt: skip
    return f"A browser on {system}" if system else "A browser"


def _own_digest(request: Request) -> str:
    return digest_of(request.cookies.get(SIGN_IN_COOKIE, ""))


def _page(
    request: Request, session: Session, shop: Shop, user: User, problems: Mapping[str, str], status: int, *,
    changed: bool = False,
) -> Response:  # fmt: skip
    own = _own_digest(request)
    browsers = tuple(
        (
            moment(one.started_at, shop),
            f"{browser_words(one.browser)}{f', at {one.address}' if one.address else ''}",
            moment(one.ends_at, shop),
            one.key_digest == own,
        )
        for one in open_sign_ins(session, user.id, running(request).now())
    )
    page = YourPage(user.name, ROLE_WORDS[user.role], user.is_demo, problems, changed, browsers)
    return render(request, "people/your_sign_in.html", page, status)
