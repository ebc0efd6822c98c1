"""The other ways of a job: side by side, made and changed, put on the quote, made the job's own, removed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, Final

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.alternates.form import entry_of, made_own, with_way, without_way
from webapp.costing.jobs.alternates import MOST_ALTERNATES
from webapp.documents.printing.paper import reader_of
from webapp.documents.quotes.options import MOST_OPTIONS
from webapp.estimating import keep_plans
from webapp.pages.alternates.form import entry_typed, way_kept, way_page, way_typed, what_is_wrong
from webapp.pages.alternates.view import ways_page
from webapp.pages.sheet.form import with_ids
from webapp.pages.sheet.page import typed_version
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import Posted, PostedFields
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.jobs.records import StoredJob, load_job_by_number, save_job
from webapp.persistence.people.users import User
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.standing import Worked, estimate_stored, estimate_ways

router = PageRouter()

ADDRESS: Final = "/jobs/{number:int}/alternates"
NEW: Final = "new"


@router.get(ADDRESS)
def show_ways(request: Request, session: StoreSession, shop: ShopHere, number: int) -> Response:
    """The job and its other ways side by side."""
    here = running(request)
    today, job = shop.today(here.now()), load_job_by_number(session, number)
    own = _own(session, job, shop, today)
    ways = estimate_ways(session, job, own, shop, today)
    keep_plans(here.database, session, [own.estimate, *(made.estimate for _, made in ways.values())], here.now())
    page = ways_page(job, own, ways, reader_of(shop), MOST_ALTERNATES, MOST_OPTIONS)
    return render(request, "alternates/list.html", page)


@router.get(ADDRESS + "/{key}")
def show_way(
    request: Request, session: StoreSession, shop: ShopHere, number: int, key: str, item: str = ""
) -> Response:  # fmt: skip
    """The form of another way, or of a new one."""
    today, job = shop.today(running(request).now()), load_job_by_number(session, number)
    entry = None if key == NEW else _entry(job, key)
    differs = frozenset(entry.get("items", {})) if entry else frozenset()
    page = way_page(session, job, way_kept(job, entry), shop, today, item, differs=differs)
    return render(request, "alternates/way.html", page)


@router.post(ADDRESS + "/{key}")
def keep_way(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, key: str,
    posted: PostedFields,
) -> Response:  # fmt: skip
    """Keep another way as it was typed: what of it differs from the job."""
    today, job = shop.today(running(request).now()), load_job_by_number(session, number)
    if key != NEW:
        _entry(job, key)
    typed = way_typed(job, "" if key == NEW else key, posted)
    entry = entry_typed(job, typed, _own(session, job, shop, today).inputs, shop)
    wrong = what_is_wrong(typed, entry)
    if any(wrong):
        page = way_page(session, job, typed, shop, today, wrong=wrong, differs=frozenset(entry.get("items", ())))
        return render(request, "alternates/way.html", page, 422)
    return _save(request, job, user, lambda document: with_way(document, entry), posted)


@router.post(ADDRESS + "/{key}/take")
def take_way(
    request: Request, session: ReadingSession, user: SignedIn, number: int, key: str, posted: PostedFields
) -> Response:  # fmt: skip
    """Make another way the job's own; how it stood before stays as another way, so that one press puts it back."""
    job = load_job_by_number(session, number)
    _entry(job, key)
    return _save(request, job, user, lambda document: made_own(document, key), posted)


@router.post(ADDRESS + "/{key}/offer")
def offer_way(
    request: Request, session: ReadingSession, user: SignedIn, number: int, key: str, posted: PostedFields
) -> Response:  # fmt: skip
    """Put another way on the quote as an option, or take it off."""
    job = load_job_by_number(session, number)
    entry = dict(_entry(job, key))
    entry.pop("on_quote", None)
    if dict(posted).get("on_quote") == "yes":
        entry["on_quote"] = "yes"
    return _save(request, job, user, lambda document: with_way(document, entry), posted)


@router.post(ADDRESS + "/{key}/remove")
def remove_way(
    request: Request, session: ReadingSession, user: SignedIn, number: int, key: str, posted: PostedFields
) -> Response:  # fmt: skip
    """Forget another way."""
    job = load_job_by_number(session, number)
    _entry(job, key)
    return _save(request, job, user, lambda document: without_way(document, key), posted)


def _save(
    request: Request, job: StoredJob, user: User, change: Callable[[Mapping[str, Any]], dict[str, Any]], posted: Posted
) -> Response:  # fmt: skip
    """Keep the job's form with a change, against the version that the page was made from."""

    def keep(writing: Session) -> Response:
        stands = typed_version(dict(posted), job)
        save_job(writing, job.id, change(with_ids(job.document)), stands, at=running(request).now(), by=user.id)
        return RedirectResponse(f"/jobs/{job.number}/alternates", 303)

    return in_one_write(request, keep)


def _own(session: Session, job: StoredJob, shop: Shop, today: date) -> Worked:
    return estimate_stored(session, job, with_ids(job.document), shop, today)


def _entry(job: StoredJob, key: str) -> Mapping[str, Any]:
    entry = entry_of(job.document, key)
    if entry is None:
        raise NotKept("other way of the job", key[:60])
    return entry
