"""A design being made, worked out as it stands: read, taken off at its usual sizes, priced, and what is wrong where."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, Final

from sqlalchemy.orm import Session

from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.design_changes.attach import attach, used_in
from webapp.costing.design_changes.typed_units import write_units_in
from webapp.costing.design_form.reader import read_design
from webapp.costing.design_form.tables.form_tables import INSIDE
from webapp.costing.design_lines.table import ONE_LINE
from webapp.costing.designs.formulas import name_words
from webapp.costing.designs.model import Design
from webapp.costing.errors import CostingError, Problem
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.takeoff.model import CLEAR, Outcome, TakeOff
from webapp.estimating import estimate_one
from webapp.pages.designs.on_lines import entries_said
from webapp.pages.designs.view import usual_stock, work_out
from webapp.persistence.designs.records import newest_document
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop

#: What a design lacks as a whole is no fault of a row: before anything stands there it is said what comes next. Stock
#: comes with the parts that are cut from it.
_NOT_YET: Final = ("sizes", "stock", "parts", "scope", "says", "name", "design", "form")
_NEXT: Final[Mapping[str, str]] = {
    "sizes": "It has no size: say what a customer may change, as “width 900, from 600 to 1200”.",
    "parts": "It has no part: say one, as “2 sides of birch plywood 18, height long upright, left and right”.",
    "stock": "",
}
#: The rows that sentences name.
_TOLD: Final = ("parts", "joints", "hardware", "holes", "openings", "moves", "finish", "stock", "uses", "operations")
#: Of these a sentence that fails may name several, each of which might be changed.
_THINGS: Final = ("parts", "hardware", "holes", "openings", "moves", "uses")
#: So often rows that can't be read are left out, until the others can be.
MOST_ROUNDS: Final = 8


@dataclass(frozen=True, slots=True)
class Found:
    """A sentence about a row: its place in the document, whether it fails, and the check that it comes from; `also` are
    the further rows that it names."""

    path: str
    sentence: str
    outcome: Outcome
    check: str = ""
    also: tuple[str, ...] = ()

    @property
    def entry(self) -> str:
        """What of its section it is about: 'parts.side' of 'parts.side.length', 'closes.x' of that."""
        return ".".join(self.path.split(".")[:2])

    @property
    def row(self) -> str:
        """The row that it stands at: the entry, or a section that is one row as a whole."""
        section = self.path.partition(".")[0]
        return section if section in ONE_LINE else self.entry


@dataclass(frozen=True, slots=True)
class WorkedOut:
    """What a document comes to. `design` and `taken` are None where it can't be read or worked out yet; `not_yet` is
    what it lacks as a whole. It `lacks_rows` where some can't be read and the others were worked out. `also` is what
    fails at another row that names this one, `figures` are those of the take-off."""

    document: Mapping[str, Any]
    design: Design | None
    taken: TakeOff | None
    catalogue: Catalogue
    found: tuple[Found, ...]
    not_yet: tuple[str, ...]
    lacks_rows: bool = False
    by_row: Mapping[str, tuple[Found, ...]] = field(default_factory=dict)
    also: Mapping[str, tuple[Found, ...]] = field(default_factory=dict)
    figures: Mapping[str, Figure] = field(default_factory=dict)

    @property
    def faults(self) -> tuple[Found, ...]:
        """What fails."""
        return tuple(one for one in self.found if one.outcome == "failure")


def work_out_document(session: Session, document: Mapping[str, Any], shop: Shop, today: date) -> WorkedOut:
    """The document with units written in and its designs put in, read, and taken off at its usual sizes."""
    written, _ = write_units_in(document, shop.length_system)
    attached, missing = with_designs(session, written)
    design, problems = read_design(attached)
    catalogue = Catalogue({}, {}, {}, shop.currency, today)
    sound: Mapping[str, Any] = attached
    taken, working, found = None, Working().work, list(_problems(document, (*missing, *problems)))
    if design is None:
        # One row that can't be read hides none of the others: what can be drawn without it is.
        sound, design = _without_faults(attached, found)
    if design is not None:
        catalogue = usual_stock(session, design, today)
        taken, why = work_out(design, shop, catalogue, current_rates(session), working)
        if taken is None:
            found.append(Found("", why, "failure"))
        else:
            found += _checked(taken, sound)
    found = list(dict.fromkeys(found))
    not_yet = tuple(said for one in found if one.path in _NOT_YET and (said := _NEXT.get(one.path, one.sentence)))
    found = [one for one in found if one.path not in _NOT_YET]
    by_row: dict[str, list[Found]] = {}
    also: dict[str, list[Found]] = {}
    for one in found:
        if one.outcome != "pass":
            by_row.setdefault(one.row, []).append(one)
        for row in one.also:
            also.setdefault(row, []).append(one)
    return WorkedOut(
        sound, design, taken, catalogue, tuple(found), not_yet, sound is not attached,
        {row: tuple(said) for row, said in by_row.items()}, {row: tuple(said) for row, said in also.items()},
        working.figures,
    )  # fmt: skip


def with_designs(session: Session, document: Mapping[str, Any]) -> tuple[dict[str, Any], tuple[Problem, ...]]:
    """The document with the newest of each design that is used in it where it has none yet, and what can't be had."""
    return attach(document, lambda code: newest_document(session, code))


