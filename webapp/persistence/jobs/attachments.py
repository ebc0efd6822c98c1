"""What lies with a job: photographs, sketches and the customer's own drawings, as they are kept."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final
from uuid import UUID

from sqlalchemy import ForeignKey, LargeBinary, func, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.foundation.base import Named, Row
from webapp.persistence.foundation.errors import NotKept, StoreError

#: How much may lie with one job.
MOST: Final = 24


class AttachmentRow(Named, Row):
    """A picture, drawn anew, or a PDF as it came."""

    __tablename__ = "attachments"

    job_id: Mapped[UUID] = mapped_column(ForeignKey("jobs.id"), index=True)
    name: Mapped[str]
    kind: Mapped[str]
    wide: Mapped[int]
    tall: Mapped[int]
    size: Mapped[int]
    content: Mapped[bytes] = mapped_column(LargeBinary)
    added_at: Mapped[datetime]
    added_by: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))


class TooMany(StoreError):
    """A job has as much lying with it as may be."""

    def __init__(self) -> None:
        super().__init__(f"{MOST} pictures and drawings are attached to this job, which is the most. Remove one first.")


@dataclass(frozen=True, slots=True)
class AttachmentListed:
    """What lies with a job, without its bytes; `wide` and `tall` in points are 0 of a PDF."""

    id: UUID
    name: str
    kind: str
    wide: int
    tall: int
    size: int
    added_at: datetime

    @property
    def is_picture(self) -> bool:
        """Whether it can be shown on a page."""
        return self.kind.startswith("image/")


def attachments_of(session: Session, job_id: UUID) -> tuple[AttachmentListed, ...]:
    """All that lies with a job, in the order in which it came."""
    row = AttachmentRow
    statement = select(row.id, row.name, row.kind, row.wide, row.tall, row.size, row.added_at)
    found = session.execute(statement.where(row.job_id == job_id).order_by(row.added_at, row.id))
    return tuple(AttachmentListed(*one) for one in found)


def attach(
    session: Session, attachment: AttachmentListed, job_id: UUID, content: bytes, *, by: UUID | None
) -> None:  # fmt: skip
    """Lay something with a job. Raises TooMany."""
    there = session.scalar(select(func.count()).select_from(AttachmentRow).where(AttachmentRow.job_id == job_id))
    if (there or 0) >= MOST:
        raise TooMany
    session.add(
        AttachmentRow(
            id=attachment.id, job_id=job_id, name=attachment.name, kind=attachment.kind, wide=attachment.wide,
            tall=attachment.tall, size=len(content), content=content,
            added_at=attachment.added_at, added_by=by,
        )
    )  # fmt: skip
    session.flush()


def load_attachment(session: Session, job_id: UUID, attachment_id: UUID) -> tuple[AttachmentListed, bytes]:
    """What lies with a job, with its bytes. Raises NotKept, also for what lies with another job."""
    row = _find(session, job_id, attachment_id)
    listed = AttachmentListed(row.id, row.name, row.kind, row.wide, row.tall, row.size, row.added_at)
    return listed, row.content


def detach(session: Session, job_id: UUID, attachment_id: UUID) -> None:
    """Take something away that lies with a job. Raises NotKept."""
    session.delete(_find(session, job_id, attachment_id))
    session.flush()


def _find(session: Session, job_id: UUID, attachment_id: UUID) -> AttachmentRow:
    found = session.scalar(
        select(AttachmentRow).where(AttachmentRow.id == attachment_id, AttachmentRow.job_id == job_id)
    )
    if found is None:
        raise NotKept("picture or drawing of this job", attachment_id)
    return found
