"""Receipts kept, put right, and read again."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from uuid import UUID, uuid4

from sqlalchemy import delete, func, or_, select
from sqlalchemy.orm import Session

from webapp.costing.catalogue.materials import PriceSeen
from webapp.costing.receipts.receipt import Listed, Receipt, receipt_of, write_receipt
from webapp.persistence.buying_lists.tables import BuyingListJobRow, BuyingListRow
from webapp.persistence.catalogue.changes import add_price, withdraw_price
from webapp.persistence.catalogue.records import COUNTS, PRICE_COLUMNS, PriceRow, price_of
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.counters import next_number
from webapp.persistence.foundation.errors import NotKept, StaleSave, StoreError
from webapp.persistence.foundation.lists import PAGE_SIZE, Page, turn_to
from webapp.persistence.jobs.records import JobRow
from webapp.persistence.rack.brought import keep_brought
from webapp.persistence.receipts.tables import (
    ReceiptJobRow,
    ReceiptListRow,
    ReceiptPictureRow,
    ReceiptPriceRow,
    ReceiptRow,
)


class OnAnotherReceipt(StoreError):
    """A line of a list stands on another receipt already."""

    def __init__(self, listed: Listed, number: int) -> None:
        super().__init__(
            f"A line of list {listed.list_number} stands on receipt {number} already, and its money would be counted "
            "twice. Look at that receipt, or leave the line out here."
        )


class ReturnsTooMuch(StoreError):
    """More would have gone back than a receipt holds."""

    def __init__(self, number: int, total: Decimal, returned: Decimal) -> None:
        super().__init__(
            f"With this, {returned} would have come back on receipt {number}, of which {total} was paid. Is it on "
            "another receipt?"
        )


@dataclass(frozen=True, slots=True)
class StoredReceipt:
    """A receipt as kept."""

    id: UUID
    number: int
    version: int
    receipt: Receipt
    made_at: datetime


@dataclass(frozen=True, slots=True)
class ReceiptListed:
    """A receipt among others."""

    number: int
    supplier: str
    day: date
    total: Decimal
    pictures: int


def keep_receipt(
    session: Session, receipt: Receipt, prices: Sequence[PriceSeen], *, at: datetime, by: UUID | None
) -> int:  # fmt: skip
    """Keep a new receipt and the prices it tells, and say its number. Raises OnAnotherReceipt and NotKept."""
    row = ReceiptRow(id=uuid4(), number=next_number(session, "receipt"), made_at=at, made_by=by)
    _write(row, receipt)
    session.add(row)
    session.flush()
    _keep_what_follows(session, row, receipt, prices, at, by)
    _record(session, "took in", row, at, by)
    return row.number


def put_receipt_right(
    session: Session, number: int, version: int, receipt: Receipt, prices: Sequence[PriceSeen], *, at: datetime,
    by: UUID | None,
) -> None:  # fmt: skip
    """Keep a receipt as it is by now, with the prices that it tells by now.

    Raises StaleSave where somebody else put it right meanwhile, OnAnotherReceipt and NotKept.
    """
    row = session.scalar(select(ReceiptRow).where(ReceiptRow.number == number).with_for_update())
    if row is None:
        raise NotKept("receipt", number)
    if row.version != version:
        raise StaleSave("receipt", row.version, version)
    _write(row, receipt)
    row.version = version + 1
    session.flush()
    for table in (ReceiptJobRow, ReceiptListRow):
        session.execute(delete(table).where(table.receipt_id == row.id))
    _keep_what_follows(session, row, receipt, prices, at, by)
    _record(session, "put right", row, at, by)


def load_receipt(session: Session, number: int) -> StoredReceipt:
    """A receipt under its number. Raises NotKept."""
    row = session.scalar(select(ReceiptRow).where(ReceiptRow.number == number))
    if row is None:
        raise NotKept("receipt", number)
    return _stored(row)


def prices_of_receipt(session: Session, receipt_id: UUID) -> dict[int, PriceSeen]:
    """The prices that a receipt told and that count, by their places."""
    rows = session.execute(
        select(ReceiptPriceRow.price_id, *PRICE_COLUMNS)
        .join(PriceRow, ReceiptPriceRow.price_id == PriceRow.id)
        .where(ReceiptPriceRow.receipt_id == receipt_id, COUNTS)
    )
    return {row.price_id: price_of(row) for row in rows}


def receipts_of_job(session: Session, job_id: UUID) -> tuple[StoredReceipt, ...]:
    """The receipts whose own lines are for a job, the oldest first."""
    of_job = select(ReceiptJobRow.receipt_id).where(ReceiptJobRow.job_id == job_id)
    rows = session.scalars(
        select(ReceiptRow).where(ReceiptRow.id.in_(of_job)).order_by(ReceiptRow.day, ReceiptRow.number)
    )
    return tuple(_stored(row) for row in rows.all())


def jobs_with_receipts(session: Session, job_ids: Collection[UUID]) -> set[UUID]:
    """Those of the jobs that own lines of receipts are for."""
    return set(session.scalars(select(ReceiptJobRow.job_id).where(ReceiptJobRow.job_id.in_(job_ids))))


def receipt_numbers_of_job(session: Session, job_id: UUID) -> tuple[int, ...]:
    """All receipts on which a job's money is: by lines of their own, or of lists that are for it."""
    own = select(ReceiptJobRow.receipt_id).where(ReceiptJobRow.job_id == job_id)
    listed = (
        select(ReceiptListRow.receipt_id)
        .join(BuyingListJobRow, BuyingListJobRow.list_id == ReceiptListRow.list_id)
        .where(BuyingListJobRow.job_id == job_id)
    )
    rows = session.scalars(
        select(ReceiptRow.number)
        .where(or_(ReceiptRow.id.in_(own), ReceiptRow.id.in_(listed)))
        .order_by(ReceiptRow.number)
    )
    return tuple(rows)


