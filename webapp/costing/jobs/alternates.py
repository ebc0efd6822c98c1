"""Other ways in which a job could be made: each is called something, and says what of its items is otherwise."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Final

from webapp.costing.jobs.fields import FormReader

MOST_ALTERNATES: Final = 12
LONGEST_NAME: Final = 80
ALTERNATES: Final = "alternates"
#: What an alternate holds, and what of an item it may say otherwise; a text that is empty means as is usual.
ALTERNATE_KEYS: Final[Mapping[str, str]] = {
    "id": "A name of its own within the job",
    "name": "What it is called, as a customer reads it: Maple top",
    "on_quote": "yes or no: does the quote offer it as an option",
    "items": "By the id of an item: what of it is otherwise",
}
OTHERWISE_TABLES: Final = ("sizes", "choices", "materials")
OTHERWISE_KEYS: Final = ("version", "quantity", *OTHERWISE_TABLES)
_ID: Final = re.compile(r"[a-z0-9_-]{1,40}")


@dataclass(frozen=True, slots=True)
class Alternate:
    """Another way for a job: `entry` is what its form says of it, `items` what it says otherwise by item."""

    id: str
    name: str
    on_quote: bool
    items: Mapping[str, Mapping[str, object]]
    entry: Mapping[str, object]


def read_alternates(reader: FormReader, value: object, items: Collection[str]) -> tuple[Alternate, ...]:
    """The other ways of a job's form; `items` are the ids of its items. What can't be read of one leaves that one out,
    and what it says of an item that is gone counts for nothing: both are told, and the job's own sums stand."""
    found: dict[str, Alternate] = {}
    for place, entry in enumerate(reader.entries(value, ALTERNATES, MOST_ALTERNATES), 1):
        field = f"{ALTERNATES}.{place}"
        values = reader.mapping(entry, field, tuple(ALTERNATE_KEYS))
        name = reader.text(values.get("name"), f"{field}.name", LONGEST_NAME)
        key = reader.text(values.get("id"), f"{field}.id") or f"way_{place}"
        if not name or not _ID.fullmatch(key) or key in found:
            why = "has no name" if not name else f"is called “{key}” within the job, which is no name or another's"
            said = f"Another way, the {_place(place)} of the job, {why}; it is left out."
            reader.wrong(f"{field}.name", said, "warning")
            continue
        told = {
            item: reader.mapping(held, f"{field}.items.{item}", OTHERWISE_KEYS)
            for item, held in reader.mapping(values.get("items"), f"{field}.items", None).items()
        }
        for item in told:
            if item not in items:
                said = f"“{name}” changes an item that the job no longer has; that counts for nothing."
                reader.wrong(field, said, "warning")
        found[key] = Alternate(key, name, reader.yes(values.get("on_quote"), f"{field}.on_quote"), told, values)
    return tuple(found.values())


def _place(number: int) -> str:
    return {1: "first", 2: "second", 3: "third"}.get(number, f"{number}th")
