"""Which jobs were cut, and the sheet of stickers that labels go on."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.persistence.catalogue.rack_tables import JobCutRow, OffcutMoveRow, StickerSheetRow
from webapp.persistence.catalogue.stock_tables import StockMoveRow
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.rack.holds import settle_holds
from webapp.persistence.rack.records import moved_for_job


def mark_cut(session: Session, job_id: UUID, *, at: datetime, by: UUID | None = None) -> None:
    """Say that a job was cut: what it held and did not take is free again."""
    session.add(JobCutRow(job_id=job_id, at=at, user_id=by))
    session.flush()
    settle_holds(session, job_id, at=at, by=by)
    record(session, HistoryEntry(at, by, "cut", "job", str(job_id), {}))


def done_so_far(session: Session, job_id: UUID, job_number: int) -> tuple[object, ...]:
    """Everything that was moved for a job, of the rack and of what is kept by the unit, and how often somebody said
    that it was cut: who knows less of it looks at an older page."""
    row, cut = StockMoveRow, JobCutRow
    used = session.scalars(select(row.id).where(row.job_number == job_number).order_by(row.id))
    cuts = session.scalars(select(cut.id).where(cut.job_id == job_id).order_by(cut.id))
    return moved_for_job(session, job_number), tuple(used), tuple(cuts)


def put_for_job(session: Session, job_number: int) -> tuple[UUID, ...]:
    """The offcuts that a job left and that were put on the rack, the earliest first."""
    row = OffcutMoveRow
    wanted = select(row.offcut_id).where(row.job_number == job_number, row.what == "put").order_by(row.id)
    return tuple(session.scalars(wanted))


def kept_sticker_sheet(session: Session) -> Mapping[str, Any] | None:
    """The sheet of stickers as it was kept last."""
    row = session.get(StickerSheetRow, 1)
    return None if row is None else row.document


def keep_sticker_sheet(session: Session, document: Mapping[str, Any]) -> None:
    """Keep a sheet of stickers in place of the last."""
    row = session.get(StickerSheetRow, 1, with_for_update=True)
    if row is None:
        session.add(StickerSheetRow(id=1, document=dict(document)))
    else:
        row.document = dict(document)
    session.flush()
