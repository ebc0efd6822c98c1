"""What open quotes earn today, beside what they earned as they were issued: their prices hold whatever prices do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from fastapi import Request
from fastapi.responses import Response

from webapp.pages.shown.in_hand import SECONDS_A_LOOK, InHandPart, in_hand_part
from webapp.pages.web.dependencies import ShopHere, StoreSession
from webapp.pages.web.routing import PageRouter
from webapp.rendering import render
from webapp.running import running
from webapp.work_in_hand import TRIALS, Tried, begin_trial

router = PageRouter()

ADDRESS: Final = "/quotes/earning"


@dataclass(frozen=True, slots=True)
class EarningPage:
    """The page."""

    in_hand: InHandPart


@router.get(ADDRESS)
def show_earning(
    request: Request, session: StoreSession, shop: ShopHere, trial: str = "", wholly: str = ""
) -> Response:
    """What each open quote earns at today's prices and rates: more of it with each look, or all of it at once."""
    here = running(request)
    begun = TRIALS.get(trial)
    if begun is None or not begun.tried.since_quoted:
        begun = begin_trial(session, shop, shop.today(here.now()), Tried(since_quoted=True))
    elif not wholly:
        begun.work(here.database, session, SECONDS_A_LOOK)
    if wholly:
        begun.work(here.database, session)
    part = in_hand_part(begun, ADDRESS, posts=False, words=("as issued", "today"))
    return render(request, "quotes/earning.html", EarningPage(part))
