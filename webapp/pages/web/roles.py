"""Whose part of a job is whose: a helper's form holds the work, and the terms stay as an owner left them.

A helper who buys sees what to buy, and what the catalogue says that it costs, since helpers keep those prices. What a
free line costs was agreed for the job, and is the owner's on every page, paper and file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.helper_view import OF_THE_WORK, Work, work_of
from webapp.costing.jobs.job import Job
from webapp.persistence.people.users import OWNER, User

#: Parts of a job's document that its sheet has no field for: they have a page of their own.
OFF_THE_SHEET: Final = frozenset({"pinned", "buying", "alternates"})
#: Of a free line a helper sees what is to be done, not what it costs.
OF_A_LINE: Final = frozenset({"id", "kind", "says", "quantity", "minutes"})


def sees_money(user: User) -> bool:
    """Whether somebody sees what the shop charges and keeps."""
    return user.role == OWNER


def seen_by(user: User, estimate: Estimate, job: Job) -> Estimate | Work:
    """An estimate as far as somebody may see it."""
    return estimate if sees_money(user) else work_of(estimate, job)


def job_seen_by(user: User, job: Job) -> Job:
    """A job as far as somebody may see it: what is to be bought and done for it, without what its free lines cost."""
    if sees_money(user):
        return job
    return replace(job, lines=tuple(replace(line, each=None, carriage=None, waiver=None) for line in job.lines))


def typed_by(user: User, document: Mapping[str, Any], stored: Mapping[str, Any]) -> dict[str, Any]:
    """A typed document as it counts: what a helper may not set or the sheet doesn't show stays as it is kept."""
    if sees_money(user):
        off = {name: value for name, value in stored.items() if name in OFF_THE_SHEET}
        return {**{name: value for name, value in document.items() if name not in OFF_THE_SHEET}, **off}
    own = {name: value for name, value in document.items() if name in OF_THE_WORK}
    return {**own, **{name: value for name, value in stored.items() if name not in OF_THE_WORK}}


def shown_to(user: User, document: Mapping[str, Any]) -> dict[str, Any]:
    """A document as far as somebody may see it."""
    if sees_money(user):
        return dict(document)
    shown = {name: value for name, value in document.items() if name in OF_THE_WORK | OFF_THE_SHEET}
    lines = document.get("lines")
    if isinstance(lines, list | tuple) and lines:
        shown["lines"] = [
            {name: value for name, value in line.items() if name in OF_A_LINE}
            for line in lines
            if isinstance(line, Mapping)
        ]
    return shown
