"""The gate every page stands behind: who is there, which shop it is, and where to send them if they may not pass."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from fastapi import HTTPException, Request

from webapp.costing.measures.manner import begin_writing_as
from webapp.persistence.people.users import User, find_signed_in
from webapp.persistence.settings.shop import Shop, find_shop
from webapp.running import running
from webapp.security.access import may_use
from webapp.security.cookies import SIGN_IN_COOKIE, digest_of
from webapp.security.hosts import from_this_machine

SIGN_IN: Final = "/sign-in"
SET_UP: Final = "/set-up"
HEALTH: Final = "/health"
PHONE: Final = "/phone"
PHONE_CERTIFICATE: Final = "/phone/certificate"

OPEN_TO_ALL: Final = frozenset({SIGN_IN, SET_UP, HEALTH, PHONE, PHONE_CERTIFICATE})


class NotSignedIn(HTTPException):
    """The page needs a sign-in."""

    def __init__(self) -> None:
        super().__init__(401, "Sign in first.")


class NotSetUp(HTTPException):
    """The store is empty; the shop has to be set up first."""

    def __init__(self) -> None:
        super().__init__(401, "Set up the shop first.")


class NotTheirs(HTTPException):
    """The page, or what is done there, is the owner's."""

    def __init__(self) -> None:
        super().__init__(
            403,
            "This is the owner's: quotes and their prices, rates and settings, people and backups. "
            "Nothing was changed. Ask an owner to do it, or to make you one.",
        )


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who is at the page, as far as is known, and the shop they came to."""

    user: User | None
    shop: Shop | None


def find_visitor(request: Request) -> Visitor:
    """Look up the shop and who is signed in. A demo user is nobody on any other machine."""
    here = running(request)
    key = request.cookies.get(SIGN_IN_COOKIE)
    with here.database.reading() as session:
        shop = find_shop(session)
        user = find_signed_in(session, digest_of(key), here.now()) if key else None
    if user is not None and user.is_demo and not from_this_machine(request):
        user = None
    return Visitor(user, shop)


def pass_gate(request: Request) -> None:
    """Let the request through, with its visitor kept on it. Raises NotSetUp, NotSignedIn or NotTheirs.

    Only the very spelling of an open path is open; any other needs a sign-in, wherever it leads.
    """
    path = request.scope["path"]
    if path == HEALTH or getattr(request.state, "let_through", False):
        return
    visitor = find_visitor(request)
    request.state.visitor = visitor
    if visitor.shop is None and path != SET_UP:
        raise NotSetUp
    if visitor.user is None and path not in OPEN_TO_ALL:
        raise NotSignedIn
    route: str = request.scope["route"].path
    if visitor.user is not None and not may_use(visitor.user.role, request.method, route):
        raise NotTheirs
    request.state.let_through = True


async def write_as_the_shop(request: Request) -> None:
    """From here on this request writes as its shop does. A request has a context of its own; what runs in a thread for
    it takes that along, if it was set outside of any."""
    shop = visitor_of(request).shop
    if shop is not None:
        begin_writing_as(shop.manner)


def visitor_of(request: Request) -> Visitor:
    """The visitor found at the gate; an unknown one where the request never got there."""
    found: Visitor | None = getattr(request.state, "visitor", None)
    return found or Visitor(None, None)
