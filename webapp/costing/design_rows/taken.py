"""A row taken over from another design, with what it leans on: its stock, and the sizes and values that it names."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, Final

from webapp.costing.design_rows.edits import RowError, add_entry, free_name, path_of
from webapp.costing.designs.names_within import held as entries_in

#: What comes along where the design has none of that name: never another part, which somebody may not want.
LEANT_ON: Final = ("sizes", "choices", "stock", "values")
_NAME: Final = re.compile(r"(?<![\w.])[a-z][a-z0-9_]*")


def take_over(
    document: Mapping[str, Any], source: Mapping[str, Any], section: str, name: str
) -> tuple[dict[str, Any], tuple[str, ...]]:
    """The document with a row of another design, under a name that is free here; and the paths of what came along.

    A size, value or place that both have stays as it is here. Raises RowError where there is no such row.
    """
    entries = entries_in(source, section)
    if name not in entries:
        raise RowError(path_of(section, name), "", f"There is no row '{name}' in that design.")
    along = list(_leant_on(document, source, entries[name], frozenset({name})))
    changed = dict(document)
    for own_section, own in along:
        changed = add_entry(changed, own_section, own, source[own_section][own])
    free = free_name(changed, section, name)
    return add_entry(changed, section, free, entries[name]), tuple(path_of(one, own) for one, own in along)


def _leant_on(
    document: Mapping[str, Any], source: Mapping[str, Any], held: object, seen: frozenset[str]
) -> Iterator[tuple[str, str]]:
    """What an entry names that only the other design has, and what that names; each once, what is leant on first."""
    found: dict[tuple[str, str], None] = {}
    for text in _texts(held):
        for name in _NAME.findall(text):
            section = next((one for one in LEANT_ON if name in entries_in(source, one)), "")
            if not section or name in seen or name in entries_in(document, section):
                continue
            seen |= {name}
            found |= dict.fromkeys(_leant_on(document, source, source[section][name], seen))
            found[section, name] = None
            seen |= {each for _, each in found}
    yield from found


def _texts(held: object) -> Iterator[str]:
    if isinstance(held, Mapping):
        for key, each in held.items():
            if key not in ("says", "customer"):
                yield from _texts(each)
    elif isinstance(held, list | tuple):
        for each in held:
            yield from _texts(each)
    elif isinstance(held, str):
        yield held
