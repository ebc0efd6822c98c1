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
from webapp.costing.catalogue.materials import Catalogue, Material, current_price, described, tag_words
from webapp.costing.designs.model import Design, Limit, Role, Stations
from webapp.costing.designs.values import Dependent
from webapp.costing.errors import Problem
from webapp.costing.ledger.formula import Expression
from webapp.costing.measures.written import System, format_quantity

#: What is known of a material in a place: it fits, it does not, or nobody says.
Fit = Literal["fits", "misfit", "not known"]

_RULE_WORDS: Final[Mapping[str, str]] = {"equal": "", "least": "at least ", "most": "at most "}


@dataclass(frozen=True, slots=True)
class Judged:
    """How a material stands to a place: `broken` are the limits it breaks, `unsaid` what nobody says, in words."""

    broken: tuple[str, ...] = ()
    unsaid: tuple[str, ...] = ()

    @property
    def fit(self) -> Fit:
        """How it fits: well, for all that is known, or not."""
        return "misfit" if self.broken else "not known" if self.unsaid else "fits"


@dataclass(slots=True)
class Filled:
    """The code of the material in each role, what can't fill one, and what is quietly to be noted, by role."""

    codes: dict[str, str] = field(default_factory=dict)
    refused: dict[str, Problem] = field(default_factory=dict)
    notes: dict[str, str] = field(default_factory=dict)


def judge(role: Role, material: Material, followed: Material | None, system: System, step_nm: int) -> Judged:
    """Whether a material fits a place beside the material of the role it follows; lengths within half a step."""
    stated = described(material)
    of = described(followed) if followed is not None else {}
    broken, unsaid = [], [f"is not tagged {tag_words(tag)}" for tag in role.needs.tags if tag not in material.tags]
    for limit in role.needs.limits:
        label, quantity = _told(role.kind, limit.property)
        needed, value = _needed(limit, of), stated.get(limit.property)
        if needed is None:
            continue
        if value is None:
            unsaid.append(f"says nothing of “{label}”")
            continue
        within = Fraction(step_nm, 2) if quantity == "length" else Fraction(0)
        above, below = value - needed > within, needed - value > within
        if {"equal": above or below, "least": below, "most": above}[limit.rule]:
            shown = format_quantity(value, quantity, system)
            broken.append(f"“{label}” is {shown}, where {_wanted(limit, needed, quantity, system)} is needed")
    return Judged(tuple(broken), tuple(unsaid))


def may_be_meant(role: Role, material: Material) -> bool:
    """Whether a material that is not known to fit is worth offering: whoever tagged it otherwise said what it is, and
    one that states none of the measures that are asked for is something else."""
    if role.needs.tags and material.tags and not set(role.needs.tags) <= set(material.tags):
        return False
    asked = {limit.property for limit in role.needs.limits}
    return not asked or not asked.isdisjoint(described(material))


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
        if judged.unsaid:
            filled.notes[role.name] = f"Not known to fit: it {_joined(judged.unsaid)}."
        return
    if chosen or followed is None:
        beside = f" with “{followed.name}”" if followed is not None else ""
        filled.refused[role.name] = Problem(
            f"materials.{role.name}",
            f"“{material.name}” ({code}), chosen for “{role.says}”, does not fit there{beside}: "
            f"{_joined(judged.broken)}.",
        )
    elif not _pick_instead(filled, role, followed, catalogue, system, step_nm):
        filled.refused[role.name] = Problem(
            f"materials.{role.name}",
            f"No material is known to fit “{role.says}” with “{followed.name}”: needed is "
            f"{needed_words(role, followed, system)}. Add one to the materials, or choose one for this job.",
        )


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
        tagged = set(role.needs.tags) <= set(material.tags)
        if judged.broken or len(judged.unsaid) > len(set(role.needs.tags) - set(material.tags)):
            continue
        price = _least_price(catalogue, material.code)
        found.append((not tagged, price is None, price or Decimal(0), material.code))
    if not found:
        return False
    untagged, _, _, code = min(found)
    filled.codes[role.name] = code
    filled.notes[role.name] = f"Taken to fit “{followed.name}”." + (
        f" Not known to be {_joined([tag_words(tag) for tag in role.needs.tags])}: it is not tagged so."
        if untagged
        else ""
    )
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
        design.operations, design.spans, design.musts,
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
