"""Sweeps to be worked on in the background: each once, claimed under a lease, with all that is done of it so far.

All of it may be thrown away at any moment: a sweep is worked out anew from its design.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final, Literal

from sqlalchemy import CheckConstraint, and_, or_, select, update
from sqlalchemy.orm import Mapped, Session, aliased, mapped_column

from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.clearing import A_TURN, clear_some
from webapp.persistence.foundation.column_types import CanonicalJson, OrderedJson
from webapp.persistence.foundation.inserting import insert_into

SweepState = Literal["waiting", "running", "done", "stopped", "failed"]
#: What a worker does after it has said how far it is.
Onward = Literal["on", "stop", "lost"]

#: A worker says several times in this time that it is still there; after it, another takes its sweep over.
LEASE: Final = timedelta(seconds=15)
#: A sweep that ended its worker so often without any progress is not tried again by itself.
MOST_TRIES: Final = 3
#: How long a sweep is kept that nobody asked for again.
REMEMBERED: Final = timedelta(days=90)


class SweepRow(Row):
    """One sweep, by a digest of the text and of how it is written; `code` and `name` are of its design, `document` its
    whole text, and `basis` what else it went by: materials and rates, in a word."""

    __tablename__ = "sweeps"
    __table_args__ = (CheckConstraint("state IN ('waiting', 'running', 'done', 'stopped', 'failed')", name="state"),)

    key: Mapped[str] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(index=True)
    name: Mapped[str]
    document: Mapped[dict[str, Any]] = mapped_column(OrderedJson)
    basis: Mapped[str]
    state: Mapped[str] = mapped_column(index=True)
    holder: Mapped[str | None]
    held_until: Mapped[datetime | None]
    tries: Mapped[int]
    judged: Mapped[int]
    cases: Mapped[int]
    done: Mapped[dict[str, Any]] = mapped_column(CanonicalJson)
    result: Mapped[dict[str, Any] | None] = mapped_column(CanonicalJson)
    stop_asked: Mapped[bool]
    why: Mapped[str]
    asked_at: Mapped[datetime]
    progress_at: Mapped[datetime] = mapped_column(index=True)


@dataclass(frozen=True, slots=True)
class Sweep:
    """How far a sweep is, and what it came to once it is done; `judged` of its `cases`, 0 of 0 before it has begun."""

    key: str
    code: str
    name: str
    basis: str
    state: SweepState
    judged: int
    cases: int
    result: Mapping[str, Any] | None
    stop_asked: bool
    why: str
    progress_at: datetime

    @property
    def goes_on(self) -> bool:
        """Whether it is being worked on, or waits to be."""
        return self.state in ("waiting", "running")


@dataclass(frozen=True, slots=True)
class ClaimedSweep:
    """A sweep that a worker holds: the text, what it went by, and what is done."""

    key: str
    document: Mapping[str, Any]
    basis: str
    done: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a worker is: all that is done, and how many of how many cases are judged."""

    basis: str
    done: Mapping[str, Any]
    judged: int
    cases: int


#: The columns of a `Sweep`, which has no use for the whole text and for what is done.
_COLUMNS: Final = tuple(getattr(SweepRow, name) for name in Sweep.__slots__)


def ask(
    session: Session, key: str, code: str, name: str, document: Mapping[str, Any], *, at: datetime, anew: bool = False
) -> None:
    """Ask for a sweep; one that is under way or done stays so, unless it is to be made `anew`."""
    row = SweepRow
    begun: dict[str, Any] = {
        "state": "waiting", "basis": "", "holder": None, "held_until": None, "tries": 0, "judged": 0, "cases": 0,
        "done": {}, "result": None, "stop_asked": False, "why": "", "asked_at": at, "progress_at": at,
    }  # fmt: skip
    made = insert_into(session, row).values(key=key, code=code, name=name, document=dict(document), **begun)
    session.execute(made.on_conflict_do_update(index_elements=[row.key], set_={"asked_at": at}))
    if anew:
        session.execute(update(row).where(row.key == key, row.state.in_(("done", "failed"))).values(**begun))
    go_on(session, key, at=at)


def go_on(session: Session, key: str, *, at: datetime) -> None:
    """Take a sweep that was stopped, or broke off, up where it was."""
    row = SweepRow
    session.execute(
        update(row)
        .where(row.key == key, row.state.in_(("stopped", "failed")))
        .values(state="waiting", stop_asked=False, tries=0, why="", asked_at=at, progress_at=at)
    )


