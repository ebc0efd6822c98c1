"""The search for better cut plans as the job's sheet follows it: asked for, looked at, stopped, taken up again."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.cutting.ask.model import Plan, SheetPlan, SheetRequest
from webapp.costing.cutting.hand.pins import pin_of, write_pin
from webapp.costing.estimate.estimate import Estimate
from webapp.documents.printing.paper import reader_of
from webapp.pages.plans.routes import PINNED
from webapp.pages.sheet.form import read_form, with_ids
from webapp.pages.sheet.page import build_page, read_asides, typed_version, work_out
from webapp.pages.sheet.plans import (
    GO_ON,
    STOP,
    TAKE,
    better_known,
    build_plans,
    cut_keys,
    look_for_better,
    plans_digest,
    told_on,
)
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn
from webapp.pages.web.errors import is_part
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.roles import sees_money, typed_by
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.jobs.records import StoredJob, load_job_by_number, save_job
from webapp.persistence.plans.tasks import ask_to_stop, go_on, tasks_of
from webapp.rendering import render
from webapp.running import Running, running

router = PageRouter()


@router.post("/jobs/{number:int}/look-on")
def look_on(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, posted: PostedFields
) -> Response:
    """How good the cut plans of what is typed are by now.

    Better ones are asked for where the typing has come to rest, or by a button; the page is told where its sums stand
    on older plans.
    """
    here, fields = running(request), dict(posted)
    job = load_job_by_number(session, number)
    part = is_part(request)
    document = typed_by(user, read_form(posted, half_typed=not part).document, with_ids(job.document))
    today = shop.today(here.now())
    worked = work_out(session, document, shop, today, job)
    wanted_ms = here.settings.plan_seconds * 1000
    verb, _, key = fields.get("search", "").partition(":")
    known = better_known(session, worked.estimate)
    if verb == TAKE and key in known and sees_money(user):
        return _take(
            request, job, {**document}, worked.estimate, key, known[key][0], typed_version(fields, job), user.id
        )
    if key in cut_keys(worked.estimate):
        _change(here, verb, key, wanted_ms)
    if fields.get("at_rest") or verb:
        look_for_better(here.database, session, job, worked.estimate, wanted_ms, here.now())
    with here.database.reading() as afterwards:
        tasks = tasks_of(afterwards, cut_keys(worked.estimate))
    plans = build_plans(
        worked.estimate, tasks, job, reader_of(shop), here.now(), money=sees_money(user), known=known,
        quoted_keys=told_on(worked.estimate, worked.inputs.plans),
    )  # fmt: skip
    if part:
        stale = fields.get("planned", "") not in ("", plans_digest(worked.estimate))
        return render(request, "sheet/plans.html", plans, headers=_tell(plans.improved) if stale else None)
    page = build_page(
        session, job, worked, shop, today, user, asides=read_asides(posted), version=typed_version(fields, job),
        state=fields.get("state", ""), plans=plans,
    )  # fmt: skip
    return render(request, "jobs/show.html", page)


def _take(
    request: Request, job: StoredJob, document: dict[str, Any], estimate: Estimate, key: str, plan: Plan, version: int,
    by: UUID,
) -> Response:  # fmt: skip
    """Pin a plan in what is typed and keep that, so that the job's sums stand on it from now on.

    Raises StaleSave where somebody saved the job since it was read.
    """
    one = next(one for one in estimate.bought if one.plan_key == key)
    if isinstance(one.request, SheetRequest) and isinstance(plan, SheetPlan):
        pins = document.get(PINNED)
        kept = write_pin(pin_of(one.request, plan.sheets))
        document[PINNED] = {**(pins if isinstance(pins, Mapping) else {}), one.material.code: kept}

    def keep(writing: Session) -> Response:
        save_job(writing, job.id, document, version, at=running(request).now(), by=by)
        leads_to = f"/jobs/{job.number}"
        return Response(headers={"HX-Redirect": leads_to}) if is_part(request) else RedirectResponse(leads_to, 303)

    return in_one_write(request, keep)


def _change(here: Running, verb: str, key: str, wanted_ms: int) -> None:
    with here.database.writing() as session:
        if verb == STOP:
            ask_to_stop(session, key, at=here.now())
        elif verb == GO_ON:
            spent = sum(task.spent_ms for task in tasks_of(session, [key]).values())
            go_on(session, key, further_ms=max(spent, wanted_ms), at=here.now())


def _tell(improved: str) -> Mapping[str, str]:
    """The open page works its sums out anew when it hears this, and says the sentence."""
    said = f"{improved}." if improved else ""
    return {"HX-Trigger": json.dumps({"better-plans": {"said": said}})}
