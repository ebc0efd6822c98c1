"""The two cookies: who is signed in, and, before that, which browser a form was given to."""

from __future__ import annotations

import hashlib
import secrets
from datetime import timedelta
from typing import Final

from starlette.requests import HTTPConnection
from starlette.responses import Response

from webapp.running import running

SIGN_IN_COOKIE: Final = "reckoner_sign_in"
VISIT_COOKIE: Final = "reckoner_visit"


def new_key() -> str:
    """A fresh random key for a cookie."""
    return secrets.token_urlsafe(32)


def digest_of(key: str) -> str:
    """What the store keeps of a sign-in's key."""
    return hashlib.sha256(key.encode()).hexdigest()


def browser_key(connection: HTTPConnection) -> str | None:
    """The key the browser's forms are bound to: its sign-in's, else its visit's."""
    return connection.cookies.get(SIGN_IN_COOKIE) or connection.cookies.get(VISIT_COOKIE)


def give_sign_in(connection: HTTPConnection, response: Response, key: str) -> None:
    """Hand the browser its sign-in, out of reach of scripts and of other sites' forms."""
    settings = running(connection).settings
    response.set_cookie(
        SIGN_IN_COOKIE,
        key,
        max_age=int(timedelta(days=settings.session_days).total_seconds()),
        httponly=True,
        samesite="lax",
        secure=settings.secure_cookies or connection.url.scheme == "https",
    )


def give_visit(connection: HTTPConnection, response: Response, key: str) -> None:
    """Hand the browser a key for its forms until it signs in or is closed."""
    secure = running(connection).settings.secure_cookies or connection.url.scheme == "https"
    response.set_cookie(VISIT_COOKIE, key, httponly=True, samesite="lax", secure=secure)


def take_sign_in(response: Response) -> None:
    """Take the sign-in from the browser."""
    response.delete_cookie(SIGN_IN_COOKIE, httponly=True, samesite="lax")
