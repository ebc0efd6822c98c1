"""What every answer tells the browser not to do, and which names are answered to."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.security.hosts import host_name, is_served

ANSWER_HEADERS: Final[Mapping[str, str]] = {
    "Content-Security-Policy": ("default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}
FOR_PAGES: Final = "no-store"
"""Pages hold the shop's prices; a shared computer's back button must not show them after signing out."""

LONGEST_PATH: Final = 1000
#: Python itself refuses to write down a number of some thousand figures.
_LONG_NUMBER: Final = re.compile(rb"[0-9]{4000}")


class GuardedAnswers:
    """Adds the headers to every answer; what is not said to be kept by the browser is not kept."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in ANSWER_HEADERS.items():
                    headers[name] = value
                headers.setdefault("Cache-Control", FOR_PAGES)
            await send(message)

        await self.app(scope, receive, send_guarded if scope["type"] == "http" else send)


class KnownNames:
    """Answers only to the shop's own names, so that a foreign name pointed here reads nothing."""

    def __init__(self, app: ASGIApp, further: tuple[str, ...]) -> None:
        self.app = app
        self.further = further

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http":
            name = host_name(Headers(scope=scope).get("host", ""))
            if not is_served(name, self.further):
                answer = PlainTextResponse(
                    "This shop isn't known by that name. Add it to RECKONER_HOST_NAMES if it is one of yours.\n", 421
                )
                await answer(scope, receive, send)
                return
        await self.app(scope, receive, send)


class ReadableAddresses:
    """Answers to no address longer than any page has, and to none with a number that only a prank is so long."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and (
            len(scope["path"]) > LONGEST_PATH or _LONG_NUMBER.search(scope["query_string"])
        ):
            answer = PlainTextResponse("No page has so long an address, or one with so long a number.\n", 404)
            await answer(scope, receive, send)
            return
        await self.app(scope, receive, send)
