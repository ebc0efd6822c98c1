"""Who did something and when, in words."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.documents.printing.paper import day_text
from webapp.persistence.people.users import UserRow
from webapp.persistence.settings.shop import Shop


def names_of(session: Session, ids: Collection[UUID | None]) -> dict[UUID, str]:
    """The names of people by their ids."""
    wanted = {one for one in ids if one is not None}
    return {row.id: row.name for row in session.execute(select(UserRow.id, UserRow.name).where(UserRow.id.in_(wanted)))}


def moment(at: datetime, shop: Shop) -> str:
    """A moment as the shop's clock shows it."""
    there = at.astimezone(ZoneInfo(shop.time_zone))
    return f"{day_text(there.date())}, {there:%H:%M}"
