"""Materials to choose from for a place in a design: a bounded number, those that fit it best first."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from fractions import Fraction
from typing import Final

from sqlalchemy import ColumnElement, Text, case, func, literal, or_, select, type_coerce, union
from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.catalogue.meant import MOST_OFFERED, key_of, nearest
from webapp.persistence.catalogue.records import MaterialRow, columns_of_materials, material_of
from webapp.persistence.foundation.lists import fold, holds_words

#: What decides whether one material can stand for another: it is of the same measure, or does the same.
MEASURES: Final = ("thickness", "width", "wall", "length", "diameter", "rated_load")
PURPOSES: Final = ("spread", "coverage", "covers", "weld", "spliced", "by_area", "grain")


def count_kinds(session: Session) -> dict[Kind, int]:
    """How many materials there are of each kind, retired ones too, counted on the index alone."""
    rows = session.execute(select(MaterialRow.kind, func.count()).group_by(MaterialRow.kind))
    return {Kind(kind): count for kind, count in rows}


def find_alike(
    session: Session, kind: Kind, places: Sequence[Mapping[str, Fraction]], words: str, each: int
) -> tuple[tuple[str, str], ...]:
    """Codes and names of a kind's materials that hold all the words: for each place so many of the likest to it.

    By name, each once; the kind is gone through once however many places there are.
    """
    row = MaterialRow
    likeness = {_likeness(place): None for place in places} or {(): None}
    scored = (
        select(row.code, row.name, row.name_key, *(_score(one).label(f"s{at}") for at, one in enumerate(likeness)))
        .where(row.kind == kind.value, row.retired.is_(False), *holds_words(row.search, words))
        .cte("scored")
    )
    likest = [
        select(scored.c.code, scored.c.name, scored.c.name_key)
        .order_by(scored.c[f"s{at}"].desc(), scored.c.name_key, scored.c.code)
        .limit(each)
        .subquery()
        for at in range(len(likeness))
    ]
    found = union(*(select(one) for one in likest)).subquery()
    rows = session.execute(select(found.c.code, found.c.name).order_by(found.c.name_key, found.c.code))
    return tuple((one.code, one.name) for one in rows)


def find_described(
    session: Session, kind: Kind, words: str, most: int, tags: Collection[str] = ()
) -> tuple[Material, ...]:
    """The materials of a kind that hold all the words, as they are described; those with tags first, then by name.
    With `tags` those that have one of them."""
    row = MaterialRow
    padded = literal(" ") + row.tags + literal(" ")
    tagged = [or_(*(padded.contains(f" {tag} ", autoescape=True) for tag in tags))] if tags else []
    statement = (
        columns_of_materials()
        .where(row.kind == kind.value, row.retired.is_(False), *holds_words(row.search, words), *tagged)
        .order_by(case((row.tags.is_(None), 1), else_=0), row.name_key, row.code)
        .limit(most)
    )
    return tuple(material_of(one) for one in session.execute(statement))


def count_described(session: Session, kind: Kind, words: str) -> int:
    """How many materials of a kind hold all the words, retired ones apart."""
    row = MaterialRow
    wanted = (row.kind == kind.value, row.retired.is_(False), *holds_words(row.search, words))
    return session.scalar(select(func.count()).select_from(row).where(*wanted)) or 0


def codes_stating(session: Session, kind: Kind, properties: Collection[str]) -> set[str]:
    """The codes of a kind's materials, not retired, that say something of each of these properties."""
    text = type_coerce(MaterialRow.values, Text)
    stated = [text.contains(f'"{name}":', autoescape=True) for name in properties]
    return set(session.scalars(
        select(MaterialRow.code).where(MaterialRow.kind == kind.value, MaterialRow.retired.is_(False), *stated)
    ))  # fmt: skip


def codes_and_names(session: Session) -> tuple[set[str], set[str]]:
    """The codes of all materials, and their names as they are compared."""
    rows = session.execute(select(MaterialRow.code, MaterialRow.name)).all()
    return {one.code for one in rows}, {key_of(one.name) for one in rows}


def names_of(session: Session, codes: Collection[str]) -> dict[str, str]:
    """The names of these materials by their codes, of those that there are."""
    rows = session.execute(select(MaterialRow.code, MaterialRow.name).where(MaterialRow.code.in_(codes)))
    return {row.code: row.name for row in rows}


def codes_meant(session: Session, texts: Collection[str], kinds: Collection[Kind]) -> set[str]:
    """The codes of the materials that texts name by code or by name, and of what is likest where a text names none."""
    if not texts:
        return set()
    row, keys = MaterialRow, {key_of(text) for text in texts}
    # A code written with spaces, or a name with underscores, is meant as well.
    spelt = {fold(text) for text in texts} | keys
    named = select(row.code, row.name).where(
        or_(row.code.in_({*texts, *(key.replace(" ", "_") for key in keys)}), row.name_key.in_(spelt))
    )
    found = {one.code: one.name for one in session.execute(named)}
    known = {key_of(word) for pair in found.items() for word in pair}
    unknown = sorted(key for key in keys if key not in known)
    codes = set(found)
    if unknown:
        listed = select(row.code, row.name).where(row.kind.in_([kind.value for kind in kinds]), row.retired.is_(False))
        names = {one.code: one.name for one in session.execute(listed)}
        codes |= {nearest(text, names) for text in unknown[:MOST_OFFERED]} - {""}
    return codes


def _likeness(values: Mapping[str, Fraction]) -> tuple[tuple[str, int], ...]:
    """What to look for in the kept values of a material, and how much each counts."""
    return tuple(
        (f'"{name}":"{Fraction(value)}"', 2) if name in MEASURES else (f'"{name}":', 1)
        for name, value in sorted(values.items())
        if name in MEASURES or name in PURPOSES
    )


def _score(looked_for: tuple[tuple[str, int], ...]) -> ColumnElement[int]:
    text = type_coerce(MaterialRow.values, Text)
    score: ColumnElement[int] = literal(0)
    for held, worth in looked_for:
        score = score + case((text.contains(held, autoescape=True), worth), else_=0)
    return score
