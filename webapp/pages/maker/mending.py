"""The presses that mend a row: each change that might is tried, and offered where the fault is gone and none came."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material, described
from webapp.costing.design_rows.edits import take_out, type_word
from webapp.costing.design_rows.mends import Mend, mends_of
from webapp.costing.designs.fitting import judge
from webapp.costing.errors import CostingError
from webapp.costing.measures.written import STEP_NM
from webapp.pages.maker.worked import Found, WorkedOut, work_out_document
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.settings.shop import Shop

#: So many faults are looked into at a time, and so many changes tried in all.
MOST_FAULTS: Final = 3
MOST_TRIED: Final = 24
#: Where more than so many changes mend a fault, there is no one answer.
MOST_OFFERED: Final = 3


@dataclass(frozen=True, slots=True)
class MendShown:
    """A press at a row: what it says, and the fields that it sends."""

    row: str
    words: str
    fields: tuple[tuple[str, str], ...]


def mends_shown(session: Session, document: Mapping[str, Any], worked: WorkedOut, shop: Shop) -> tuple[MendShown, ...]:
    """What mends the first faults of a design by one press each, as far as there are few answers."""
    tried, shown = 0, list[MendShown]()
    for fault in [one for one in worked.faults if "." in one.row][:MOST_FAULTS]:
        good = list[Mend]()
        for mend in _might(session, document, fault, worked, shop):
            if tried >= MOST_TRIED:
                break
            tried += 1
            if _mends(session, document, mend, fault, worked, shop):
                good.append(mend)
        if len(good) <= MOST_OFFERED:
            shown += [MendShown(f"{one.section}.{one.name}", one.words, _fields(one)) for one in good]
    return tuple(dict.fromkeys(shown))


def _might(
    session: Session, document: Mapping[str, Any], fault: Found, worked: WorkedOut, shop: Shop
) -> Iterator[Mend]:
    """The changes to try: of the row itself, and of the stock that it is made of."""
    section, _, name = fault.row.partition(".")
    yield from mends_of(document, fault.row, fault.sentence, _fitting(session, worked, name, shop))
    entry = document.get(section, {}).get(name)
    role = entry.get("stock") if isinstance(entry, Mapping) else None
    if isinstance(role, str) and role in document.get("stock", {}):
        yield from mends_of(document, f"stock.{role}", fault.sentence, _fitting(session, worked, role, shop))


def _fitting(session: Session, worked: WorkedOut, role_name: str, shop: Shop) -> Sequence[Material]:
    """The materials that fit a place, the likest to the one that fills it first."""
    role = worked.design.roles.get(role_name) if worked.design is not None else None
    if role is None or worked.design is None:
        return ()
    catalogue: Catalogue = load_catalogue(session, worked.catalogue.today)
    followed = catalogue.materials.get(worked.design.roles[role.follows].usual) if role.follows else None
    fits = [
        one for one in catalogue.materials.values()
        if one.kind == role.kind and one.code != role.usual and not one.retired
        and judge(role, one, followed, shop.length_system, STEP_NM[shop.length_system]).fit == "fits"
    ]  # fmt: skip
    usual = catalogue.materials.get(role.usual)
    return sorted(fits, key=lambda one: (_unlike(one, usual), one.name))


def _unlike(one: Material, other: Material | None) -> float:
    """How far two materials stand apart in what both state."""
    if other is None or one.kind != other.kind or one.kind == Kind.LIQUID:
        return 0.0
    mine, theirs = described(one), described(other)
    both = mine.keys() & theirs.keys()
    apart = [abs(float(mine[key]) - float(theirs[key])) / (abs(float(theirs[key])) or 1.0) for key in both]
    return sum(apart) + len(mine.keys() ^ theirs.keys())


def changed_by(document: Mapping[str, Any], mend: Mend) -> Mapping[str, Any]:
    """The document with a mend made. Raises CostingError where it can't be."""
    if mend.slot is None:
        return take_out(document, mend.section, mend.name)
    return type_word(document, mend.section, mend.name, mend.slot, mend.text)


def _mends(
    session: Session, document: Mapping[str, Any], mend: Mend, fault: Found, worked: WorkedOut, shop: Shop
) -> bool:
    """Whether the fault is gone with it, and nothing else fails that did not before."""
    try:
        after = work_out_document(session, changed_by(document, mend), shop, worked.catalogue.today)
    except CostingError:
        return False
    before = {(one.row, one.check or one.sentence) for one in worked.faults}
    left = {(one.row, one.check or one.sentence) for one in after.faults}
    return (fault.row, fault.check or fault.sentence) not in left and left <= before and len(left) < len(before)


def _fields(mend: Mend) -> tuple[tuple[str, str], ...]:
    own = (("section", mend.section), ("row", mend.name))
    return (*own, ("act", "remove")) if mend.slot is None else (*own, (f"at.{mend.slot}", mend.text))
