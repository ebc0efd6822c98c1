"""A name of a design changed: followed to every formula, sentence, list and reference, and noted for the jobs that have
the old one typed in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from webapp.costing.design_changes.followed import followed
from webapp.costing.design_form.tables.form_fields import Section
from webapp.costing.design_form.tables.form_tables import (
    FREE_IN_FORM_1,
    LONGEST_NAME,
    LOOKED_UP,
    NAME,
    RENAMED,
    SECTIONS,
    TAKEN_NAMES,
    USES,
    sections_of,
)
from webapp.costing.designs.names import NAME_SPACE
from webapp.costing.errors import FormulaError

#: The steps of the work go by the names that the shop's rates have; the form has no others whose names mean something.
_OF_THE_SHOP: Final = ("operations",)
#: What a job's item types by names of the design, and the sections that they are names of.
_TYPED_IN_ITEMS: Final[Mapping[str, str]] = {"sizes": "sizes", "choices": "choices", "materials": "stock"}


def rename(document: Mapping[str, Any], section: str, old: str, new: str) -> dict[str, Any]:
    """The document with the entry `old` of a section called `new`, wherever it is named.

    That is in formulas and rules, in {names} of sentences, in lists, and where a role, part or surface is referred to.
    The entry keeps its place, and the field `renamed` notes it. Raises FormulaError with a sentence where there is no
    such entry, `new` is no name or stands for something already, or a formula that would have to follow is unreadable.
    """
    _check(document, section, old, new)
    changed = followed(document, {section: {old: new}})
    noted = _noted(changed, section, old, new)
    changed.pop(RENAMED, None)
    if noted:
        changed[RENAMED] = noted
    return changed


def section_of(document: Mapping[str, Any], name: str) -> tuple[str, str]:
    """The section and the name of an entry as a person says it: 'width', or 'parts.leg' where several sections have it.

    Raises FormulaError where there is none, or more than one.
    """
    section, dot, own = name.partition(".")
    tables = _tables(document)
    if dot and section in tables:
        return section, own
    found = [one for one in tables if one not in _OF_THE_SHOP and name in _declared(document, one)]
    if len(found) > 1:
        raise FormulaError(name, f"'{name}' stands in {' and '.join(found)}: write it as {found[0]}.{name}.")
    return (found[0] if found else ""), name


def renamed_in_job(
    item: Mapping[str, Any], from_document: Mapping[str, Any], to_document: Mapping[str, Any]
) -> dict[str, Any]:
    """An item of a job with the sizes, choices and materials typed under names of one version of its design under those
    that they have in another, later one; `from_document` is empty where nobody knows which version it was.

    Where both were typed, what stands under the new name stays. A name that neither version knows stays as it is typed,
    for the reader of the job to say so.
    """
    changed = dict(item)
    for table, section in _TYPED_IN_ITEMS.items():
        typed = item.get(table)
        earlier, later = _declared(from_document, section), _declared(to_document, section)
        names = {
            old: new
            for old, new in _record(to_document, section).items()
            if old not in later and (old in earlier or not from_document)
        }
        if not isinstance(typed, Mapping) or not names.keys() & typed.keys():
            continue
        moved = {names[name]: text for name, text in typed.items() if name in names}
        kept = {name: text for name, text in typed.items() if name not in names}
        order = dict.fromkeys(names.get(str(name), str(name)) for name in typed)
        changed[table] = {name: kept.get(name, moved.get(name)) for name in order}
    return changed


def renamed_between(earlier: Mapping[str, Any], later: Mapping[str, Any]) -> dict[str, dict[str, str]]:
    """The entries of one version of a design that have another name in a later one, by section: old name -> new."""
    found = {}
    for section in _tables(later):
        were, are = _declared(earlier, section), _declared(later, section)
        names = {
            old: new
            for old, new in _record(later, section).items()
            if old in were and old not in are and new not in were
        }
        if names:
            found[section] = names
    return found


def item_of_version(
    item: Mapping[str, Any], from_document: Mapping[str, Any], to_document: Mapping[str, Any]
) -> dict[str, Any]:
    """An item of a job with what is typed under names of one version of its design under those that it has in another,
    a later or an earlier one."""
    forward = renamed_in_job(item, from_document, to_document)
    back = renamed_between(to_document, from_document)
    for table, section in _TYPED_IN_ITEMS.items():
        names = {new: old for old, new in back.get(section, {}).items()}
        typed = forward.get(table)
        if isinstance(typed, Mapping) and names.keys() & typed.keys():
            forward[table] = {names.get(str(name), str(name)): text for name, text in typed.items()}
    return forward


def under_new_names(document: Mapping[str, Any], designs: Mapping[str, Mapping[str, Any]]) -> Mapping[str, Any]:
    """A job's form with what its items type under earlier names of their designs, given by item id, under those that
    they have in these; the form itself where there is nothing to change."""
    items = document.get("items")
    changed = []
    for place, item in enumerate(items if isinstance(items, list | tuple) else (), 1):
        design = designs.get(str(item.get("id") or f"item_{place}")) if isinstance(item, Mapping) else None
        changed.append(renamed_in_job(item, {}, design) if design is not None and RENAMED in design else item)
    return {**document, "items": changed} if changed and changed != list(items or ()) else document


def _tables(document: Mapping[str, Any]) -> Mapping[str, Section]:
    """The sections whose entries are given new names: all but the uses, whose names are part of what is in them."""
    return {name: table for name, table in sections_of(document.get("form")).items() if name != USES.name}


def _check(document: Mapping[str, Any], section: str, old: str, new: str) -> None:
    if section == USES.name:
        raise FormulaError(
            old,
            f"'{old[:80]}' keeps its name, which is part of the names of all that is in it: put the design in once "
            "more under the other name, and take this one out.",
        )
    table = _tables(document).get(section)
    held = document.get(section)
    if table is None or not isinstance(held, Mapping) or old not in held:
        raise FormulaError(old, f"The design has no {table.entry if table else 'entry'} '{old[:80]}'.")
    if section in _OF_THE_SHOP:
        raise FormulaError(old, f"The {table.entry} '{old}' goes by the shop's own name for it; that stays.")
    if not NAME.fullmatch(new) or len(new) > LONGEST_NAME:
        raise FormulaError(
            new,
            f"'{new[:80]}' is no name for a {table.entry}: lower-case words joined by single underscores are needed, "
            f"at most {LONGEST_NAME} letters.",
        )
    first_form = document.get("form") == "1"
    if section in NAME_SPACE and new in TAKEN_NAMES - (FREE_IN_FORM_1 if first_form else set()):
        raise FormulaError(new, f"'{new}' has a meaning of its own in formulas; another name is needed.")
    taken = next((owner for owner in _beside(section, first_form) if new in _declared(document, owner)), None)
    if taken is not None:
        raise FormulaError(
            new, f"'{new}' is a {SECTIONS[taken].entry} of the design already; it has to mean one thing."
        )
    if section in NAME_SPACE and new in _answers(document):
        raise FormulaError(new, f"'{new}' is an answer of a choice; another name is needed.")
    noted = _record(document, section)
    if noted.get(new, old) != old:
        raise FormulaError(
            new,
            f"'{new}' was the name of '{noted[new]}' in an earlier version; jobs of then and now would be mixed up.",
        )


def _beside(section: str, first_form: bool) -> tuple[str, ...]:
    """The sections in which a name of this one can't stand too; in the first form, none in formulas stood beside."""
    if section in NAME_SPACE:
        return (*NAME_SPACE, *LOOKED_UP) if first_form else NAME_SPACE
    return (section, *NAME_SPACE) if first_form and section in LOOKED_UP else (section,)


