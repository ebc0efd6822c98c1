"""The people and places the shop works for."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from sqlalchemy import delete, func, select, text, update
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.costing.jobs.job import Customer
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.base import Row, Versioned
from webapp.persistence.foundation.column_types import CanonicalJson
from webapp.persistence.foundation.errors import NotKept, StaleSave, StoreError
from webapp.persistence.foundation.lists import PAGE_SIZE, Page, SortText, fold, holds_words, turn_to
from webapp.persistence.jobs.records import JobListed, JobRow, job_columns, job_listed


class CustomerRow(Versioned, Row):
    """A customer. `name_key` and `search` are the folded name and all the words to find it by; `way` is how one gets
    to its place, as a job's form has it."""

    __tablename__ = "customers"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    name_key: Mapped[str] = mapped_column(SortText, index=True)
    search: Mapped[str]
    address: Mapped[str]
    email: Mapped[str]
    phone: Mapped[str]
    tax_number: Mapped[str] = mapped_column(server_default=text("''"))
    note: Mapped[str]
    way: Mapped[dict[str, str]] = mapped_column(CanonicalJson, server_default=text("'{}'"))


@dataclass(frozen=True, slots=True)
class StoredCustomer:
    """A customer with the shop's own note, the version that a save names, and the way to its place as typed."""

    id: int
    customer: Customer
    note: str
    version: int
    way: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class JobsFor:
    """The jobs for a customer that were touched last, and how many there are."""

    last: tuple[JobListed, ...] = ()
    total: int = 0


class SameCustomer(StoreError):
    """A customer was to be merged with itself."""

    def __init__(self, name: str) -> None:
        super().__init__(f"{name} can't be merged with itself; choose the other entry of the same customer.")


def add_customer(
    session: Session, customer: Customer, note: str = "", *, at: datetime, by: UUID | None = None,
    way: Mapping[str, str] | None = None,
) -> StoredCustomer:  # fmt: skip
    """Keep a new customer; two may have the same name."""
    row = CustomerRow(version=1, way=dict(way or {}))
    _write(row, customer, note)
    session.add(row)
    session.flush()
    record(session, HistoryEntry(at, by, "added", "customer", str(row.id), {"name": customer.name}))
    return customer_of(row)


def edit_customer(
    session: Session,
    customer_id: int,
    customer: Customer,
    note: str,
    version: int,
    *,
    at: datetime,
    by: UUID | None = None,
    way: Mapping[str, str] | None = None,
) -> StoredCustomer:
    """Keep a changed customer, and the way to its place where it is told. Jobs and quotes keep what they hold.

    Raises NotKept, StaleSave.
    """
    row = _locked(session, customer_id)
    if row.version != version:
        raise StaleSave("customer", customer_of(row), StoredCustomer(customer_id, customer, note, version, way or {}))
    _write(row, customer, note)
    if way is not None:
        row.way = dict(way)
    row.version = version + 1
    session.flush()
    record(session, HistoryEntry(at, by, "edited", "customer", str(row.id), {"name": customer.name}))
    return customer_of(row)


def keep_first_way(
    session: Session, customer_id: int, way: Mapping[str, str], *, at: datetime, by: UUID | None = None
) -> bool:
    """Keep a way with a customer of whom none is kept yet; whether that was so. One who was merged away keeps none."""
    row = session.get(CustomerRow, customer_id, with_for_update=True, populate_existing=True)
    if row is None or row.way or not way:
        return False
    row.way, row.version = dict(way), row.version + 1
    session.flush()
    record(session, HistoryEntry(at, by, "edited", "customer", str(row.id), {"name": row.name}))
    return True


