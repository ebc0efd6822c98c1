"""Sweeps to be worked on in the background: each once, claimed under a lease, with all that is done of it so far.

All of it may be thrown away at any moment: a sweep is worked out anew from its design.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final, Literal

from sqlalchemy import select, update
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.clearing import A_TURN, clear_some
from webapp.persistence.foundation.column_types import CanonicalJson, OrderedJson
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

#: What a worker does after it has said how far it is.
Onward = Literal["on", "stop", "lost"]

#: How long a sweep is kept that nobody asked for again.
REMEMBERED: Final = timedelta(days=90)


class SweepRow(Leased, Row):
    """One sweep, by a digest of the text and of how it is written; `code` and `name` are of its design, `document` its
    whole text, and `basis` what else it went by: materials and rates, in a word."""

    __tablename__ = "sweeps"
    __table_args__ = (states_known(),)

    code: Mapped[str] = mapped_column(index=True)
    name: Mapped[str]
    document: Mapped[dict[str, Any]] = mapped_column(OrderedJson)
    basis: Mapped[str]
    judged: Mapped[int]
    cases: Mapped[int]
    done: Mapped[dict[str, Any]] = mapped_column(CanonicalJson)
    result: Mapped[dict[str, Any] | None] = mapped_column(CanonicalJson)


@dataclass(frozen=True, slots=True)
class Sweep:
    """How far a sweep is, and what it came to once it is done; `judged` of its `cases`, 0 of 0 before it has begun."""

    key: str
    code: str
    name: str
    basis: str
    state: LeaseState
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
    take_up(session, SweepRow, key, ("stopped", "failed"), at=at)


def ask_to_stop(session: Session, key: str, *, at: datetime) -> None:
    """Leave a sweep as it is; a worker that is at it hears of it with its next word."""
    stop_work(session, SweepRow, key, at=at)


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
    """Take the sweep that was asked for last, or the one of a key, where it waits or its worker is gone; needs a
    writing session."""
    row = SweepRow
    taken = claim_first(
        session, row, holder, at=at, lease=lease, broke_off="The sweep broke off",
        order=(row.asked_at.desc(), row.key), columns=(row.key, row.document, row.basis, row.done),
        among=[row.key == key] if key is not None else (),
    )  # fmt: skip
    return None if taken is None else ClaimedSweep(**taken._mapping)


def note_progress(
    session: Session, key: str, holder: str, progress: Progress, *, at: datetime, lease: timedelta = LEASE
) -> Onward:
    """Keep all that is done of a held sweep, which renews its lease, and hear how to go on."""
    return keep_on(
        session, SweepRow, key, holder, at=at, lease=lease, basis=progress.basis, done=dict(progress.done),
        judged=progress.judged, cases=progress.cases,
    )  # fmt: skip


def let_go(
    session: Session, key: str, holder: str, state: LeaseState, *, at: datetime, why: str = "",
    result: Mapping[str, Any] | None = None,
) -> None:  # fmt: skip
    """Give a held sweep up: done with its result, stopped or failed, or waiting for whoever takes it next."""
    ended = {} if result is None else {"result": dict(result), "done": {}}
    hand_back(session, SweepRow, key, holder, state, at=at, why=why, **ended)


def forget_sweeps(session: Session, at: datetime, most: int = A_TURN) -> int:
    """Forget some of the sweeps that rest and that nobody asked for in a long time; say how many."""
    row = SweepRow
    return clear_some(
        session, row.key, row.state.in_(("done", "stopped", "failed")), row.asked_at < at - REMEMBERED, most=most
    )
