"""What a route asks for: a session on the store, the person who is signed in, their shop."""

from __future__ import annotations

from typing import Annotated, cast

from fastapi import Depends, Request
from sqlalchemy.orm import Session

from webapp.pages.web.routing import Opening
from webapp.persistence.people.users import User
from webapp.persistence.settings.shop import Shop
from webapp.security.forms import SAFE_METHODS
from webapp.security.gate import NotSetUp, NotSignedIn, visitor_of


def store_session(request: Request) -> Session:
    """One transaction a request: reading where nothing is to change, else committed before the answer is sent."""
    return cast(Session, Opening(request, writes=request.method not in SAFE_METHODS))


def reading_session(request: Request) -> Session:
    """A session that only reads, though the form comes by POST: nothing is kept of it, or in a write of its own."""
    return cast(Session, Opening(request, writes=False))


def signed_in(request: Request) -> User:
    """The person at the page."""
    user = visitor_of(request).user
    if user is None:
        raise NotSignedIn
    return user


def shop_here(request: Request) -> Shop:
    """The shop as it stood when the request came in."""
    shop = visitor_of(request).shop
    if shop is None:
        raise NotSetUp
    return shop


#: For what is quickly done. What takes estimates, papers or long files reads first and keeps in `in_one_write`.
StoreSession = Annotated[Session, Depends(store_session)]
ReadingSession = Annotated[Session, Depends(reading_session)]
SignedIn = Annotated[User, Depends(signed_in)]
ShopHere = Annotated[Shop, Depends(shop_here)]
