"""The presses that mend a row: each change that might is tried, and offered where the fault is gone and none came."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material, described
from webapp.costing.design_rows.edits import path_of, take_out, type_word
from webapp.costing.design_rows.mends import Mend, mends_of, rows_behind, steps_left_off
from webapp.costing.designs.fitting import judge
from webapp.costing.designs.formulas import name_words
from webapp.costing.errors import CostingError
from webapp.costing.measures.written import STEP_NM
from webapp.pages.maker.worked import Found, WorkedOut, work_out_document
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.settings.shop import Shop

#: So many faults are looked into at a time, and so many changes tried in all.
MOST_FAULTS: Final = 3
MOST_TRIED: Final = 24
#: How the checks are named that find something made and counted by no step.
NOT_COUNTED: Final = "counted"
#: Where more than so many changes mend a fault, there is no one answer.
MOST_OFFERED: Final = 3


@dataclass(frozen=True, slots=True)
class MendShown:
    """A press at a row: what it says, and the fields that it sends; or none, where what is pressed at the row
    `elsewhere` mends this one as well."""

    row: str
    words: str
    fields: tuple[tuple[str, str], ...]
    elsewhere: str = ""


def mends_shown(session: Session, document: Mapping[str, Any], worked: WorkedOut, shop: Shop) -> tuple[MendShown, ...]:
    """What mends the first faults of a design by one press each, as far as there are few answers."""
    tried, shown, catalogue = 0, list[MendShown](), load_catalogue(session, worked.catalogue.today)
    mended = dict[tuple[str, str], str]()
    for fault in [one for one in worked.faults if "." in one.row][:MOST_FAULTS]:
        if _known(fault) in mended:
            shown.append(MendShown(fault.row, "", (), mended[_known(fault)]))
            continue
        good, gone = list[Mend](), set[tuple[str, str]]()
        for mend in dict.fromkeys(_might(document, fault, worked, catalogue, shop)):
            if tried >= MOST_TRIED or len(good) > MOST_OFFERED:
                break
            tried += 1
            if _known(fault) in (cured := _cured(session, document, mend, worked, shop)):
                gone = gone & cured if good else cured
                good.append(mend)
        if good and len(good) <= MOST_OFFERED:
            mended |= dict.fromkeys(gone, fault.row)
            shown += [MendShown(fault.row, _words(one, fault), _fields(one)) for one in good]
    return tuple(dict.fromkeys(shown))


def _might(
    document: Mapping[str, Any], fault: Found, worked: WorkedOut, catalogue: Catalogue, shop: Shop
) -> Iterator[Mend]:
    """The changes to try: of the row itself, of the rows that it goes by, of the steps of the work."""
    if fault.check.startswith(NOT_COUNTED):
        yield from steps_left_off(document)
        return
    behind = rows_behind(document, fault.row)
    further = [path for row in behind for path in rows_behind(document, row)]
    # Of two parts that run into each other it is told at one, and the other may be the one to change.
    for path in dict.fromkeys((fault.row, *behind, *further, *fault.also)):
        section, _, name = path.partition(".")
        fitting = _fitting(worked, catalogue, name, shop) if section == "stock" else ()
        yield from mends_of(document, path, fault.sentence, fitting)


def _fitting(worked: WorkedOut, catalogue: Catalogue, role_name: str, shop: Shop) -> Sequence[Material]:
    """The materials that fit a place, the likest to the one that fills it first."""
    role = worked.design.roles.get(role_name) if worked.design is not None else None
    if role is None or worked.design is None:
        return ()
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
    if not mend.typed:
        return take_out(document, mend.section, mend.name)
    for slot, text in mend.typed:
        document = type_word(document, mend.section, mend.name, slot, text)
    return document


def _cured(
    session: Session, document: Mapping[str, Any], mend: Mend, worked: WorkedOut, shop: Shop
) -> set[tuple[str, str]]:
    """The faults that are gone with it; none where anything fails that did not before."""
    try:
        after = work_out_document(session, changed_by(document, mend), shop, worked.catalogue.today)
    except CostingError:
        return set()
    before, left = {_known(one) for one in worked.faults}, {_known(one) for one in after.faults}
    return before - left if left <= before else set()


def _known(fault: Found) -> tuple[str, str]:
    """By what a fault is known again: its row, and its check or what it says."""
    return fault.row, fault.check or fault.sentence


def _words(mend: Mend, fault: Found) -> str:
    """What a press says: names with spaces as rows have them, and which row it changes where it stands at another."""
    words = mend.words.replace("_", " ")
    if path_of(mend.section, mend.name) == fault.row:
        return words
    return f"{name_words(mend.name).capitalize()}: {words[:1].lower()}{words[1:]}"


def _fields(mend: Mend) -> tuple[tuple[str, str], ...]:
    own = (("section", mend.section), ("row", mend.name))
    return (*own, *((f"at.{slot}", text) for slot, text in mend.typed)) if mend.typed else (*own, ("act", "remove"))
