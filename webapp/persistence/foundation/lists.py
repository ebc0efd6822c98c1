"""Lists that people search and turn page by page, alike on both databases."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, Generic, TypeAlias, TypeVar

from sqlalchemy import ColumnElement, Row, Select, String, func, or_, select
from sqlalchemy.orm import InstrumentedAttribute, Session

from webapp.costing.measures.trade_words import terms_sought

Entry = TypeVar("Entry")
AnySelect: TypeAlias = Select[*tuple[Any, ...]]
AnyRow: TypeAlias = Row[*tuple[Any, ...]]

PAGE_SIZE: Final = 50

#: Text that is sorted: folded by us and compared by code point, since each PostgreSQL sorts by its own locale.
SortText: Final = String().with_variant(String(collation="C"), "postgresql")


@dataclass(frozen=True, slots=True)
class Page(Generic[Entry]):
    """One page of a list: its entries, its number from 1, and how many entries there are on all pages."""

    entries: tuple[Entry, ...]
    total: int
    number: int = 1
    size: int = PAGE_SIZE

    @property
    def pages(self) -> int:
        """How many pages there are; an empty list has one."""
        return max(1, -(-self.total // self.size))


def one_line(text: str) -> str:
    """A text with single spaces and nothing that can't be printed; PostgreSQL takes no zero byte."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


def fold(*texts: str) -> str:
    """Texts as they are searched and sorted: on one line, in lower case."""
    return one_line(" ".join(texts)).casefold()


def holds_words(column: InstrumentedAttribute[str], words: str) -> list[ColumnElement[bool]]:
    """That a folded column holds every one of the words somewhere, in either set of trade words; none hold always."""
    return [or_(*(column.contains(one, autoescape=True) for one in either)) for either in terms_sought(fold(words))]


def turn_to(session: Session, statement: AnySelect, number: int, size: int) -> tuple[list[AnyRow], int]:
    """The rows on one page of a sorted statement, and how many rows it has on all pages."""
    total = session.scalar(select(func.count()).select_from(statement.order_by(None).subquery())) or 0
    rows = session.execute(statement.limit(size).offset((max(1, number) - 1) * size)).all()
    return list(rows), total
