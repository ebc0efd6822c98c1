"""How a page's function runs: its session opened, committed and closed in one go, and each form done once."""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from dataclasses import dataclass
from functools import wraps
from inspect import iscoroutinefunction
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from fastapi.routing import APIRoute
from sqlalchemy.orm import Session

from webapp.pages.web.typed_forms import followed
from webapp.persistence.foundation.sent_forms import once
from webapp.running import running
from webapp.security.forms import sent_form


@dataclass(frozen=True, slots=True)
class Opening:
    """A session that a route asks for, before it is opened."""

    request: Request
    writes: bool


class PageRoute(APIRoute):
    """A route whose session lives no longer than its function runs, in the thread it runs in.

    A session that waits for a thread to begin or end in would hold the writer's lock, or a connection, while all
    threads wait for that.
    """

    def __init__(self, path: str, endpoint: Callable[..., Any], **options: Any) -> None:
        super().__init__(path, _in_one_go(endpoint), **options)

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """What answers a request, with what was typed kept until it is done."""
        handle = super().get_route_handler()

        async def answer(request: Request) -> Response:
            return await followed(request, handle)

        return answer


class PageRouter(APIRouter):
    """The router of a page."""

    def __init__(self) -> None:
        super().__init__(default_response_class=HTMLResponse, route_class=PageRoute)


def in_one_write(request: Request, action: Callable[[Session], Response], again: str = "") -> Response:
    """Do it in one transaction that holds the writer's lock, and do each form that is sent only once.

    Whatever takes time is worked out before; what is done looks again whether what was read still stands. A form counts
    as done where its answer leads on, or where it is said to where it leads when it is sent `again`: a page that keeps
    some rows and gives others back. Raises SentBefore where it was.
    """
    here = running(request)
    with (
        here.database.writing() as session,
        once(session, sent_form(request), at=here.now()) as sent,
    ):
        answer = action(session)
        sent.leads_to = answer.headers.get("location", "") or (again if answer.status_code == 200 else "")
        return answer


def _in_one_go(endpoint: Callable[..., Any]) -> Callable[..., Any]:
    if iscoroutinefunction(endpoint):
        # It waits without a thread, and opens no session.
        return endpoint

    @wraps(endpoint)
    def run(**given: Any) -> Any:
        opening = next((value for value in given.values() if isinstance(value, Opening)), None)
        if opening is None:
            return endpoint(**given)

        def with_session(session: Session) -> Response:
            answer: Response = endpoint(
                **{name: session if value is opening else value for name, value in given.items()}
            )
            return answer

        if opening.writes:
            return in_one_write(opening.request, with_session)
        with running(opening.request).database.reading() as session:
            return with_session(session)

    return run
