"""The values of a design: one measure or one formula each, in an order in which they can be worked out."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Final

from webapp.costing.design_form.entries.read_fields import Reading
from webapp.costing.design_form.tables.form_tables import RENAMED, sections_of
from webapp.costing.designs.formulas import NUMBER, Dimension, dimension_words, read_formula, split_pair
from webapp.costing.designs.model import Value
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.formula import Expression
from webapp.costing.measures.quantities import SYSTEMS

#: What a value follows that is one measure for metric shops and another for those that measure in inches.
LENGTH_SYSTEM: Final = "the length system"


def read_values(reading: Reading) -> dict[str, Value]:
    """All values of the form. Notes what is wrong, and gives each name its dimension (None: not known)."""
    section = reading.document.get("values", {})
    if not isinstance(section, Mapping):
        return {}
    answers = _answers(reading)
    texts = {name: _texts(reading, answers, name, content) for name, content in section.items()}
    formulas: dict[str, dict[str, str]] = {name: each for name, each in texts.items() if each}
    for name in section:
        reading.dimensions[name] = None
    order = _find_order(reading, _uses(formulas))
    read = {name: _read_value(reading, name, formulas[name]) for name in order}
    return {name: read[name] for name in formulas if name in read}


def check_renamed(reading: Reading) -> None:
    """Note what is wrong with the names of earlier versions: by section, each is told with the one its entry has now,
    and stands for nothing else meanwhile. What became of an entry that is gone doesn't matter any more."""
    held = reading.document.get(RENAMED, {})
    if not isinstance(held, Mapping):
        reading.wrong(RENAMED, "The names of earlier versions are told by section, each with the one it has now.")
        return
    sections = sections_of(reading.document.get("form"))
    for section, record in held.items():
        path, table = f"{RENAMED}.{section}", sections.get(section)
        if table is None or not isinstance(record, Mapping) or not all(isinstance(one, str) for one in record.values()):
            reading.wrong(
                path, f"'{section[:80]}' has to be a section, holding names of earlier versions with new ones."
            )
            continue
        declared = reading.declared(section)
        for old, new in record.items():
            if old in declared and new in declared:
                said = f"'{old}' was the {table.entry} '{new}' in an earlier version, and is another one now"
                reading.wrong(f"{path}.{old}", f"{said}: jobs of then and of now would be mixed up.")


def _answers(reading: Reading) -> dict[str, str]:
    """The answers that a value may follow, with what they answer: the design's choices, and the shop's length system.

    A design whose own answers are called like a length system goes by its own.
    """
    if any(system in reading.answers for system in SYSTEMS):
        return reading.answers
    return {**{str(system): LENGTH_SYSTEM for system in SYSTEMS}, **reading.answers}


def _texts(reading: Reading, answers: Mapping[str, str], name: str, content: object) -> dict[str, str]:
    """A value's texts by answer ('' for one text); empty where they can't be used."""
    path = f"values.{name}"
    if isinstance(content, str):
        if not content.strip():
            reading.wrong(path, f"Value {name}: nothing is written here.")
            return {}
        try:
            sides = split_pair(content)
        except FormulaError as error:
            reading.wrong(path, f"Value {name}: {error.reason}")
            return {}
        if sides is None:
            return {"": content}
        content = {str(system): side for system, side in sides.items()}
    if not isinstance(content, Mapping) or not content:
        reading.wrong(
            path, f"Value {name} has to be one measure, one formula, or one of them for each answer of a choice."
        )
        return {}
    fine = True
    for answer, text in content.items():
        if not isinstance(text, str) or not text.strip():
            reading.wrong(f"{path}.{answer}", f"Value {name}, {answer}: one measure or one formula is needed here.")
            fine = False
        if answer not in answers:
            reading.wrong(
                f"{path}.{answer}",
                f"Value {name}: '{answer}' is no answer of a choice{reading.hint(answer, tuple(reading.answers))}",
            )
            fine = False
    asked = {answers[answer] for answer in content if answer in answers}
    if len(asked) > 1:
        reading.wrong(
            path, f"Value {name} mixes answers of {' and '.join(sorted(asked))}; it can follow one choice only."
        )
        return {}
    missing = [answer for answer, choice in answers.items() if choice in asked and answer not in content]
    if missing:
        reading.wrong(
            path,
            f"Value {name} has nothing for {' and '.join(missing)}; it needs one for every answer of {asked.pop()}.",
        )
    return {answer: str(text) for answer, text in content.items()} if fine else {}