def ask_to_stop(session: Session, key: str, *, at: datetime) -> None:
    """Leave a sweep as it is; a worker that is at it hears of it with its next word."""
    row = SweepRow
    session.execute(update(row).where(row.key == key, row.state == "waiting").values(state="stopped", progress_at=at))
    session.execute(update(row).where(row.key == key, row.state == "running").values(stop_asked=True))


def find_sweep(session: Session, key: str) -> Sweep | None:
    """A sweep by its key."""
    found = session.execute(select(*_COLUMNS).where(SweepRow.key == key)).first()
    return None if found is None else Sweep(**found._mapping)


def swept_text(session: Session, key: str) -> Mapping[str, Any] | None:
    """The text that a sweep is of."""
    return session.scalar(select(SweepRow.document).where(SweepRow.key == key))


def last_done(session: Session, code: str) -> tuple[Sweep, Mapping[str, Any]] | None:
    """The sweep of a design that was done last, whichever text it was of, and that text."""
    row = SweepRow
    of_code = select(*_COLUMNS, row.document).where(row.code == code, row.state == "done")
    found = session.execute(of_code.order_by(row.progress_at.desc()).limit(1)).first()
    if found is None:
        return None
    told = dict(found._mapping)
    document: Mapping[str, Any] = told.pop("document")
    return Sweep(**told), document


def sweep_waits(session: Session) -> bool:
    """Whether a sweep waits for a worker: somebody sits before it."""
    return session.execute(select(SweepRow.key).where(SweepRow.state == "waiting").limit(1)).first() is not None


def claim_sweep(
    session: Session, holder: str, *, at: datetime, key: str | None = None, lease: timedelta = LEASE
) -> ClaimedSweep | None:
    """Take the sweep that was asked for last, or the one of a key, where it waits or its worker is gone.

    It is one statement, so two workers never come to hold the same. Needs a writing session.
    """
    row, waiting = SweepRow, aliased(SweepRow)
    gone = and_(row.state == "running", row.held_until < at)
    session.execute(
        update(row)
        .where(gone, row.tries >= MOST_TRIES)
        .values(state="failed", holder=None, why=f"The sweep broke off {MOST_TRIES} times.", progress_at=at)
    )
    open_ones = or_(waiting.state == "waiting", and_(waiting.state == "running", waiting.held_until < at))
    next_one = (
        select(waiting.key)
        .where(open_ones, *([waiting.key == key] if key is not None else []))
        .order_by(waiting.asked_at.desc(), waiting.key)
        .limit(1)
        .with_for_update(skip_locked=True)
    )
    taken = session.execute(
        update(row)
        .where(row.key == next_one.scalar_subquery())
        .values(state="running", holder=holder, held_until=at + lease, tries=row.tries + 1)
        .returning(row.key, row.document, row.basis, row.done)
        .execution_options(synchronize_session=False)
    ).first()
    return None if taken is None else ClaimedSweep(**taken._mapping)


def note_progress(
    session: Session, key: str, holder: str, progress: Progress, *, at: datetime, lease: timedelta = LEASE
) -> Onward:
    """Keep all that is done of a held sweep, which renews its lease, and hear how to go on."""
    row = SweepRow
    still = session.execute(
        update(row)
        .where(row.key == key, row.holder == holder, row.state == "running")
        .values(
            held_until=at + lease, tries=0, progress_at=at, basis=progress.basis, done=dict(progress.done),
            judged=progress.judged, cases=progress.cases,
        )
        .returning(row.stop_asked)
        .execution_options(synchronize_session=False)
    ).first()  # fmt: skip
    return "lost" if still is None else "stop" if still.stop_asked else "on"


def let_go(
    session: Session, key: str, holder: str, state: SweepState, *, at: datetime, why: str = "",
    result: Mapping[str, Any] | None = None,
) -> None:  # fmt: skip
    """Give a held sweep up: done with its result, stopped or failed, or waiting for whoever takes it next."""
    row = SweepRow
    ended = {} if result is None else {"result": dict(result), "done": {}}
    session.execute(
        update(row)
        .where(row.key == key, row.holder == holder, row.state == "running")
        .values(state=state, holder=None, held_until=None, stop_asked=False, why=why, progress_at=at, **ended)
    )


def forget_sweeps(session: Session, at: datetime, most: int = A_TURN) -> int:
    """Forget some of the sweeps that rest and that nobody asked for in a long time; say how many."""
    row = SweepRow
    return clear_some(
        session, row.key, row.state.in_(("done", "stopped", "failed")), row.asked_at < at - REMEMBERED, most=most
    )
