"""Work that one at a time does, who claims it under a lease: taken, kept on with, handed back, stopped and taken up."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime, timedelta
from typing import Any, Final, Literal

from sqlalchemy import CheckConstraint, ColumnElement, and_, or_, select, update
from sqlalchemy import Row as Found
from sqlalchemy.orm import InstrumentedAttribute, Mapped, Session, mapped_column

LeaseState = Literal["waiting", "running", "done", "stopped", "failed"]

#: A worker says several times in this time that it is still there; after it, another takes its work over.
LEASE: Final = timedelta(seconds=15)
#: Work that ended its worker so often without any progress is not tried again by itself.
MOST_TRIES: Final = 3


class Leased:
    """Columns of a row of work: `holder` has it until `held_until`; `tries` are the claims since it last got on."""

    key: Mapped[str] = mapped_column(primary_key=True)
    state: Mapped[str] = mapped_column(index=True)
    holder: Mapped[str | None]
    held_until: Mapped[datetime | None]
    tries: Mapped[int]
    stop_asked: Mapped[bool]
    why: Mapped[str]
    asked_at: Mapped[datetime]
    progress_at: Mapped[datetime] = mapped_column(index=True)


def states_known() -> CheckConstraint:
    """The constraint that a row is in one of the states."""
    return CheckConstraint("state IN ('waiting', 'running', 'done', 'stopped', 'failed')", name="state")


def claim_first(
    session: Session, row: type[Leased], holder: str, *, at: datetime, lease: timedelta, broke_off: str,
    order: Sequence[ColumnElement[Any] | InstrumentedAttribute[Any]],
    columns: Sequence[InstrumentedAttribute[Any]], among: Sequence[ColumnElement[bool]] = (),
) -> Found[Any] | None:  # fmt: skip
    """Take the first in an order of what waits, or whose worker is gone, and give these columns of it; needs a writing
    session. What broke off too often fails, for the reason `broke_off`.

    It is one statement, so two workers never come to hold the same.
    """
    gone = and_(row.state == "running", row.held_until < at)
    session.execute(
        update(row)
        .where(gone, row.tries >= MOST_TRIES)
        .values(state="failed", holder=None, why=f"{broke_off} {MOST_TRIES} times.", progress_at=at)
    )
    first = (
        select(row.key)
        .where(or_(row.state == "waiting", gone), *among)
        .order_by(*order)
        .limit(1)
        .with_for_update(skip_locked=True)
        .correlate(None)
    )
    return session.execute(
        update(row)
        .where(row.key == first.scalar_subquery())
        .values(state="running", holder=holder, held_until=at + lease, tries=row.tries + 1, progress_at=at)
        .returning(*columns)
        .execution_options(synchronize_session=False)
    ).first()


def keep_on(
    session: Session, row: type[Leased], key: str, holder: str, *, at: datetime, lease: timedelta, **come_to: Any
) -> Literal["on", "stop", "lost"]:
    """Write down what held work has come to, which renews its lease, and hear how to go on."""
    still = session.execute(
        update(row)
        .where(row.key == key, row.holder == holder, row.state == "running")
        .values(held_until=at + lease, tries=0, progress_at=at, **come_to)
        .returning(row.stop_asked)
        .execution_options(synchronize_session=False)
    ).first()
    return "lost" if still is None else "stop" if still.stop_asked else "on"


def hand_back(
    session: Session, row: type[Leased], key: str, holder: str, state: LeaseState, *, at: datetime, why: str,
    **come_to: Any,
) -> None:  # fmt: skip
    """Give held work up: done, stopped or failed, or waiting for whoever takes it next. What is lost stays so."""
    session.execute(
        update(row)
        .where(row.key == key, row.holder == holder, row.state == "running")
        .values(state=state, holder=None, held_until=None, stop_asked=False, why=why, progress_at=at, **come_to)
    )


def stop_work(session: Session, row: type[Leased], key: str, *, at: datetime) -> None:
    """Leave work as it is; a worker that is at it hears of it with its next word."""
    session.execute(update(row).where(row.key == key, row.state == "waiting").values(state="stopped", progress_at=at))
    session.execute(update(row).where(row.key == key, row.state == "running").values(stop_asked=True))


def take_up(
    session: Session, row: type[Leased], key: str, resting: Collection[LeaseState], *, at: datetime, **anew: Any
) -> None:
    """Let work wait for a worker again, where it is in one of these states."""
    session.execute(
        update(row)
        .where(row.key == key, row.state.in_(resting))
        .values(state="waiting", stop_asked=False, tries=0, why="", asked_at=at, progress_at=at, **anew)
    )
