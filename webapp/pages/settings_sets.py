"""The sets of settings that were kept: their list, one of them looked at, and going back to it."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from webapp.pages.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.job_form import PostedFields
from webapp.pages.settings_keeping import Keeping, keep_set, read_keeping
from webapp.pages.settings_view import (
    Difference,
    SetRow,
    changes,
    differences,
    moment,
    names_of,
    set_name,
    set_rows,
)
from webapp.persistence.rates import StoredRates, current_rate_set, list_rate_sets, load_rate_set, own_rates
from webapp.persistence.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = APIRouter(default_response_class=HTMLResponse)


@dataclass(frozen=True, slots=True)
class SetsPage:
    """A page of the list of sets."""

    sets: tuple[SetRow, ...]
    where: str
    earlier: str | None
    further: str | None


@dataclass(frozen=True, slots=True)
class SetPage:
    """One kept set: what in it is the shop's own, and what going back to it would change."""

    number: int
    name: str
    when: str
    who: str
    why: str
    own: tuple[Difference, ...]
    is_last: bool
    moves: tuple[tuple[str, str, str], ...]
    keeping: Keeping


@router.get("/settings/sets")
def show_sets(request: Request, session: StoreSession, shop: ShopHere, page: int = 1) -> Response:
    """Every set that was kept, the last first."""
    found = list_rate_sets(session, number=max(1, page))
    names = names_of(session, [one.created_by for one in found.entries])

    def turned(number: int) -> str | None:
        return f"/settings/sets?page={number}" if 1 <= number <= found.pages else None

    shown = SetsPage(
        set_rows(found.entries, names, shop), f"Page {found.number} of {found.pages}", turned(found.number - 1),
        turned(found.number + 1),
    )  # fmt: skip
    return render(request, "settings/sets.html", shown)


@router.get("/settings/sets/{number}")
def show_set(request: Request, session: StoreSession, shop: ShopHere, number: int) -> Response:
    """One set, with 0 for the defaults."""
    now = current_rate_set(session)
    return _page(request, session, shop, load_rate_set(session, number), now, Keeping(now.number), 200)


@router.post("/settings/sets/{number}")
def go_back(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:
    """Keep what an earlier set holds as the newest set; the ones between stay in the list."""
    chosen, keeping = load_rate_set(session, number), read_keeping(dict(posted))
    if keeping.problem:
        return _page(request, session, shop, chosen, current_rate_set(session), keeping, 422)
    kept, keeping = keep_set(session, shop, user, running(request).now(), keeping, *own_rates(chosen.rates))
    if kept is None:
        status = 409 if keeping.theirs else 200
        return _page(request, session, shop, chosen, current_rate_set(session), keeping, status)
    return RedirectResponse("/settings", 303)


def _page(
    request: Request, session: StoreSession, shop: Shop, chosen: StoredRates, now: StoredRates, keeping: Keeping,
    status: int,
) -> Response:  # fmt: skip
    names = names_of(session, [chosen.created_by])
    page = SetPage(
        chosen.number,
        set_name(chosen),
        moment(chosen.created_at, shop) if chosen.created_at else "",
        names.get(chosen.created_by, "") if chosen.created_by else "",
        chosen.reason,
        differences(chosen.rates, shop),
        chosen.number == now.number,
        changes(now.rates, chosen.rates, shop),
        keeping,
    )
    return render(request, "settings/set.html", page, status)
