"""What is read of a request: nothing before the gate has let it through, and then so much, in so long a time.

Whoever isn't signed in fills in the form of signing in, or of setting the shop up; more than that is not read of them.
So much is also read of a form that was opened before a sign-in ended, so that what was typed in it is kept.
"""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.security.forms import SAFE_METHODS, check_source
from webapp.security.gate import pass_gate, visitor_of


@dataclass(frozen=True, slots=True)
class Bound:
    """The most bytes that are read of a request, and the seconds in which they have to come."""

    size: int
    seconds: float


STRANGERS: Final = Bound(64 * 1024, 15)
FORM_SECONDS: Final = 60
#: The largest backup over a slow line.
UPLOAD_SECONDS: Final = 30 * 60
#: A connection that is closed while the browser still sends takes the answer with it: so much of what is refused is
#: taken in and forgotten first.
FORGOTTEN: Final = Bound(1024 * 1024, 5)


class GuardedBodies:
    """Lets the gate decide when the first byte of a body is asked for; `wider` are the bounds of single paths."""

    def __init__(self, app: ASGIApp, forms: Bound, wider: Mapping[str, Bound], strangers: Bound = STRANGERS) -> None:
        self.app = app
        self.forms = forms
        self.wider = wider
        self.strangers = strangers

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["method"] in SAFE_METHODS:
            await self.app(scope, receive, send)
            return
        body = _Body(self, scope, receive, send)
        most = self.wider.get(scope["path"], self.forms)
        if body.told > most.size:
            told = PlainTextResponse(f"{_too_large(most).detail}\n", 413, {"Connection": "close"})
            await told(scope, receive, send)
            return
        await self.app(scope, body.receive, body.send)

    def bound(self, request: Request) -> Bound:
        """How much is read of a request that the gate let through."""
        if visitor_of(request).user is None:
            return self.strangers
        return self.wider.get(request.scope["path"], self.forms)


class _Body:
    """The body of one request, as far as it was read."""

    def __init__(self, guard: GuardedBodies, scope: Scope, receive: Receive, send: Send) -> None:
        self._guard = guard
        self._scope = scope
        self._receive = receive
        self._send = send
        headers = Headers(scope=scope)
        length = headers.get("content-length", "0")
        self.told = int(length) if length.isdigit() and len(length) < 16 else 0
        self._waits_to_be_asked = "expect" in headers
        self._bound: Bound | None = None
        self._until = 0.0
        self._read = 0
        self._whole = False
        self._given_up = False

    async def receive(self) -> Message:
        """The next piece. Raises what the gate raises, and HTTPException where it is too much or takes too long."""
        if self._whole:
            return await self._receive()
        bound = self._bound or await self._let_in()
        try:
            async with asyncio.timeout_at(self._until):
                message = await self._next()
        except TimeoutError:
            self._given_up = True
            raise HTTPException(
                408, "What was sent took too long to come; nothing was kept. Send it once more."
            ) from None
        if self._read > bound.size:
            raise _too_large(bound)
        return message

    async def _let_in(self) -> Bound:
        request = Request(self._scope)
        check_source(request)
        if not getattr(request.state, "read_as_a_strangers", False):
            await run_in_threadpool(pass_gate, request)
        self._bound = bound = self._guard.bound(request)
        self._until = asyncio.get_running_loop().time() + bound.seconds
        if self.told > bound.size:
            raise _too_large(bound)
        return bound

    async def _next(self) -> Message:
        message = await self._receive()
        self._read += len(message.get("body", b""))
        self._whole = message["type"] != "http.request" or not message.get("more_body", False)
        return message

    async def send(self, message: Message) -> None:
        """Pass the answer on; the connection ends with it where too much of the request is still to come."""
        if message["type"] == "http.response.start" and not await self._forget_the_rest():
            MutableHeaders(scope=message)["Connection"] = "close"
        await self._send(message)

    async def _forget_the_rest(self) -> bool:
        if self._whole:
            return True
        if self._given_up or self._waits_to_be_asked or self.told > FORGOTTEN.size:
            return False
        try:
            async with asyncio.timeout(FORGOTTEN.seconds):
                while not self._whole and self._read <= FORGOTTEN.size:
                    await self._next()
        except TimeoutError:
            return False
        return self._whole


async def read_small_form(request: Request) -> None:
    """Read the form of somebody whose sign-in has ended, no more of it than of a stranger's, and keep it at hand.

    Raises HTTPException where it is larger, or does not come.
    """
    if request.headers.get("Content-Type", "").startswith("application/x-www-form-urlencoded"):
        request.state.read_as_a_strangers = True
        form = await request.form()
        request.state.posted = form.multi_items()


def _too_large(bound: Bound) -> HTTPException:
    return HTTPException(
        413, f"What was sent is larger than the {bound.size // 1024} KB that are read at once; nothing was kept."
    )
