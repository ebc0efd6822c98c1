"""A job stays on the version of a design that it was made from: the newer one is offered with what it moves, taken by
one press, and put back by one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any, Final
from urllib.parse import quote

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.alternates.form import with_version
from webapp.costing.measures.typed_numbers import small_number
from webapp.documents.printing.paper import reader_of
from webapp.pages.designs.compare import both_worked, moved_by_version
from webapp.pages.part_lists.rows import is_list
from webapp.pages.sheet.form import with_ids
from webapp.pages.sheet.page import JobPage, Worked, work_out
from webapp.pages.shown.versions import NewerVersion, TakenVersion
from webapp.pages.web.dependencies import ReadingSession, SignedIn
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.roles import sees_money
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.designs.records import load_design, load_design_of
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.jobs.records import StoredJob, load_job_by_number, save_job
from webapp.persistence.people.users import User
from webapp.persistence.settings.shop import Shop
from webapp.running import running

router = PageRouter()

#: Each is worked out whole to say what it moves, so no more than these are offered at once.
MOST_OFFERED: Final = 3


@router.post("/jobs/{number:int}/items/{item_id}/version")
def take(
    request: Request, session: ReadingSession, user: SignedIn, number: int, item_id: str, posted: PostedFields
) -> Response:
    """Keep an item of a job on another version of its design."""
    job = load_job_by_number(session, number)
    wanted = small_number(dict(posted).get("to", "")) or 0
    document, was = on_version(session, with_ids(job.document), item_id, wanted)

    def keep(writing: Session) -> Response:
        save_job(writing, job.id, document, job.version, at=running(request).now(), by=user.id)
        return RedirectResponse(f"/jobs/{number}?taken={quote(item_id, safe='')}:{was}", 303)

    return in_one_write(request, keep)


def on_version(session: Session, document: Mapping[str, Any], item_id: str, version: int) -> tuple[dict[str, Any], int]:
    """A job's form with an item on another version of its design, and the one it stood on. Raises NotKept."""
    item = next((one for one in document.get("items", ()) if one.get("id") == item_id and not is_list(one)), None)
    if item is None:
        raise NotKept("item of the job", item_id[:60])
    was = load_design_of(session, item)
    now = load_design(session, was.code, version)
    return with_version(document, item_id, version, was.document, now.document), was.version


def with_versions(
    session: Session, page: JobPage, job: StoredJob, worked: Worked, shop: Shop, today: date, user: User,
    taken: str = "",
) -> JobPage:  # fmt: skip
    """The sheet with the newer versions that there are of what it is made from, and with how many other ways the job
    has; `taken` is 'item:version before' where one was taken just now."""
    newer: list[NewerVersion] = []
    for item in worked.document.get("items", ()):
        if is_list(item) or len(newer) == MOST_OFFERED:
            continue
        one = _newer(session, job, worked, item, shop, today, user)
        if one is not None:
            newer.append(one)
    return replace(page, newer=tuple(newer), taken=_taken(worked, taken), ways=len(worked.job.alternates))


def _newer(
    session: Session, job: StoredJob, worked: Worked, item: Mapping[str, Any], shop: Shop, today: date, user: User
) -> NewerVersion | None:
    try:
        was = load_design_of(session, item)
        last = load_design(session, was.code)
    except NotKept:
        return None
    if was.version >= last.version:
        return None
    item_id = str(item["id"])
    href = f"/designs/{was.code}/compare?from={was.version}&to={last.version}&job={job.number}&item={quote(item_id)}"
    document = with_version(worked.document, item_id, last.version, was.document, last.document)
    now = work_out(session, document, shop, today, job)
    both, unread = both_worked((worked.inputs, worked.estimate), (now.inputs, now.estimate), item_id, was, last)
    if both is None:
        return NewerVersion(item_id, was.version, last.version, unread.rstrip("."), href)
    moved = moved_by_version(both, reader_of(shop), money=sees_money(user))
    return NewerVersion(item_id, was.version, last.version, moved.said, href, moved.wrong)


def _taken(worked: Worked, taken: str) -> TakenVersion | None:
    """What was taken just now, as the address says it, with what the sheet says against its item since."""
    item_id, _, before = taken.rpartition(":")
    was = small_number(before)
    items = worked.document.get("items", ())
    place = next((place for place, one in enumerate(items, 1) if one["id"] == item_id), 0)
    number = small_number(str(items[place - 1].get("version", ""))) if place else None
    if was is None or number is None or number == was:
        return None
    own = {f"items.{item_id}", f"items.{place}"}
    said = (one.message for one in worked.estimate.problems if ".".join(one.field.split(".")[:2]) in own)
    return TakenVersion(item_id, was, number, tuple(dict.fromkeys(said)))
