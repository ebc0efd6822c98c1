"""Drafts: kept as one types, listed for their person, thrown away."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Form, Request
from fastapi.responses import RedirectResponse, Response

from webapp.drafting import keep_typed, offer_of, read_typed_form
from webapp.pages.web.answers import inside
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.errors import is_part
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter
from webapp.pages.web.times import moment
from webapp.persistence.drafts.records import is_too_large, list_drafts, throw_away
from webapp.rendering import render
from webapp.running import running
from webapp.security.marks import new_mark, write_mark

router = PageRouter()

#: The mark to go on with where the draft is one that can't be written to any more.
NEXT_MARK: Final = "X-Next-Mark"


@dataclass(frozen=True, slots=True)
class DraftRow:
    """A draft in the list: where it is taken up, which form it is, when it was typed last."""

    id: str
    href: str
    words: str
    when: str


@dataclass(frozen=True, slots=True)
class DraftsPage:
    """Everything that a person typed and has not saved."""

    drafts: tuple[DraftRow, ...]


@router.get("/drafts")
def show_drafts(request: Request, session: StoreSession, shop: ShopHere, user: SignedIn) -> Response:
    """What was typed and not saved, the last first."""
    rows = []
    for draft in list_drafts(session, user.id):
        when = moment(draft.typed_at, shop)
        rows.append(DraftRow(draft.id, offer_of(draft, when).href, draft.words or draft.place, when))
    return render(request, "drafts/list.html", DraftsPage(tuple(rows)))


@router.post("/drafts")
def keep_draft(request: Request, user: SignedIn, posted: PostedFields) -> Response:
    """Keep what is typed, some time after the last key: no more than one short write.

    Where the form was saved or thrown away meanwhile, the answer brings the mark of a draft to go on with.
    """
    here = running(request)
    form = read_typed_form(here.secret_key, posted)
    if form is None or form.mark.user_id != user.id:
        return Response(status_code=403)
    if is_too_large(form.fields):
        return Response(status_code=413)
    if keep_typed(here, form, here.now()):
        return Response(status_code=204)
    mark = write_mark(here.secret_key, new_mark(user.id, form.mark.place))
    return Response(status_code=409, headers={NEXT_MARK: mark})


@router.post("/drafts/throw-away")
def throw_draft_away(
    request: Request, session: StoreSession, user: SignedIn, thrown: Annotated[str, Form()] = "",
    back: Annotated[str, Form()] = "/drafts",
) -> Response:  # fmt: skip
    """Let go of a draft of one's own."""
    throw_away(session, user.id, [thrown])
    return Response(status_code=204) if is_part(request) else RedirectResponse(inside(back), 303)