def stored_receipts(session: Session, number: int, size: int) -> Page[StoredReceipt]:
    """The receipts whole, the newest day first."""
    wanted = select(ReceiptRow.id).order_by(ReceiptRow.day.desc(), ReceiptRow.number.desc())
    rows, total = turn_to(session, wanted, number, size)
    ids = [row.id for row in rows]
    held = {row.id: row for row in session.scalars(select(ReceiptRow).where(ReceiptRow.id.in_(ids)))}
    return Page(tuple(_stored(held[one]) for one in ids), total, number, size)


def receipts_of_lines(session: Session, list_number: int) -> Mapping[str, int]:
    """The lines of a list that stand on a receipt, each with its number."""
    rows = session.execute(
        select(ReceiptListRow.line, ReceiptRow.number)
        .join(ReceiptRow, ReceiptRow.id == ReceiptListRow.receipt_id)
        .join(BuyingListRow, BuyingListRow.id == ReceiptListRow.list_id)
        .where(BuyingListRow.number == list_number)
    )
    return {row.line: row.number for row in rows}


def page_of_receipts(session: Session, number: int = 1, size: int = PAGE_SIZE) -> Page[ReceiptListed]:
    """The receipts, the newest day first."""
    pictures = (
        select(func.count(ReceiptPictureRow.id)).where(ReceiptPictureRow.receipt_id == ReceiptRow.id).scalar_subquery()
    )
    row = ReceiptRow
    wanted = select(row.number, row.supplier, row.day, row.total, pictures.label("pictures"))
    rows, total = turn_to(session, wanted.order_by(row.day.desc(), row.number.desc()), number, size)
    listed = (ReceiptListed(one.number, one.supplier, one.day, one.total, one.pictures) for one in rows)
    return Page(tuple(listed), total, number, size)


