"""Who did something and when, in words."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.persistence.people.users import UserRow
from webapp.persistence.settings.shop import Shop
from webapp.showing import moment_text


def names_of(session: Session, ids: Collection[UUID | None]) -> dict[UUID, str]:
    """The names of people by their ids."""
    wanted = {one for one in ids if one is not None}
    return {row.id: row.name for row in session.execute(select(UserRow.id, UserRow.name).where(UserRow.id.in_(wanted)))}


def moment(at: datetime, shop: Shop) -> str:
    """A moment as the shop's clock shows it."""
    return moment_text(at, shop.time_zone)
