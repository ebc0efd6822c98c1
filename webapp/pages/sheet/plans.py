"""The cut plans of a job as its sheet tells of them: how good each is, and how the search for a better one goes."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Final
from urllib.parse import quote

from sqlalchemy.orm import Session

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.price_state import MISSING
from webapp.costing.cutting.ask.model import Plan, SheetRequest
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import read_plan
from webapp.costing.plans.again import laid_on
from webapp.costing.plans.rank import saved_by
from webapp.pages.shown.plan import gap_words
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.errors import StoreFull
from webapp.persistence.jobs.records import StoredJob
from webapp.persistence.plans.records import get_many
from webapp.persistence.plans.tasks import PlanTask, Question, ask, tasks_of, wishes_of
from webapp.showing import Reader, counted

STOP: Final = "stop"
GO_ON: Final = "go-on"
TAKE: Final = "take"
#: A question that nobody has touched for longer waits for a worker that isn't there, or is busy.
SOON: Final = timedelta(seconds=30)


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One material that is cut: what its plan costs, how good that is and how it was got, how the search for a better
    one goes, and the button that is offered: what it sends and its words."""

    id: str
    name: str
    href: str
    price: str
    bound: str
    gap: str
    got: str
    search: str
    act: str
    verb: str


@dataclass(frozen=True, slots=True)
class JobPlans:
    """All cut plans of a job; `currency` is empty where no money is shown.

    `looks` says that a better one may come by itself, `at_work` that the search is being worked on or has just been
    asked for; `improved` what has been gained. `price_stays` and `sums_follow` say what a better one does, where the
    sums stand on plans that a price was told on and where not.
    """

    address: str
    currency: str
    rows: tuple[PlanRow, ...]
    improved: str
    looks: bool
    at_work: bool
    price_stays: bool
    sums_follow: bool

    @property
    def heading(self) -> str:
        """What is said of them all while they are folded."""
        if not self.rows:
            return "nothing is cut from sheets or lengths"
        said = [counted(len(self.rows), "plan"), self.improved]
        said.append("better ones are being searched for" if self.at_work else "")
        return "; ".join(filter(None, said))

    @property
    def what_follows(self) -> str:
        """What comes of it when a better plan is found."""
        looks = "Better plans are being searched for"
        if not self.price_stays:
            return f"{looks}; the sums follow when one is found."
        said = f"{looks}. The price stays as quoted; a better plan is offered when one is found"
        return f"{said}, and the sums follow where a plan is none of the quote's." if self.sums_follow else f"{said}."

    @property
    def columns(self) -> tuple[tuple[str, str], ...]:
        """The heads of the table's columns, each with what stands in it."""
        money = ((f"{words}, {self.currency}", "number") for words in ("Plan costs", "Least possible"))
        rest = (("How good", "words"), ("How it was got", "words"), ("Search", "words"))
        return ("Material", "words"), *(money if self.currency else ()), *rest


def plans_digest(estimate: Estimate) -> str:
    """What the sums follow from beside what was typed, as one short text: the cut plans."""
    told = [(one.key, one.plan_key, repr(one.plan)) for one in estimate.bought if one.plan is not None]
    return hashlib.sha256(repr(told).encode()).hexdigest()[:16]


def cut_keys(estimate: Estimate) -> set[str]:
    """The digests of all cutting questions of a job."""
    return {one.plan_key for one in estimate.bought if one.request is not None}


def look_for_better(
    database: Database, session: Session, job: StoredJob, estimate: Estimate, wanted_ms: int, at: datetime
) -> Mapping[str, PlanTask]:
    """Have better plans looked for where a job is open and its plans are not proved, and say how far each is.

    Nothing is written where it was asked for before. `session` is one that reads.
    """
    keys = cut_keys(estimate)
    if job.state == "open":
        wished = wishes_of(session, job.id)
        # What was asked and is proved by now stays asked, so that its plan is kept as long as the job is open.
        questions = [
            Question(one.plan_key, one.request, one.found_plan)
            for one in estimate.bought
            if one.request is not None and one.found_plan is not None and not one.pinned
            and (one.plan_key in wished or not one.found_plan.proved)
        ]  # fmt: skip
        if wished - keys or {one.key for one in questions} - wished:
            # On a full disk the job is still shown; its plans are looked for once there is room.
            with suppress(StoreFull), database.writing() as writing:
                ask(writing, job.id, questions, wanted_ms=wanted_ms, at=at)
                return tasks_of(writing, keys)
    return tasks_of(session, keys)


def better_known(session: Session, estimate: Estimate) -> dict[str, tuple[Plan, Fraction]]:
    """Where sums stand on the plans of a quote: the better ones that are known, and how much less each costs.

    Bought and sawn, by the digest of the question. A price that was told stays until somebody takes them.
    """
    kept = get_many(session, cut_keys(estimate))
    known: dict[str, tuple[Plan, Fraction]] = {}
    for one in estimate.bought:
        if one.request is None or one.plan is None or one.pinned or one.plan_key not in kept:
            continue
        plan = read_plan(kept[one.plan_key].plan)
        less = saved_by(plan, one.plan, one.request)
        if less:
            known[one.plan_key] = plan, less
    return known


