"""Cutting questions to be worked on in the background: each once, claimed under a lease, with how far it has come.

All of it may be thrown away at any moment: the plans themselves are kept elsewhere, as they get better.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Any, Final, Literal
from uuid import UUID

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, delete, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.costing.errors import FormError
from webapp.costing.plans.documents import read_request, write_request
from webapp.costing.plans.requests import Plan, Request
from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.clearing import A_TURN, clear_some
from webapp.persistence.foundation.column_types import CanonicalJson, Exact
from webapp.persistence.foundation.inserting import insert_into
from webapp.persistence.foundation.leases import (
    LEASE,
    Leased,
    LeaseState,
    claim_first,
    hand_back,
    keep_on,
    states_known,
    stop_work,
    take_up,
)
from webapp.persistence.foundation.turns import take_turn
from webapp.persistence.jobs.records import JobRow

#: What a worker does after it has said how far it is.
Onward = Literal["on", "stop", "give way", "lost"]

#: How long is remembered that a question has been looked into.
REMEMBERED: Final = timedelta(days=90)


class PlanTaskRow(Leased, Row):
    """One question, under the digest that its plans are kept under."""

    __tablename__ = "plan_tasks"
    __table_args__ = (states_known(), CheckConstraint("kind IN ('cut')", name="kind"))

    kind: Mapped[str]
    request: Mapped[dict[str, Any]] = mapped_column(CanonicalJson)
    first_price: Mapped[Fraction] = mapped_column(Exact)
    price: Mapped[Fraction] = mapped_column(Exact)
    bound: Mapped[Fraction] = mapped_column(Exact)
    proved: Mapped[bool]
    steps: Mapped[int] = mapped_column(BigInteger)
    spent_ms: Mapped[int]
    wanted_ms: Mapped[int]
    created_at: Mapped[datetime]


class PlanWishRow(Row):
    """That a job, as it was last looked at, asks a question."""

    __tablename__ = "plan_wishes"

    job_id: Mapped[UUID] = mapped_column(ForeignKey("jobs.id", ondelete="CASCADE"), primary_key=True)
    key: Mapped[str] = mapped_column(ForeignKey("plan_tasks.key", ondelete="CASCADE"), primary_key=True, index=True)


@dataclass(frozen=True, slots=True)
class Question:
    """A cutting question with its digest and the best plan known when it is asked."""

    key: str
    request: Request
    plan: Plan


@dataclass(frozen=True, slots=True)
class PlanTask:
    """How far a question has come; `first_price` is that of the plan when it was first asked, times are in ms."""

    key: str
    state: LeaseState
    first_price: Fraction
    price: Fraction
    bound: Fraction
    proved: bool
    steps: int
    spent_ms: int
    wanted_ms: int
    stop_asked: bool
    why: str
    progress_at: datetime

    @property
    def goes_on(self) -> bool:
        """Whether a better plan may still come of itself."""
        return self.state in ("waiting", "running")


@dataclass(frozen=True, slots=True)
class Claimed:
    """A task that a worker holds: its question, and how much time was spent on it and is left, in ms."""

    key: str
    request: Request
    spent_ms: int
    wanted_ms: int


@dataclass(frozen=True, slots=True)
class Progress:
    """What a worker has come to: the best plan so far, and the time spent on the question in all, in ms."""

    plan: Plan
    spent_ms: int


def ask(session: Session, job_id: UUID, questions: Sequence[Question], *, wanted_ms: int, at: datetime) -> None:
    """Let a job ask these questions and none else; those that nobody asks any more are dropped.

    A question that was looked into before is not looked into again, as long as that is remembered.
    """
    take_turn(session, "plan tasks")
    session.execute(delete(PlanWishRow).where(PlanWishRow.job_id == job_id))
    ask_too(session, [job_id], questions, wanted_ms=wanted_ms, at=at)
    row = PlanTaskRow
    session.execute(delete(row).where(row.state.in_(("waiting", "running")), row.key.not_in(select(PlanWishRow.key))))


def ask_too(
    session: Session, job_ids: Collection[UUID], questions: Sequence[Question], *, wanted_ms: int, at: datetime
) -> None:
    """Let several jobs ask these questions of theirs together, beside what each asks for itself. One that asks for
    itself anew lets go of them; the others ask on."""
    take_turn(session, "plan tasks")
    for one in sorted(questions, key=lambda question: question.key):
        plan = one.plan
        made = insert_into(session, PlanTaskRow).values(
            key=one.key, kind="cut", request=write_request(one.request), state="waiting", tries=0,
            first_price=plan.price, price=plan.price, bound=plan.bound, proved=plan.proved, steps=0, spent_ms=0,
            wanted_ms=wanted_ms, stop_asked=False, why="", created_at=at, asked_at=at, progress_at=at,
        )  # fmt: skip
        session.execute(made.on_conflict_do_update(index_elements=[PlanTaskRow.key], set_={"asked_at": at}))
        for job_id in sorted(job_ids):
            wish = insert_into(session, PlanWishRow).values(job_id=job_id, key=one.key)
            session.execute(wish.on_conflict_do_nothing())


def forget_wishes(session: Session, at: datetime, most: int = A_TURN) -> int:
    """Let some of the jobs that were closed long ago ask nothing any more, and say how many wishes were met."""
    take_turn(session, "plan tasks")
    closed = select(JobRow.id).where(JobRow.state != "open", JobRow.updated_at < at - REMEMBERED)
    return clear_some(session, PlanWishRow.job_id, PlanWishRow.job_id.in_(closed), most=most)


def forget_tasks(session: Session, at: datetime, most: int = A_TURN) -> int:
    """Forget some of the questions that rest, that were looked into long ago and that no job asks; say how many."""
    take_turn(session, "plan tasks")
    row = PlanTaskRow
    return clear_some(
        session, row.key, row.state.in_(("done", "stopped", "failed")), row.progress_at < at - REMEMBERED,
        row.key.not_in(select(PlanWishRow.key)), most=most,
    )  # fmt: skip


def wishes_of(session: Session, job_id: UUID) -> set[str]:
    """The questions a job asks."""
    return set(session.scalars(select(PlanWishRow.key).where(PlanWishRow.job_id == job_id)))


def tasks_of(session: Session, keys: Collection[str]) -> dict[str, PlanTask]:
    """How far the questions with these digests have come, as far as they were asked."""
    row = PlanTaskRow
    columns = (
        row.key, row.state, row.first_price, row.price, row.bound, row.proved, row.steps, row.spent_ms, row.wanted_ms,
        row.stop_asked, row.why, row.progress_at,
    )  # fmt: skip
    found = session.execute(select(*columns).where(row.key.in_(sorted(keys)))).all()
    return {one.key: PlanTask(**one._mapping) for one in found}


def ask_to_stop(session: Session, key: str, *, at: datetime) -> None:
    """Leave a question at the plan it has; a worker that is at it hears of it with its next word."""
    stop_work(session, PlanTaskRow, key, at=at)


def go_on(session: Session, key: str, *, further_ms: int, at: datetime) -> None:
    """Look further into a question that rests, for so long again."""
    row = PlanTaskRow
    take_up(session, row, key, ("done", "stopped", "failed"), at=at, wanted_ms=row.spent_ms + further_ms)


def claim(session: Session, holder: str, *, at: datetime, lease: timedelta = LEASE) -> Claimed | None:
    """Take the task that waits with the least time spent on it, or whose worker is gone; needs a writing session."""
    row = PlanTaskRow
    taken = claim_first(
        session, row, holder, at=at, lease=lease, broke_off="The search broke off",
        order=(row.spent_ms, row.asked_at.desc(), row.key),
        columns=(row.key, row.request, row.spent_ms, row.wanted_ms),
    )  # fmt: skip
    if taken is None:
        return None
    try:
        return Claimed(taken.key, read_request(taken.request), taken.spent_ms, taken.wanted_ms)
    except FormError as error:
        # Kept by a program of another version.
        let_go(session, taken.key, holder, "failed", at=at, why=str(error))
        return claim(session, holder, at=at, lease=lease)


def note_progress(
    session: Session, key: str, holder: str, progress: Progress, *, at: datetime, lease: timedelta = LEASE
) -> Onward:
    """Say how far a held task is, which renews its lease, and hear how to go on."""
    row, plan = PlanTaskRow, progress.plan
    onward = keep_on(
        session, row, key, holder, at=at, lease=lease, price=plan.price, bound=plan.bound, proved=plan.proved,
        steps=plan.steps, spent_ms=progress.spent_ms,
    )  # fmt: skip
    if onward != "on":
        return onward
    others = select(row.key).where(row.state == "waiting", row.spent_ms < progress.spent_ms).limit(1)
    return "give way" if session.execute(others).first() is not None else "on"


def let_go(session: Session, key: str, holder: str, state: LeaseState, *, at: datetime, why: str = "") -> None:
    """Give a held task up: done, stopped or failed, or waiting for whoever takes it next. One that is lost stays so."""
    hand_back(session, PlanTaskRow, key, holder, state, at=at, why=why)