def _uses(formulas: Mapping[str, Mapping[str, str]]) -> dict[str, tuple[str, ...]]:
    """Which other values each value needs, under any answer. What can't be read is noted later."""
    uses: dict[str, tuple[str, ...]] = {}
    for name, texts in formulas.items():
        found: dict[str, None] = {}
        for text in texts.values():
            try:
                found.update(dict.fromkeys(read_formula(text).names))
            except FormulaError:
                continue
        uses[name] = tuple(each for each in found if each in formulas)
    return uses


def _find_order(reading: Reading, uses: Mapping[str, tuple[str, ...]]) -> list[str]:
    """The values so that each comes after those it needs. Circles are noted and their values left out."""
    order: list[str] = []
    left = dict.fromkeys(uses)
    circled: set[str] = set()
    while left:
        free = [name for name in left if all(each not in left for each in uses[name])]
        for name in free:
            del left[name]
        order += [name for name in free if name not in circled]
        if not free:
            circle = _find_circle(uses, left)
            said = ", ".join(
                f"{name} needs {needed}" for name, needed in zip(circle, [*circle[1:], circle[0]], strict=True)
            )
            reading.wrong(f"values.{circle[0]}", f"The values go round in a circle: {said}.")
            for name in circle:
                circled.add(name)
                del left[name]
    return order


def _find_circle(uses: Mapping[str, tuple[str, ...]], left: Collection[str]) -> list[str]:
    """One circle among values that all need another one of them."""
    walked: dict[str, int] = {}
    name = next(iter(left))
    while name not in walked:
        walked[name] = len(walked)
        name = next(each for each in uses[name] if each in left)
    return list(walked)[walked[name] :]


def _read_value(reading: Reading, name: str, texts: Mapping[str, str]) -> Value:
    """One value, whose needed values are known by now; notes its dimension for those that follow."""
    formulas: dict[str, Expression] = {}
    found: dict[str, Dimension | None] = {}
    for answer, text in texts.items():
        try:
            formulas[answer], found[answer] = reading.amount_or_formula(text, reading.dimensions)
        except FormulaError as error:
            place = f"Value {name}, {answer}" if answer else f"Value {name}"
            reason = f"t{error.reason[1:]}" if error.reason.startswith("The ") else error.reason
            reading.wrong(f"values.{name}{'.' if answer else ''}{answer}", f"{place}: {reason}")
    if len(formulas) < len(texts):
        return Value(name, formulas)
    dimensions = {_settle(reading, formulas[answer], dimension) for answer, dimension in found.items()}
    if None in dimensions:
        return Value(name, formulas)
    if len(dimensions) > 1:
        said = ", ".join(f"{dimension_words(found[answer] or NUMBER)} for {answer}" for answer in found)
        reading.wrong(f"values.{name}", f"Value {name} is {said}; it has to be of one sort.")
        return Value(name, formulas)
    dimension = dimensions.pop() or NUMBER
    reading.dimensions[name] = dimension
    return Value(name, formulas, dimension)


def _settle(reading: Reading, expression: Expression, dimension: Dimension | None) -> Dimension | None:
    """A bare 0 is a plain number once it has a name; what depends on an unknown name stays unknown."""
    unknown = any(reading.dimensions.get(name) is None for name in expression.names)
    return None if dimension is None and unknown else dimension or NUMBER
