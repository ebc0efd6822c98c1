"""Designs that somebody is making: each state that one went through, so that every step can be taken back and again.

A state is the whole document, compressed; a design of two hundred rows comes to a few kilobytes.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final, cast
from uuid import UUID, uuid4

from sqlalchemy import ForeignKey, LargeBinary, delete, func, select, update
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.costing.designs.canonical import MOST_CHARACTERS
from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.clearing import A_TURN, clear_some
from webapp.persistence.foundation.errors import NotKept

#: So long one that nobody goes on with waits for its maker.
KEPT_FOR: Final = timedelta(days=180)
#: So much is kept of what was done in a step.
LONGEST_SAID: Final = 400
#: A document's JSON has marks and brackets besides its characters.
_LARGEST: Final = 4 * MOST_CHARACTERS


class MakingRow(Row):
    """A design being made. `code` is the design that it changes, '' for a new one, and `base` the version from which it
    began; `at` is the step that it stands at, `last` the last that can be gone on to again."""

    __tablename__ = "makings"

    id: Mapped[UUID] = mapped_column(primary_key=True)
    user_id: Mapped[UUID] = mapped_column(ForeignKey("users.id", ondelete="CASCADE"), index=True)
    code: Mapped[str]
    base: Mapped[int]
    name: Mapped[str]
    at: Mapped[int]
    last: Mapped[int]
    changed_at: Mapped[datetime] = mapped_column(index=True)


class MakingStepRow(Row):
    """One state of a design being made, and what was done to come to it."""

    __tablename__ = "making_steps"

    making_id: Mapped[UUID] = mapped_column(ForeignKey("makings.id", ondelete="CASCADE"), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True)
    said: Mapped[str]
    document: Mapped[bytes] = mapped_column(LargeBinary)


@dataclass(frozen=True, slots=True)
class Making:
    """A design being made, as it stands: `said` is what was done last, `undone` what going on again would do."""

    id: UUID
    code: str
    base: int
    name: str
    at: int
    last: int
    changed_at: datetime
    document: Mapping[str, Any]
    said: str
    again: str


def begin_making(
    session: Session, user_id: UUID, code: str, base: int, document: Mapping[str, Any], said: str, *, at: datetime
) -> UUID:
    """Begin with a document as step 0, and return the id under which it is gone on with."""
    row = MakingRow(
        id=uuid4(), user_id=user_id, code=code, base=base, name=_name(document), at=0, last=0, changed_at=at
    )  # fmt: skip
    session.add(row)
    session.flush()
    session.add(MakingStepRow(making_id=row.id, number=0, said=said, document=_packed(document)))
    session.flush()
    return row.id


def load_making(session: Session, user_id: UUID, making_id: UUID, step: int | None = None) -> Making:
    """One of a person's designs being made, as it stands or as it was at a step. Raises NotKept."""
    row = session.scalar(select(MakingRow).where(MakingRow.id == making_id, MakingRow.user_id == user_id))
    if row is None:
        raise NotKept("design being made", str(making_id))
    number = row.at if step is None else step
    steps = {
        one.number: one
        for one in session.scalars(
            select(MakingStepRow).where(
                MakingStepRow.making_id == making_id, MakingStepRow.number.in_((number, number + 1))
            )
        )
    }
    if number not in steps or number > row.last:
        raise NotKept("step of a design being made", f"{making_id}, {number}")
    again = steps[number + 1].said if number < row.last and number + 1 in steps else ""
    return Making(
        row.id, row.code, row.base, row.name, number, row.last, row.changed_at, _unpacked(steps[number].document),
        steps[number].said, again,
    )  # fmt: skip


def list_makings(session: Session, user_id: UUID) -> tuple[tuple[UUID, str, str, int, datetime], ...]:
    """A person's designs being made, the last changed first: id, name, code of the design, steps, when."""
    rows = session.scalars(
        select(MakingRow).where(MakingRow.user_id == user_id).order_by(MakingRow.changed_at.desc(), MakingRow.id)
    )
    return tuple((row.id, row.name, row.code, row.at, row.changed_at) for row in rows)


def add_step(
    session: Session, user_id: UUID, making_id: UUID, after: int, document: Mapping[str, Any], said: str, *,
    at: datetime,
) -> int:  # fmt: skip
    """Keep the next state, in place of whatever was undone, and return its step. Raises NotKept where the making is not
    theirs or stands at another step than `after` by now."""
    number = after + 1
    moved = session.execute(
        update(MakingRow)
        .where(MakingRow.id == making_id, MakingRow.user_id == user_id, MakingRow.at == after)
        .values(at=number, last=number, changed_at=at, name=_name(document))
        .returning(MakingRow.id)
    ).first()
    if moved is None:
        raise NotKept("step of a design being made", f"{making_id}, {after}")
    session.execute(
        delete(MakingStepRow).where(MakingStepRow.making_id == making_id, MakingStepRow.number >= number)
    )
    session.add(MakingStepRow(making_id=making_id, number=number, said=said[:LONGEST_SAID], document=_packed(document)))
    session.flush()
    return number


def go_to_step(session: Session, user_id: UUID, making_id: UUID, number: int, *, at: datetime) -> None:
    """Take steps back, or go on to such as were taken back; beyond the first and the last nothing happens."""
    if number >= 0:
        session.execute(
            update(MakingRow)
            .where(MakingRow.id == making_id, MakingRow.user_id == user_id, MakingRow.last >= number)
            .values(at=number, changed_at=at)
        )


def note_kept(session: Session, making_id: UUID, code: str, base: int, *, at: datetime) -> None:
    """Remember that it was kept as a version: what is done from now on begins from that."""
    session.execute(
        update(MakingRow).where(MakingRow.id == making_id).values(code=code, base=base, changed_at=at)
    )


def throw_away_making(session: Session, user_id: UUID, making_id: UUID) -> None:
    """Let go of a design being made; versions that were kept of it stay."""
    session.execute(delete(MakingRow).where(MakingRow.id == making_id, MakingRow.user_id == user_id))


def steps_said(session: Session, making_id: UUID, most: int) -> tuple[tuple[int, str], ...]:
    """What was done, the last first, at most so many."""
    rows = session.execute(
        select(MakingStepRow.number, MakingStepRow.said)
        .where(MakingStepRow.making_id == making_id)
        .order_by(MakingStepRow.number.desc())
        .limit(most)
    )
    return tuple((number, said) for number, said in rows)


def count_makings(session: Session, user_id: UUID) -> int:
    """How many designs a person is making."""
    return session.scalar(select(func.count()).select_from(MakingRow).where(MakingRow.user_id == user_id)) or 0


def forget_makings(session: Session, at: datetime, most: int = A_TURN) -> int:
    """Let go of makings that nobody went on with for half a year; returns how many."""
    return clear_some(session, MakingRow.id, MakingRow.changed_at < at - KEPT_FOR, most=most)


def _name(document: Mapping[str, Any]) -> str:
    name = document.get("name")
    return name[:200] if isinstance(name, str) else ""


def _packed(document: Mapping[str, Any]) -> bytes:
    # The order of names is the order of the rows, so that it is no canonical JSON.
    return zlib.compress(json.dumps(document, ensure_ascii=False, separators=(",", ":")).encode())


def _unpacked(held: bytes) -> Mapping[str, Any]:
    unpack = zlib.decompressobj()
    text = unpack.decompress(held, _LARGEST)
    return cast(Mapping[str, Any], json.loads(text))
