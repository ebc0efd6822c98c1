"""Whether a request that changes something comes from one of our own forms, in this browser."""

from __future__ import annotations

import hashlib
import hmac
import json
from collections.abc import AsyncIterator
from typing import Final
from urllib.parse import urlsplit

from fastapi import HTTPException, Request
from starlette.datastructures import FormData

from webapp.running import running
from webapp.security.cookies import browser_key

TOKEN_FIELD: Final = "csrf_token"
#: New in each page that is shown: a form with the same key and the same words is the same form sent again.
KEY_FIELD: Final = "form_key"
TOKEN_HEADER: Final = "X-CSRF-Token"
SAFE_METHODS: Final = frozenset({"GET", "HEAD", "OPTIONS"})


class ForeignForm(HTTPException):
    """The request came from another site's page, or from a form that has gone stale."""

    def __init__(self, reason: str) -> None:
        super().__init__(403, reason)


def token_for(secret: bytes, key: str) -> str:
    """The token that forms given to the browser with this key carry."""
    return hmac.new(secret, b"form:" + key.encode(), hashlib.sha256).hexdigest()


async def check_form(request: Request) -> AsyncIterator[None]:
    """Refuse an unsafe request from elsewhere. Raises ForeignForm.

    It reads the form where the header is missing; the route then gets the same form without reading it again. What
    files came with it are let go of once it is answered, also by a route that asks for none.
    """
    if request.method not in SAFE_METHODS:
        check_source(request)
        if request.headers.get(TOKEN_HEADER) is None:
            _check_sent(request, await request.form())
    try:
        yield
    finally:
        await request.close()


def _check_sent(request: Request, form: FormData) -> None:
    # Kept beside the request, so that what was typed can be given back where it can't be kept.
    request.state.posted = form.multi_items()
    if form.get(KEY_FIELD):
        request.state.sent_form = _digest_of(request.scope["path"], form)
    field = form.get(TOKEN_FIELD)
    _check_token(request, field if isinstance(field, str) else "")


def check_source(request: Request) -> None:
    """Refuse a request whose head alone says that it comes from elsewhere. Raises ForeignForm."""
    _check_origin(request)
    given = request.headers.get(TOKEN_HEADER)
    if given is not None:
        _check_token(request, given)


def _check_token(request: Request, given: str) -> None:
    key = browser_key(request)
    if key is None or not hmac.compare_digest(token_for(running(request).secret_key, key).encode(), given.encode()):
        raise ForeignForm("This form was opened before you signed in or out. Open the page again and send it anew.")


def sent_form(request: Request) -> str | None:
    """The digest by which a form that a page sent whole is known again; None where a script asks for a part."""
    found: str | None = getattr(request.state, "sent_form", None)
    return found


def _digest_of(path: str, form: FormData) -> str:
    """Going back and typing something else makes another form of it; a file is known by its name and size."""
    told = [(name, held if isinstance(held, str) else [held.filename, held.size]) for name, held in form.multi_items()]
    return hashlib.sha256(json.dumps([path, told]).encode()).hexdigest()


def _check_origin(request: Request) -> None:
    origin = request.headers.get("Origin")
    if origin is not None:
        # Behind a proxy that ends https the scheme differs, so only the host and its port are compared.
        if urlsplit(origin).netloc.lower() != request.headers.get("Host", "").lower():
            raise ForeignForm("This form was sent from another site's page, so nothing was done.")
    elif request.headers.get("Sec-Fetch-Site", "same-origin") not in {"same-origin", "none"}:
        raise ForeignForm("This form was sent from another site's page, so nothing was done.")
