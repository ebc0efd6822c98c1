"""The only table from what went wrong to an answer's status, and the page that says so with a next step."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote, urlsplit

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.exc import OperationalError
from starlette.exceptions import HTTPException

from webapp.costing.errors import CostingError
from webapp.costing.measures.manner import begin_writing_as
from webapp.persistence.foundation.errors import (
    CurrencyFixed,
    LastOwner,
    NameTaken,
    NeverKept,
    NewerDatabase,
    NotKept,
    ShopExists,
    StaleSave,
    StoreError,
    StoreFull,
)
from webapp.persistence.foundation.kept_files import NO_ROOM
from webapp.persistence.foundation.sent_forms import SentBefore
from webapp.rendering import render
from webapp.security.forms import KEY_FIELD, TOKEN_FIELD
from webapp.security.gate import SET_UP, SIGN_IN, NotSetUp, NotSignedIn, find_visitor
from webapp.security.headers import ANSWER_HEADERS, FOR_PAGES

LOG: Final = logging.getLogger("reckoner")

STATUS: Final[dict[type[Exception], int]] = {
    NotKept: 404,
    StaleSave: 409,
    CurrencyFixed: 409,
    LastOwner: 409,
    NameTaken: 409,
    ShopExists: 409,
    NewerDatabase: 503,
    NeverKept: 404,
    StoreFull: 507,
    StoreError: 409,
    CostingError: 422,
    OperationalError: 503,
}

TITLES: Final[dict[int, str]] = {
    403: "Not allowed",
    404: "Not found",
    405: "Not possible here",
    409: "Not kept",
    413: "Too large",
    422: "Not clear",
    503: "Not to be reached",
    507: "No room left",
}
#: What passes by itself, or once somebody has made room: the same form may then be sent again.
PASSING: Final = frozenset({503, 507})
BACK_TO_START: Final = ("/", "Go to the start page")


@dataclass(frozen=True, slots=True)
class SentAgain:
    """A form that could not be kept for a reason that passes: where it goes, all that was typed, and if a file was."""

    action: str
    fields: tuple[tuple[str, str], ...]
    had_file: bool


@dataclass(frozen=True, slots=True)
class ProblemPage:
    """What went wrong, and where to go from here. `part` is true where it goes into a page that is open."""

    title: str
    sentence: str
    next_steps: tuple[tuple[str, str], ...]
    part: bool
    again: SentAgain | None = None


def answer_errors(app: FastAPI) -> None:
    """Hand every kind of error to its answer."""
    for kind, status in STATUS.items():
        app.add_exception_handler(kind, _say(status))
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(RequestValidationError, _unclear)
    app.add_exception_handler(OSError, _no_room)
    app.add_exception_handler(NotSignedIn, _to_sign_in)
    app.add_exception_handler(NotSetUp, _to_set_up)
    app.add_exception_handler(SentBefore, _to_first_answer)
    app.add_exception_handler(Exception, _unforeseen)


def is_part(request: Request) -> bool:
    """Whether the answer goes into a page that is open, rather than being one."""
    return request.headers.get("HX-Request") == "true"


def problem(request: Request, status: int, sentence: str) -> Response:
    """The page for a status, or the note that is put at the head of the open page."""
    back = urlsplit(request.headers.get("Referer", ""))
    steps = [BACK_TO_START]
    if back.netloc == request.headers.get("Host") and back.path not in {"", "/", request.url.path}:
        address = f"{back.path}?{back.query}" if back.query else back.path
        steps.insert(0, (address, "Go back to where you were"))
    typed_at = getattr(request.state, "typed_at", "")
    if typed_at:
        sentence = f"{sentence} What you typed is kept as a draft, which only you see."
        steps = [(typed_at, "Go on with what you typed"), *(step for step in steps if step[0] != typed_at)]
    part = is_part(request)
    again = _to_send_again(request) if status in PASSING and not part else None
    page = ProblemPage(TITLES.get(status, "Something went wrong"), sentence, tuple(steps), part, again)
    headers = {"HX-Retarget": "#sheet", "HX-Reswap": "afterbegin"} if part else None
    return render(request, "problem.html", page, status, headers)


def _to_send_again(request: Request) -> SentAgain | None:
    """The form that was sent, to be sent once more: a browser going back to its page would show it empty.

    One with a password in it is typed anew; no page holds a password.
    """
    posted: list[tuple[str, object]] = getattr(request.state, "posted", [])
    if not posted or any("password" in name for name, _ in posted):
        return None
    path, query = request.url.path, request.url.query
    ours = {TOKEN_FIELD, KEY_FIELD}
    fields = tuple((name, held) for name, held in posted if isinstance(held, str) and name not in ours)
    return SentAgain(f"{path}?{query}" if query else path, fields, any(not isinstance(held, str) for _, held in posted))


def _no_room(request: Request, error: Exception) -> Response:
    if isinstance(error, OSError) and error.errno in NO_ROOM:
        LOG.error("%s %s found no room on the disk: %s", request.method, request.url.path, error)
        return problem(request, STATUS[StoreFull], str(StoreFull()))
    raise error


def _say(status: int) -> Callable[[Request, Exception], Response]:
    def answer(request: Request, error: Exception) -> Response:
        if isinstance(error, OperationalError):
            LOG.error("The database didn't answer", exc_info=error)
            return problem(request, status, "The database didn't answer in time. Nothing was kept; try it once more.")
        return problem(request, status, str(error))

    return answer


def _http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    if isinstance(error.__cause__, OSError) and error.__cause__.errno in NO_ROOM:
        # What is sent is laid aside on the disk while it comes.
        return _no_room(request, error.__cause__)
    if not hasattr(request.state, "visitor"):
        # An address without a page has no gate of its own. Strangers are not told which addresses there are.
        visitor = find_visitor(request)
        request.state.visitor = visitor
        if visitor.shop is None:
            return _to_set_up(request, error)
        if visitor.user is None:
            return _to_sign_in(request, error)
        begin_writing_as(visitor.shop.manner)
    sentence = {
        "Not Found": f"There is no page at {request.url.path}.",
        "Method Not Allowed": f"The page at {request.url.path} can't be used in this way.",
    }.get(str(error.detail), str(error.detail))
    answer = problem(request, error.status_code, sentence)
    answer.headers.update(error.headers or {})
    return answer


def _unclear(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    found = error.errors()
    if any(one["loc"][0] == "path" for one in found):
        return problem(request, 404, f"There is no page at {request.url.path}.")
    sentences = [f"{one['loc'][-1]}: {str(one.get('input'))[:60]!r} can't be read ({one['msg']})." for one in found]
    return problem(request, 422, " ".join(sentences))


def _to_sign_in(request: Request, _: Exception) -> Response:
    if is_part(request):
        open_page = urlsplit(request.headers.get("HX-Current-URL", ""))
        return Response(status_code=401, headers={"HX-Redirect": _sign_in_after(open_page.path, open_page.query)})
    if request.method == "GET":
        return RedirectResponse(_sign_in_after(request.url.path, request.url.query), 303)
    typed_at = getattr(request.state, "typed_at", "")
    return RedirectResponse(f"{_sign_in_after(typed_at, '')}&kept=yes" if typed_at else SIGN_IN, 303)


def _sign_in_after(path: str, query: str) -> str:
    after = f"{path}?{query}" if query else path
    return SIGN_IN if after in {"", "/"} else f"{SIGN_IN}?after={quote(after, safe='')}"


def _to_set_up(request: Request, _: Exception) -> Response:
    return RedirectResponse(SET_UP, 303)


def _to_first_answer(_: Request, error: Exception) -> Response:
    assert isinstance(error, SentBefore)
    return RedirectResponse(error.leads_to, 303)


def _unforeseen(request: Request, error: Exception) -> Response:
    LOG.error("%s %s failed", request.method, request.url.path, exc_info=error)
    answer = problem(
        request, 500, "The program made a mistake of its own; it is written down in its log. Nothing was half done."
    )
    # This answer is made outside the layer that adds the headers to all others.
    answer.headers.update({**ANSWER_HEADERS, "Cache-Control": FOR_PAGES})
    return answer