def _declared(document: Mapping[str, Any], section: str) -> Mapping[str, Any]:
    held = document.get(section)
    return held if isinstance(held, Mapping) else {}


def _answers(document: Mapping[str, Any]) -> Iterator[str]:
    for choice in _declared(document, "choices").values():
        answers = choice.get("answers") if isinstance(choice, Mapping) else None
        yield from answers if isinstance(answers, list | tuple) else ()


def _noted(document: Mapping[str, Any], section: str, old: str, new: str) -> dict[str, dict[str, str]]:
    """The record of all names that were changed, each old one with the name that it has by now."""
    held = document.get(RENAMED)
    noted = {
        str(name): {str(before): str(now) for before, now in record.items()}
        for name, record in (held.items() if isinstance(held, Mapping) else ())
        if isinstance(record, Mapping)
    }
    followed = {before: new if now == old else now for before, now in noted.get(section, {}).items()}
    here = _declared(document, section)
    noted[section] = {before: now for before, now in {**followed, old: new}.items() if before != now and now in here}
    return {name: record for name, record in noted.items() if record}


def _record(document: Mapping[str, Any], section: str) -> dict[str, str]:
    """The names of a section that were changed so far; what is no record of names is left out."""
    held = document.get(RENAMED)
    record = held.get(section) if isinstance(held, Mapping) else None
    return {
        str(before): now
        for before, now in (record.items() if isinstance(record, Mapping) else ())
        if isinstance(now, str) and now in _declared(document, section)
    }
