"""What somebody enters at a line, by a plain form or sent by a telephone when it has signal again: kept once."""

from __future__ import annotations

from collections.abc import Mapping

from fastapi import Request
from fastapi.responses import JSONResponse, RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.buying_list.entries import ALSO, MOST_ENTRIES, read_entry
from webapp.costing.measures.written import as_kept, as_kept_money
from webapp.pages.buying_lists.docket import docket_page
from webapp.pages.buying_lists.shown_lines import Typed
from webapp.pages.buying_lists.view import dom_id
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.errors import is_part
from webapp.pages.web.posting import PostedFields, tidy_text
from webapp.pages.web.routing import PageRouter
from webapp.persistence.buying_lists.prices import keep_list_prices
from webapp.persistence.buying_lists.records import StoredList, keep_entry, load_list
from webapp.persistence.buying_lists.stock import keep_list_stock
from webapp.persistence.foundation.lists import one_line
from webapp.rendering import render
from webapp.running import running

router = PageRouter()


@router.post("/lists/{number:int}")
def enter(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:
    """Keep what was entered at a line, and the price that follows from it."""
    now, stored = running(request).now(), load_list(session, number)
    typed = {name: one_line(tidy_text(text)) for name, text in posted}
    fields = {
        **typed, "count": as_kept(typed.get("count", "")), "paid": as_kept_money(typed.get("paid", ""), shop.currency),
    }  # fmt: skip
    entry, wrong = read_entry(
        fields, shop.currency, shop.currency_places, stored.makings[0].made_on, shop.today(now), user.name
    )
    problems = {**_unknown(stored, fields), **wrong}
    if entry is None or problems:
        return _refused(request, session, stored, shop, user, Typed(fields.get("line", ""), typed, problems))
    stored = keep_entry(session, number, entry, at=now, by=user.id)
    keep_list_prices(session, stored, at=now, by=user.id)
    keep_list_stock(session, stored, entry.line, at=now, by=user.id)
    if is_part(request):
        return JSONResponse({"kept": entry.id})
    return RedirectResponse(f"/lists/{number}#{dom_id(entry.line)}", 303)


def _unknown(stored: StoredList, fields: Mapping[str, str]) -> dict[str, str]:
    """What the entry names and the list never had."""
    line, job, offer = fields.get("line", ""), fields.get("job", ""), fields.get("offer", "")
    if not line.startswith(ALSO) and not any(line in making.by_id for making in stored.makings):
        return {"line": "This list never had such a line. Open it again, and enter it at one that it has."}
    offers = {one.offer for making in stored.makings if line in making.by_id for one in making.by_id[line].offers}
    if offer and offer not in offers:
        return {"offer": "This line has no such pack. Choose one that it has."}
    if _is_full(stored, line, fields.get("id", "")):
        return {"line": f"{MOST_ENTRIES} entries are kept here, and no more are taken: enter it on another list."}
    if job and job not in map(str, stored.head.jobs):
        return {"job": f"This list is not for job {job[:20]}."}
    return {}


def _is_full(stored: StoredList, line: str, entry_id: str) -> bool:
    """Whether no further entry is taken at a line, or no further thing that stands on no list."""
    if any(one.id == entry_id for one in stored.entries):
        return False
    others = {one.line for one in stored.entries if one.line.startswith(ALSO)} if line.startswith(ALSO) else set()
    full = line not in others and len(others) >= MOST_ENTRIES
    return full or sum(one.line == line for one in stored.entries) >= MOST_ENTRIES


def _refused(
    request: Request, session: Session, stored: StoredList, shop: ShopHere, user: SignedIn, typed: Typed
) -> Response:  # fmt: skip
    if is_part(request):
        return JSONResponse({"problems": dict(typed.problems)}, 422)
    return render(request, "buying_lists/show.html", docket_page(request, session, stored, shop, user, typed), 422)
