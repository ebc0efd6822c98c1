"""Designs as kept: each save of another document is a version of its own, and no version ever changes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final
from uuid import UUID

from sqlalchemy import ForeignKey, Text, UniqueConstraint, delete, func, select, type_coerce
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.costing.measures.typed_numbers import small_number
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.column_types import OrderedJson
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.foundation.lists import SortText, fold, one_line
from webapp.persistence.foundation.turns import take_turn
from webapp.persistence.jobs.records import JobDesignRow

#: The note beside a version that is the program's own.
STARTED_FROM: Final = "A design to start from"
#: Where a document holds the designs that are used in it, by code.
INSIDE: Final = "inside"


class DesignRow(Row):
    """A design, whose name is the one of its last version."""

    __tablename__ = "designs"

    id: Mapped[int] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    name_key: Mapped[str] = mapped_column(SortText, index=True)
    retired: Mapped[bool]


class DesignVersionRow(Row):
    """One version of a design. Its document's digest is its identity; a trigger keeps it from ever being changed."""

    __tablename__ = "design_versions"
    __table_args__ = (UniqueConstraint("design_id", "number"), UniqueConstraint("design_id", "digest"))

    id: Mapped[int] = mapped_column(primary_key=True)
    design_id: Mapped[int] = mapped_column(ForeignKey("designs.id"))
    number: Mapped[int]
    document: Mapped[dict[str, Any]] = mapped_column(OrderedJson)
    digest: Mapped[str]
    note: Mapped[str]
    created_at: Mapped[datetime]
    created_by: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))


class DesignMaterialRow(Row):
    """That the last version of a design takes a material as its usual one, by the material's code."""

    __tablename__ = "design_materials"

    design_id: Mapped[int] = mapped_column(ForeignKey("designs.id", ondelete="CASCADE"), primary_key=True)
    material_code: Mapped[str] = mapped_column(primary_key=True, index=True)


@dataclass(frozen=True, slots=True)
class StoredDesign:
    """One version of a design with its document, the design form as nested text."""

    code: str
    name: str
    version: int
    document: Mapping[str, Any]
    digest: str
    note: str
    created_at: datetime
    retired: bool


@dataclass(frozen=True, slots=True)
class DesignListed:
    """A design in the list: its last version, how many jobs use it, and whether it is made to be put into others."""

    code: str
    name: str
    version: int
    saved_at: datetime
    jobs: int
    retired: bool
    for_others: bool = False


@dataclass(frozen=True, slots=True)
class VersionListed:
    """A version of a design, without its document."""

    number: int
    digest: str
    note: str
    created_at: datetime


def save_design_version(
    session: Session,
    code: str,
    name: str,
    document: Mapping[str, Any],
    digest: str,
    *,
    at: datetime,
    by: UUID | None = None,
    note: str = "",
    after: int | None = None,
) -> int:
    """Keep a design's document and return its version, from 1; a document kept before is the version it was then.

    Raises StaleSave where `after` is given and another version than that one, or any for 0, is the last by now.
    """
    take_turn(session, "designs")
    design = session.scalar(select(DesignRow).where(DesignRow.code == code).with_for_update())
    if design is None:
        design = DesignRow(code=code, name=name, name_key=fold(name), retired=False)
        session.add(design)
        session.flush()
    kept = session.scalar(
        select(DesignVersionRow.number).where(
            DesignVersionRow.design_id == design.id, DesignVersionRow.digest == digest
        )
    )
    if kept is not None:
        return kept
    last = session.scalar(select(func.max(DesignVersionRow.number)).where(DesignVersionRow.design_id == design.id))
    if after is not None and after != (last or 0):
        raise StaleSave("design", last, after)
    number = (last or 0) + 1
    session.add(
        DesignVersionRow(
            design_id=design.id,
            number=number,
            document=dict(document),
            digest=digest,
            note=note,
            created_at=at,
            created_by=by,
        )
    )
    design.name, design.name_key = name, fold(name)
    session.execute(delete(DesignMaterialRow).where(DesignMaterialRow.design_id == design.id))
    usual = sorted(usual_materials(document))
    session.add_all(DesignMaterialRow(design_id=design.id, material_code=code) for code in usual)
    session.flush()
    record(session, HistoryEntry(at, by, "saved", "design", code, {"version": number, "name": name}))
    return number


def usual_materials(document: Mapping[str, Any]) -> frozenset[str]:
    """The codes of the materials that a design takes where a job names no other, whatever else is wrong with it."""
    held = [role.get("usual") for role in _entries(document, "stock").values()]
    for code, inside in _entries(document, INSIDE).items():
        uses = [entry for entry in _entries(document, "uses").values() if entry.get("design") == code]
        # A place that a role of the whole fills in each of its uses takes nothing of its own.
        filled = set.intersection(*map(_filled, uses)) if uses else set()
        stock = {name: role for name, role in _entries(inside, "stock").items() if name not in filled}
        held += usual_materials({**inside, "stock": stock})
    return frozenset({one_line(code) for code in held if isinstance(code, str)} - {""})


def _filled(use: Mapping[str, Any]) -> set[str]:
    materials = use.get("materials")
    return set(materials) if isinstance(materials, Mapping) else set()


def _entries(document: Mapping[str, Any], section: str) -> dict[str, Mapping[str, Any]]:
    held = document.get(section)
    entries = held.items() if isinstance(held, Mapping) else ()
    return {name: entry for name, entry in entries if isinstance(entry, Mapping)}


