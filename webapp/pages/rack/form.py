"""The form of an offcut, and its moves as they are typed: read back with everything that is wrong."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Offcut
from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.measures.written import System, as_kept
from webapp.pages.catalogue.material_form import read_value
from webapp.pages.shown.materials import number_typed, unit_of
from webapp.pages.web.fields import Field
from webapp.pages.web.posting import tidy_text
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.rack.records import StoredOffcut

LONGEST_PLACE: Final = 80
#: The field that says that a piece is whole, as it was bought.
WHOLE: Final = "whole"
LONGEST_NOTE: Final = 400
MOST_OF_ONE: Final = 1000
#: Nobody's rack holds anything longer, nm.
LONGEST_SIDE: Final = 20 * 10**9
LABELS: Final = {"length": "Length", "width": "Width", "count": "How many", "place": "Where it stands", "note": "Note"}


def fields_of(stored: StoredOffcut, system: System) -> dict[str, str]:
    """An offcut as its form holds it."""
    sides = {
        one.name: number_typed(getattr(stored.offcut, one.name), one, system) for one in KINDS[stored.kind].rack_sides
    }
    whole = "yes" if stored.offcut.whole else ""
    return {**sides, WHOLE: whole, "count": str(stored.offcut.count), "place": stored.offcut.place, "note": stored.note}


def typed_offcut(sent: Mapping[str, str]) -> dict[str, str]:
    """The fields of an offcut's form that were sent, tidied; those that were not sent are empty."""
    return {name: one_line(sent.get(name, "")) for name in LABELS if name != "note"} | {
        "note": tidy_text(sent.get("note", "")), WHOLE: "yes" if sent.get(WHOLE) else "",
    }


def side_fields(
    kind: Kind, fields: Mapping[str, str], problems: Mapping[str, str], system: System
) -> tuple[Field, ...]:
    """The fields of its size."""
    return tuple(
        Field(
            one.name, one.label, fields.get(one.name, ""), one.hint, problems.get(one.name, ""),
            unit=unit_of(one, system), required=True,
        )
        for one in KINDS[kind].rack_sides
    )  # fmt: skip


def read_offcut(
    offcut_id: str, material: str, kind: Kind, fields: Mapping[str, str], system: System, *, plain: bool = False,
    planned: Mapping[str, tuple[str, int]] = MappingProxyType({}),
) -> tuple[Offcut, dict[str, str]]:  # fmt: skip
    """The offcut that was typed, and everything that is wrong with it, by field. `plain` says that the numbers are
    plain already, and not as the shop types them. A side that stands as `planned` shows it is exactly what was planned.
    """
    problems: dict[str, str] = {}
    sides = {"length": 0, "width": 0}
    for one in KINDS[kind].rack_sides:
        shown, exact = planned.get(one.name, ("", 0))
        if shown and fields[one.name] == shown:
            sides[one.name] = exact
            continue
        value, problem = read_value(one, fields[one.name] if plain else as_kept(fields[one.name]), system)
        if not problem and value is not None and value > LONGEST_SIDE:
            problem = f"{one.label}: “{fields[one.name][:40]}” is longer than 20 m; no rack holds that."
        if problem:
            problems[one.name] = problem
        elif value is not None:
            sides[one.name] = int(value)
    count = read_count(fields["count"] or "1", 1)
    if isinstance(count, str):
        problems["count"], count = count, 1
    if len(fields["place"]) > LONGEST_PLACE:
        problems["place"] = f"The place has {len(fields['place'])} characters; at most {LONGEST_PLACE} are kept."
    if len(fields["note"]) > LONGEST_NOTE:
        problems["note"] = f"The note has {len(fields['note'])} characters; at most {LONGEST_NOTE} are kept."
    whole = bool(fields.get(WHOLE))
    return Offcut(offcut_id, material, sides["length"], sides["width"], count, fields["place"], whole), problems


def read_count(text: str, least: int) -> int | str:
    """How many, as typed, or the sentence why it can't be taken."""
    number = small_number(text)
    if number is not None and least <= number <= MOST_OF_ONE:
        return number
    return f"How many: “{text[:40]}” should be a whole number from {least} to {MOST_OF_ONE}."
