"""Pieces of the rack that jobs hold: one piece, one job, whoever asks at once; and what becomes of them.

A job holds what its accepted quote counts on, as far as it was free then. What is counted, gone or cut is true whatever
was held: who loses a piece by that is written down beside what was done.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal
from uuid import UUID

from sqlalchemy import delete, func, select
from sqlalchemy.orm import Session

from webapp.costing.buying.rack import RACK
from webapp.persistence.catalogue.rack_tables import JobCutRow, OffcutHoldRow, OffcutMoveRow, OffcutRow
from webapp.persistence.catalogue.records import MaterialRow
from webapp.persistence.foundation.errors import NotKept, StoreError
from webapp.persistence.foundation.lists import AnySelect
from webapp.persistence.jobs.records import JobRow
from webapp.persistence.quotes.records import StoredQuote, load_quote
from webapp.persistence.quotes.states import change_state
from webapp.persistence.quotes.tables import QuoteEventRow, QuoteRow, QuoteState

#: What can be done to an offcut's count, and to who holds pieces of it.
Move = Literal["put", "taken", "returned", "counted", "gone", "held", "released", "lost"]


@dataclass(frozen=True, slots=True)
class Held:
    """Which job holds a piece of an offcut, by which quote (0 where it was taken for the job by hand), and since when.
    `quote_id` names that quote."""

    offcut_id: UUID
    piece: int
    job_id: UUID
    job_number: int
    quote_id: UUID | None
    quote_number: int
    revision: int
    since: datetime


class HeldByOthers(StoreError):
    """More was to be taken than is free: the rest is held for other jobs."""

    def __init__(self, name: str, wanted: int, free: int, jobs: Collection[int]) -> None:
        named = " and ".join(f"job {number}" for number in sorted(set(jobs)))
        free_is = "none is" if free == 0 else f"only {free} {'is' if free == 1 else 'are'}"
        super().__init__(f"{wanted} of {name} can't be taken: {free_is} free, the rest is held for {named}.")
        self.jobs = tuple(sorted(set(jobs)))


class JobEnded(StoreError):
    """A job that is cut, done or dropped holds nothing any more."""

    def __init__(self, number: int, why: str) -> None:
        super().__init__(f"Job {number} is {why}, so that nothing is held for it.")


def holds_on(session: Session, offcut_ids: Collection[UUID]) -> Mapping[UUID, tuple[Held, ...]]:
    """Who holds pieces of these offcuts, by offcut, the earliest first."""
    found: dict[UUID, tuple[Held, ...]] = {}
    for held in _held(session, _columns().where(OffcutHoldRow.offcut_id.in_(offcut_ids))):
        found[held.offcut_id] = (*found.get(held.offcut_id, ()), held)
    return found


def holds_of_job(session: Session, job_id: UUID) -> tuple[Held, ...]:
    """The pieces that a job holds."""
    return _held(session, _columns().where(OffcutHoldRow.job_id == job_id))


def counted_on(estimate: Mapping[str, Any]) -> dict[UUID, int]:
    """The offcuts that a kept estimate takes from the rack, and how many of each."""
    taken: Counter[UUID] = Counter()
    for material in estimate.get("materials", ()):
        for purchase in material["purchases"]:
            supplier, _, key = purchase["offer"].partition(":")
            if supplier == RACK and purchase["supplier"] == RACK:
                taken[UUID(key)] += int(purchase["packs"])
    return dict(taken)


def taken_for(session: Session, job_number: int) -> dict[UUID, int]:
    """How many of which offcuts were taken for a job so far and not put back."""
    row = OffcutMoveRow
    rows = session.execute(
        select(row.offcut_id, func.sum(-row.moved))
        .where(row.job_number == job_number, row.what.in_(("taken", "returned"))).group_by(row.offcut_id)
    )  # fmt: skip
    return {offcut_id: int(number) for offcut_id, number in rows if number > 0}


def jobs_cut(session: Session, job_ids: Collection[UUID]) -> set[UUID]:
    """Those of the jobs that somebody said were cut."""
    return set(session.scalars(select(JobCutRow.job_id).where(JobCutRow.job_id.in_(job_ids))))


def is_cut(session: Session, job_id: UUID, quote_id: UUID | None = None) -> bool:
    """Whether somebody said that a job was cut; of a quote of it, whether that ended what it counts on too.

    It ended nothing of a quote that was issued later, or took the place of an agreed one later.
    """
    last = session.scalar(select(func.max(JobCutRow.at)).where(JobCutRow.job_id == job_id))
    if last is None or quote_id is None:
        return last is not None
    if session.scalars(select(QuoteRow.issued_at).where(QuoteRow.id == quote_id)).one() > last:
        return False
    accepted = session.execute(
        select(QuoteEventRow.quote_id, func.min(QuoteEventRow.at).label("first"))
        .join(QuoteRow, QuoteRow.id == QuoteEventRow.quote_id)
        .where(QuoteRow.job_id == job_id, QuoteEventRow.state == "accepted").group_by(QuoteEventRow.quote_id)
    )  # fmt: skip
    first = {one.quote_id: one.first for one in accepted}
    own = first.get(quote_id)
    return not ((own is None or own > last) and any(at <= last for at in first.values()))


def why_ended(session: Session, job_id: UUID, state: str, quote_id: UUID | None) -> str:
    """Why a job needs nothing more of the rack: it is done, dropped, or what this quote of it asks for was cut; '' for
    one that does."""
    if state in ("done", "dropped"):
        return state
    return "cut" if is_cut(session, job_id, quote_id) else ""


def say_of_quote(
    session: Session, quote_id: UUID, wanted: QuoteState, today: Any, *, at: datetime, by: UUID | None = None,
    note: str = "", option: str = "",
) -> StoredQuote:  # fmt: skip
    """Say what became of a quote, and let its job hold what it counts on from now on, or hold it no more.

    Raises what `change_state` raises.
    """
    stored = change_state(session, quote_id, wanted, today, at=at, by=by, note=note, option=option)
    settle_holds(session, stored.listed.job_id, at=at, by=by)
    return stored


def settle_holds(session: Session, job_id: UUID, *, at: datetime, by: UUID | None = None) -> None:
    """Let a job hold what its accepted quote counts on and nobody else holds, and nothing else of the rack.

    What was taken for it already is not asked for again, a job that was cut or is done asks for nothing any more, and
    what was held for it by hand stays until then or until the job is dropped. Raises NotKept.
    """
    job = session.get(JobRow, job_id, with_for_update=True)
    if job is None:
        raise NotKept("job", job_id)
    accepted = _accepted(session, job_id)
    wanted: dict[UUID, int] = {}
    ended = bool(why_ended(session, job_id, job.state, accepted))
    if accepted is not None and not ended:
        used = taken_for(session, job.number)
        asked = counted_on(load_quote(session, accepted, job.updated_at.date()).agreed_on.estimate)
        wanted = {key: number - used.get(key, 0) for key, number in asked.items()}
    held = holds_of_job(session, job_id)
    # In the order of their ids, so that two who settle at once wait for each other and not in a ring.
    for key in sorted({*wanted, *(one.offcut_id for one in held)}):
        row = session.get(OffcutRow, key, with_for_update=True, populate_existing=True)
        if row is None:
            continue
        own = [one for one in held if one.offcut_id == key]
        by_hand = [one for one in own if one.quote_id is None and not ended]
        for one in [one for one in own if one not in by_hand][max(0, wanted.get(key, 0) - len(by_hand)) :]:
            _let_go(session, row, one, "released", "", at, by)
        missing = wanted.get(key, 0) - len(own)
        for _ in range(min(missing, row.count - _number_held(session, key))):
            _hold(session, row, job, accepted, "", at, by)


def hold_for(
    session: Session, offcut_id: UUID, job_number: int, *, at: datetime, by: UUID | None = None, whatever: bool = False
) -> None:
    """Hold one more piece of an offcut for a job by hand; `whatever` takes it from another that holds it, the last one
    to hold it losing it. Raises NotKept, HeldByOthers where none is free, and JobEnded."""
    job = session.scalar(select(JobRow).where(JobRow.number == job_number).with_for_update())
    if job is None:
        raise NotKept("job", job_number)
    if why := why_ended(session, job.id, job.state, _accepted(session, job.id)):
        raise JobEnded(job_number, why)
    row = _locked(session, offcut_id)
    others = [one for one in holds_on(session, [offcut_id]).get(offcut_id, ()) if one.job_id != job.id]
    if row.count <= _number_held(session, offcut_id):
        if not others or not whatever:
            raise HeldByOthers(_name_of(session, row), 1, 0, [one.job_number for one in others] or [job_number])
        _let_go(session, row, others[-1], "lost", f"taken for job {job_number}", at, by)
    _hold(session, row, job, None, "by hand", at, by)


def release_by_hand(session: Session, offcut_id: UUID, job_number: int, *, at: datetime, by: UUID | None) -> None:
    """Let a job hold one piece of an offcut less. Raises NotKept where it holds none."""
    row = _locked(session, offcut_id)
    own = [one for one in holds_on(session, [offcut_id]).get(offcut_id, ()) if one.job_number == job_number]
    if not own:
        raise NotKept("piece held for this job", offcut_id)
    _let_go(session, row, own[-1], "released", "by hand", at, by)


def use_up(session: Session, row: OffcutRow, number: int, job: int | None, *, whatever: bool) -> list[Held]:
    """Before so many of an offcut are taken, for a job or for none: its own holds are used, and the rest has to be
    free; `whatever` takes what others hold too, and says who loses it. Raises HeldByOthers."""
    held = holds_on(session, [row.id]).get(row.id, ())
    own = [one for one in held if one.job_number == job][:number]
    others = [one for one in held if one.job_number != job]
    free = row.count - len(held)
    beyond = number - len(own) - free
    if beyond > 0 and not whatever:
        raise HeldByOthers(_name_of(session, row), number, len(own) + free, [one.job_number for one in others])
    _delete(session, own)
    lost = others[len(others) - beyond :] if beyond > 0 else []
    _delete(session, lost)
    return lost


def fit_to_count(session: Session, row: OffcutRow) -> list[Held]:
    """After an offcut's count fell: no more is held than there is, and who held it last loses it first."""
    held = holds_on(session, [row.id]).get(row.id, ())
    stays, lost = held[: row.count], list(held[row.count :])
    _delete(session, lost)
    taken = {one.piece for one in stays if one.piece <= row.count}
    free = iter(sorted(set(range(1, row.count + 1)) - taken))
    for one in stays:
        if one.piece > row.count:
            found = session.get(OffcutHoldRow, (row.id, one.piece))
            assert found is not None
            found.piece = next(free)
            session.flush()
    return lost


