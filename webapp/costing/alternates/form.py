"""The form of a job with another way in it, the way made the job's own, and a typed form told as another way."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final

from webapp.costing.design_changes.rename import item_of_version, under_new_names
from webapp.costing.estimate.whole_form import whole_form
from webapp.costing.jobs.alternates import ALTERNATES, INSTALL, OTHERWISE_SECTIONS, OTHERWISE_TABLES
from webapp.costing.measures.written import System

Form = Mapping[str, Any]
Designs = Mapping[str, Mapping[str, object]]
#: What of an item another way may say beside its tables, and what counts where nobody says it.
_OWN: Final[Mapping[str, str]] = {"version": "", "quantity": "1"}
#: Before the name of the way that a job was made before another one became its own.
AS_BEFORE: Final = "As before"


def in_other_way(document: Form, entry: Form, designs: Designs | None = None) -> dict[str, Any]:
    """A job's form as another way has it, without any other ways; `entry` is what the form says of that way.

    What the way doesn't say stays as the job has it, so that it follows the job. `designs` are those of the items:
    what was typed under an earlier name of theirs, here or there, counts under the one that it has by now.
    """
    names = designs or {}
    held = under_new_names({"items": [{**each, "id": key} for key, each in _by_id(entry, "items").items()]}, names)
    otherwise = {"items": {str(each["id"]): each for each in held["items"]}, "lines": _by_id(entry, "lines")}
    form = under_new_names({name: part for name, part in document.items() if name != ALTERNATES}, names)
    changed: dict[str, Any] = {
        section: [_changed(one, otherwise[section].get(str(one["id"]), {})) for one in entries_of(form, section)]
        for section in OTHERWISE_SECTIONS if section in form
    }  # fmt: skip
    if INSTALL in entry:
        changed[INSTALL] = entry[INSTALL]
    return {**form, **changed}


def made_own(document: Form, key: str) -> dict[str, Any]:
    """The form with another way made the job's own; how the job stood before is left as another way in its place.

    So the same press on that one puts everything back. The form itself where there is no such way.
    """
    entry = entry_of(document, key)
    if entry is None:
        return dict(document)
    before: dict[str, Any] = {
        section: back
        for section in OTHERWISE_SECTIONS
        if (back := {
            str(one["id"]): said
            for one in entries_of(document, section)
            if (said := _reversed(one, _by_id(entry, section).get(str(one["id"]), {})))
        })
    }  # fmt: skip
    if INSTALL in entry:
        before[INSTALL] = document.get(INSTALL) or "no"
    earlier = str(entry.get("name", ""))
    name = earlier.removeprefix(f"{AS_BEFORE}: ") if earlier.startswith(AS_BEFORE) else f"{AS_BEFORE}: {earlier}"
    others = [{"id": key, "name": name, **before} if one.get("id") == key else one for one in ways_of(document)]
    return {**in_other_way(document, entry), ALTERNATES: others}


def told_as_other_way(document: Form, typed: Form, designs: Designs, system: System) -> dict[str, Any]:
    """What a typed form says otherwise than the job does, as another way holds it.

    What is usual with a design may be said or not: a size typed as it is usual is nothing else.
    """
    stands, wanted = (whole_form(form, designs, system) for form in (document, typed))
    found: dict[str, Any] = {}
    for section in OTHERWISE_SECTIONS:
        said, whole = ({str(one["id"]): one for one in entries_of(form, section)} for form in (typed, wanted))
        told = {
            key: otherwise
            for one in entries_of(stands, section)
            if (key := str(one["id"])) in whole and (otherwise := _otherwise(one, whole[key], said[key]))
        }
        if told:
            found[section] = told
    if (stands.get(INSTALL) or "no") != (wanted.get(INSTALL) or "no"):
        found[INSTALL] = wanted.get(INSTALL) or "no"
    return found


def with_way(document: Form, entry: Form) -> dict[str, Any]:
    """The form with another way in it: in place of the one of its id, else as the last one."""
    ways = ways_of(document)
    if any(one.get("id") == entry["id"] for one in ways):
        return {**document, ALTERNATES: [dict(entry) if one.get("id") == entry["id"] else one for one in ways]}
    return {**document, ALTERNATES: [*ways, dict(entry)]}


def without_way(document: Form, key: str) -> dict[str, Any]:
    """The form without one of its other ways."""
    left = [one for one in ways_of(document) if one.get("id") != key]
    form = {name: part for name, part in document.items() if name != ALTERNATES}
    return {**form, ALTERNATES: left} if left else form


def ways_of(document: Form) -> list[Mapping[str, Any]]:
    """What a form says of its other ways, as far as it is anything of the kind."""
    held = document.get(ALTERNATES)
    return [one for one in held if isinstance(one, Mapping)] if isinstance(held, list | tuple) else []


def entry_of(document: Form, key: str) -> Mapping[str, Any] | None:
    """What a form says of one of its other ways."""
    return next((one for one in ways_of(document) if one.get("id") == key), None)


def free_key(document: Form) -> str:
    """An id that no other way of the form has."""
    taken = {one.get("id") for one in ways_of(document)}
    return next(key for number in range(1, len(taken) + 2) if (key := f"way_{number}") not in taken)


def with_version(
    document: Form, item_id: str, version: int, from_document: Mapping[str, object], to_document: Mapping[str, object]
) -> dict[str, Any]:
    """The form with an item on another version of its design: what was typed under names of the one it stood on, in
    its other ways too, stands under those of the other."""
    items = [
        {**item_of_version(item, from_document, to_document), "version": str(version)}
        if item.get("id") == item_id else item
        for item in items_of(document)
    ]  # fmt: skip
    form = {**document, "items": items}
    ways = [
        {**one, "items": {
            key: item_of_version(each, from_document, to_document) if key == item_id else each
            for key, each in _by_id(one, "items").items()
        }}
        for one in ways_of(document)
    ]  # fmt: skip
    return {**form, ALTERNATES: ways} if ways else form


def items_of(form: Form) -> Iterable[Mapping[str, Any]]:
    """The items of a form, each under the id that it goes by where it says none."""
    return entries_of(form, "items")


def entries_of(form: Form, section: str) -> Iterable[Mapping[str, Any]]:
    """The items or added lines of a form, each under the id that it goes by where it says none."""
    held = form.get(section)
    entries = [one for one in held if isinstance(one, Mapping)] if isinstance(held, list | tuple) else []
    stem = section.removesuffix("s")
    return [one if one.get("id") else {**one, "id": f"{stem}_{place}"} for place, one in enumerate(entries, 1)]


def _by_id(entry: Form, section: str) -> dict[str, Mapping[str, Any]]:
    held = entry.get(section)
    entries = held.items() if isinstance(held, Mapping) else ()
    return {str(key): each for key, each in entries if isinstance(each, Mapping)}


def _table(entry: Form, name: str) -> Mapping[str, Any]:
    held = entry.get(name)
    return held if isinstance(held, Mapping) else {}


def _changed(item: Form, otherwise: Form) -> dict[str, Any]:
    """An item or added line with what is otherwise in it; an empty text takes out what the job says."""
    changed = dict(item)
    for name in _OWN:
        if name in otherwise:
            changed[name] = otherwise[name]
    for name in OTHERWISE_TABLES:
        if name in otherwise:
            table = {**_table(item, name), **_table(otherwise, name)}
            changed[name] = {key: text for key, text in table.items() if text}
    return {name: held for name, held in changed.items() if held not in ("", {})}


def _reversed(item: Form, otherwise: Form) -> dict[str, Any]:
    """What would make an item or added line again what it is, once `otherwise` is in it."""
    back: dict[str, Any] = {name: item.get(name, "") for name in _OWN if name in otherwise}
    for name in OTHERWISE_TABLES:
        if table := _table(otherwise, name):
            back[name] = {key: _table(item, name).get(key, "") for key in table}
    return back


def _otherwise(stands: Form, wanted: Form, said: Form) -> dict[str, Any]:
    """What of an item or added line is wanted otherwise, as it was typed where that says it."""
    found: dict[str, Any] = {
        name: wanted.get(name, "")
        for name, unsaid in _OWN.items()
        if str(wanted.get(name) or unsaid) != str(stands.get(name) or unsaid)
    }
    for name in OTHERWISE_TABLES:
        was, is_now, typed = _table(stands, name), _table(wanted, name), _table(said, name)
        table = {
            key: typed.get(key, is_now.get(key, ""))
            for key in dict.fromkeys((*is_now, *was))
            if was.get(key, "") != is_now.get(key, "")
        }
        if table:
            found[name] = table
    return found
