"""Files of prices that were taken: each is one import, undone as a whole; and how suppliers lay theirs out."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Final
from uuid import UUID

from sqlalchemy import ForeignKey, func, insert, literal, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.catalogue.changes import edit_offer
from webapp.persistence.catalogue.records import (
    COUNTS,
    OfferRow,
    PriceImportRow,
    PriceRow,
    SupplierRow,
    WithdrawnPriceRow,
    load_offer,
)
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.column_types import CanonicalJson, Instant
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.foundation.inserting import insert_into
from webapp.persistence.foundation.turns import take_turn

#: Why the prices of an undone file no longer count.
UNDONE: Final = "the price file was undone"


class PriceLayoutRow(Row):
    """How one supplier lays out the files that have these headings, found by their digest: they may be longer than what
    an index holds."""

    __tablename__ = "price_layouts"

    supplier_id: Mapped[int] = mapped_column(ForeignKey("suppliers.id"), primary_key=True)
    digest: Mapped[str] = mapped_column(primary_key=True)
    headings: Mapped[str]
    layout: Mapped[dict[str, Any]] = mapped_column(CanonicalJson)
    told_at: Mapped[datetime]


class LearnedCodeRow(Row):
    """A supplier's code that an offer lacked, and took from a file."""

    __tablename__ = "learned_codes"

    import_id: Mapped[UUID] = mapped_column(ForeignKey("price_imports.id"), primary_key=True)
    offer_id: Mapped[UUID] = mapped_column(ForeignKey("offers.id"), primary_key=True)
    code: Mapped[str]


@dataclass(frozen=True, slots=True)
class PriceImport:
    """One file that was taken. `supplier` is a code, '' where each line named its own; `file` is what it is kept under
    beside the store; `reckoned` says that no supplier sent it. `prices` is how many it kept."""

    id: UUID
    name: str
    supplier: str
    file: str
    reckoned: bool
    lines: int
    prices: int
    kept_at: datetime
    kept_by: UUID | None = None
    undone_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class KeptLayout:
    """A layout as it is kept, and whose it is."""

    supplier: str
    headings: str
    layout: Mapping[str, Any]


def add_import(session: Session, one: PriceImport) -> None:
    """Keep that a file was taken, in the transaction that keeps its prices. Raises NotKept for an unknown supplier."""
    session.add(
        PriceImportRow(
            id=one.id, name=one.name, supplier_id=_supplier(session, one.supplier) if one.supplier else None,
            file=one.file, reckoned=one.reckoned, lines=one.lines, prices=one.prices, kept_at=one.kept_at,
            kept_by=one.kept_by, undone_at=None,
        )
    )  # fmt: skip
    session.flush()


def teach_code(
    session: Session, import_id: UUID, offer_id: UUID, code: str, *, at: datetime, by: UUID | None = None
) -> None:
    """Give an offer the supplier's code that a file tells, unless it has one, and keep that it came from there."""
    stored = load_offer(session, offer_id)
    if not stored.offer.supplier_code:
        edit_offer(session, replace(stored.offer, supplier_code=code), stored.version, at=at, by=by)
        session.add(LearnedCodeRow(import_id=import_id, offer_id=offer_id, code=code))
        session.flush()


def list_imports(session: Session, most: int = 20) -> tuple[PriceImport, ...]:
    """The files taken last, the latest first, those undone among them."""
    return tuple(
        PriceImport(*row)
        for row in session.execute(_columns().order_by(PriceImportRow.kept_at.desc(), PriceImportRow.id).limit(most))
    )


def load_import(session: Session, import_id: UUID) -> PriceImport:
    """One file that was taken. Raises NotKept."""
    row = session.execute(_columns().where(PriceImportRow.id == import_id)).one_or_none()
    if row is None:
        raise NotKept("price file", import_id)
    return PriceImport(*row)


def undo_import(session: Session, import_id: UUID, *, at: datetime, by: UUID | None = None) -> PriceImport:
    """Take a file's prices out of use, all of them and no other, and from its offers the codes that they have from it
    still; undone twice, it stays undone. Raises NotKept."""
    take_turn(session, "prices")
    row = session.get(PriceImportRow, import_id, with_for_update=True)
    if row is None:
        raise NotKept("price file", import_id)
    if row.undone_at is None:
        row.undone_at = at
        kept = select(PriceRow.id, literal(UNDONE), literal(at, Instant())).where(
            PriceRow.import_id == import_id, COUNTS
        )
        session.execute(insert(WithdrawnPriceRow).from_select(["price_id", "why", "at"], kept))
        session.flush()
        learned = select(OfferRow.id).join(LearnedCodeRow, LearnedCodeRow.offer_id == OfferRow.id).where(
            LearnedCodeRow.import_id == import_id, LearnedCodeRow.code == OfferRow.supplier_code
        )  # fmt: skip
        for offer_id in session.scalars(learned.order_by(OfferRow.id).with_for_update(of=OfferRow)).all():
            stored = load_offer(session, offer_id)
            edit_offer(session, replace(stored.offer, supplier_code=""), stored.version, at=at, by=by)
        details = {"file": row.name, "prices": row.prices}
        record(session, HistoryEntry(at, by, "undid", "prices", "price file", details))
    return load_import(session, import_id)


def last_files(session: Session) -> Mapping[str, PriceImport]:
    """The last file that each supplier sent and that stands, by the supplier's code."""
    found: dict[str, PriceImport] = {}
    wanted = _columns().where(
        PriceImportRow.undone_at.is_(None), PriceImportRow.reckoned.is_(False), PriceImportRow.supplier_id.is_not(None)
    )
    for row in session.execute(wanted.order_by(PriceImportRow.kept_at)):
        found[row.supplier] = PriceImport(*row)
    return found


def keep_layout(session: Session, one: KeptLayout, *, at: datetime) -> None:
    """Remember how a supplier's files with these headings are laid out, in place of what was known. Raises NotKept."""
    supplier = _supplier(session, one.supplier)
    kept = insert_into(session, PriceLayoutRow).values(
        supplier_id=supplier, digest=hashlib.sha256(one.headings.encode()).hexdigest(), headings=one.headings,
        layout=dict(one.layout), told_at=at,
    )  # fmt: skip
    session.execute(
        kept.on_conflict_do_update(
            index_elements=["supplier_id", "digest"],
            set_={"layout": kept.excluded.layout, "told_at": kept.excluded.told_at},
        )
    )


def kept_layouts(session: Session, supplier: str = "") -> tuple[KeptLayout, ...]:
    """The layouts of one supplier, or of all, the one told last first."""
    wanted = (
        select(SupplierRow.code, PriceLayoutRow.headings, PriceLayoutRow.layout)
        .join(SupplierRow, PriceLayoutRow.supplier_id == SupplierRow.id)
        .order_by(PriceLayoutRow.told_at.desc(), PriceLayoutRow.headings)
    )
    if supplier:
        wanted = wanted.where(SupplierRow.code == supplier)
    return tuple(KeptLayout(*row) for row in session.execute(wanted))


def _supplier(session: Session, code: str) -> int:
    found = session.scalar(select(SupplierRow.id).where(SupplierRow.code == code))
    if found is None:
        raise NotKept("supplier", code)
    return found


def _columns() -> Any:
    row = PriceImportRow
    return select(
        row.id, row.name, func.coalesce(SupplierRow.code, "").label("supplier"), row.file, row.reckoned, row.lines,
        row.prices, row.kept_at, row.kept_by, row.undone_at,
    ).outerjoin(SupplierRow, row.supplier_id == SupplierRow.id)  # fmt: skip
