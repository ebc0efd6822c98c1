"""What the program starts from otherwise than the shop does, offered with what it moves in each open job."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from fastapi import HTTPException, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.settings.editions import renewed_since, with_edition_taken
from webapp.costing.settings.rates import EDITION, Rates
from webapp.costing.settings.table import SETTINGS_BY_NAME, default_rates
from webapp.documents.printing.paper import reader_of
from webapp.estimating import estimate_from, estimate_jobs
from webapp.pages.settings.view import set_name, shown, source_words, step_words
from webapp.pages.shown.moves import MoveRow, move_row
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.listing import Turning, page_number, turning
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.designs.records import STARTED_FROM, load_design
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.jobs.records import list_jobs, load_job
from webapp.persistence.settings.rates import StoredRates, current_rate_set, take_edition
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.starters import newer_starters, take_starter

router = PageRouter()

PATH: Final = "/settings/new-figures"
#: So many open jobs are worked out on a page, twice each.
JOBS_A_PAGE: Final = 12


@dataclass(frozen=True, slots=True)
class NewFigure:
    """A setting or a step as the shop has it and as the program now starts from it, with the reason."""

    name: str
    label: str
    now: str
    new: str
    because: str
    taken: bool


@dataclass(frozen=True, slots=True)
class JobMoved:
    """An open job's price to pay and hours, before and after."""

    number: int
    title: str
    price: MoveRow
    hours: MoveRow


@dataclass(frozen=True, slots=True)
class NewDesign:
    """A starter design of which the program has another version than the shop, and the open jobs that use it."""

    code: str
    name: str
    version: int
    changed_here: bool
    jobs: tuple[JobMoved, ...]


@dataclass(frozen=True, slots=True)
class NewFiguresPage:
    """What is offered, what it moves, and what came in between where somebody else saved."""

    base: int
    now: str
    edition: int
    figures: tuple[NewFigure, ...]
    jobs: tuple[JobMoved, ...]
    turning: Turning
    designs: tuple[NewDesign, ...]
    said: str


@router.get(PATH)
def show_new_figures(request: Request, session: StoreSession, shop: ShopHere, page: int = 1) -> Response:
    """All that is offered, all of it ticked, with what that moves."""
    return _page(request, session, shop, None, page_number(page), "", 200)


@router.post(f"{PATH}/try")
def try_new_figures(request: Request, session: ReadingSession, shop: ShopHere, posted: PostedFields) -> Response:
    """What the ticked ones move; nothing is kept."""
    return _page(request, session, shop, _ticked(posted), 1, "", 200)


@router.post(PATH)
def take_new_figures(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, posted: PostedFields
) -> Response:
    """Follow the last edition; what is not ticked stays as it is, as the shop's own."""
    held, ticked, at = current_rate_set(session), _ticked(posted), running(request).now()
    typed = small_number(dict(posted).get("base", ""))
    base = held.number if typed is None else typed
    left = [one.name for one in renewed_since(held.rates) if one.name not in ticked]
    source = source_words(user.name, at, "kept as it was when the program's figures changed", shop)

    def take(writing: Session) -> Response:
        take_edition(writing, left, base, source=source, at=at, by=user.id)
        return RedirectResponse("/settings", 303)

    try:
        return in_one_write(request, take)
    except StaleSave:
        said = "Settings were kept meanwhile by somebody else. Nothing was taken yet: look at what is offered now."
    with running(request).database.reading() as now:
        return _page(request, now, shop, ticked, 1, said, 409)


@router.post(f"{PATH}/designs/{{code}}")
def take_new_design(request: Request, session: StoreSession, user: SignedIn, code: str) -> Response:
    """Keep the program's version of a starter as the newest of that design; jobs go on with theirs."""
    try:
        take_starter(session, code, at=running(request).now(), by=user.id)
    except NotKept:
        raise HTTPException(404, f"There is no starter design “{code}”.") from None
    return RedirectResponse(f"{PATH}#designs", 303)


def offers_something(session: Session) -> bool:
    """Whether there is anything that the shop has not looked at: an edition not taken, or a starter it never had."""
    return current_rate_set(session).rates.edition < EDITION or bool(newer_starters(session))


def _ticked(posted: Sequence[tuple[str, str]]) -> frozenset[str]:
    return frozenset(value for name, value in posted if name == "take")


def _page(
    request: Request, session: Session, shop: Shop, ticked: Collection[str] | None, number: int, said: str, status: int
) -> Response:
    kept = current_rate_set(session)
    renewed = renewed_since(kept.rates) if kept.rates.edition < EDITION else ()
    taken = frozenset(one.name for one in renewed) if ticked is None else frozenset(ticked)
    left = [one.name for one in renewed if one.name not in taken]
    listed = list_jobs(session, state="open", number=number, size=JOBS_A_PAGE)
    worked = _worked(session, [one.id for one in listed.entries], shop, request) if renewed else []
    after = with_edition_taken(kept.rates, left)
    jobs = tuple(
        _moved(found, estimate_from(session, replace(inputs, rates=after)), one.number, one.title, shop)
        for one, (inputs, found) in zip(listed.entries, worked, strict=True)
    ) if renewed else ()  # fmt: skip
    shown_page = NewFiguresPage(
        kept.number,
        set_name(kept),
        EDITION,
        tuple(_figure(one.name, one.label, one.is_step, one.because, kept, shop, one.name in taken) for one in renewed),
        jobs,
        turning(PATH, {}, listed, "open job"),
        tuple(_design(request, session, shop, code, document) for code, document in newer_starters(session).items()),
        said,
    )
    return render(request, "settings/editions.html", shown_page, status)


def _figure(
    name: str, label: str, is_step: bool, because: str, stored: StoredRates, shop: Shop, taken: bool
) -> NewFigure:
    given: Rates = default_rates()
    if is_step:
        held = stored.rates.operations.get(name)
        now = step_words(held) if held is not None else "no such step"
        return NewFigure(name, label, now, step_words(given.operations[name]), because, taken)
    setting = SETTINGS_BY_NAME[name]
    return NewFigure(name, label, shown(setting, stored.rates, shop), shown(setting, given, shop), because, taken)


def _design(request: Request, session: Session, shop: Shop, code: str, document: Mapping[str, Any]) -> NewDesign:
    held = load_design(session, code)
    listed = list_jobs(session, state="open", design=code, size=JOBS_A_PAGE)
    jobs = []
    for one, (inputs, found) in zip(
        listed.entries, _worked(session, [one.id for one in listed.entries], shop, request), strict=True
    ):
        designs = {
            item: document if design.get("design") == code else design for item, design in inputs.designs.items()
        }
        other = estimate_from(session, replace(inputs, designs=designs))
        jobs.append(_moved(found, other, one.number, one.title, shop))
    return NewDesign(code, held.name, held.version, held.note != STARTED_FROM, tuple(jobs))


def _worked(session: Session, ids: Sequence[Any], shop: Shop, request: Request) -> list[tuple[Inputs, Estimate]]:
    jobs = {one: load_job(session, one).document for one in ids}
    return estimate_jobs(session, jobs, shop, shop.today(running(request).now()))


def _moved(was: Estimate, now: Estimate, number: int, title: str, shop: Shop) -> JobMoved:
    reader = reader_of(shop)
    return JobMoved(
        number,
        title or "without a name",
        move_row("Price, to pay", was.totals.total.value, now.totals.total.value, reader.money),
        move_row("Hours", was.totals.minutes_charged.value, now.totals.minutes_charged.value, reader.hours),
    )