def is_kept(session: Session, code: str) -> bool:
    """Whether there is a design of that code, retired or not."""
    return session.scalar(select(DesignRow.id).where(DesignRow.code == code)) is not None


def load_design(session: Session, code: str, version: int | None = None) -> StoredDesign:
    """One version of a design, or its last one. Raises NotKept."""
    found = session.execute(
        select(DesignRow, DesignVersionRow)
        .join(DesignVersionRow, DesignVersionRow.design_id == DesignRow.id)
        .where(DesignRow.code == code, *([] if version is None else [DesignVersionRow.number == version]))
        .order_by(DesignVersionRow.number.desc())
        .limit(1)
    ).one_or_none()
    if found is None:
        raise NotKept("design", code if version is None else f"{code}, version {version}")
    design, kept = found
    return StoredDesign(
        design.code, design.name, kept.number, kept.document, kept.digest, kept.note, kept.created_at, design.retired
    )


def load_design_of(session: Session, item: Mapping[str, Any]) -> StoredDesign:
    """The version of its design that an item of a job's form stands on: the last one where it says none. Raises
    NotKept."""
    return load_design(session, str(item.get("design", "")), small_number(str(item.get("version", ""))))


def newest_document(session: Session, code: str) -> Mapping[str, Any] | None:
    """The document of the last version of a design; None where there is none of that code."""
    try:
        return load_design(session, code).document
    except NotKept:
        return None


def designs_with_inside(session: Session, code: str) -> tuple[StoredDesign, ...]:
    """The last versions of the designs in use in which another stands, by name."""
    holding = _last_holding(session, f'"design":"{code}"')
    found = [load_design(session, one.code) for one in list_designs(session) if one.code in holding]
    return tuple(one for one in found if code in _entries(one.document, INSIDE))


def load_design_document(session: Session, code: str, version: int | None = None) -> Mapping[str, Any]:
    """The document of one version of a design, or of its last one. Raises NotKept."""
    return load_design(session, code, version).document


def list_versions(session: Session, code: str) -> tuple[VersionListed, ...]:
    """Every version of a design, the last first."""
    kept = DesignVersionRow
    rows = session.execute(
        select(kept.number, kept.digest, kept.note, kept.created_at)
        .join(DesignRow, kept.design_id == DesignRow.id)
        .where(DesignRow.code == code)
        .order_by(kept.number.desc())
    )
    return tuple(VersionListed(row.number, row.digest, row.note, row.created_at) for row in rows)


def list_designs(session: Session, *, retired: bool | None = False) -> tuple[DesignListed, ...]:
    """Designs by name, those made to be put into others at the end, each with its last version and the number of jobs
    that use it. `retired` None lists all."""
    last = (
        select(
            DesignVersionRow.design_id,
            func.max(DesignVersionRow.number).label("version"),
            func.max(DesignVersionRow.created_at).label("saved_at"),
        )
        .group_by(DesignVersionRow.design_id)
        .subquery()
    )
    used = select(JobDesignRow.design_code, func.count().label("jobs")).group_by(JobDesignRow.design_code).subquery()
    statement = (
        select(DesignRow.code, DesignRow.name, DesignRow.retired, last.c.version, last.c.saved_at, used.c.jobs)
        .join(last, last.c.design_id == DesignRow.id)
        .outerjoin(used, used.c.design_code == DesignRow.code)
        .order_by(DesignRow.name_key, DesignRow.code)
    )
    if retired is not None:
        statement = statement.where(DesignRow.retired.is_(retired))
    others = _for_others(session)
    found = [
        DesignListed(row.code, row.name, row.version, row.saved_at, row.jobs or 0, row.retired, row.code in others)
        for row in session.execute(statement)
    ]
    return tuple(sorted(found, key=lambda one: one.for_others))


def last_documents(session: Session) -> dict[str, Mapping[str, Any]]:
    """The documents of the last versions of all designs, by their codes."""
    return _last_holding(session, "")


def _for_others(session: Session) -> frozenset[str]:
    """The codes of the designs whose last version is made to be put into others."""
    held = _last_holding(session, '"for_others":"yes"')
    return frozenset(code for code, document in held.items() if document.get("for_others") == "yes")


def _last_holding(session: Session, words: str) -> dict[str, Mapping[str, Any]]:
    """The last versions in whose document these words stand somewhere, as it is kept, by the design's code."""
    kept = DesignVersionRow
    last = select(kept.design_id, func.max(kept.number).label("number")).group_by(kept.design_id).subquery()
    said = session.execute(
        select(DesignRow.code, kept.document)
        .join(kept, kept.design_id == DesignRow.id)
        .join(last, (last.c.design_id == kept.design_id) & (last.c.number == kept.number))
        .where(type_coerce(kept.document, Text).contains(words, autoescape=True))
    )
    return {row.code: row.document for row in said}


def list_design_names(session: Session) -> tuple[tuple[str, str], ...]:
    """The codes and names of all designs, retired ones too, by name."""
    rows = session.execute(select(DesignRow.code, DesignRow.name).order_by(DesignRow.name_key, DesignRow.code))
    return tuple((row.code, row.name) for row in rows)


def retire_design(session: Session, code: str, *, at: datetime, by: UUID | None = None, retired: bool = True) -> None:
    """Take a design out of the list, or bring it back; jobs that use it still find it. Raises NotKept."""
    design = session.scalar(select(DesignRow).where(DesignRow.code == code).with_for_update())
    if design is None:
        raise NotKept("design", code)
    design.retired = retired
    session.flush()
    record(session, HistoryEntry(at, by, "retired" if retired else "brought back", "design", code, {}))
