"""The people and places the shop works for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.costing.jobs.job import Customer
from webapp.persistence.store.audit import Deed, record
from webapp.persistence.store.base import Row, Versioned
from webapp.persistence.store.errors import NotKept, StaleSave
from webapp.persistence.store.lists import PAGE_SIZE, Page, SortText, fold, holds_words, turn_to


class CustomerRow(Versioned, Row):
    """A customer. `name_key` and `search` are the folded name and all the words to find it by."""

    __tablename__ = "customers"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    name_key: Mapped[str] = mapped_column(SortText, index=True)
    search: Mapped[str]
    address: Mapped[str]
    email: Mapped[str]
    phone: Mapped[str]
    note: Mapped[str]


@dataclass(frozen=True, slots=True)
class StoredCustomer:
    """A customer with the shop's own note, and the version that a save names."""

    id: int
    customer: Customer
    note: str
    version: int


def add_customer(
    session: Session, customer: Customer, note: str = "", *, at: datetime, by: UUID | None = None
) -> StoredCustomer:
    """Keep a new customer; two may have the same name."""
    row = CustomerRow(version=1)
    _write(row, customer, note)
    session.add(row)
    session.flush()
    record(session, Deed(at, by, "added", "customer", str(row.id), {"name": customer.name}))
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
) -> StoredCustomer:
    """Keep a changed customer. Jobs and quotes keep what they hold. Raises NotKept, StaleSave."""
    row = session.get(CustomerRow, customer_id, with_for_update=True)
    if row is None:
        raise NotKept("customer", customer_id)
    if row.version != version:
        raise StaleSave("customer", customer_of(row), StoredCustomer(customer_id, customer, note, version))
    _write(row, customer, note)
    row.version = version + 1
    session.flush()
    record(session, Deed(at, by, "edited", "customer", str(row.id), {"name": customer.name}))
    return customer_of(row)


def load_customer(session: Session, customer_id: int) -> StoredCustomer:
    """One customer. Raises NotKept."""
    row = session.get(CustomerRow, customer_id)
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


def _write(row: CustomerRow, customer: Customer, note: str) -> None:
    row.name, row.name_key = customer.name, fold(customer.name)
    row.address, row.email, row.phone, row.note = customer.address, customer.email, customer.phone, note
    row.search = fold(customer.name, customer.address, customer.email, customer.phone, note)


def customer_of(row: CustomerRow) -> StoredCustomer:
    """The customer a row holds."""
    return StoredCustomer(row.id, Customer(row.name, row.address, row.email, row.phone), row.note, row.version)
