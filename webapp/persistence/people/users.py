"""The people of the shop, what each may do, and who is signed in where."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal, cast
from uuid import UUID, uuid4

from sqlalchemy import CheckConstraint, ForeignKey, delete, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.base import Named, Row
from webapp.persistence.foundation.clearing import A_TURN, clear_some
from webapp.persistence.foundation.errors import LastOwner, NameTaken, NotKept
from webapp.persistence.foundation.turns import take_turn

Role = Literal["owner", "helper"]

OWNER: Final[Role] = "owner"
HELPER: Final[Role] = "helper"
LONGEST_TOLD: Final = 200
"""Of what a browser says of itself, so much is kept."""


class UserRow(Named, Row):
    """A person who may sign in. `name_key` is the name as it is compared: folded, without spaces at its ends."""

    __tablename__ = "users"
    __table_args__ = (CheckConstraint("role IN ('owner', 'helper')", name="role"),)

    name: Mapped[str]
    name_key: Mapped[str] = mapped_column(unique=True)
    password_hash: Mapped[str]
    role: Mapped[str]
    is_demo: Mapped[bool]
    added_at: Mapped[datetime]
    retired_at: Mapped[datetime | None]


class SignInRow(Row):
    """One browser that is signed in. Only the digest of its key is kept, so that a copy of the store opens nothing."""

    __tablename__ = "sign_in_sessions"

    key_digest: Mapped[str] = mapped_column(primary_key=True)
    user_id: Mapped[UUID] = mapped_column(ForeignKey("users.id", ondelete="CASCADE"), index=True)
    started_at: Mapped[datetime]
    ends_at: Mapped[datetime] = mapped_column(index=True)
    address: Mapped[str | None]
    browser: Mapped[str | None]


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


@dataclass(frozen=True, slots=True)
class Person:
    """A person as the list of people shows them."""

    user: User
    added_at: datetime
    retired_at: datetime | None


@dataclass(frozen=True, slots=True)
class OpenSignIn:
    """One browser that is signed in, as its owner sees it. The digest only tells one from another."""

    key_digest: str
    started_at: datetime
    ends_at: datetime
    address: str
    browser: str


def name_key(name: str) -> str:
    """A name as names are compared at sign-in."""
    return " ".join(name.split()).casefold()


def add_user(
    session: Session, *, name: str, password_hash: str, added_at: datetime, role: Role = OWNER, is_demo: bool = False,
    by: UUID | None = None,
) -> User:  # fmt: skip
    """Keep a new person. Raises NameTaken where somebody signs in under the name already."""
    key = name_key(name)
    take_turn(session, "people")
    if session.scalar(select(UserRow.id).where(UserRow.name_key == key)) is not None:
        raise NameTaken(name)
    row = UserRow(
        id=uuid4(),
        name=" ".join(name.split()),
        name_key=key,
        password_hash=password_hash,
        role=role,
        is_demo=is_demo,
        added_at=added_at,
    )
    session.add(row)
    session.flush()
    record(session, HistoryEntry(added_at, by, "added", "person", str(row.id), {"name": row.name, "role": role}))
    return _user(row)


def find_credentials(session: Session, name: str) -> Credentials | None:
    """What a sign-in under the name is checked against, or None where nobody has it or they have been retired."""
    row = session.scalar(select(UserRow).where(UserRow.name_key == name_key(name), UserRow.retired_at.is_(None)))
    return None if row is None else Credentials(_user(row), row.password_hash)


def start_sign_in(
    session: Session, user_id: UUID, key_digest: str, now: datetime, lasts: timedelta, address: str = "",
    browser: str = "",
) -> None:  # fmt: skip
    """Keep a sign-in, and clear away some of those that have ended."""
    _row(session, user_id)
    forget_ended_sign_ins(session, now)
    session.add(
        SignInRow(
            key_digest=key_digest, user_id=user_id, started_at=now, ends_at=now + lasts, address=address[:LONGEST_TOLD],
            browser=browser[:LONGEST_TOLD],
        )
    )  # fmt: skip


def forget_ended_sign_ins(session: Session, at: datetime, most: int = A_TURN) -> int:
    """Clear away some of the sign-ins whose time is over, and say how many."""
    return clear_some(session, SignInRow.key_digest, SignInRow.ends_at <= at, most=most)


def find_signed_in(session: Session, key_digest: str, now: datetime) -> User | None:
    """Who is signed in with the key, or None once its time is over."""
    row = session.scalar(
        select(UserRow)
        .join(SignInRow, SignInRow.user_id == UserRow.id)
        .where(SignInRow.key_digest == key_digest, SignInRow.ends_at > now, UserRow.retired_at.is_(None))
    )
    return None if row is None else _user(row)


def is_of_the_shop(session: Session, user_id: UUID) -> bool:
    """Whether somebody may sign in under the id, signed in or not."""
    held = select(UserRow.id).where(UserRow.id == user_id, UserRow.retired_at.is_(None))
    return session.scalar(held) is not None


def is_signed_in_at(session: Session, address: str, now: datetime) -> bool:
    """Whether somebody of the shop is signed in at an address."""
    held = select(SignInRow.key_digest).where(SignInRow.address == address, SignInRow.ends_at > now)
    return bool(address) and session.scalars(held.limit(1)).first() is not None


def end_sign_in(session: Session, key_digest: str) -> None:
    """Sign one browser out."""
    session.execute(delete(SignInRow).where(SignInRow.key_digest == key_digest))


def open_sign_ins(session: Session, user_id: UUID, now: datetime) -> tuple[OpenSignIn, ...]:
    """Where somebody is signed in, the last sign-in first."""
    rows = session.scalars(
        select(SignInRow)
        .where(SignInRow.user_id == user_id, SignInRow.ends_at > now)
        .order_by(SignInRow.started_at.desc(), SignInRow.key_digest)
    )
    return tuple(
        OpenSignIn(row.key_digest, row.started_at, row.ends_at, row.address or "", row.browser or "") for row in rows
    )


def end_all_sign_ins(session: Session, user_id: UUID, *, but: str = "") -> None:
    """Sign somebody out of every browser at once, `but` the one with this key's digest."""
    session.execute(delete(SignInRow).where(SignInRow.user_id == user_id, SignInRow.key_digest != but))


