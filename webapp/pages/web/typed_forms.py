"""Nothing typed is lost: a form that carries a mark is a draft until what it was sent for is done.

This stands around every page's function. A form whose answer leads on is done; any other, and any that is refused on
its way, by an ended sign-in or a mistake of ours, is kept for its person as it was sent. A browser with script keeps
what is typed before it is sent (pages/drafts).
"""

from __future__ import annotations

import logging
import re
from collections.abc import Awaitable, Callable, Mapping
from contextlib import suppress
from html import escape, unescape
from typing import Final

from fastapi import Request
from fastapi.responses import HTMLResponse, Response
from sqlalchemy.exc import SQLAlchemyError
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect

from webapp.drafting import (
    OF_DRAFTS,
    TAKEN_UP,
    TypedForm,
    keep_typed,
    note_form_saved,
    posted_form,
    taken_up,
)
from webapp.pages.web.errors import is_part
from webapp.persistence.drafts.records import Fields
from webapp.persistence.foundation.errors import StoreError
from webapp.persistence.foundation.sent_forms import SentBefore
from webapp.running import running
from webapp.security.bodies import read_small_form
from webapp.security.forms import KEY_FIELD, TOKEN_FIELD
from webapp.security.gate import NotSignedIn, visitor_of

LOG: Final = logging.getLogger("reckoner")

_FORM: Final = re.compile(r'(<form\b[^>]*\sdata-kept="([^"]*)")([^>]*>)(.*?)(?=</form>)', re.DOTALL)
_CONTROL: Final = re.compile(
    r"<input\b[^>]*>|<select\b[^>]*>.*?</select>|(<textarea\b[^>]*>)(.*?)(?=</textarea>)", re.DOTALL
)
_OPTION: Final = re.compile(r"<option\b[^>]*>")
_ATTRIBUTE: Final = re.compile(r'\s([a-z-]+)(?:="([^"]*)")?')


async def followed(request: Request, handle: Callable[[Request], Awaitable[Response]]) -> Response:
    """What a page answers, with what was typed kept, forgotten or put back into its form."""
    if request.method == "GET":
        answer = await handle(request)
        return await run_in_threadpool(_with_draft, request, answer) if TAKEN_UP in request.query_params else answer
    try:
        answer = await handle(request)
    except NotSignedIn:
        # The sign-in ended meanwhile. The form says whose it is, and that person is offered it when they come back.
        if not is_part(request):
            with suppress(HTTPException, ClientDisconnect):
                await read_small_form(request)
            await run_in_threadpool(_keep, request)
        raise
    except SentBefore:
        await run_in_threadpool(_note_saved, request)
        raise
    except Exception:
        await run_in_threadpool(_keep, request)
        raise
    is_done = "location" in answer.headers or "HX-Redirect" in answer.headers
    if is_done or not is_part(request):
        await run_in_threadpool(_note_saved if is_done else _keep, request)
    return answer


def _keep(request: Request) -> None:
    """Keep the form as a draft, if a page sent it whole: what a script asks for in a part, it keeps by itself."""
    form = posted_form(request)
    if form is None or is_part(request):
        return
    user = visitor_of(request).user
    kept = _in_the_store(form, lambda: keep_typed(running(request), form, running(request).now()))
    if kept and (user is None or user.id == form.mark.user_id):
        # Whoever answers can say where it is offered.
        request.state.typed_at = form.mark.place


def _note_saved(request: Request) -> None:
    form = posted_form(request)
    if form is not None:
        _in_the_store(form, lambda: note_form_saved(running(request), form))


def _in_the_store(form: TypedForm, act: Callable[[], object]) -> object:
    """Do it if the store can; where it can't, the answer that says so is worth more than the draft."""
    try:
        return act()
    except (SQLAlchemyError, StoreError, OSError) as error:
        LOG.warning("%s was sent, and its draft could not be noted: %s", form.mark.place, error)
        return False


def _with_draft(request: Request, answer: Response) -> Response:
    """The page with the draft that its address names put into the form, where it doesn't stand there already."""
    draft = taken_up(request) if isinstance(answer, HTMLResponse) and answer.status_code == 200 else None
    if draft is None:
        return answer
    body = filled(bytes(answer.body).decode(), draft.place, draft.fields)
    further = {name: text for name, text in answer.headers.items() if name not in ("content-length", "content-type")}
    return HTMLResponse(body, answer.status_code, further)


def filled(page: str, place: str, fields: Fields) -> str:
    """A page with these texts in the fields of its form of that place, unless the form holds what was typed already.

    The pages are our own: every attribute is in double quotes, and no sign of markup stands unescaped within one.
    """
    told: dict[str, list[str]] = {}
    for name, text in fields:
        told.setdefault(name, []).append(text)

    def fill(found: re.Match[str]) -> str:
        if unescape(found[2]) != place or "data-unsaved" in found[3]:
            return found[0]
        left = {name: list(texts) for name, texts in told.items()}
        return f"{found[1]} data-unsaved{found[3]}{_CONTROL.sub(lambda one: _control(one, left), found[4])}"

    return _FORM.sub(fill, page)


def _control(found: re.Match[str], left: Mapping[str, list[str]]) -> str:
    """One field with what was typed in it; those of one name are filled in their order."""
    whole = found[0]
    tag = found[1] or whole[: whole.index(">") + 1]
    held = {name: unescape(text) for name, text in _ATTRIBUTE.findall(tag)}
    name, kind = held.get("name", ""), held.get("type", "text")
    if not name or name in (TOKEN_FIELD, KEY_FIELD, TAKEN_UP) or name.startswith(OF_DRAFTS) or kind == "password":
        return whole
    texts = left.get(name, [])
    if kind in ("checkbox", "radio"):
        bare = re.sub(r"\schecked\b(=\"[^\"]*\")?", "", whole)
        return f"{bare[:-1]} checked>" if held.get("value", "on") in texts else bare
    if not texts:
        return whole
    text = texts.pop(0)
    if found[1]:
        return f"{tag}\n{escape(text)}"
    if whole.startswith("<select"):
        return _chosen(whole, text)
    bare = re.sub(r"\svalue=\"[^\"]*\"", "", tag)
    return f'{bare[:-1]} value="{escape(text)}">'


def _chosen(select: str, text: str) -> str:
    answers = [dict(_ATTRIBUTE.findall(one)) for one in _OPTION.findall(select)]
    if not any(unescape(one.get("value", "")) == text for one in answers):
        return select

    def choose(found: re.Match[str]) -> str:
        bare = re.sub(r"\sselected\b", "", found[0])
        is_it = unescape(dict(_ATTRIBUTE.findall(found[0])).get("value", "")) == text
        return f"{bare[:-1]} selected>" if is_it else bare

    return _OPTION.sub(choose, select)
