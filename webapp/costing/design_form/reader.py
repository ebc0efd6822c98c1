"""Reads the design form: a plain document -> a Design, or everything that is wrong with it, each in a sentence."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import TypeVar, cast

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.design_form.entries.read_entries import (
    read_choice,
    read_finish,
    read_hardware,
    read_joint,
    read_must,
    read_part,
    read_surface,
)
from webapp.costing.design_form.entries.read_fields import Entry, Reading
from webapp.costing.design_form.entries.read_loads import read_load, read_span
from webapp.costing.design_form.entries.read_made import (
    read_folds,
    read_holds,
    read_hole_field,
    read_joinery,
    read_move,
    read_opening,
    read_outline,
)
from webapp.costing.design_form.entries.read_roles import read_role
from webapp.costing.design_form.entries.read_sizes import read_size
from webapp.costing.design_form.entries.read_uses import (
    STANDS,
    WRITTEN_OUT,
    check_expected,
    is_within_use,
    note_parts,
    read_uses,
    within_use,
)
from webapp.costing.design_form.entries.read_values import check_renamed, read_values
from webapp.costing.design_form.entries.read_work import read_operation, read_supply
from webapp.costing.design_form.fill_in import FilledIn
from webapp.costing.design_form.tables.form_made import FOLDS, HOLDS, HOLES, JOINERY, MOVES, OPENINGS, OUTLINES
from webapp.costing.design_form.tables.form_tables import (
    AXES,
    CLOSES,
    DESIGN,
    FREE_IN_FORM_1,
    LONGEST_NAME,
    LOOKED_UP,
    LOOSE,
    NAME,
    SECTIONS,
    SHORT_FORM,
    TAKEN_NAMES,
    sections_of,
)
from webapp.costing.design_form.unfold import MOST_DEEP
from webapp.costing.designs.canonical import document_digest, document_problems, plain_copy
from webapp.costing.designs.formulas import LENGTH, NUMBER
from webapp.costing.designs.model import Axis, Choice, Design, Role, Size
from webapp.costing.designs.names import NAME_SPACE, property_dimensions
from webapp.costing.errors import Problem
from webapp.costing.ledger.formula import Expression

_Read = TypeVar("_Read")


def read_design(document: object) -> tuple[Design | None, tuple[Problem, ...]]:
    """The design that a document describes, or None and everything that is wrong with it.

    Never raises. `document` is nested mappings, lists and text, as the text form or the database gives it.
    """
    problems = document_problems(document)
    if problems:
        return None, problems
    plain = cast(dict[str, object], plain_copy(document))
    filled = FilledIn(plain) if plain.get("form") == SHORT_FORM else None
    whole = plain if filled is None else filled.document
    reading = Reading(whole)
    for path, message in () if filled is None else filled.wrong:
        reading.wrong(path, message)
    loose = plain.get("loose") == "yes"
    top = Entry(reading, LOOSE if loose else DESIGN if filled is None else WRITTEN_OUT, "", whole)
    if filled is not None and STANDS in plain:
        reading.wrong(STANDS, f"The design has a field '{STANDS}', which there isn't.")
    top.one_of("form")
    top.yes_no("loose", False)
    _check_names(reading, filled)
    sizes = _section(reading, "sizes", read_size)
    roles = _section(reading, "stock", read_role)
    choices = _section(reading, "choices", read_choice)
    _note_names(reading, sizes, roles, choices)
    if filled is not None and not loose:
        note_parts(reading)
    values = read_values(reading)
    if filled is not None:
        check_expected(reading, filled.unfolded.expected)
    design = Design(
        code=_read_code(reading, top),
        name=top.words("name"),
        says=top.words("says"),
        sizes=sizes,
        roles=roles,
        choices=choices,
        values=values,
        parts=_section(reading, "parts", read_part),
        joints=_section(reading, "joints", read_joint),
        hardware=_section(reading, "hardware", read_hardware),
        surfaces=_section(reading, "surfaces", read_surface),
        finishes=_section(reading, "finish", read_finish),
        supplies=_section(reading, "supplies", read_supply),
        operations=_section(reading, "operations", read_operation),
        holes=_section(reading, HOLES.name, read_hole_field) if filled is not None else {},
        openings=_section(reading, OPENINGS.name, read_opening) if filled is not None else {},
        joinery=_section(reading, JOINERY.name, read_joinery) if filled is not None else {},
        folds=_section(reading, FOLDS.name, read_folds) if filled is not None else {},
        outlines=_section(reading, OUTLINES.name, read_outline) if filled is not None else {},
        moves=_section(reading, MOVES.name, read_move) if filled is not None else {},
        holds=_section(reading, HOLDS.name, read_holds) if filled is not None else {},
        spans=_section(reading, "spans", read_span),
        musts=_section(reading, "musts", read_must),
        closes=_read_closes(reading),
        scope=top.sentence("scope"),
        not_included=top.lines("not_included"),
        digest=document_digest(plain),
        document=MappingProxyType(plain),
        loose=loose,
        form=reading.form,
        loads=_section(reading, "loads", read_load),
        uses=read_uses(reading) if filled is not None else {},
        for_others=whole.get("for_others") == "yes",
    )
    values.update(reading.implicit_values)
    check_renamed(reading)
    if filled is not None:
        reading.problems = [replace(one, field=filled.origin(one.field)) for one in reading.problems]
    return (None if reading.problems else design), tuple(reading.problems)


def _section(reading: Reading, name: str, read: Callable[[Entry], _Read]) -> dict[str, _Read]:
    """The entries of a section, each read by its own rules."""
    content = reading.document.get(name, {})
    if not isinstance(content, Mapping):
        return {}
    table = sections_of(reading.form)[name]
    return {
        key: read(Entry(reading, within_use(table) if is_within_use(each) else table, key, each))
        for key, each in content.items()
    }


def _check_names(reading: Reading, filled: FilledIn | None) -> None:
    """Every section is a mapping of proper names, not too many; names in formulas stand for one thing only."""
    free = FREE_IN_FORM_1 if reading.document.get("form") == "1" else frozenset()
    for section in sections_of(reading.form).values():
        content = reading.document.get(section.name, {})
        if not isinstance(content, Mapping):
            reading.wrong(section.name, f"The section {section.name} has to hold named entries.")
            continue
        if section.required and section.name in reading.document and not content:
            reading.wrong(
                section.name, f"The section {section.name} is empty; a design needs at least one {section.entry}."
            )
        if len(content) > section.most:
            reading.wrong(
                section.name, f"The section {section.name} has {len(content)} entries; {section.most} are the most."
            )
        for name in content:
            longest = LONGEST_NAME * (MOST_DEEP if filled and filled.is_within(f"{section.name}.{name}") else 1)
            if filled and filled.is_said_elsewhere(f"{section.name}.{name}"):
                # The program's own name for it, put together of several: each of them is held to its length.
                continue
            if not NAME.fullmatch(name) or len(name) > longest:
                reading.wrong(
                    f"{section.name}.{name}",
                    f"'{name[:80]}' is no name for a {section.entry}: lower-case words joined by single underscores "
                    f"are needed, at most {LONGEST_NAME} letters.",
                )
            elif section.name in NAME_SPACE and name in TAKEN_NAMES - free:
                reading.wrong(
                    f"{section.name}.{name}",
                    f"'{name}' has a meaning of its own in formulas; another name is needed for the {section.entry}.",
                )
    owners: dict[str, str] = {}
    # A short form names parts and the rest by what they are of, 'leg.top': they can't be taken for anything else.
    apart = (*NAME_SPACE, *LOOKED_UP) if reading.form != SHORT_FORM else NAME_SPACE
    for section_name in apart:
        for name in reading.declared(section_name):
            if name in owners:
                reading.wrong(
                    f"{section_name}.{name}",
                    f"'{name}' is a {SECTIONS[section_name].entry} and a {owners[name]}; it has to mean one thing.",
                )
            elif section_name in NAME_SPACE:
                owners[name] = SECTIONS[section_name].entry


def _note_names(
    reading: Reading, sizes: Mapping[str, Size], roles: Mapping[str, Role], choices: Mapping[str, Choice]
) -> None:
    """What formulas may use of sizes and stock, and which choice each answer belongs to."""
    broken = {".".join(problem.field.split(".")[:2]) for problem in reading.problems}
    for size in sizes.values():
        usable = f"sizes.{size.name}" not in broken
        reading.dimensions[size.name] = (LENGTH if size.is_length else NUMBER) if usable else None
    for role in roles.values():
        if f"stock.{role.name}" not in broken:
            reading.roles[role.name] = role.kind
            reading.dimensions.update(property_dimensions(role.name, role.kind))
            continue
        reading.roles[role.name] = None
        for kind in Kind:
            reading.dimensions.update(dict.fromkeys(property_dimensions(role.name, kind)))
    for choice in choices.values():
        for answer in dict.fromkeys(choice.answers):
            if answer in reading.answers:
                reading.wrong(
                    f"choices.{choice.name}.answers",
                    f"Choice {choice.name}, answers: '{answer}' is an answer of {reading.answers[answer]} too.",
                )
            elif any(answer in reading.declared(section) for section in NAME_SPACE):
                reading.wrong(
                    f"choices.{choice.name}.answers",
                    f"Choice {choice.name}, answers: '{answer}' is a name in formulas too; another is needed.",
                )
            reading.answers.setdefault(answer, choice.name)


def _read_code(reading: Reading, top: Entry) -> str:
    code = top.words("design")
    if code and (not NAME.fullmatch(code) or len(code) > LONGEST_NAME):
        reading.wrong(
            "design", f"The design's code '{code[:80]}' has to be lower-case words joined by single underscores."
        )
    return code


def _read_closes(reading: Reading) -> Mapping[Axis, Expression]:
    if "closes" not in reading.document:
        return {}
    entry = Entry(reading, CLOSES, "", reading.document["closes"])
    return {axis: entry.formula(axis) for axis in AXES}
