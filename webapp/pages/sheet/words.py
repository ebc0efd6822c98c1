"""Small things that job pages say: a design's usual sizes as its shop types them, and what two documents differ in."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, Final

from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design, Size
from webapp.costing.measures.manner import PLAIN, writing_as
from webapp.costing.measures.written import System, as_shown, format_quantity
from webapp.costing.settings.rates import Rates
from webapp.costing.settings.table import GROUPS, SETTINGS, SETTINGS_BY_NAME
from webapp.costing.settings.typed import write_setting
from webapp.documents.printing.paper import shortened

LONGEST_SHOWN: Final = 120
#: A kept text that is a number or a measure and nothing else.
_MEASURE: Final = re.compile(r"[0-9][0-9.,/ -]*(?: ?[^\W\d_%]{1,3}[²³]?| ?%)?")
#: Sizes are kept by name in no order; these are said first, in this one.
OVERALL: Final = ("length", "width", "depth", "height")


def ordered_sizes(design: Design, system: System) -> tuple[Size, ...]:
    """The sizes as one says them: the overall ones, further lengths, then counts."""

    def place(size: Size) -> tuple[bool, int, str]:
        overall = OVERALL.index(size.name) if size.name in OVERALL else len(OVERALL)
        return not size.is_length, overall, size.name

    return tuple(sorted(design.sizes_in(system).values(), key=place))


def rack_answers(rates: Rates) -> tuple[tuple[str, str], ...]:
    """Whether a job uses what stands on the rack, to choose from."""
    usual = "use offcuts" if rates.yes("rack_used") else "leave offcuts"
    return (("", f"Shop default: {usual}"), ("yes", "Use them"), ("no", "Leave them"))


def usual_sizes(design: Mapping[str, Any], system: System) -> dict[str, str]:
    """The usual sizes of a design's document in the shop's units, as they would be typed, within their limits;
    they are kept, so plain."""
    read, _ = read_design(design)
    if read is None:
        return {}
    with writing_as(PLAIN):
        return {
            size.name: format_quantity(size.usual, "length" if size.is_length else "number", system)
            for size in read.sizes_in(system).values()
        }


def differing(theirs: Mapping[str, Any], ours: Mapping[str, Any]) -> tuple[tuple[str, str, str], ...]:
    """What two documents say differently: the entry in words, theirs and ours."""
    one, other = dict(_flat(theirs)), dict(_flat(ours))
    return tuple(
        (name, shortened(one.get(name, "nothing"), LONGEST_SHOWN), shortened(other.get(name, "nothing"), LONGEST_SHOWN))
        for name in sorted({*one, *other})
        if one.get(name) != other.get(name)
    )


def _flat(value: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[str, str]]:
    if isinstance(value, Mapping):
        for key, inner in value.items():
            yield from _flat(inner, (*path, str(key).replace("_", " ")))
    elif isinstance(value, list | tuple):
        for place, inner in enumerate(value, 1):
            named = str(inner["id"]).replace("_", " ") if isinstance(inner, Mapping) and "id" in inner else str(place)
            yield from _flat(inner, (*path, named))
    elif path[-1] != "id":
        yield ", ".join(path), as_shown(value) if isinstance(value, str) and _MEASURE.fullmatch(value) else str(value)


def setting_groups(document: Mapping[str, Any]) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """The settings that a job may have otherwise, by group, those it has already left out."""
    held = document.get("settings", {})
    return tuple(
        (group, tuple((one.name, one.label) for one in SETTINGS if one.group == group and one.name not in held))
        for group in GROUPS
    )


def shop_value(name: str, rates: Rates, system: System) -> str:
    """The shop's own value of a setting as text that reads back to it; '' for none."""
    setting = SETTINGS_BY_NAME.get(name)
    return "" if setting is None else write_setting(setting, rates[name], system)
