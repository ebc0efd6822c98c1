"""What a shop of its own can begin with: the starter designs, and a list of common materials without prices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from fractions import Fraction
from functools import lru_cache
from typing import Final, get_args
from uuid import UUID

from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import KINDS
from webapp.costing.catalogue.materials import Catalogue, Material
from webapp.costing.designs.canonical import document_digest
from webapp.costing.measures.manner import TradeWords, manner, writing_as
from webapp.costing.measures.quantities import NM_PER_FOOT, System
from webapp.persistence.catalogue.changes import add_material, edit_material
from webapp.persistence.catalogue.records import load_material
from webapp.persistence.designs.records import (
    STARTED_FROM,
    list_designs,
    list_versions,
    load_design,
    save_design_version,
    usual_materials,
)
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.foundation.turns import take_turn
from webapp.seed import load_catalogue, load_designs, load_designs_for_others

#: What stands as the source of a value that belongs to the invented shop: it is a figure to begin with.
TO_BEGIN_WITH: Final = "a figure to begin with that nobody measured: put in what you measure"
INVENTED: Final = "invented"
#: How the source of a value begins that a shop finds out for itself, by a test strip of its own: nobody begins with it.
FOUND_OUT: Final = "the shop's"
#: Sizes of sheets, tubes and rolls of edge band in nm, and what is sold in their stead where one measures in inches:
#: sheets of 4 by 8 and 5 by 5 ft, of steel too, tube of 20 and 10 ft, rolls of 50 ft. Common practice.
SOLD_IN_INCHES: Final[Mapping[Fraction, Fraction]] = {
    Fraction(millimetres * 10**6): Fraction(feet * NM_PER_FOOT)
    for millimetres, feet in (
        (2440, 8), (1220, 4), (1525, 5), (2500, 8), (1250, 4), (2800, 8), (2070, 4), (6000, 20), (3000, 10),
        (25_000, 50), (2000, 8), (1000, 4),
    )
}  # fmt: skip
#: What describes a material since shops began with it: it comes with its tags.
GAINED: Final = ("grit",)
#: Prices of the invented shop are never taken over, so any day will do.
_ANY_DAY: Final = date(2026, 1, 1)


@dataclass(frozen=True, slots=True)
class Taken:
    """How many designs and materials were taken over; what the shop had already stays as it was."""

    designs: int
    materials: int


def take_starters(session: Session, *, at: datetime, by: UUID | None = None) -> Taken:
    """Keep each starter design and common material that the shop does not have; no supplier, offer or price with them.

    Raises FormError where the seed data can't be read whole.
    """
    designs = materials = 0
    take_turn(session, "materials")
    for document in (*load_designs(), *load_designs_for_others()):
        code, name = str(document["design"]), str(document["name"])
        try:
            load_design(session, code)
        except NotKept:
            digest = document_digest(document)
            save_design_version(session, code, name, document, digest, at=at, by=by, note=STARTED_FROM)
            designs += 1
    for material in load_catalogue(_ANY_DAY).materials.values():
        try:
            load_material(session, material.code)
        except NotKept:
            add_material(session, _to_begin_with(material), at=at, by=by)
            materials += 1
    return Taken(designs, materials)


def newer_starters(session: Session) -> dict[str, Mapping[str, object]]:
    """The starter designs that the shop uses and never had as the program now has them, by code."""
    found = {}
    for listed in list_designs(session):
        document = _designs(manner().words).get(listed.code)
        if document is not None:
            # What a shop had in the other set of trade words is no other design.
            digests = {document_digest(_designs(words)[listed.code]) for words in get_args(TradeWords)}
            if all(version.digest not in digests for version in list_versions(session, listed.code)):
                found[listed.code] = document
    return found


def take_starter(session: Session, code: str, *, at: datetime, by: UUID | None = None) -> None:
    """Keep the program's version of a starter as the newest; jobs go on with theirs. Its usual materials that the shop
    began with and never tagged get their tags, for the places of the design ask for them. Raises NotKept."""
    load_design(session, code)
    document = _designs(manner().words).get(code)
    if document is None:
        raise NotKept("design", code)
    save_design_version(
        session, code, str(document["name"]), document, document_digest(document), at=at, by=by, note=STARTED_FROM
    )
    for usual in sorted(usual_materials(document)):
        begun = _starters().materials.get(usual)
        if begun is not None:
            _tag(session, begun, at=at, by=by)


def _tag(session: Session, begun: Material, *, at: datetime, by: UUID | None) -> None:
    """Say what a material is as the program has it, where the shop said nothing, and what describes it since."""
    try:
        stored = load_material(session, begun.code)
    except NotKept:
        return
    held = stored.material
    if held.tags or held.kind is not begun.kind:
        return
    gained = {name: begun.values[name] for name in GAINED if name in begun.values}
    edit_material(
        session, replace(held, tags=begun.tags, values={**gained, **held.values}), stored.version, at=at, by=by
    )


@lru_cache(maxsize=len(get_args(TradeWords)))
def _designs(words: TradeWords) -> dict[str, Mapping[str, object]]:
    with writing_as(replace(manner(), words=words)):
        return {str(document["design"]): document for document in (*load_designs(), *load_designs_for_others())}


def usual_size(code: str, system: System) -> Mapping[str, Fraction]:
    """The size or pack in which a common material is usually sold where one measures so; nothing for any other."""
    offers = _starters().offers.get(code, ())
    size = offers[0].size if offers else {}
    return size if system == "metric" else {name: SOLD_IN_INCHES.get(value, value) for name, value in size.items()}


@lru_cache(maxsize=1)
def _starters() -> Catalogue:
    return load_catalogue(_ANY_DAY)


def _to_begin_with(material: Material) -> Material:
    """A material as a shop of one's own has it: no amount of money, and nothing invented that passes for practice."""
    left = {one.name for one in KINDS[material.kind].properties if one.money}
    left |= {name for name, text in material.sources.items() if text.startswith(FOUND_OUT)}
    values = {name: value for name, value in material.values.items() if name not in left}
    sources = {
        name: TO_BEGIN_WITH if INVENTED in text else text
        for name, text in material.sources.items()
        if name not in left
    }
    return replace(material, values=values, sources=sources, note="" if INVENTED in material.note else material.note)