def told_on(estimate: Estimate, quoted: Mapping[str, Plan]) -> frozenset[str]:
    """The digests of the questions that the sums answer with the plans of a quote; `quoted` by the material's code."""
    return frozenset(
        one.plan_key
        for one in estimate.bought
        if one.request is not None
        and not one.pinned
        and one.material.code in quoted
        and laid_on(one.request, quoted[one.material.code]) is not None
    )


def build_plans(
    estimate: Estimate,
    tasks: Mapping[str, PlanTask],
    job: StoredJob,
    reader: Reader,
    at: datetime,
    *,
    money: bool,
    known: Mapping[str, tuple[Plan, Fraction]],
    quoted_keys: Collection[str],
) -> JobPlans:
    """The cut plans as they are told of at a moment; `tasks` are those of their questions, `known` as `better_known`
    and `quoted_keys` as `told_on` give them.

    Without `money`, as a helper sees them: how good they are, not what they cost.
    """
    address = f"/jobs/{job.number}"
    rows, gained, searched, stays = list[PlanRow](), Fraction(0), list[PlanTask](), set[bool]()
    for one in sorted(estimate.bought, key=lambda bought: bought.material.name):
        if one.plan is None or not one.purchases:
            continue
        task = None if one.pinned else tasks.get(one.plan_key)
        row = _row(one, task, address, reader, may_ask=job.state == "open", money=money)
        better = known.get(one.plan_key)
        rows.append(row if better is None else _offering(row, one, better[1], reader, money=money))
        if task is not None:
            searched.append(task)
            if task.goes_on:
                stays.add(one.plan_key in quoted_keys)
            gained += _gained(one, task)
    return JobPlans(
        address,
        reader.currency if money else "",
        tuple(rows),
        _improved(gained, reader, money=money),
        any(task.goes_on for task in searched),
        any(task.goes_on and at - task.progress_at < SOON for task in searched),
        price_stays=True in stays,
        sums_follow=False in stays,
    )


def _offering(row: PlanRow, bought: MaterialBought, less: Fraction, reader: Reader, *, money: bool) -> PlanRow:
    """A plan that was quoted, with the better one that is offered in its place."""
    costs = f", {reader.money(less)} less bought and sawn" if money else ""
    row = replace(row, got=f"as it was quoted; a better one is known{costs}")
    if not money or not isinstance(bought.request, SheetRequest):
        return row
    return replace(row, act=f"{TAKE}:{bought.plan_key}", verb="Take the better plan")


def _improved(gained: Fraction, reader: Reader, *, money: bool) -> str:
    if not gained:
        return ""
    return f"Cut plans improved: {reader.money(gained)} less" if money else "Cut plans improved"


def _row(
    bought: MaterialBought, task: PlanTask | None, address: str, reader: Reader, *, may_ask: bool, money: bool
) -> PlanRow:
    plan = bought.plan
    assert plan is not None
    known = bought.price_state != MISSING
    act, verb = _offered(task) if may_ask else ("", "")
    return PlanRow(
        id=f"plan-{bought.plan_key[:12]}",
        name=bought.material.name,
        href=_address_of(bought, address),
        price=(reader.amount(plan.price) if known else "no price yet") if money else "",
        bound=reader.amount(plan.bound) if known and money else "",
        gap=gap_words(plan, reader),
        got=_got(bought, task, reader, money=money),
        search=_search(task),
        act=f"{act}:{bought.plan_key}" if act else "",
        verb=verb,
    )


def _address_of(bought: MaterialBought, address: str) -> str:
    """Sheets are moved by hand on a page of their own; lengths are drawn where it is shown how all is sawn."""
    code = quote(bought.material.code, safe="")
    return f"{address}/plans/{code}" if isinstance(bought.request, SheetRequest) else f"{address}/cut#cut-{code}"


def _gained(bought: MaterialBought, task: PlanTask) -> Fraction:
    """How much less the plan costs than the one that was there when the question was first asked."""
    assert bought.plan is not None
    return max(Fraction(0), task.first_price - bought.plan.price) if bought.price_state != MISSING else Fraction(0)


def _got(bought: MaterialBought, task: PlanTask | None, reader: Reader, *, money: bool) -> str:
    if bought.pinned:
        return "pinned by hand"
    gained = Fraction(0) if task is None else _gained(bought, task)
    if not gained:
        return "first plan"
    return "found by further search" + (f", {reader.money(gained)} less" if money else "")


def _search(task: PlanTask | None) -> str:
    """How the search goes, in words."""
    if task is None:
        return ""
    spent = f"{task.spent_ms // 1000}\u00a0s"
    match task.state:
        case "waiting":
            return f"queued, searched {spent} so far" if task.spent_ms else "queued"
        case "running":
            return "is stopping" if task.stop_asked else f"searching: {spent} of {task.wanted_ms // 1000}\u00a0s"
        case "stopped":
            return f"stopped after {spent}"
        case "failed":
            return task.why
        case "done":
            return f"searched {spent}" if task.spent_ms >= 1000 else "searched less than 1\u00a0s"


def _offered(task: PlanTask | None) -> tuple[str, str]:
    if task is None or task.proved or task.stop_asked:
        return "", ""
    return (STOP, "Stop here") if task.goes_on else (GO_ON, "Search on")
