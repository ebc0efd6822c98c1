"""Quotes as issued: frozen with all they were made from and the very documents that went out."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any, cast
from uuid import UUID, uuid4

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session

from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.column_types import ordered_json
from webapp.persistence.foundation.counters import last_number, next_number
from webapp.persistence.foundation.errors import NotKept, StaleSave, StoreError
from webapp.persistence.foundation.lists import PAGE_SIZE, AnySelect, Page, fold, holds_words, turn_to
from webapp.persistence.jobs.records import JobRow, load_job
from webapp.persistence.quotes.tables import (
    QUOTE_COUNTER,
    QuoteDocumentRow,
    QuoteEventRow,
    QuoteRow,
    QuoteSort,
    QuoteState,
)


@dataclass(frozen=True, slots=True)
class ComingQuote:
    """The number and revision that the next quote of a job will have, for rendering it before it is issued."""

    number: int
    revision: int


@dataclass(frozen=True, slots=True)
class Document:
    """A document as it is kept: 'quote', 'shopping_list' and others, on which paper ('' for any), and its bytes."""

    name: str
    paper: str
    content: bytes


@dataclass(frozen=True, slots=True)
class Change:
    """Which revision a further one changes and, where that was agreed, whose wish it is ('customer' or 'shop') and a
    word about it."""

    from_revision: int
    wish_of: str = ""
    reason: str = ""

    @property
    def sentence(self) -> str:
        """As it stands beside the revision; nothing where nobody had to be asked."""
        if not self.wish_of:
            return ""
        return (
            f"changes revision {self.from_revision} asked for by the {self.wish_of}{self.reason and f': {self.reason}'}"
        )


@dataclass(frozen=True, slots=True)
class QuoteToIssue:
    """Everything that an issued quote freezes. `job_version` is the one of the job that it was rendered from."""

    job_id: UUID
    job_version: int
    coming: ComingQuote
    issued_on: date
    stands_until: date
    currency: str
    total: Decimal
    engine_version: int
    snapshot: Mapping[str, Any]
    estimate: Mapping[str, Any]
    documents: tuple[Document, ...]
    change: Change | None = None


@dataclass(frozen=True, slots=True)
class QuoteListed:
    """A quote in a list. `state` is as it stood on the day it was asked for, lapsed among them. `option` is the id of
    the one that it was accepted with, where it was; `total` is then the one with it."""

    id: UUID
    job_id: UUID
    number: int
    revision: int
    state: QuoteState
    title: str
    customer_name: str
    issued_on: date
    stands_until: date
    currency: str
    total: Decimal
    option: str = ""
    option_name: str = ""


@dataclass(frozen=True, slots=True)
class QuoteEvent:
    """That a quote came to a state, when, through whom, and a note about it."""

    state: QuoteState
    at: datetime
    by: UUID | None
    note: str


@dataclass(frozen=True, slots=True)
class StoredQuote:
    """An issued quote whole, but for the bytes of its documents, of which `documents` names (name, paper, digest)."""

    listed: QuoteListed
    issued_at: datetime
    engine_version: int
    snapshot: Mapping[str, Any]
    snapshot_digest: str
    estimate: Mapping[str, Any]
    estimate_digest: str
    documents: tuple[tuple[str, str, str], ...]
    events: tuple[QuoteEvent, ...]

    @property
    def agreed_on(self) -> StoredQuote:
        """The quote as it was agreed: what the option that it was accepted with was made from, and came to, stands in
        place of its own. Its papers are those that were issued."""
        if not self.listed.option or "options" not in self.snapshot:
            return self
        held = option_kept(self.snapshot, self.listed.option)
        own = {name: part for name, part in self.snapshot.items() if name != "options"}
        return replace(self, snapshot={**own, **held["snapshot"]}, estimate=held["estimate"])


class QuoteNumberTaken(StoreError):
    """Another quote was issued while this one was being rendered; render it again under the new number."""

    def __init__(self, rendered: ComingQuote, coming: ComingQuote) -> None:
        super().__init__("Another quote was issued in the meantime, so this one's number is taken. Issue it again.")
        self.rendered = rendered
        self.coming = coming


class DamagedRecord(StoreError):
    """What is kept of a quote no longer has the digest it was issued with."""

    def __init__(self, what: str, number: int, revision: int) -> None:
        super().__init__(
            f"The {what} kept for quote {number}, revision {revision}, is damaged: it isn't what was issued."
        )


def option_kept(snapshot: Mapping[str, Any], option: str) -> Mapping[str, Any]:
    """What a quote keeps of one of its options. Raises NotKept."""
    for held in snapshot.get("options", ()):
        if held["entry"]["id"] == option:
            return cast(Mapping[str, Any], held)
    raise NotKept("option of the quote", option)


def digest_of(content: bytes) -> str:
    """SHA-256 in hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def coming_quote(session: Session, job_id: UUID) -> ComingQuote:
    """What the next quote of a job will be called, unless another one is issued first."""
    number, revision = session.execute(
        select(func.max(QuoteRow.number), func.max(QuoteRow.revision)).where(QuoteRow.job_id == job_id)
    ).one()
    if number is None:
        return ComingQuote(last_number(session, QUOTE_COUNTER) + 1, 1)
    return ComingQuote(number, revision + 1)


