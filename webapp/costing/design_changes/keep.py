"""A thing that was made, kept as a design: its sizes, materials and answers become the usual ones."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Literal, cast

from webapp.costing.design_form.unfold import Unfolded
from webapp.costing.designs.canonical import plain_copy
from webapp.costing.designs.formulas import split_pair
from webapp.costing.designs.model import Design, Size
from webapp.costing.errors import MeasureError, Problem
from webapp.costing.jobs.job import DesignItem, MinutesChange
from webapp.costing.measures.written import format_quantity, parse_length, parse_quantity, write_quantity

System = Literal["inch", "metric"]


@dataclass(frozen=True, slots=True)
class KeptAs:
    """What is asked of the design to be: its code and name, and whether a limit moves out to a size that passes it."""

    code: str
    name: str
    widen: bool = False


def keep_as_design(
    design: Design, item: DesignItem, asked_for: KeptAs, system: System
) -> tuple[dict[str, Any], tuple[Problem, ...]]:
    """The document of a design whose usual sizes, materials and answers are those of a job's item.

    `system` is how bare numbers among the typed sizes are read. What the item does not say stays as the design has it;
    a size, role or question that the design does not have is left aside. The problems name each size that can't be
    read, and each that passes a limit of the design: where `asked_for.widen` says so, the limit moves instead.
    """
    document = cast(dict[str, Any], plain_copy(design.document))
    document["design"], document["name"] = asked_for.code, asked_for.name
    problems: list[Problem] = []
    for size in design.sizes_in(system).values():
        text = item.sizes.get(size.name, "").strip()
        value, problem = _read_size(size, text, system) if text else (None, "")
        if value is not None and not size.least <= value <= size.most:
            passed, limit = ("least", size.least) if value < size.least else ("most", size.most)
            if asked_for.widen:
                _say(document["sizes"][size.name], passed, _written(size, value, system), system)
            else:
                problem = (
                    f"{size.says}: {_shown(size, value, system)} passes a limit of this design, "
                    f"whose {passed} is {_shown(size, limit, system)}."
                )
        if problem:
            problems.append(Problem(f"sizes.{size.name}", problem))
        elif value is not None and value != size.usual:
            _say(document["sizes"][size.name], "usual", _written(size, value, system), system)
    for role in design.roles.values():
        code = item.materials.get(role.name, "")
        if code and code != role.usual:
            _role_of(document, role.name)["usual"] = code
    for choice in design.choices.values():
        answer = item.choices.get(choice.name, "")
        if answer in choice.answers and answer != choice.usual:
            document["choices"][choice.name]["usual"] = answer
    return document, tuple(problems)


def _role_of(document: dict[str, Any], name: str) -> dict[str, Any]:
    """A stock role of the document. One that a design used in it brings becomes a role of the document itself, under
    the same name, that fills it."""
    if name not in document["stock"]:
        unfolded = Unfolded(document)
        use = unfolded.origins[f"stock.{name}"].rpartition(".")[2]
        own = name.removeprefix(f"{use}_")
        entry = document["uses"][use]
        entry["materials"] = {**entry.get("materials", {}), own: name}
        document["stock"][name] = {
            field: held for field, held in unfolded.document["stock"][name].items() if field != "within"
        }
    role: dict[str, Any] = document["stock"][name]
    return role


def minutes_words(changed: Mapping[str, MinutesChange], names: Mapping[str, str], system: System) -> tuple[str, ...]:
    """Each step whose minutes a job changed, in a sentence with the reason; `names` are the steps' words."""
    said = []
    for step, change in changed.items():
        parts = [
            f"{words} {format_quantity(minutes, 'duration', system)}"
            for words, minutes in (
                ("set-up", change.set_up), ("low", change.low), ("likely", change.likely), ("high", change.high),
            )
            if minutes is not None
        ]  # fmt: skip
        if len({change.low, change.likely, change.high}) == 1 and change.likely is not None:
            parts = [part for part in parts if not part.startswith(("low ", "high "))]
        said.append(f"{names.get(step, step.replace('_', ' '))}: {', '.join(parts)} ({change.why}).")
    return tuple(said)


def _say(entry: dict[str, Any], field: str, text: str, system: System) -> None:
    """Say a value of a size; where the design has one for each length system, the other one stays."""
    held = entry[field]
    if isinstance(held, dict):
        held[system] = text
    elif (sides := split_pair(held)) is not None:
        sides[system] = text
        entry[field] = f"{sides['metric']} | {sides['inch']}"
    else:
        entry[field] = text


def _read_size(size: Size, text: str, system: System) -> tuple[Fraction | None, str]:
    try:
        if size.is_length:
            return Fraction(parse_length(text, "in" if system == "inch" else "mm")), ""
        value = parse_quantity(text, "number", system)
    except MeasureError as error:
        return None, f"{size.says}: {error.reason}"
    return (value, "") if value.denominator == 1 else (None, f"{size.says}: “{text}” is no whole number.")


def _written(size: Size, value: Fraction, system: System) -> str:
    return write_quantity(value, "length", system) if size.is_length else str(value)


def _shown(size: Size, value: Fraction, system: System) -> str:
    return format_quantity(value, "length" if size.is_length else "number", system)
