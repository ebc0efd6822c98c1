"""Cut plans found before, by what was asked: a cache that may be thrown away at any moment."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import Any, Final

from sqlalchemy import delete, select
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.base import Row
from webapp.persistence.column_types import CanonicalJson, Exact

_AT_ONCE: Final = 500


class PlanRow(Row):
    """A cut plan under the digest of its question."""

    __tablename__ = "plans"

    key: Mapped[str] = mapped_column(primary_key=True)
    plan: Mapped[dict[str, Any]] = mapped_column(CanonicalJson)
    price: Mapped[Fraction] = mapped_column(Exact)
    created_at: Mapped[datetime] = mapped_column(index=True)


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A cut plan as a document, with the price of what it buys."""

    plan: Mapping[str, Any]
    price: Fraction


def get_many(session: Session, keys: Collection[str]) -> dict[str, KeptPlan]:
    """The plans that are kept under any of the keys."""
    found: dict[str, KeptPlan] = {}
    wanted = sorted(set(keys))
    for start in range(0, len(wanted), _AT_ONCE):
        some = wanted[start : start + _AT_ONCE]
        rows = session.execute(select(PlanRow.key, PlanRow.plan, PlanRow.price).where(PlanRow.key.in_(some)))
        found.update({row.key: KeptPlan(row.plan, row.price) for row in rows})
    return found


def put_many(session: Session, plans: Mapping[str, KeptPlan], *, at: datetime) -> None:
    """Keep plans. One kept before gives way, so that two who found the same plan at once don't quarrel."""
    insert = postgresql.insert if session.get_bind().dialect.name == "postgresql" else sqlite.insert
    for key, kept in sorted(plans.items()):
        statement = insert(PlanRow).values(key=key, plan=dict(kept.plan), price=kept.price, created_at=at)
        given = {"plan": statement.excluded.plan, "price": statement.excluded.price, "created_at": at}
        session.execute(statement.on_conflict_do_update(index_elements=[PlanRow.key], set_=given))


def prune(session: Session, *, older_than: datetime) -> int:
    """Throw away plans kept before a moment, and say how many."""
    gone = session.execute(delete(PlanRow).where(PlanRow.created_at < older_than).returning(PlanRow.key)).all()
    return len(gone)
