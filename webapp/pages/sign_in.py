"""Signing in and out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from webapp.opening import DEMO_NAME, DEMO_PASSWORD
from webapp.persistence.users import (
    Credentials,
    end_sign_in,
    find_credentials,
    note_missed_password,
    start_sign_in,
)
from webapp.rendering import render
from webapp.running import running
from webapp.security.cookies import SIGN_IN_COOKIE, digest_of, give_sign_in, new_key, take_sign_in
from webapp.security.gate import SIGN_IN, visitor_of
from webapp.security.hosts import from_this_machine
from webapp.security.passwords import password_fits

router = APIRouter(default_response_class=HTMLResponse)


@dataclass(frozen=True, slots=True)
class SignInPage:
    """The form, what was typed in it, and what stands against it. `demo` is the demo's name and password, if shown."""

    name: str
    after: str
    problem: str | None
    demo: tuple[str, str] | None


@router.get(SIGN_IN)
def show_sign_in(request: Request, after: str = "/") -> Response:
    """The form; whoever is signed in already goes on."""
    if visitor_of(request).user is not None:
        return RedirectResponse(inside(after), 303)
    return _page(request, "", after, None, 200)


@router.post(SIGN_IN)
def sign_in(
    request: Request,
    name: Annotated[str, Form()] = "",
    password: Annotated[str, Form()] = "",
    after: Annotated[str, Form()] = "/",
) -> Response:
    """Sign in. The password is tried outside any transaction, since it takes a while on purpose."""
    here = running(request)
    with here.database.reading() as session:
        found = find_credentials(session, name)
    if found is not None and found.user.is_demo and not from_this_machine(request):
        return _page(request, name, after, "The demo sign-in only works on the machine that runs the program.", 403)
    wait = _seconds_to_wait(request, found)
    if wait:
        again = f"The password was wrong several times. Try again in {wait} {'second' if wait == 1 else 'seconds'}."
        return _page(request, name, after, again, 429)
    if not password_fits(password, found.password_hash if found else None) or found is None:
        if found is not None:
            with here.database.writing() as session:
                note_missed_password(session, found.user.id, here.now())
        return _page(request, name, after, "The name and the password don't belong together.", 401)
    answer = RedirectResponse(inside(after), 303)
    let_in(request, answer, found)
    return answer


@router.post("/sign-out")
def sign_out(request: Request) -> Response:
    """Sign this browser out."""
    key = request.cookies.get(SIGN_IN_COOKIE)
    if key:
        with running(request).database.writing() as session:
            end_sign_in(session, digest_of(key))
    answer = RedirectResponse(SIGN_IN, 303)
    take_sign_in(answer)
    return answer


def let_in(request: Request, answer: Response, found: Credentials) -> None:
    """Start a sign-in with a key that was never seen before, and end the one the browser held."""
    here = running(request)
    key, held = new_key(), request.cookies.get(SIGN_IN_COOKIE)
    with here.database.writing() as session:
        if held:
            end_sign_in(session, digest_of(held))
        start_sign_in(session, found.user.id, digest_of(key), here.now(), timedelta(days=here.settings.session_days))
    give_sign_in(request, answer, key)


def inside(address: str) -> str:
    """An address to go on to, kept within the shop: anything that could lead elsewhere becomes the start page."""
    within = address.startswith("/") and not address.startswith(("//", "/\\")) and address.isprintable()
    return quote(address, safe="/?&=%#-._~:+,;@!$'()*") if within else "/"


def _seconds_to_wait(request: Request, found: Credentials | None) -> int:
    if found is None or found.wait_until is None:
        return 0
    return max(0, -((running(request).now() - found.wait_until) // timedelta(seconds=1)))


def _page(request: Request, name: str, after: str, problem: str | None, status: int) -> HTMLResponse:
    shop = visitor_of(request).shop
    demo = (DEMO_NAME, DEMO_PASSWORD) if shop and shop.is_demo and from_this_machine(request) else None
    return render(request, "sign_in.html", SignInPage(name, inside(after), problem, demo), status)
