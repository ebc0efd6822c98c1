"""Other ways in which a job could be made: each is called something, and says what of its items and its added lines is
otherwise, and whether it is put up on site."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Final

from webapp.costing.jobs.fields import FormReader

MOST_ALTERNATES: Final = 12
LONGEST_NAME: Final = 80
ALTERNATES: Final = "alternates"
INSTALL: Final = "install"
#: What an alternate holds, and what of an item it may say otherwise; a text that is empty means as is usual.
ALTERNATE_KEYS: Final[Mapping[str, str]] = {
    "id": "A name of its own within the job",
    "name": "What it is called, as a customer reads it: Maple top",
    "on_quote": "yes or no: does the quote offer it as an option",
    "items": "By the id of an item: what of it is otherwise; of a quantity of 0 it is left out",
    "lines": "By the id of an added line: how many are otherwise; of a quantity of 0 it is left out",
    INSTALL: "yes or no, where that is otherwise: is it set up and installed on site",
}
OTHERWISE_TABLES: Final = ("sizes", "choices", "materials")
OTHERWISE_KEYS: Final = ("version", "quantity", *OTHERWISE_TABLES)
OTHERWISE_LINE_KEYS: Final = ("quantity",)
#: What may be otherwise by the id of an entry, and what each may say.
OTHERWISE_SECTIONS: Final[Mapping[str, tuple[str, ...]]] = {"items": OTHERWISE_KEYS, "lines": OTHERWISE_LINE_KEYS}
_ID: Final = re.compile(r"[a-z0-9_-]{1,40}")


@dataclass(frozen=True, slots=True)
class Alternate:
    """Another way for a job: `entry` is what its form says of it."""

    id: str
    name: str
    on_quote: bool
    entry: Mapping[str, object]


def read_alternates(reader: FormReader, value: object, ids: Mapping[str, Collection[str]]) -> tuple[Alternate, ...]:
    """The other ways of a job's form; `ids` are those of its items and of its added lines. What can't be read of one
    leaves that one out, and what it says of an entry that is gone counts for nothing: both are told, and the job's own
    sums stand."""
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
        for section, keys in OTHERWISE_SECTIONS.items():
            for one, held in reader.mapping(values.get(section), f"{field}.{section}", None).items():
                reader.mapping(held, f"{field}.{section}.{one}", keys)
                if one not in ids[section]:
                    what = "an item" if section == "items" else "an added line"
                    said = f"“{name}” changes {what} that the job no longer has; that counts for nothing."
                    reader.wrong(field, said, "warning")
        reader.yes(values.get(INSTALL), f"{field}.{INSTALL}")
        found[key] = Alternate(key, name, reader.yes(values.get("on_quote"), f"{field}.on_quote"), values)
    return tuple(found.values())


def _place(number: int) -> str:
    return {1: "first", 2: "second", 3: "third"}.get(number, f"{number}th")
