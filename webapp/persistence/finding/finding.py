"""Finding things of every kind by their words: what bears the very number or code first, then the likeliest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from sqlalchemy import ColumnElement, and_, case, func, or_, select
from sqlalchemy.orm import InstrumentedAttribute, Session

from webapp.costing.jobs.words import searched_words
from webapp.costing.measures.trade_words import terms_sought
from webapp.persistence.catalogue.records import MaterialRow
from webapp.persistence.designs.records import DesignRow
from webapp.persistence.earlier_jobs.records import StoredEarlierJob, find_earlier_jobs
from webapp.persistence.finding.jobs import jobs_holding
from webapp.persistence.foundation.lists import AnyRow, AnySelect, Page, fold, holds_words
from webapp.persistence.jobs.customers import CustomerRow, StoredCustomer, customer_of
from webapp.persistence.jobs.records import JobListed, JobRow, job_columns, job_listed
from webapp.persistence.quotes.records import QuoteListed, quote_columns, quote_listed
from webapp.persistence.quotes.tables import QuoteRow

EACH: Final = 10
"""How many of a kind are given; how many there are is told beside them."""


@dataclass(frozen=True, slots=True)
class DesignFound:
    """A design that holds the words."""

    code: str
    name: str
    retired: bool


@dataclass(frozen=True, slots=True)
class MaterialFound:
    """A material that holds the words."""

    code: str
    name: str
    kind: str
    retired: bool


@dataclass(frozen=True, slots=True)
class Everywhere:
    """What was found of each kind, and how much there is of it."""

    jobs: Page[JobListed]
    quotes: Page[QuoteListed]
    designs: Page[DesignFound]
    materials: Page[MaterialFound]
    customers: Page[StoredCustomer]
    earlier: Page[StoredEarlierJob]

    @property
    def total(self) -> int:
        """How much was found of all kinds."""
        kinds = (self.jobs, self.quotes, self.designs, self.materials, self.customers, self.earlier)
        return sum(one.total for one in kinds)


def find_everywhere(session: Session, words: str, today: date, size: int = EACH) -> Everywhere:
    """What holds all the words, of every kind. No words find nothing."""
    sought = " ".join(searched_words(words))
    holding = jobs_holding(words)
    newest = (JobRow.updated_at.desc(),)
    jobs, job_total = _best(session, job_columns(), JobRow.search, sought, newest, size, holding)
    quotes, quote_total = _best(
        session, quote_columns(), QuoteRow.search, words, (QuoteRow.issued_at.desc(), QuoteRow.revision.desc()), size
    )
    material = MaterialRow
    columns = select(material.code, material.name, material.kind, material.retired)
    stock, stock_total = _best(
        session, columns, material.search, words, (material.retired, material.name_key, material.code), size
    )
    people, people_total = _best(
        session, select(CustomerRow), CustomerRow.search, words, (CustomerRow.name_key, CustomerRow.id), size
    )
    return Everywhere(
        Page(tuple(job_listed(row) for row in jobs), job_total, 1, size),
        Page(tuple(quote_listed(row, today) for row in quotes), quote_total, 1, size),
        _designs(session, words, size),
        Page(tuple(MaterialFound(row.code, row.name, row.kind, row.retired) for row in stock), stock_total, 1, size),
        Page(tuple(customer_of(row[0]) for row in people), people_total, 1, size),
        find_earlier_jobs(session, words, size=size) if fold(words) else Page((), 0),
    )


def _designs(session: Session, words: str, size: int) -> Page[DesignFound]:
    """A shop has some dozens of designs, with no column for their words."""
    wanted = terms_sought(fold(words))
    rows = session.execute(select(DesignRow.code, DesignRow.name, DesignRow.retired).order_by(DesignRow.name_key))
    found = [
        DesignFound(row.code, row.name, row.retired)
        for row in rows
        if wanted and all(any(word in fold(row.code, row.name) for word in either) for either in wanted)
    ]
    found.sort(key=lambda one: (one.code != fold(words), one.retired))
    return Page(tuple(found[:size]), len(found), 1, size)


def _best(
    session: Session, columns: AnySelect, search: InstrumentedAttribute[str], words: str,
    then: Sequence[ColumnElement[Any] | InstrumentedAttribute[Any]], size: int,
    holding: Sequence[ColumnElement[bool]] | None = None,
) -> tuple[Sequence[AnyRow], int]:  # fmt: skip
    """The likeliest rows that hold the words, and how many rows do: both in one walk through the table.

    `search` begins with the number or the code, so that what bears it whole is known by its beginning. A word of one
    sign has to begin one: inside words it is nearly everywhere. `holding` stands in place of all words in `search`.
    """
    typed = fold(words)
    if not typed:
        return (), 0
    begins = and_(
        *(
            or_(search.startswith(word, autoescape=True), search.contains(f" {word}", autoescape=True))
            for word in typed.split()
        )
    )
    bears = or_(search == typed, search.startswith(f"{typed} ", autoescape=True))
    rows = session.execute(
        columns.add_columns(func.count().over().label("all_found"))
        .where(begins if max(map(len, typed.split())) == 1 else and_(*(holding or holds_words(search, words))))
        .order_by(case((bears, 0), (begins, 1), else_=2), *then)
        .limit(size)
    ).all()
    return rows, rows[0].all_found if rows else 0
