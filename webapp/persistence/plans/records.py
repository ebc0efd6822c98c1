"""Cut plans found before, by what was asked: a cache that may be thrown away at any moment."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Any, Final

from sqlalchemy import select, update
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.costing.estimate.snapshot import read_plan, write_plan
from webapp.costing.plans.key import pieces_key, prices_asked, shape_key, write_prices
from webapp.costing.plans.rank import better_plan
from webapp.costing.plans.requests import Plan, Request
from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.clearing import A_TURN, clear_some
from webapp.persistence.foundation.column_types import CanonicalJson, Exact
from webapp.persistence.foundation.inserting import insert_into
from webapp.persistence.plans.tasks import PlanTaskRow, PlanWishRow

#: A plan that no estimate stood on for so long goes, unless an open job waits for a better one.
KEPT_UNUSED: Final = timedelta(days=180)
#: How exactly it is noted when a plan was used: what is shown each day is written once in that time.
NOTED_EVERY: Final = timedelta(days=7)

_AT_ONCE: Final = 500
#: So many of the last plans of the same pieces are looked at for one that is cut from what is offered.
_LOOKED_AT: Final = 20


class PlanRow(Row):
    """A cut plan under the digest of its question; `pieces` is that of what it cuts, `shape` that of the question
    without its `prices`, where somebody said.

    `used_at` is when an estimate last stood on it, to within `NOTED_EVERY`.
    """

    __tablename__ = "plans"

    key: Mapped[str] = mapped_column(primary_key=True)
    plan: Mapped[dict[str, Any]] = mapped_column(CanonicalJson)
    price: Mapped[Fraction] = mapped_column(Exact)
    pieces: Mapped[str | None] = mapped_column(index=True)
    shape: Mapped[str | None] = mapped_column(index=True)
    prices: Mapped[dict[str, Any] | None] = mapped_column(CanonicalJson)
    created_at: Mapped[datetime] = mapped_column(index=True)
    used_at: Mapped[datetime] = mapped_column(index=True)


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A cut plan as a document, with the price of what it buys, when it was last used and a mark no other plan has."""

    plan: Mapping[str, Any]
    price: Fraction
    used_at: datetime
    mark: str = ""


_PLAN_COLUMNS: Final = select(PlanRow.key, PlanRow.plan, PlanRow.price, PlanRow.created_at, PlanRow.used_at)


def get_many(session: Session, keys: Collection[str]) -> dict[str, KeptPlan]:
    """The plans that are kept under any of the keys."""
    found: dict[str, KeptPlan] = {}
    wanted = sorted(set(keys))
    for start in range(0, len(wanted), _AT_ONCE):
        some = wanted[start : start + _AT_ONCE]
        rows = session.execute(_PLAN_COLUMNS.where(PlanRow.key.in_(some)))
        found.update(
            {row.key: KeptPlan(row.plan, row.price, row.used_at, _mark(row.price, row.created_at)) for row in rows}
        )
    return found


def last_of_pieces(session: Session, pieces: str, stocks: Collection[str]) -> Plan | None:
    """The plan that was kept last of these pieces on none but these stocks, at whatever prices and by whatever method.

    The same pieces may have been cut from another material.
    """
    row, offered = PlanRow, set(stocks)
    newest = session.scalars(
        select(row.plan).where(row.pieces == pieces).order_by(row.created_at.desc()).limit(_LOOKED_AT)
    )
    for kept in newest:
        if {one[0] for one in kept.get("sheets", kept.get("lengths", ()))} <= offered:
            return read_plan(kept)
    return None


@dataclass(frozen=True, slots=True)
class LastOfShape:
    """Which plan was kept last of a question at whatever prices, its mark, and the prices of then."""

    key: str
    mark: str
    prices: dict[str, Any]


def last_of_shape(session: Session, shape: str) -> LastOfShape | None:
    """The plan that was kept or bettered last of a question, whatever its prices were."""
    row = PlanRow
    found = session.execute(
        select(row.key, row.price, row.created_at, row.prices)
        .where(row.shape == shape)
        .order_by(row.created_at.desc(), row.key)
        .limit(1)
    ).one_or_none()
    return None if found is None else LastOfShape(found.key, _mark(found.price, found.created_at), found.prices)


def marks_of(session: Session, keys: Collection[str]) -> dict[str, str]:
    """A short mark of each plan that is kept under any of the keys: another plan has another mark."""
    found: dict[str, str] = {}
    wanted = sorted(set(keys))
    for start in range(0, len(wanted), _AT_ONCE):
        some = wanted[start : start + _AT_ONCE]
        rows = session.execute(select(PlanRow.key, PlanRow.price, PlanRow.created_at).where(PlanRow.key.in_(some)))
        found.update({row.key: _mark(row.price, row.created_at) for row in rows})
    return found


def keep_best(session: Session, key: str, plan: Plan, *, at: datetime, request: Request | None = None) -> Plan:
    """Keep a plan unless a better one is kept, and say which is kept now; of equal ones it is the earlier.

    What either knows of the least possible price is kept with it. Two who come at once wait for each other. `request`
    lets the larger offcut decide between plans that cost the same, and the plan be found by its pieces and for other
    prices.
    """
    found_by: dict[str, Any] = {} if request is None else {
        "pieces": pieces_key(request), "shape": shape_key(request), "prices": write_prices(prices_asked(request)),
    }  # fmt: skip
    new = {"key": key, "plan": write_plan(plan), "price": plan.price, "created_at": at, "used_at": at, **found_by}
    made = (
        insert_into(session, PlanRow)
        .values(new)
        .on_conflict_do_nothing(index_elements=[PlanRow.key])
        .returning(PlanRow.key)
    )
    if session.execute(made).first() is not None:
        return plan
    row = session.scalars(
        select(PlanRow).where(PlanRow.key == key).with_for_update().execution_options(populate_existing=True)
    ).one()
    kept = read_plan(row.plan)
    best = better_plan(kept, plan, request)
    if best != kept:
        # The moment marks the plan, so a second one of the same moment moves on.
        row.plan, row.price = write_plan(best), best.price
        row.created_at = max(at, row.created_at + timedelta(microseconds=1))
        for name, value in found_by.items():
            setattr(row, name, value)
    else:
        # One that was kept before plans were found by these is found by them from now on.
        for name, value in found_by.items():
            if getattr(row, name) is None:
                setattr(row, name, value)
    session.flush()
    return best


def note_used(session: Session, keys: Collection[str], at: datetime) -> None:
    """Note that an estimate stands on the plans that are kept under these keys."""
    wanted = sorted(keys)
    for start in range(0, len(wanted), _AT_ONCE):
        some = wanted[start : start + _AT_ONCE]
        session.execute(update(PlanRow).where(PlanRow.key.in_(some), PlanRow.used_at < at).values(used_at=at))


def forget_plans(session: Session, at: datetime, most: int = A_TURN) -> int:
    """Throw away some of the plans that no estimate stood on for long and no job asks about, and say how many.

    A quote carries the plans that it was worked out on, so none of these is missed by it.
    """
    asked = select(PlanWishRow.key)
    looked_for = select(PlanTaskRow.key).where(PlanTaskRow.state.in_(("waiting", "running")))
    return clear_some(
        session, PlanRow.key, PlanRow.used_at < at - KEPT_UNUSED, PlanRow.key.not_in(asked),
        PlanRow.key.not_in(looked_for), most=most,
    )  # fmt: skip


def _mark(price: Fraction, created_at: datetime) -> str:
    return f"{created_at.isoformat()} {price}"
