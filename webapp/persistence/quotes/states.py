"""What becomes of an issued quote: accepted, declined, withdrawn, or its acceptance taken back."""

from __future__ import annotations

import json
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.costing.alternates.form import AS_BEFORE, entry_of, made_own, with_way
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.errors import NotKept, StoreError
from webapp.persistence.jobs.records import load_job, save_job, set_job_state
from webapp.persistence.quotes.records import StoredQuote, load_quote, note_event, option_kept, state_on
from webapp.persistence.quotes.tables import QUOTE_WORDS, TRANSITIONS, QuoteEventRow, QuoteRow, QuoteState


class StateRefused(StoreError):
    """A quote can't come to a state from the one it is in."""

    def __init__(self, state: QuoteState, wanted: str) -> None:
        super().__init__(
            f"This quote has lapsed, so it can't be {wanted}. Issue the next revision instead."
            if state == "lapsed"
            else f"This quote is {QUOTE_WORDS[state].lower()}, so it can't become {wanted}."
        )
        self.state = state
        self.wanted = wanted


class ReasonMissing(StoreError):
    """An acceptance is taken back only with a reason."""

    def __init__(self) -> None:
        super().__init__("Say why the acceptance is taken back.")


class WorkDone(StoreError):
    """The job of an accepted quote is done, so that its acceptance is not taken back."""

    def __init__(self) -> None:
        super().__init__(
            "The job is done. Say on its sheet that it is only ordered before its acceptance is taken back."
        )


def change_state(
    session: Session,
    quote_id: UUID,
    wanted: QuoteState,
    today: date,
    *,
    at: datetime,
    by: UUID | None = None,
    note: str = "",
    option: str = "",
) -> StoredQuote:
    """Say that a quote was accepted, declined or withdrawn; an accepted one makes its job ordered.

    A revision accepted before it is replaced, since one agreement holds at a time. `option` is the id of the one it was
    accepted with: that way is then the job's own. 'standing' takes an acceptance back, with its reason as the note:
    what it replaced is agreed again, else the job is open again, made as it was quoted. Raises NotKept, for an option
    that the quote doesn't have too, StateRefused where its state on this day doesn't allow it, ReasonMissing, and
    WorkDone.
    """
    row = session.get(QuoteRow, quote_id, with_for_update=True)
    if row is None:
        raise NotKept("quote", quote_id)
    state = state_on(today, row.state, row.stands_until)
    if wanted not in TRANSITIONS[state]:
        raise StateRefused(state, wanted)
    if wanted == "standing":
        _may_be_taken_back(session, row, note)
    row.state = wanted
    if wanted == "accepted" and option:
        note = f"with the option {_accept_option(session, row, option, at, by)}{note and f': {note}'}"
    note_event(session, quote_id, wanted, at, by, note)
    what = "took back acceptance of" if wanted == "standing" else wanted
    record(session, HistoryEntry(at, by, what, "quote", str(quote_id), {"note": note}))
    if wanted == "accepted":
        _replace_agreed(session, row, at, by)
        set_job_state(session, row.job_id, "ordered", at=at, by=by)
    elif wanted == "standing":
        _take_back(session, row, at, by)
    session.flush()
    return load_quote(session, quote_id, today)


def _accept_option(session: Session, row: QuoteRow, option: str, at: datetime, by: UUID | None) -> str:
    """Keep with which option a quote was accepted, and make that way the job's own; its name."""
    held = option_kept(json.loads(row.snapshot), option)
    row.option, row.option_name = option, str(held["entry"]["name"])
    row.option_total = Decimal(held["estimate"]["totals"]["total"])
    job = load_job(session, row.job_id)
    # As it was quoted, whatever was typed of that way since.
    document = made_own(with_way(job.document, held["entry"]), option)
    save_job(session, job.id, document, job.version, at=at, by=by)
    return row.option_name


def _give_option_up(session: Session, row: QuoteRow, at: datetime, by: UUID | None) -> None:
    """A quote that is no longer accepted was accepted with nothing; the job is made as before that option again."""
    option, row.option, row.option_name, row.option_total = row.option, "", "", None
    job = load_job(session, row.job_id)
    entry = entry_of(job.document, option)
    if entry is not None and str(entry.get("name", "")).startswith(AS_BEFORE):
        save_job(session, job.id, made_own(job.document, option), job.version, at=at, by=by)


def _replace_agreed(session: Session, row: QuoteRow, at: datetime, by: UUID | None) -> None:
    agreed = select(QuoteRow).where(QuoteRow.job_id == row.job_id, QuoteRow.state == "accepted", QuoteRow.id != row.id)
    for earlier in session.scalars(agreed):
        earlier.state = "replaced"
        note_event(session, earlier.id, "replaced", at, by, f"by revision {row.revision}")


def _may_be_taken_back(session: Session, row: QuoteRow, reason: str) -> None:
    if not reason:
        raise ReasonMissing
    if load_job(session, row.job_id).state == "done":
        raise WorkDone


def _take_back(session: Session, row: QuoteRow, at: datetime, by: UUID | None) -> None:
    """What follows from an acceptance taken back: for the revision that it replaced, for a later one, for the job."""
    if row.option:
        _give_option_up(session, row, at, by)
    others = list(session.scalars(
        select(QuoteRow).where(QuoteRow.job_id == row.job_id, QuoteRow.id != row.id).order_by(QuoteRow.revision.desc())
    ))  # fmt: skip
    later = next((one for one in others if one.state == "standing" and one.revision > row.revision), None)
    if later is not None:
        row.state = "replaced"
        note_event(session, row.id, "replaced", at, by, f"by revision {later.revision}")
    agreed_before = next((one for one in others if _was_agreed_until_replaced(session, one)), None)
    if agreed_before is not None:
        agreed_before.state = "accepted"
        note_event(session, agreed_before.id, "accepted", at, by, f"again, as revision {row.revision} is not")
    elif load_job(session, row.job_id).state == "ordered":
        set_job_state(session, row.job_id, "open", at=at, by=by)


def _was_agreed_until_replaced(session: Session, row: QuoteRow) -> bool:
    """Whether a revision was accepted up to when another took its place: one that merely stood then is not."""
    events = select(QuoteEventRow.state).where(QuoteEventRow.quote_id == row.id).order_by(QuoteEventRow.id.desc())
    return row.state == "replaced" and session.scalars(events.limit(2)).all() == ["replaced", "accepted"]