def lose_to_change(session: Session, row: OffcutRow, why: str, at: datetime, by: UUID | None) -> None:
    """After an offcut became another piece: what counted on it as it was holds it no more. What is held by hand is held
    as it is."""
    lost = [one for one in holds_on(session, [row.id]).get(row.id, ()) if one.quote_id is not None]
    _delete(session, lost)
    note_lost(session, row, lost, why, at, by)


def note_lost(
    session: Session, row: OffcutRow, lost: Iterable[Held], why: str, at: datetime, by: UUID | None
) -> None:  # fmt: skip
    """Write down which jobs lost their pieces by what was just done."""
    for one in lost:
        note_move(session, row.id, "lost", 0, row.count, at, by, one.job_number, why)


def note_move(
    session: Session, offcut_id: UUID, what: Move, moved: int, remaining: int, at: datetime, by: UUID | None,
    job: int | None, note: str,
) -> None:  # fmt: skip
    """Write down one change of an offcut's count, or of who holds a piece of it."""
    session.add(
        OffcutMoveRow(
            offcut_id=offcut_id, at=at, user_id=by, what=what, moved=moved, remaining=remaining, job_number=job,
            note=note,
        )
    )  # fmt: skip
    session.flush()


def _accepted(session: Session, job_id: UUID) -> UUID | None:
    return session.scalar(select(QuoteRow.id).where(QuoteRow.job_id == job_id, QuoteRow.state == "accepted"))


