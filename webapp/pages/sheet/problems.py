"""Which sentence stands beside which field of the job sheet; what belongs to no field stands at its entry."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from webapp.costing.errors import Problem
from webapp.pages.web.fields import dom_id

#: Where a problem of an item that concerns a stock role is put right.
_TO_FIELD = {"stock": "materials"}


@dataclass(frozen=True, slots=True)
class Sorted:
    """Sentences by field name, by entry (items.bench, lines.skip), by material code, and all of them with the field
    each leads to, in the order they came."""

    fields: Mapping[str, str]
    entries: Mapping[str, tuple[str, ...]]
    materials: Mapping[str, tuple[str, ...]]
    everything: tuple[tuple[str, str], ...]


def sort_problems(
    problems: Iterable[Problem], document: Mapping[str, Any], names: Collection[str], new_line: str = ""
) -> Sorted:
    """Put every problem where it can be put right. `names` are the fields that the sheet has."""
    places = {
        f"{section}.{place}": f"{section}.{entry['id']}"
        for section in ("items", "lines")
        for place, entry in enumerate(document.get(section, ()), 1)
    }
    known = set(names)
    fields: dict[str, list[str]] = {}
    entries: dict[str, list[str]] = {}
    materials: dict[str, list[str]] = {}
    everything: dict[tuple[str, str], None] = {}
    for problem in problems:
        path = _named(problem.field, places, known)
        if new_line:
            path = path.replace(f"lines.{new_line}", "lines.new") if path.startswith(f"lines.{new_line}") else path
        section, _, rest = path.partition(".")
        field = _field_of(path, known)
        if section == "materials":
            materials.setdefault(rest, []).append(problem.message)
            place = f"material-{rest}"
        elif field:
            fields.setdefault(field, []).append(problem.message)
            place = dom_id(field)
        else:
            entry = ".".join(path.split(".")[:2])
            entries.setdefault(entry, []).append(problem.message)
            place = dom_id(entry)
        everything.setdefault((place, problem.message))
    return Sorted(
        {name: " ".join(dict.fromkeys(said)) for name, said in fields.items()},
        {name: tuple(dict.fromkeys(said)) for name, said in entries.items()},
        {name: tuple(dict.fromkeys(said)) for name, said in materials.items()},
        tuple(everything),
    )


def _named(field: str, places: Mapping[str, str], known: Collection[str]) -> str:
    """A path with the entry's id in place of its number from 1, which the reader of the form counts by."""
    parts = field.split(".")
    head = ".".join(parts[:2])
    if head in places and not any(name.startswith(f"{head}.") for name in known):
        head = places[head]
    rest = parts[2:]
    if parts[0] == "items" and rest:
        rest[0] = _TO_FIELD.get(rest[0], rest[0])
    return ".".join((head, *rest))


def _field_of(path: str, known: Collection[str]) -> str:
    """The field of that name, or the one that stands for a whole row: what a line costs, what a setting is."""
    whole_rows = (path, f"{path}.says", f"{path}.value", f"{path}.likely", path.rpartition(".")[0])
    return next((name for name in whole_rows if name in known), "")
