"""Materials to choose from for a place in a design: a bounded number, those that fit it best first."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Final

from sqlalchemy import ColumnElement, Text, case, func, literal, select, type_coerce
from sqlalchemy.orm import Session

from webapp.costing.catalogue import Kind
from webapp.persistence.catalogue import MaterialRow
from webapp.persistence.lists import holds_words

#: What decides whether one material can stand for another: it is of the same measure, or does the same.
MEASURES: Final = ("thickness", "width", "wall", "length", "diameter", "rated_load")
PURPOSES: Final = ("spread", "coverage", "covers", "weld", "spliced", "by_area", "grain")


def count_kinds(session: Session) -> dict[Kind, int]:
    """How many materials in use there are of each kind."""
    rows = session.execute(
        select(MaterialRow.kind, func.count()).where(MaterialRow.retired.is_(False)).group_by(MaterialRow.kind)
    )
    return {Kind(kind): count for kind, count in rows}


def find_alike(
    session: Session, kind: Kind, usual: Mapping[str, Fraction], words: str, size: int
) -> tuple[tuple[str, str], ...]:
    """Codes and names of a kind's materials that hold all the words, the likest to one of those values first."""
    row, text = MaterialRow, type_coerce(MaterialRow.values, Text)
    alike: ColumnElement[int] = literal(0)
    for name, value in usual.items():
        if name in MEASURES:
            alike = alike + case((text.contains(f'"{name}":"{Fraction(value)}"', autoescape=True), 2), else_=0)
        elif name in PURPOSES:
            alike = alike + case((text.contains(f'"{name}":', autoescape=True), 1), else_=0)
    rows = session.execute(
        select(row.code, row.name)
        .where(row.kind == kind.value, row.retired.is_(False), *holds_words(row.search, words))
        .order_by(alike.desc(), row.name_key, row.code)
        .limit(size)
    )
    return tuple((one.code, one.name) for one in rows)