def _hold(
    session: Session, row: OffcutRow, job: JobRow, quote_id: UUID | None, note: str, at: datetime, by: UUID | None
) -> None:
    hold = OffcutHoldRow
    taken = set(session.scalars(select(hold.piece).where(hold.offcut_id == row.id)))
    piece = next(number for number in range(1, row.count + 1) if number not in taken)
    session.add(
        hold(offcut_id=row.id, piece=piece, job_id=job.id, quote_id=quote_id, held_at=at, held_by=by)
    )  # fmt: skip
    note_move(session, row.id, "held", 0, row.count, at, by, job.number, note)


def _let_go(
    session: Session, row: OffcutRow, held: Held, what: Literal["released", "lost"], note: str, at: datetime,
    by: UUID | None,
) -> None:  # fmt: skip
    _delete(session, [held])
    note_move(session, row.id, what, 0, row.count, at, by, held.job_number, note)


def _delete(session: Session, held: Iterable[Held]) -> None:
    for one in held:
        session.execute(
            delete(OffcutHoldRow).where(OffcutHoldRow.offcut_id == one.offcut_id, OffcutHoldRow.piece == one.piece)
        )


def _number_held(session: Session, offcut_id: UUID) -> int:
    counted = select(func.count()).select_from(OffcutHoldRow).where(OffcutHoldRow.offcut_id == offcut_id)
    return session.scalar(counted) or 0


def _locked(session: Session, offcut_id: UUID) -> OffcutRow:
    row = session.get(OffcutRow, offcut_id, with_for_update=True, populate_existing=True)
    if row is None:
        raise NotKept("offcut", offcut_id)
    return row


def _name_of(session: Session, row: OffcutRow) -> str:
    return session.scalar(select(MaterialRow.name).where(MaterialRow.id == row.material_id)) or ""


def _columns() -> AnySelect:
    hold = OffcutHoldRow
    return (
        select(
            hold.offcut_id, hold.piece, hold.job_id, JobRow.number, hold.quote_id, func.coalesce(QuoteRow.number, 0),
            func.coalesce(QuoteRow.revision, 0), hold.held_at,
        )
        .join(JobRow, hold.job_id == JobRow.id).join(QuoteRow, hold.quote_id == QuoteRow.id, isouter=True)
        .order_by(hold.held_at, hold.piece)
    )  # fmt: skip


def _held(session: Session, statement: AnySelect) -> tuple[Held, ...]:
    return tuple(Held(*row) for row in session.execute(statement))
