"""Which material fills each place of a design: as the job chose, as is usual, or what fits the one that is followed.

And which places and choices count at all under the answers chosen.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field, fields
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Catalogue, Material, current_price, described
from webapp.costing.catalogue.tags import is_tagged, one_of, says_what_it_is, tag_words, what_it_is
from webapp.costing.designs.model import Design, Role
from webapp.costing.designs.needs import Limit
from webapp.costing.designs.stations import Stations
from webapp.costing.designs.values import Dependent
from webapp.costing.errors import Problem
from webapp.costing.ledger.formula import Expression
from webapp.costing.measures.written import System, format_quantity

#: What is known of a material in a place: it fits, it does not, or nobody says.
Fit = Literal["fits", "misfit", "not known"]

_RULE_WORDS: Final[Mapping[str, str]] = {"equal": "", "least": "at least ", "most": "at most "}


@dataclass(frozen=True, slots=True)
class Judged:
    """How a material stands to a place: `lacking` are the tags that it lacks and by its own is not, `broken` the limits
    it breaks, in words; `untagged` the tags that nobody says of it, `silent` what it says nothing of."""

    lacking: tuple[str, ...] = ()
    broken: tuple[str, ...] = ()
    untagged: tuple[str, ...] = ()
    silent: tuple[str, ...] = ()

    @property
    def fit(self) -> Fit:
        """How it fits: well, for all that is known, or not."""
        return "misfit" if self.lacking or self.broken else "not known" if self.untagged or self.silent else "fits"


@dataclass(slots=True)
class Filled:
    """The code of the material in each role; by role what can't fill one, why one is not known to and what to type
    then, and what is quietly to be noted."""

    codes: dict[str, str] = field(default_factory=dict)
    refused: dict[str, Problem] = field(default_factory=dict)
    unknown: dict[str, str] = field(default_factory=dict)
    notes: dict[str, str] = field(default_factory=dict)


def judge(role: Role, material: Material, followed: Material | None, system: System, step_nm: int) -> Judged:
    """Whether a material fits a place beside the material of the role it follows; lengths within half a step.

    A material that is tagged is nothing that its tags don't say; of one without any nobody knows.
    """
    stated = described(material)
    of = described(followed) if followed is not None else {}
    missing = [tag for tag in role.needs.tags if not is_tagged(material.tags, tag)]
    lacking = tuple(tag for tag in missing if says_what_it_is(material.tags, tag))
    broken, silent = [], []
    for limit in role.needs.limits:
        label, quantity = _told(role.kind, limit.property)
        needed, value = _needed(limit, of), stated.get(limit.property)
        if needed is None:
            continue
        if value is None:
            silent.append(label)
            continue
        within = Fraction(step_nm, 2) if quantity == "length" else Fraction(0)
        above, below = value - needed > within, needed - value > within
        if {"equal": above or below, "least": below, "most": above}[limit.rule]:
            shown = format_quantity(value, quantity, system)
            broken.append(f"“{label}” is {shown}, where {_wanted(limit, needed, quantity, system)} is needed")
    untagged = tuple(tag for tag in missing if tag not in lacking)
    return Judged(lacking, tuple(broken), untagged, tuple(dict.fromkeys(silent)))


def may_be_meant(role: Role, material: Material) -> bool:
    """Whether a material that is not known to fit is worth offering where nothing is known to: one that states none of
    the measures that are asked for is something else."""
    asked = {limit.property for limit in role.needs.limits}
    return not asked or not asked.isdisjoint(described(material))


def fit_words(role: Role, material: Material, followed: Material | None, judged: Judged) -> str:
    """Why a material does not fit a place, or why nobody knows it and what to type then; '' where it fits."""
    name = f"“{material.name}”"
    if judged.lacking:
        takes = _joined([one_of(tag) for tag in role.needs.tags])
        besides = f" Besides, its {_joined(judged.broken)}." if judged.broken else ""
        return f"“{role.says}” takes {takes}; {name} is {_joined(what_it_is(material.tags))}.{besides}"
    if judged.broken:
        beside = f" with “{followed.name}”" if followed is not None else ""
        return (
            f"{name} ({material.code}), chosen for “{role.says}”, does not fit there{beside}: {_joined(judged.broken)}."
        )
    if judged.fit == "fits":
        return ""
    missed, to_type = [], []
    if judged.untagged:
        missed.append("no tag says what it is")
        words = _joined([f"“{tag_words(tag)}”" for tag in judged.untagged])
        to_type.append(f"type {words} under its tags if it is {_joined([one_of(tag) for tag in judged.untagged])}")
    if judged.silent:
        labels = _joined([f"“{label}”" for label in judged.silent])
        missed.append(f"it says nothing of {labels}")
        to_type.append(f"type its {labels}")
    do = _joined(to_type)
    return f"Not known whether {name} ({material.code}) fits “{role.says}”: {_joined(missed)}. {do[0].upper()}{do[1:]}."


def fill_roles(design: Design, chosen: Mapping[str, str], catalogue: Catalogue, system: System, step_nm: int) -> Filled:
    """Fill every role. What the job chose stays, and is refused where it does not fit; a role that follows another is
    filled with its usual material while that fits, else with the least dear of those that do."""
    filled = Filled()
    for role in (*(one for one in design.roles.values() if not one.follows), *design.roles.values()):
        if role.name not in filled.codes:
            _fill(filled, role, chosen.get(role.name, ""), catalogue, design, system, step_nm)
    return filled


def _fill(
    filled: Filled, role: Role, chosen: str, catalogue: Catalogue, design: Design, system: System, step_nm: int
) -> None:
    code = filled.codes[role.name] = chosen or role.usual
    material, followed = catalogue.materials.get(code), None
    if role.follows:
        followed = catalogue.materials.get(filled.codes[role.follows])
        if followed is None or role.follows in filled.refused:
            # What it should fit is not there itself, which is said already.
            followed = None
    if material is None or material.kind is not role.kind:
        if chosen or followed is None or not _pick_instead(filled, role, followed, catalogue, system, step_nm):
            filled.refused[role.name] = Problem(f"materials.{role.name}", _unusable(role, code, material))
        return
    judged = judge(role, material, followed, system, step_nm)
    at_rest = followed is None or followed.code == design.roles[role.follows].usual
    if judged.fit == "fits" or (judged.fit == "not known" and (chosen or at_rest)):
        _note_unknown(filled, role, material, followed, judged)
        return
    if chosen or followed is None:
        filled.refused[role.name] = Problem(f"materials.{role.name}", fit_words(role, material, followed, judged))
    elif not _pick_instead(filled, role, followed, catalogue, system, step_nm):
        filled.refused[role.name] = Problem(
            f"materials.{role.name}",
            f"No material is known to fit “{role.says}” with “{followed.name}”: needed is "
            f"{needed_words(role, followed, system)}. Add one to the materials, or choose one for this job.",
        )


def _note_unknown(filled: Filled, role: Role, material: Material, followed: Material | None, judged: Judged) -> None:
    if judged.fit == "not known":
        filled.unknown[role.name] = fit_words(role, material, followed, judged)


def _pick_instead(
    filled: Filled, role: Role, followed: Material, catalogue: Catalogue, system: System, step_nm: int
) -> bool:
    """Fill a role with the least dear material that fits beside the one it follows, then by code: those that carry the
    tags before those that only keep the measures."""
    found: list[tuple[bool, bool, Decimal, str]] = []
    for material in catalogue.materials.values():
        if material.kind is not role.kind or material.retired:
            continue
        judged = judge(role, material, followed, system, step_nm)
        if judged.fit == "misfit" or judged.silent:
            continue
        price = _least_price(catalogue, material.code)
        found.append((bool(judged.untagged), price is None, price or Decimal(0), material.code))
    if not found:
        return False
    code = filled.codes[role.name] = min(found)[3]
    filled.notes[role.name] = f"Taken to fit “{followed.name}”."
    material = catalogue.materials[code]
    _note_unknown(filled, role, material, followed, judge(role, material, followed, system, step_nm))
    return True


def _least_price(catalogue: Catalogue, code: str) -> Decimal | None:
    """The lowest current price of one piece of a material; None where none has one."""
    each = []
    for offer in catalogue.offers_of(code):
        price = current_price(catalogue, offer.id)
        if price is not None and (first := price.at(price.breaks[0].from_quantity)) is not None:
            each.append(first.amount / Decimal(int(offer.size.get("count", Fraction(1))) or 1))
    return min(each, default=None)


def needed_words(role: Role, followed: Material | None, system: System) -> str:
    """What fits a place, in words: its kind, its tags and its measures beside the material that it follows."""
    of = described(followed) if followed is not None else {}
    said = [f"tagged {tag_words(tag)}" for tag in role.needs.tags]
    for limit in role.needs.limits:
        label, quantity = _told(role.kind, limit.property)
        needed = _needed(limit, of)
        if needed is not None:
            said.append(f"with “{label}” {_wanted(limit, needed, quantity, system)}")
    return f"a material of the kind {role.kind}, {_joined(said)}" if said else f"a material of the kind {role.kind}"


def _needed(limit: Limit, of: Mapping[str, Fraction]) -> Fraction | None:
    return of.get(limit.of) if limit.of else limit.value


def _wanted(limit: Limit, needed: Fraction, quantity: str, system: System) -> str:
    return f"{_RULE_WORDS[limit.rule]}{format_quantity(needed, quantity, system)}"


def _told(kind: Kind, name: str) -> tuple[str, str]:
    """What a property is called, and the quantity it is."""
    return next((one.label, one.quantity) for one in KINDS[kind].properties if one.name == name)


def _unusable(role: Role, code: str, material: Material | None) -> str:
    if material is None:
        return f"“{code}”, chosen for “{role.says}”, is not in the catalogue."
    return (
        f"“{material.name}” ({code}), chosen for “{role.says}”, is of the kind {material.kind}; "
        f"the kind {role.kind} is needed."
    )


def _joined(said: Collection[str]) -> str:
    *first, last = said
    return f"{', '.join(first)} and {last}" if first else last


def filled_roles(design: Design, active: Callable[[Dependent], bool]) -> set[str]:
    """The places from which something is cut, bought or put on; `active` says what belongs to the answers chosen."""
    filled = {role for part in filter(active, design.parts.values()) for role in (part.stock, part.band_stock)}
    filled |= {role for joint in filter(active, design.joints.values()) for role in (joint.fastener, joint.glue)}
    filled |= {each.stock for each in filter(active, design.hardware.values())}
    filled |= {each.stock for each in filter(active, design.finishes.values())}
    filled |= {each.stock for each in filter(active, design.supplies.values())}
    return filled - {""}


def what_counts(design: Design, answers: Collection[str]) -> frozenset[str]:
    """The roles and choices by which anything is made, worked out or checked under these answers.

    A role whose material only lends a thickness to a formula counts; so does a choice that some entry asks for.
    """

    def active(entry: Dependent) -> bool:
        return not entry.when or entry.when in answers

    entries = list(_entries(design))
    roles = filled_roles(design, active)
    asked = {entry.when for entry in entries} | {part.together_when for part in filter(active, design.parts.values())}
    waiting = [name for entry in filter(active, entries) for name in _names(entry)]
    waiting += [name for formula in design.closes.values() for name in formula.names]
    seen: set[str] = set()
    while waiting:
        name = waiting.pop()
        if name in seen:
            continue
        seen.add(name)
        role, _, of = name.partition(".")
        if of:
            roles.add(role)
        elif name in design.values:
            for answer, formula in design.values[name].formulas.items():
                asked.add(answer)
                if not answer or answer in answers:
                    waiting += formula.names
    roles |= {design.roles[role].follows for role in roles if role in design.roles} - {""}
    return frozenset(roles | {name for name, choice in design.choices.items() if asked & set(choice.answers)})


def _entries(design: Design) -> Iterator[Dependent]:
    """Everything in a design that may belong to one answer only."""
    for table in (
        design.parts, design.joints, design.hardware, design.surfaces, design.finishes, design.supplies,
        design.operations, design.loads, design.spans, design.musts,
    ):  # fmt: skip
        yield from table.values()


def _names(entry: Dependent) -> Iterator[str]:
    """The names in the formulas of an entry."""
    for each in fields(entry):  # type: ignore[arg-type]
        held = getattr(entry, each.name)
        for formula in held.values() if isinstance(held, Mapping) else (held,):
            if isinstance(formula, Expression):
                yield from formula.names
            elif isinstance(formula, Stations):
                for one in (formula.count, *formula.formulas):
                    yield from one.names if one is not None else ()