def merge_customers(
    session: Session, gone: tuple[int, int], kept: tuple[int, int], *, at: datetime, by: UUID | None = None
) -> StoredCustomer:
    """Make one customer of two, each named by id and version: the jobs of the one that goes are the kept one's then.

    Jobs and quotes keep the words they hold. Raises SameCustomer, NotKept, and StaleSave where either was changed
    since it was looked at.
    """
    # In the order of their ids, so that two who merge the same two wait for each other and not in a ring.
    rows = {number: _locked(session, number) for number in sorted({gone[0], kept[0]})}
    if gone[0] == kept[0]:
        raise SameCustomer(rows[gone[0]].name)
    for number, version in (gone, kept):
        if rows[number].version != version:
            raise StaleSave("customer", customer_of(rows[number]), version)
    name, stays = rows[gone[0]].name, rows[kept[0]]
    moved = session.execute(
        update(JobRow).where(JobRow.customer_id == gone[0]).values(customer_id=kept[0]).returning(JobRow.id)
        .execution_options(synchronize_session=False)
    ).all()  # fmt: skip
    session.execute(delete(CustomerRow).where(CustomerRow.id == gone[0]))
    # Who looked at the kept one alone before does not take it away with another's jobs in it.
    stays.version += 1
    session.flush()
    details = {"name": stays.name, "merged": name, "was": gone[0], "jobs": len(moved)}
    record(session, HistoryEntry(at, by, "merged", "customer", str(kept[0]), details))
    return customer_of(stays)


def jobs_for(session: Session, customer_ids: Collection[int], most: int) -> dict[int, JobsFor]:
    """For each customer the jobs that were touched last, at most so many, and how many there are."""
    row = JobRow
    order = func.row_number().over(partition_by=row.customer_id, order_by=(row.updated_at.desc(), row.number.desc()))
    total = func.count().over(partition_by=row.customer_id)
    listed = (
        job_columns().add_columns(row.customer_id, order.label("place"), total.label("of_customer"))
        .where(row.customer_id.in_(customer_ids)).subquery()
    )  # fmt: skip
    found: dict[int, JobsFor] = {}
    for one in session.execute(select(listed).where(listed.c.place <= most).order_by(listed.c.place)):
        before = found.get(one.customer_id, JobsFor())
        found[one.customer_id] = JobsFor((*before.last, job_listed(one)), one.of_customer)
    return found


def load_customer(session: Session, customer_id: int, *, hold: bool = False) -> StoredCustomer:
    """One customer. Raises NotKept. With `hold` nobody merges it into another until the transaction is over."""
    row = session.get(CustomerRow, customer_id, with_for_update={"read": True} if hold else None)
    if row is None:
        raise NotKept("customer", customer_id)
    return customer_of(row)


def find_customers(
    session: Session, words: str = "", *, number: int = 1, size: int = PAGE_SIZE
) -> Page[StoredCustomer]:
    """Customers whose name, address, mail, telephone or note hold all the words, by name."""
    statement = (
        select(CustomerRow)
        .where(*holds_words(CustomerRow.search, words))
        .order_by(CustomerRow.name_key, CustomerRow.id)
    )
    rows, total = turn_to(session, statement, number, size)
    return Page(tuple(customer_of(row[0]) for row in rows), total, number, size)


def _locked(session: Session, customer_id: int) -> CustomerRow:
    row = session.get(CustomerRow, customer_id, with_for_update=True, populate_existing=True)
    if row is None:
        raise NotKept("customer", customer_id)
    return row


def _write(row: CustomerRow, customer: Customer, note: str) -> None:
    row.name, row.name_key = customer.name, fold(customer.name)
    row.address, row.email, row.phone, row.note = customer.address, customer.email, customer.phone, note
    row.tax_number = customer.tax_number
    row.search = fold(customer.name, customer.address, customer.email, customer.phone, customer.tax_number, note)


def customer_of(row: CustomerRow) -> StoredCustomer:
    """The customer a row holds."""
    told = Customer(row.name, row.address, row.email, row.phone, row.tax_number)
    return StoredCustomer(row.id, told, row.note, row.version, dict(row.way))
