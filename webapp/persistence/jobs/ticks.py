"""Steps of the work that are ticked off in the workshop: kept beside the job, so that a tick makes it no newer."""

from __future__ import annotations

from datetime import datetime
from typing import Final
from uuid import UUID

from sqlalchemy import ForeignKey, delete, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.inserting import insert_into

#: The longest name of a step that is ticked: the id of its item and the name of its operation.
LONGEST_STEP: Final = 200


class StepTickRow(Row):
    """A step of a job that is done, by the name it has in the job whatever stands before it."""

    __tablename__ = "step_ticks"

    job_id: Mapped[UUID] = mapped_column(ForeignKey("jobs.id", ondelete="CASCADE"), primary_key=True)
    step: Mapped[str] = mapped_column(primary_key=True)
    ticked_at: Mapped[datetime]
    ticked_by: Mapped[UUID | None] = mapped_column(ForeignKey("users.id", ondelete="SET NULL"))


def ticked_steps(session: Session, job_id: UUID) -> frozenset[str]:
    """The steps of a job that are done."""
    return frozenset(session.scalars(select(StepTickRow.step).where(StepTickRow.job_id == job_id)))


def tick_step(session: Session, job_id: UUID, step: str, *, done: bool, at: datetime, by: UUID) -> None:
    """Tick a step of a job off, or take the tick back; one that stands already stays as it was."""
    if not done:
        session.execute(delete(StepTickRow).where(StepTickRow.job_id == job_id, StepTickRow.step == step))
        return
    # Two at the bench may tick the same step at once.
    ticked = insert_into(session, StepTickRow).values(job_id=job_id, step=step, ticked_at=at, ticked_by=by)
    session.execute(ticked.on_conflict_do_nothing())
