"""The sets of settings that were kept: their list, one of them looked at, and going back to it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from webapp.pages.settings.keeping import Keeping, keep_set, read_keeping
from webapp.pages.settings.try_out import Trying, open_trying, try_rates
from webapp.pages.settings.view import Difference, SetRow, changes, differences, set_name, set_rows
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.listing import Turning, page_number, turning
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter
from webapp.pages.web.times import moment, names_of
from webapp.persistence.settings.rates import StoredRates, current_rate_set, list_rate_sets, load_rate_set, own_rates
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

SETS_TO_CHOOSE: Final = 100


@dataclass(frozen=True, slots=True)
class SetsPage:
    """A page of the list of sets."""

    sets: tuple[SetRow, ...]
    turning: Turning
    compare: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ComparePage:
    """Two sets side by side: what differs between them, and what that comes to in a job."""

    first: str
    other: str
    sets: tuple[tuple[str, str], ...]
    names: tuple[str, str]
    changed: tuple[tuple[str, str, str], ...]
    trying: Trying


@dataclass(frozen=True, slots=True)
class SetPage:
    """One kept set: what in it is the shop's own, and what going back to it would change."""

    number: int
    now: int
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
    found = list_rate_sets(session, number=page_number(page))
    names = names_of(session, [one.created_by for one in found.entries])

    shown = SetsPage(
        set_rows(found.entries, names, shop), turning("/settings/sets", {}, found, "set"), _sets_to_choose(session)
    )
    return render(request, "settings/sets.html", shown)


@router.get("/settings/compare")
def compare_sets(
    request: Request, session: StoreSession, shop: ShopHere, one: int = 0, other: int = 0, job: str = ""
) -> Response:
    """Any two sets beside each other, 0 being the defaults, and what a job comes to under both."""
    first, second = load_rate_set(session, one), load_rate_set(session, other)
    trying = open_trying(session, job)
    names = [name for name, value in first.rates.values.items() if second.rates.values.get(name) != value]
    moves = try_rates(request, session, shop, trying.job, first.rates, second.rates, names)
    page = ComparePage(
        str(one),
        str(other),
        _sets_to_choose(session),
        (set_name(first).capitalize(), set_name(second).capitalize()),
        changes(first.rates, second.rates, shop),
        replace(trying, moves=moves),
    )
    return render(request, "settings/compare.html", page)


def _sets_to_choose(session: StoreSession) -> tuple[tuple[str, str], ...]:
    """The sets that can be compared: the last ones, and the defaults."""
    found = list_rate_sets(session, size=SETS_TO_CHOOSE).entries
    return (*((str(one.number), f"Set {one.number}: {one.reason}"[:60]) for one in found), ("0", "The defaults"))


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
        now.number,
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