def list_people(session: Session) -> tuple[Person, ...]:
    """Everybody, those who have been retired last."""
    rows = session.scalars(select(UserRow).order_by(UserRow.retired_at.is_not(None), UserRow.name_key))
    return tuple(_person(row) for row in rows)


def load_person(session: Session, user_id: UUID) -> Person:
    """One person. Raises NotKept."""
    row = session.get(UserRow, user_id)
    if row is None:
        raise NotKept("person", user_id)
    return _person(row)


def rename_user(session: Session, user_id: UUID, name: str, *, at: datetime, by: UUID) -> None:
    """Give a person another name to sign in with. Raises NotKept, and NameTaken where another one has it."""
    row = _row(session, user_id)
    given, key = " ".join(name.split()), name_key(name)
    if given == row.name:
        return
    if session.scalar(select(UserRow.id).where(UserRow.name_key == key, UserRow.id != user_id)) is not None:
        raise NameTaken(name)
    record(session, HistoryEntry(at, by, "renamed", "person", str(user_id), {"name": given, "before": row.name}))
    row.name, row.name_key = given, key


def change_role(session: Session, user_id: UUID, role: Role, *, at: datetime, by: UUID) -> None:
    """Make a person an owner or a helper. Raises NotKept, and LastOwner where nobody would be left to own the shop."""
    owners = _owners(session)
    row = _row(session, user_id)
    if row.role == role:
        return
    if owners == {user_id}:
        raise LastOwner(row.name)
    row.role = role
    record(session, HistoryEntry(at, by, f"made {role}", "person", str(user_id), {"name": row.name}))


def set_retired(session: Session, user_id: UUID, retired: bool, *, at: datetime, by: UUID) -> None:
    """Retire a person, which signs them out at once, or bring them back. Raises NotKept and LastOwner."""
    owners = _owners(session)
    row = _row(session, user_id)
    if (row.retired_at is not None) == retired:
        return
    if retired and owners == {user_id}:
        raise LastOwner(row.name)
    row.retired_at = at if retired else None
    if retired:
        end_all_sign_ins(session, user_id)
    what = "retired" if retired else "brought back"
    record(session, HistoryEntry(at, by, what, "person", str(user_id), {"name": row.name}))


def set_password(
    session: Session, user_id: UUID, password_hash: str, *, at: datetime, by: UUID, keep: str = ""
) -> None:
    """Keep another password, and sign its person out of every browser but the one with the digest `keep`."""
    row = _row(session, user_id)
    row.password_hash = password_hash
    end_all_sign_ins(session, user_id, but=keep)
    record(session, HistoryEntry(at, by, "given a new password", "person", str(user_id), {"name": row.name}))


def _row(session: Session, user_id: UUID) -> UserRow:
    row = session.get(UserRow, user_id, with_for_update=True)
    if row is None:
        raise NotKept("person", user_id)
    return row


def _owners(session: Session) -> set[UUID]:
    """Who owns the shop now, held until the transaction ends, so that two owners can't retire each other at once."""
    return set(
        session.scalars(select(UserRow.id).where(UserRow.role == OWNER, UserRow.retired_at.is_(None)).with_for_update())
    )


def _person(row: UserRow) -> Person:
    return Person(_user(row), row.added_at, row.retired_at)


def _user(row: UserRow) -> User:
    return User(row.id, row.name, cast(Role, row.role), row.is_demo)