def issue_quote(session: Session, issue: QuoteToIssue, *, at: datetime, by: UUID | None = None) -> StoredQuote:
    """Freeze a rendered quote: number, snapshot, estimate, documents and digests, all in the session's transaction.

    A revision of the job that still stands, lapsed or not, is replaced. Raises NotKept, StaleSave where the job was
    saved since it was rendered, and QuoteNumberTaken where the number on the rendered documents no longer comes next.
    """
    job = session.get(JobRow, issue.job_id, with_for_update=True)
    if job is None:
        raise NotKept("job", issue.job_id)
    if job.version != issue.job_version:
        raise StaleSave("job", load_job(session, issue.job_id), issue)
    coming = coming_quote(session, issue.job_id)
    if coming.revision == 1:
        coming = ComingQuote(next_number(session, QUOTE_COUNTER), 1)
    if coming != issue.coming:
        raise QuoteNumberTaken(issue.coming, coming)
    standing = select(QuoteRow).where(QuoteRow.job_id == issue.job_id, QuoteRow.state == "standing")
    for earlier in session.scalars(standing):
        earlier.state = "replaced"
        note_event(session, earlier.id, "replaced", at, by, f"by revision {coming.revision}")
    snapshot, estimate = ordered_json(issue.snapshot), ordered_json(issue.estimate)
    row = QuoteRow(
        id=uuid4(),
        job_id=issue.job_id,
        number=coming.number,
        revision=coming.revision,
        state="standing",
        title=job.title,
        customer_name=job.customer_name,
        search=fold(str(coming.number), job.title, job.customer_name),
        issued_at=at,
        issued_on=issue.issued_on,
        stands_until=issue.stands_until,
        currency=issue.currency,
        total=issue.total,
        engine_version=issue.engine_version,
        snapshot=snapshot,
        snapshot_digest=digest_of(snapshot.encode()),
        estimate=estimate,
        estimate_digest=digest_of(estimate.encode()),
        issued_by=by,
    )
    session.add(row)
    session.flush()
    for one in issue.documents:
        session.add(
            QuoteDocumentRow(
                id=uuid4(),
                quote_id=row.id,
                name=one.name,
                paper=one.paper,
                content=one.content,
                digest=digest_of(one.content),
            )
        )
    note_event(session, row.id, "standing", at, by, issue.change.sentence if issue.change else "")
    details = {"number": coming.number, "revision": coming.revision, "total": str(issue.total)}
    if issue.change and issue.change.wish_of:
        details |= {"wish_of": issue.change.wish_of, "reason": issue.change.reason}
    record(session, HistoryEntry(at, by, "issued", "quote", str(row.id), details))
    session.flush()
    return load_quote(session, row.id, issue.issued_on)


def load_quote(session: Session, quote_id: UUID, today: date) -> StoredQuote:
    """One issued quote as it stands on a day. Raises NotKept, and DamagedRecord where its digests no longer fit."""
    row = session.get(QuoteRow, quote_id)
    if row is None:
        raise NotKept("quote", quote_id)
    for what, held, digest in (
        ("snapshot", row.snapshot, row.snapshot_digest),
        ("estimate", row.estimate, row.estimate_digest),
    ):
        if digest_of(held.encode()) != digest:
            raise DamagedRecord(what, row.number, row.revision)
    kept = QuoteDocumentRow
    documents = session.execute(
        select(kept.name, kept.paper, kept.digest).where(kept.quote_id == quote_id).order_by(kept.name, kept.paper)
    )
    events = session.scalars(select(QuoteEventRow).where(QuoteEventRow.quote_id == quote_id).order_by(QuoteEventRow.id))
    return StoredQuote(
        quote_listed(row, today),
        row.issued_at,
        row.engine_version,
        json.loads(row.snapshot),
        row.snapshot_digest,
        json.loads(row.estimate),
        row.estimate_digest,
        tuple((one.name, one.paper, one.digest) for one in documents),
        tuple(QuoteEvent(cast(QuoteState, one.state), one.at, one.by, one.note) for one in events),
    )


def estimates_of(session: Session, quote_ids: Collection[UUID]) -> dict[UUID, Mapping[str, Any]]:
    """The estimates that quotes were issued with, by quote. Raises DamagedRecord where a digest no longer fits."""
    row, found = QuoteRow, dict[UUID, Mapping[str, Any]]()
    columns = select(row.id, row.number, row.revision, row.estimate, row.estimate_digest)
    for kept in session.execute(columns.where(row.id.in_(quote_ids))):
        if digest_of(kept.estimate.encode()) != kept.estimate_digest:
            raise DamagedRecord("estimate", kept.number, kept.revision)
        found[kept.id] = json.loads(kept.estimate)
    return found


