"""Uses of other designs as they stand, read from the written-out form, and the names that formulas have for them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Final

from webapp.costing.design_form.entries.read_entries import ONE
from webapp.costing.design_form.entries.read_fields import Entry, Reading
from webapp.costing.design_form.entries.read_lie import read_at
from webapp.costing.design_form.tables.form_fields import Field, Section
from webapp.costing.design_form.tables.form_tables import AXES, USES
from webapp.costing.design_form.tables.whole_form import SHORTER_DESIGN
from webapp.costing.designs.formulas import LENGTH, MASS, NUMBER, dimension_words
from webapp.costing.designs.model import Use
from webapp.costing.designs.names import PART_NAMES, WHOLE_MASS
from webapp.costing.designs.within import APART, USE_NAMES

#: The section of the written-out form that says where the boxes of the uses stand.
STANDS: Final = "stands"
#: The whole form when all that is used in it is written out.
WRITTEN_OUT: Final = replace(SHORTER_DESIGN, fields=(*SHORTER_DESIGN.fields, Field(STANDS, "section", USES.says)))
_WITHIN: Final = Field("within", "words", "The use in which it stands.")
_STANDING: Final = replace(USES, fields=(*USES.fields, Field("size", "at", "How far one goes."), _WITHIN))


def is_within_use(entry: object) -> bool:
    """Whether an entry of the written-out form came from a design that is used."""
    return isinstance(entry, Mapping) and "within" in entry


@lru_cache(maxsize=64)
def within_use(table: Section) -> Section:
    """The table of a section for entries that stand within a use."""
    return replace(table, fields=(*table.fields, _WITHIN))


def _stands(reading: Reading) -> Mapping[str, Mapping[str, object]]:
    held = reading.document.get(STANDS)
    return held if isinstance(held, Mapping) else {}


def _entries(reading: Reading, section: str) -> Mapping[str, object]:
    held = reading.document.get(section)
    return held if isinstance(held, Mapping) else {}


def _standing(reading: Reading) -> Mapping[str, object]:
    """The hardware that stands in space."""
    hardware = _entries(reading, "hardware")
    return {name: entry for name, entry in hardware.items() if isinstance(entry, Mapping) and "tall" in entry}


def note_parts(reading: Reading) -> None:
    """What formulas may use of parts and uses: where they begin and end, how long they are, what they weigh, how many;
    and of what stands within a use the same by its own corner."""
    uses, parts = _stands(reading), reading.declared("parts")
    standing = _standing(reading)
    for section, names in ((_entries(reading, "parts"), PART_NAMES), (uses, USE_NAMES), (standing, USE_NAMES)):
        for name, entry in section.items():
            within = entry.get("within") if isinstance(entry, Mapping) else None
            if section is not uses and names is USE_NAMES and name in parts:
                said = f"'{name}' is a part too; what stands in space needs a name of its own."
                reading.wrong(f"hardware.{name}", said)
            called = [name]
            while isinstance(within, str) and within in uses and len(called) <= len(uses):
                called.append(f"{within}{APART}{name.removeprefix(f'{within}_')}")
                within = uses[within].get("within")
            reading.in_space |= dict.fromkeys(called)
            for one in called:
                for attribute, dimension in names.items():
                    reading.dimensions.setdefault(f"{one}.{attribute}", dimension)
    reading.dimensions.setdefault(WHOLE_MASS, MASS)


def check_expected(reading: Reading, expected: Mapping[str, tuple[str, str, bool]]) -> None:
    """Whether each size that a use says is a length where its design has one, and a number where it has that."""
    for value, (use, size, is_length) in expected.items():
        wanted, found = LENGTH if is_length else NUMBER, reading.dimensions.get(value)
        if found is not None and found != wanted:
            reading.wrong(
                f"{USES.name}.{use}.sizes.{size}",
                f"Use {use}, {size}: it comes out as {dimension_words(found)}, and {dimension_words(wanted)} is "
                "needed.",
            )


def read_uses(reading: Reading) -> dict[str, Use]:
    """The uses as they stand."""
    return {name: _read_use(Entry(reading, _STANDING, name, entry)) for name, entry in _stands(reading).items()}


def _read_use(entry: Entry) -> Use:
    at, stations = read_at(entry)
    count = entry.formula_or_none("count")
    size, mirrored, within = (entry.content.get(key) for key in ("size", "mirrored", "within"))
    sizes = size if isinstance(size, Mapping) else {}
    return Use(
        entry.name,
        entry.words("says"),
        entry.words("design"),
        {axis: entry.length_at(f"size.{axis}", str(sizes.get(axis, "0 mm"))) for axis in AXES},
        at,
        stations,
        ONE if count is None and not stations else count,
        tuple(axis for axis in AXES if isinstance(mirrored, str | list | tuple) and axis in mirrored),
        entry.when(),
        within if isinstance(within, str) else "",
    )
