"""The designs that are used in a document, put into it whole, so that it can be read by itself wherever it goes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from webapp.costing.design_changes.followed import followed
from webapp.costing.design_form.tables.form_tables import INSIDE, RENAMED, USES
from webapp.costing.design_form.unfold import MOST_DEEP
from webapp.costing.designs.names_within import held
from webapp.costing.errors import FormulaError, Problem

#: The newest document of a design by its code; None where there is none of that code.
Library = Callable[[str], Mapping[str, Any] | None]

_NEEDED: Final = "Keep that design first, or take the code of another."


def attach(document: Mapping[str, Any], library: Library) -> tuple[dict[str, Any], tuple[Problem, ...]]:
    """The document with the newest of each design that is used in it where it has none yet, and what can't be had.

    What it has stays, whatever is newer; what is not used in it any more is left out. A design that is nowhere, or that
    would stand in itself, is a sentence at its use.
    """
    problems: list[Problem] = []
    return _attached(document, library, (str(document.get("design", "")),), problems), tuple(problems)


def renewed(document: Mapping[str, Any], code: str, library: Library) -> tuple[dict[str, Any], tuple[Problem, ...]]:
    """The document with the newest version of one design that is used in it, and the others as they are.

    What has another name in that version is called so here too; where it can't be, the document stays as it is.
    """
    newest = library(code)
    try:
        document = followed(document, _of_its_uses(document, code, newest)) if newest is not None else document
    except FormulaError as error:
        return dict(document), (Problem(f"{USES.name}.{used_in(document)[code][0]}.design", error.reason),)
    inside = {name: one for name, one in held(document, INSIDE).items() if name != code}
    uses = held(document, USES.name)
    if newest is not None:
        uses = {name: _under_new_names(entry, code, newest) for name, entry in uses.items()}
    return attach({**document, USES.name: uses, INSIDE: inside}, library)


def _of_its_uses(document: Mapping[str, Any], code: str, newest: Mapping[str, Any]) -> dict[str, dict[str, str]]:
    """The names that entries of a design have here under each of its uses, with those that they have by now."""
    names: dict[str, dict[str, str]] = {}
    for section, record in held(newest, RENAMED).items():
        there = held(newest, section)
        changed = {old: new for old, new in record.items() if old not in there} if isinstance(record, Mapping) else {}
        # The sizes of a design that is used are values here: what they come to is said.
        named = names.setdefault("values" if section == "sizes" else section, {})
        for use in used_in(document).get(code, ()):
            named.update({f"{use}_{old}": f"{use}_{new}" for old, new in changed.items()})
    return names


def _under_new_names(entry: Any, code: str, newest: Mapping[str, Any]) -> Any:
    """A use of a design whose names were changed, with what it says of them under those that they have by now."""
    if not isinstance(entry, Mapping) or entry.get("design") != code:
        return entry
    changed = dict(entry)
    for field, section in (("sizes", "sizes"), ("materials", "stock"), ("choices", "choices")):
        record, there = held(held(newest, RENAMED), section), held(newest, section)
        if field in entry:
            changed[field] = {
                record[name] if name not in there and isinstance(record.get(name), str) else name: each
                for name, each in held(entry, field).items()
            }
    return changed


def used_in(document: Mapping[str, Any]) -> dict[str, tuple[str, ...]]:
    """The codes of the designs that are used in a document itself, each with the names of its uses."""
    found: dict[str, tuple[str, ...]] = {}
    for name, entry in held(document, USES.name).items():
        code = entry.get("design") if isinstance(entry, Mapping) else None
        if isinstance(code, str):
            found[code] = (*found.get(code, ()), str(name))
    return found


def _attached(
    document: Mapping[str, Any], library: Library, around: tuple[str, ...], problems: list[Problem]
) -> dict[str, Any]:  # fmt: skip
    there, inside = held(document, INSIDE), dict[str, Any]()
    for code, uses in used_in(document).items():
        wrong = ""
        if code in around:
            rounds = " uses ".join((*around[around.index(code) :], code))
            wrong = f"the designs go round in a circle: {rounds}."
        elif len(around) >= MOST_DEEP:
            chain = " uses ".join((*around, code))
            wrong = f"{chain}: designs stand {MOST_DEEP} deep in each other at most."
        elif (found := there.get(code) or library(code)) is None:
            wrong = f"no design “{code[:80]}” is at hand. {_NEEDED}"
        else:
            before = len(problems)
            inside[code] = _attached(found, library, (*around, code), problems)
            # What is wrong further in is said at the use that brings it in.
            wrong = problems[before].message if len(problems) > before else ""
            del problems[before:]
        if wrong:
            said = wrong if wrong.startswith("Use ") else f"Use {uses[0]}, design: {wrong}"
            problems.append(Problem(f"{USES.name}.{uses[0]}.design", said))
    kept = {name: one for name, one in document.items() if name != INSIDE}
    return {**kept, INSIDE: inside} if inside else kept