def standing_quotes(session: Session, today: date) -> tuple[QuoteListed, ...]:
    """Every quote that is with a customer and still holds, the last issued first."""
    wanted = QuoteRow.state == "standing", QuoteRow.stands_until >= today
    rows = session.execute(quote_columns().where(*wanted).order_by(QuoteRow.issued_at.desc(), QuoteRow.number.desc()))
    return tuple(quote_listed(row, today) for row in rows)


def load_quote_document(session: Session, quote_id: UUID, name: str, paper: str | None = None) -> Document:
    """A document of a quote, byte for byte as issued; `paper` None takes the first there is.

    Raises NotKept, and DamagedRecord where its digest no longer fits.
    """
    statement = (
        select(QuoteDocumentRow, QuoteRow.number, QuoteRow.revision)
        .join(QuoteRow, QuoteDocumentRow.quote_id == QuoteRow.id)
        .where(QuoteDocumentRow.quote_id == quote_id, QuoteDocumentRow.name == name)
        .order_by(QuoteDocumentRow.paper)
    )
    if paper is not None:
        statement = statement.where(QuoteDocumentRow.paper == paper)
    found = session.execute(statement.limit(1)).one_or_none()
    if found is None:
        raise NotKept("document", name)
    kept, number, revision = found
    if digest_of(kept.content) != kept.digest:
        raise DamagedRecord(name.replace("_", " "), number, revision)
    return Document(kept.name, kept.paper, kept.content)


def quotes_of_job(session: Session, job_id: UUID, today: date) -> tuple[QuoteListed, ...]:
    """Every revision issued for a job, the last first."""
    rows = session.execute(quote_columns().where(QuoteRow.job_id == job_id).order_by(QuoteRow.revision.desc()))
    return tuple(quote_listed(row, today) for row in rows)


def latest_quotes(session: Session, job_ids: Collection[UUID], today: date) -> dict[UUID, QuoteListed]:
    """The last revision of each of the jobs that has one."""
    rows = session.execute(quote_columns().where(QuoteRow.job_id.in_(job_ids)).order_by(QuoteRow.revision))
    return {row.job_id: quote_listed(row, today) for row in rows}


def binding_quotes(session: Session, job_ids: Collection[UUID], today: date) -> dict[UUID, list[QuoteListed]]:
    """Of each of the jobs the revisions that are accepted or were issued and not yet answered, the last first."""
    wanted = QuoteRow.job_id.in_(job_ids), QuoteRow.state.in_(("accepted", "standing"))
    found: dict[UUID, list[QuoteListed]] = {}
    for row in session.execute(quote_columns().where(*wanted).order_by(QuoteRow.revision.desc())):
        found.setdefault(row.job_id, []).append(quote_listed(row, today))
    return found


def list_quotes(
    session: Session,
    today: date,
    words: str = "",
    state: QuoteState | None = None,
    *,
    sort: QuoteSort = "issued",
    number: int = 1,
    size: int = PAGE_SIZE,
) -> Page[QuoteListed]:
    """Issued quotes whose number, title or customer hold all the words, the last issued first unless sorted so."""
    statement = quote_columns().where(*holds_words(QuoteRow.search, words))
    if state == "lapsed":
        statement = statement.where(QuoteRow.state == "standing", QuoteRow.stands_until < today)
    elif state == "standing":
        statement = statement.where(QuoteRow.state == "standing", QuoteRow.stands_until >= today)
    elif state is not None:
        statement = statement.where(QuoteRow.state == state)
    row = QuoteRow
    order: dict[QuoteSort, tuple[ColumnElement[Any], ...]] = {
        "issued": (row.issued_at.desc(),),
        "number": (),
        "lapses": (row.stands_until.asc(),),
        "total": (func.coalesce(row.option_total, row.total).desc(),),
        "customer": (func.lower(row.customer_name),),
    }
    ordered = statement.order_by(*order[sort], row.number.desc(), row.revision.desc())
    rows, total = turn_to(session, ordered, number, size)
    return Page(tuple(quote_listed(row, today) for row in rows), total, number, size)


def quote_columns() -> AnySelect:
    """What a list shows of a quote."""
    row = QuoteRow
    return select(
        row.id, row.job_id, row.number, row.revision, row.state, row.title, row.customer_name, row.issued_on,
        row.stands_until, row.currency, row.total, row.option, row.option_name, row.option_total,
    )  # fmt: skip


def quote_listed(row: Any, today: date) -> QuoteListed:
    """The quote that those columns hold, as it stands on a day."""
    return QuoteListed(
        row.id, row.job_id, row.number, row.revision, state_on(today, row.state, row.stands_until), row.title,
        row.customer_name, row.issued_on, row.stands_until, row.currency,
        row.total if row.option_total is None else row.option_total, row.option, row.option_name,
    )  # fmt: skip


def state_on(today: date, state: str, stands_until: date) -> QuoteState:
    """How a quote stands on a day that is kept in a state."""
    return "lapsed" if state == "standing" and today > stands_until else cast(QuoteState, state)


def note_event(session: Session, quote_id: UUID, state: str, at: datetime, by: UUID | None, note: str) -> None:
    """Keep that a quote came to a state."""
    session.add(QuoteEventRow(quote_id=quote_id, state=state, at=at, by=by, note=note))
