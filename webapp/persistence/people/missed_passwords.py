"""How often a wrong password was given, for a name or from an address or in all, and how long the next try then waits.

Names that nobody has are counted like those that somebody has, so that waiting tells nothing about who is in the shop.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from ipaddress import IPv6Address, ip_address, ip_network
from typing import Any, Final, Literal

from sqlalchemy import ColumnElement, delete, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.clearing import A_TURN, clear_some
from webapp.persistence.foundation.column_types import CanonicalJson
from webapp.persistence.people.users import is_signed_in_at, name_key

WITHIN: Final = timedelta(minutes=15)
FIRST_WAIT: Final = timedelta(minutes=1)
FORGOTTEN_AFTER: Final = timedelta(days=1)
#: The part of an address of the newer kind that one household or shop is given, all of whose addresses are one's own.
ONE_NETWORK: Final = 64

Over = Literal["name", "address", "all"]


@dataclass(frozen=True, slots=True)
class Limit:
    """How many wrong passwords within a quarter of an hour make the next try wait, and how long it waits at most."""

    free: int
    longest: timedelta


LIMITS: Final[Mapping[Over, Limit]] = {
    "name": Limit(5, timedelta(hours=1)),
    "address": Limit(20, timedelta(hours=1)),
    # Many addresses at once are no shop's people; those it knows are not made to wait for them.
    "all": Limit(200, FIRST_WAIT),
}


@dataclass(frozen=True, slots=True)
class Wait:
    """Until when the next try waits, and over what wrong passwords were counted: a name, an address, or all of them."""

    until: datetime
    over: Over


class MissedRow(Row):
    """The misses counted under one of the limits. Only a digest says which: people type passwords as names."""

    __tablename__ = "missed_passwords"

    who_digest: Mapped[str] = mapped_column(primary_key=True)
    recent: Mapped[list[Any]] = mapped_column(CanonicalJson)
    waits: Mapped[int]
    wait_until: Mapped[datetime | None]
    last_at: Mapped[datetime] = mapped_column(index=True)


def waits_until(session: Session, name: str, address: str, now: datetime) -> Wait | None:
    """Until when nobody may try the name from the address, or None where anybody may now."""
    keys = _digests(name, address)
    rows = {row.who_digest: row.wait_until for row in session.scalars(select(MissedRow).where(_is_one_of(keys)))}
    waits = [
        Wait(until, over)
        for over, key in keys.items()
        if (until := rows.get(key)) is not None
        and until > now
        and not (over == "all" and is_signed_in_at(session, address, now))
    ]
    return max(waits, key=lambda wait: wait.until, default=None)


def note_missed_password(session: Session, name: str, address: str, now: datetime) -> Wait | None:
    """Count a wrong password, and say until when the next try waits.

    So many within fifteen minutes are a wait of one minute; each further one doubles it, up to the longest, until
    fifteen minutes have passed without a wait.
    """
    forget_old_misses(session, now)
    for over, key in _digests(name, address).items():
        _count(_row(session, key, now), LIMITS[over], now)
    session.flush()
    return waits_until(session, name, address, now)


def _count(row: MissedRow, limit: Limit, now: datetime) -> None:
    if row.wait_until is not None and now - row.wait_until > WITHIN:
        row.waits, row.recent = 0, []
    still = [moment for moment in row.recent if now - datetime.fromisoformat(moment) <= WITHIN]
    row.recent = [*still, now.isoformat()][-limit.free :]
    row.last_at = now
    row.wait_until = None
    if row.waits or len(row.recent) >= limit.free:
        row.waits += 1
        row.wait_until = now + min(FIRST_WAIT * 2 ** min(row.waits - 1, 10), limit.longest)


def _row(session: Session, key: str, now: datetime) -> MissedRow:
    """The row to count in; where two count for the first time at once, the second waits for the first."""
    if session.get(MissedRow, key, with_for_update=True) is None:
        with suppress(IntegrityError), session.begin_nested():
            session.add(MissedRow(who_digest=key, recent=[], waits=0, wait_until=None, last_at=now))
    return session.get_one(MissedRow, key, with_for_update=True)


def forget_old_misses(session: Session, at: datetime, most: int = A_TURN) -> int:
    """Forget some of what was counted so long ago that it makes nobody wait, and say of how many."""
    return clear_some(session, MissedRow.who_digest, MissedRow.last_at < at - FORGOTTEN_AFTER, most=most)


def forget_missed_passwords(session: Session, name: str, address: str) -> None:
    """The right password was given: begin counting anew for the name there, and for nothing else."""
    session.execute(delete(MissedRow).where(MissedRow.who_digest == _digests(name, address)["name"]))


def _is_one_of(keys: Mapping[Over, str]) -> ColumnElement[bool]:
    return MissedRow.who_digest.in_(keys.values())


def _digests(name: str, address: str) -> dict[Over, str]:
    """What is counted under: no name holds a new line, so that none is taken for an address or for all."""
    named: dict[Over, str] = {
        "name": f"{name_key(name)}\n{address}", "address": f"\n\n{network_of(address)}", "all": "\n\n\n",
    }  # fmt: skip
    return {over: sha256(text.encode("utf-8", "replace")).hexdigest() for over, text in named.items()}


def network_of(address: str) -> str:
    """The address, or the network of which all addresses are one's own; what is no address stands for itself."""
    try:
        found = ip_address(address)
    except ValueError:
        return address
    if isinstance(found, IPv6Address):
        mapped = found.ipv4_mapped
        return str(mapped) if mapped else str(ip_network((found.packed, ONE_NETWORK), strict=False))
    return str(found)
