"""The people of the shop, how often a password was missed, and who is signed in where."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal, cast
from uuid import UUID, uuid4

from sqlalchemy import CheckConstraint, ForeignKey, delete, func, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.base import Named, Row
from webapp.persistence.errors import NameTaken, NotKept

Role = Literal["owner"]

FREE_ATTEMPTS: Final = 3
LONGEST_WAIT: Final = timedelta(minutes=5)


class UserRow(Named, Row):
    """A person who may sign in. `name_key` is the name as it is compared: folded, without spaces at its ends."""

    __tablename__ = "users"
    __table_args__ = (CheckConstraint("role IN ('owner')", name="role"),)

    name: Mapped[str]
    name_key: Mapped[str] = mapped_column(unique=True)
    password_hash: Mapped[str]
    role: Mapped[str]
    is_demo: Mapped[bool]
    failed_attempts: Mapped[int] = mapped_column(default=0)
    wait_until: Mapped[datetime | None]
    added_at: Mapped[datetime]


class SignInRow(Row):
    """One browser that is signed in. Only the digest of its key is kept, so that a copy of the store opens nothing."""

    __tablename__ = "sign_in_sessions"

    key_digest: Mapped[str] = mapped_column(primary_key=True)
    user_id: Mapped[UUID] = mapped_column(ForeignKey("users.id", ondelete="CASCADE"), index=True)
    started_at: Mapped[datetime]
    ends_at: Mapped[datetime] = mapped_column(index=True)


@dataclass(frozen=True, slots=True)
class User:
    """A person of the shop. A demo user signs in from the same machine only."""

    id: UUID
    name: str
    role: Role
    is_demo: bool


@dataclass(frozen=True, slots=True)
class Credentials:
    """What a sign-in is checked against."""

    user: User
    password_hash: str
    wait_until: datetime | None


def name_key(name: str) -> str:
    """A name as names are compared at sign-in."""
    return " ".join(name.split()).casefold()


def add_user(
    session: Session, *, name: str, password_hash: str, added_at: datetime, role: Role = "owner", is_demo: bool = False
) -> User:
    """Keep a new person. Raises NameTaken where somebody signs in under the name already."""
    key = name_key(name)
    if session.scalar(select(UserRow.id).where(UserRow.name_key == key)) is not None:
        raise NameTaken(name)
    row = UserRow(
        id=uuid4(),
        name=" ".join(name.split()),
        name_key=key,
        password_hash=password_hash,
        role=role,
        is_demo=is_demo,
        failed_attempts=0,
        added_at=added_at,
    )
    session.add(row)
    session.flush()
    return _user(row)


def find_credentials(session: Session, name: str) -> Credentials | None:
    """What a sign-in under the name is checked against, or None where nobody has it."""
    row = session.scalar(select(UserRow).where(UserRow.name_key == name_key(name)))
    return None if row is None else Credentials(_user(row), row.password_hash, row.wait_until)


def note_missed_password(session: Session, user_id: UUID, now: datetime) -> datetime | None:
    """Count a missed password and say until when the next try waits: not for three, then 2, 4, 8 ... seconds."""
    row = _row(session, user_id)
    row.failed_attempts += 1
    beyond = row.failed_attempts - FREE_ATTEMPTS
    if beyond > 0:
        row.wait_until = now + min(timedelta(seconds=2 ** min(beyond, 20)), LONGEST_WAIT)
    return row.wait_until


def start_sign_in(session: Session, user_id: UUID, key_digest: str, now: datetime, lasts: timedelta) -> None:
    """Keep a sign-in, forget the passwords missed before it, and clear away sign-ins that have ended."""
    row = _row(session, user_id)
    row.failed_attempts, row.wait_until = 0, None
    session.execute(delete(SignInRow).where(SignInRow.ends_at <= now))
    session.add(SignInRow(key_digest=key_digest, user_id=user_id, started_at=now, ends_at=now + lasts))


def find_signed_in(session: Session, key_digest: str, now: datetime) -> User | None:
    """Who is signed in with the key, or None once its time is over."""
    row = session.scalar(
        select(UserRow)
        .join(SignInRow, SignInRow.user_id == UserRow.id)
        .where(SignInRow.key_digest == key_digest, SignInRow.ends_at > now)
    )
    return None if row is None else _user(row)


def end_sign_in(session: Session, key_digest: str) -> None:
    """Sign one browser out."""
    session.execute(delete(SignInRow).where(SignInRow.key_digest == key_digest))


def count_users(session: Session) -> int:
    """How many people may sign in."""
    return session.scalar(select(func.count()).select_from(UserRow)) or 0


def _row(session: Session, user_id: UUID) -> UserRow:
    row = session.get(UserRow, user_id, with_for_update=True)
    if row is None:
        raise NotKept("person", user_id)
    return row


def _user(row: UserRow) -> User:
    return User(row.id, row.name, cast(Role, row.role), row.is_demo)