def price_of(session: Session, worked: WorkedOut, shop: Shop, today: date) -> Estimate | None:
    """One of it at its usual sizes, estimated as a job of its own; None where it can't be."""
    if worked.design is None:
        return None
    try:
        return estimate_one(session, worked.design.code, worked.design.name, worked.document, shop, today)[1]
    except CostingError:
        return None


def _without_faults(document: Mapping[str, Any], found: Iterable[Found]) -> tuple[Mapping[str, Any], Design | None]:
    """The document without the rows that can't be read, and the design that the others are; what leans on one of them
    can't be read then either, and goes as well."""
    left, faulty = document, {one.entry for one in found if one.outcome == "failure"}
    for _ in range(MOST_ROUNDS):
        rows = {row for row in faulty if "." in row and row.partition(".")[0] in left}
        if not rows:
            break
        for row in rows:
            section, _, name = row.partition(".")
            held = {key: each for key, each in left[section].items() if key != name}
            left = {**left, section: held} if held else {key: each for key, each in left.items() if key != section}
        design, problems = read_design(left)
        if design is not None:
            return left, design
        faulty = {one.entry for one in _problems(left, problems)}
    return document, None


def _problems(document: Mapping[str, Any], problems: Iterable[Problem]) -> Iterator[Found]:
    for one in problems:
        section, _, rest = one.field.partition(".")
        # Of a design within, the row is the use that brings it.
        uses = used_in(document).get(rest.partition(".")[0], ()) if section == INSIDE else ()
        path = f"uses.{uses[0]}" if uses else "" if section == INSIDE else one.field
        yield Found(path, one.message, "warning" if one.severity == "warning" else "failure")


def _checked(taken: TakeOff, document: Mapping[str, Any]) -> Iterator[Found]:
    """What the checks say, each at the row that it is about."""
    paths = [
        f"{section}.{name}"
        for section, held in document.items()
        if isinstance(held, Mapping) and section not in (INSIDE, "remarks")
        for name in held
    ]
    called = _called(document, paths)
    for sentence, path, outcome, check in entries_said(taken, paths):
        if check == CLEAR and outcome == "failure":
            # Each pair of parts that overlaps has a sentence of its own: this one would count them once more.
            continue
        of_whole = next((one for one in ONE_LINE if one == check.partition("/")[0] and document.get(one)), "")
        found = Found(path or of_whole or _told_in(sentence, called), sentence, outcome, check)
        yield replace(found, also=_further(found, called)) if outcome == "failure" else found


def _called(document: Mapping[str, Any], paths: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """What rows are called in sentences, the longest first."""
    found = []
    for path in paths:
        section, _, name = path.partition(".")
        entry = document[section][name]
        says = entry.get("says") if isinstance(entry, Mapping) else None
        if section in _TOLD and (words := says if isinstance(says, str) else name_words(name).capitalize()):
            found.append((words, path))
    return tuple(sorted(found, key=lambda one: -len(one[0])))


def _further(found: Found, called: Iterable[tuple[str, str]]) -> tuple[str, ...]:
    """The things beside its own row that a sentence names, as it names them: in quotation marks."""
    named: dict[str, str] = {}
    for words, path in called:
        if path.partition(".")[0] in _THINGS and f"“{words}”" in found.sentence:
            named.setdefault(words, path)
    return tuple(path for path in named.values() if path != found.row)


def _told_in(sentence: str, called: Iterable[tuple[str, str]]) -> str:
    """The row that a sentence names first; '' where it names none."""
    places = [(sentence.find(words), -len(words), path) for words, path in called if words in sentence]
    return min(places)[2] if places else ""
