"""Signing in and out."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from typing import Annotated, Final

from fastapi import Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from webapp.opening import DEMO_HELPER_NAME, DEMO_HELPER_PASSWORD, DEMO_NAME, DEMO_PASSWORD
from webapp.pages.web.answers import inside
from webapp.pages.web.routing import PageRouter
from webapp.persistence.drafts.records import count_drafts
from webapp.persistence.people.missed_passwords import (
    Over,
    Wait,
    forget_missed_passwords,
    note_missed_password,
    waits_until,
)
from webapp.persistence.people.users import (
    Credentials,
    end_sign_in,
    find_credentials,
    start_sign_in,
)
from webapp.rendering import render
from webapp.running import running
from webapp.security.cookies import SIGN_IN_COOKIE, digest_of, give_sign_in, new_key, take_sign_in
from webapp.security.gate import SIGN_IN, visitor_of
from webapp.security.hosts import from_this_machine
from webapp.security.lines import Line, LineFull
from webapp.security.passwords import password_fits

router = PageRouter()

TRIES: Final = Line("sign-ins", longest=32)
#: Seconds that the answer to a try that was not looked at is held back; meanwhile it takes nobody's thread.
HELD_BACK: Final = 1.0
WAIT_WORDS: Final[Mapping[Over, str]] = {
    "name": "A wrong password was given for this name several times.",
    "address": "Wrong passwords were given from this address many times.",
    "all": "Wrong passwords are being given from many places.",
}


@dataclass(frozen=True, slots=True)
class SignInPage:
    """The form, what was typed in it, and what stands against it. `demo` has the demo's sign-ins, where shown; `kept`
    says that something typed waits for whoever signs in."""

    name: str
    after: str
    kept: bool
    problem: str | None
    demo: tuple[tuple[str, str], ...]


@router.get(SIGN_IN)
def show_sign_in(request: Request, after: str = "/", kept: str = "") -> Response:
    """The form; whoever is signed in already goes on."""
    if visitor_of(request).user is not None:
        return RedirectResponse(inside(after), 303)
    return _page(request, "", after, None, 200, kept=bool(kept))


@router.post(SIGN_IN)
async def sign_in(
    request: Request,
    name: Annotated[str, Form()] = "",
    password: Annotated[str, Form()] = "",
    after: Annotated[str, Form()] = "/",
) -> Response:
    """Sign in. Tries stand in a line of their own, so that those who wait there hold up nobody's pages."""
    try:
        answer = await TRIES.run(partial(_try, request, name, password, after))
    except LineFull:
        said = "Many people are signing in at this moment. Try again in a few seconds."
        answer = _page(request, name, after, said, 503)
        answer.headers["Retry-After"] = "5"
    if answer.status_code in {429, 503}:
        # Whoever tries again and again is answered no faster than a person types.
        await asyncio.sleep(HELD_BACK)
    return answer


def _try(request: Request, name: str, password: str, after: str) -> Response:
    """Look at one try: each is counted before the next begins. The password is tried outside any transaction."""
    here, address = running(request), address_of(request)
    with here.database.reading() as session:
        found = find_credentials(session, name)
        wait = waits_until(session, name, address, here.now())
    if found is not None and found.user.is_demo and not from_this_machine(request):
        return _page(request, name, after, "The demo sign-in only works on the machine that runs the program.", 403)
    if wait is not None:
        return _page(request, name, after, wait_words(wait, here.now()), 429)
    if not password_fits(password, found.password_hash if found else None) or found is None:
        with here.database.writing() as session:
            wait = note_missed_password(session, name, address, here.now())
        said = "The name and the password don't belong together."
        if wait is not None:
            return _page(request, name, after, f"{said} {wait_words(wait, here.now())}", 429)
        return _page(request, name, after, said, 401)
    answer = RedirectResponse(inside(after), 303)
    let_in(request, answer, found)
    return answer


@router.post("/sign-out")
def sign_out(request: Request) -> Response:
    """Sign this browser out; what was typed and not saved waits for its person."""
    key, user, waits = request.cookies.get(SIGN_IN_COOKIE), visitor_of(request).user, False
    if key:
        with running(request).database.writing() as session:
            waits = user is not None and count_drafts(session, user.id) > 0
            end_sign_in(session, digest_of(key))
    answer = RedirectResponse(f"{SIGN_IN}?kept=yes" if waits else SIGN_IN, 303)
    take_sign_in(answer)
    return answer


def let_in(request: Request, answer: Response, credentials: Credentials) -> None:
    """Start a sign-in with a key that was never seen before, and end the one the browser held."""
    here = running(request)
    key, held = new_key(), request.cookies.get(SIGN_IN_COOKIE)
    address, browser = address_of(request), request.headers.get("User-Agent", "")
    lasts = timedelta(days=here.settings.session_days)
    with here.database.writing() as session:
        if held:
            end_sign_in(session, digest_of(held))
        forget_missed_passwords(session, credentials.user.name, address)
        start_sign_in(session, credentials.user.id, digest_of(key), here.now(), lasts, address, browser)
    give_sign_in(request, answer, key)


def address_of(request: Request) -> str:
    """The address a request came from; behind a proxy it is the proxy's."""
    return request.client.host if request.client else ""


def wait_words(wait: Wait, now: datetime) -> str:
    """How long the next try waits, said alike for every name."""
    seconds = max(1, -((now - wait.until) // timedelta(seconds=1)))
    minutes = -(-seconds // 60)
    left = f"{seconds} seconds" if seconds < 60 else "1 minute" if minutes == 1 else f"{minutes} minutes"
    return f"{WAIT_WORDS[wait.over]} Try again in {left}."


def _page(
    request: Request, name: str, after: str, problem: str | None, status: int, *, kept: bool = False
) -> HTMLResponse:  # fmt: skip
    shop = visitor_of(request).shop
    demo: tuple[tuple[str, str], ...] = ()
    if shop and shop.is_demo and from_this_machine(request):
        demo = ((DEMO_NAME, DEMO_PASSWORD), (DEMO_HELPER_NAME, DEMO_HELPER_PASSWORD))
    return render(request, "people/sign_in.html", SignInPage(name, inside(after), kept, problem, demo), status)