def _write(row: ReceiptRow, receipt: Receipt) -> None:
    row.supplier, row.day, row.total, row.returns = receipt.supplier, receipt.day, receipt.total, receipt.returns
    row.document = write_receipt(receipt)


def _keep_what_follows(
    session: Session, row: ReceiptRow, receipt: Receipt, prices: Sequence[PriceSeen], at: datetime, by: UUID | None
) -> None:
    _check_return(session, receipt)
    jobs = session.scalars(select(JobRow.id).where(JobRow.number.in_(receipt.jobs))) if receipt.jobs else ()
    session.add_all(ReceiptJobRow(receipt_id=row.id, job_id=one) for one in jobs)
    lists = _lists(session, {one.list_number for one in receipt.listed})
    # The lists' rows are locked: two who take in one line at once take turns.
    taken = {number: receipts_of_lines(session, number) for number in lists}
    for one in receipt.listed:
        if one.line in taken[one.list_number]:
            raise OnAnotherReceipt(one, taken[one.list_number][one.line])
        session.add(ReceiptListRow(list_id=lists[one.list_number], line=one.line, receipt_id=row.id))
    _keep_prices(session, row.id, prices, at, by)
    session.flush()
    keep_brought(session, f"receipt {row.number}", _brought(receipt), made_at=row.made_at, at=at, by=by)


def _brought(receipt: Receipt) -> Iterable[tuple[str, str, Fraction]]:
    """What its own lines bring into the stock; what money came back for went back."""
    for place, one in enumerate(receipt.lines):
        if one.offer and one.count:
            yield str(place), one.offer, one.count if one.paid >= 0 else -one.count


def _check_return(session: Session, receipt: Receipt) -> None:
    """No more goes back than was bought; the receipt's row is locked, so that two returns at once take turns."""
    if receipt.returns is None:
        return
    bought = session.scalar(select(ReceiptRow).where(ReceiptRow.number == receipt.returns).with_for_update())
    if bought is None:
        raise NotKept("receipt", receipt.returns)
    back = session.scalars(select(ReceiptRow.total).where(ReceiptRow.returns == receipt.returns))
    returned = -sum(back, Decimal(0))
    if returned > max(bought.total, Decimal(0)):
        places = receipt.terms.places
        raise ReturnsTooMuch(receipt.returns, round(bought.total, places), round(returned, places))


def _lists(session: Session, numbers: Collection[int]) -> Mapping[int, UUID]:
    found = {
        row.number: row.id
        for row in session.scalars(
            select(BuyingListRow).where(BuyingListRow.number.in_(numbers)).order_by(BuyingListRow.number)
            .with_for_update()
        )
    }  # fmt: skip
    for number in numbers:
        if number not in found:
            raise NotKept("list", number)
    return found


def _keep_prices(
    session: Session, receipt_id: UUID, prices: Iterable[PriceSeen], at: datetime, by: UUID | None
) -> None:
    """Let exactly these prices of a receipt count."""
    # Whoever puts a receipt right says no price anew by that: what stays as it was keeps its place among all others.
    wanted = {one.unsigned: one for one in prices}
    for price_id, held in prices_of_receipt(session, receipt_id).items():
        if wanted.pop(held.unsigned, None) is None:
            withdraw_price(session, price_id, "the receipt says something else by now", at=at)
    for seen in wanted.values():
        session.add(ReceiptPriceRow(price_id=add_price(session, seen, at=at, by=by), receipt_id=receipt_id))


def _record(session: Session, did: str, row: ReceiptRow, at: datetime, by: UUID | None) -> None:
    details = {"supplier": row.supplier, "total": str(row.total), "day": row.day.isoformat()}
    record(session, HistoryEntry(at, by, did, "receipt", str(row.number), details))


def _stored(row: ReceiptRow) -> StoredReceipt:
    return StoredReceipt(row.id, row.number, row.version, receipt_of(row.document), row.made_at)
