"""What a route asks for: a session on the store, the person who is signed in, their shop."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from fastapi import Depends, Request
from sqlalchemy.orm import Session

from webapp.persistence.shop import Shop
from webapp.persistence.users import User
from webapp.running import running
from webapp.security.forms import SAFE_METHODS
from webapp.security.gate import NotSetUp, NotSignedIn, visitor_of


def with_session(request: Request) -> Iterator[Session]:
    """One transaction a request: reading where nothing is to change, else committed before the answer is sent."""
    database = running(request).database
    with database.reading() if request.method in SAFE_METHODS else database.writing() as session:
        yield session


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


# With the scope 'function' the commit comes before the answer, so that one that fails is not reported as done.
StoreSession = Annotated[Session, Depends(with_session, scope="function")]
SignedIn = Annotated[User, Depends(signed_in)]
ShopHere = Annotated[Shop, Depends(shop_here)]
