"""The way to where things will stand, as it is typed: kept with a customer, and carried in the form of each job."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.errors import MeasureError, Problem
from webapp.costing.jobs.fields import FormReader
from webapp.costing.measures.written import System, format_quantity, parse_quantity, write_quantity

#: How a stair runs: its answer in the form, and in words.
STAIRS: Final[Mapping[str, str]] = {
    "straight": "straight",
    "quarter_landing": "straight, round a quarter landing",
    "turning": "turning: winders, a curve or a half landing",
}
#: What the way may hold, and in words what it is: all optional, lengths but for the stair and the load of the lift.
WAY_KEYS: Final[Mapping[str, str]] = {
    "door_width": "Clear width of the narrowest door",
    "door_height": "Clear height of the lowest door",
    "corridor": "Width of the corridor before its corner",
    "corridor_on": "Width of the corridor beyond its corner",
    "stair": "How the stair runs",
    "stair_width": "Clear width of the stair",
    "headroom": "Least headroom over the stair and at corners",
    "rise": "Rise of a step",
    "going": "Going of a step",
    "landing": "Clear depth of the landing",
    "lift_door_width": "Clear width of the lift’s door",
    "lift_door_height": "Clear height of the lift’s door",
    "lift_width": "Width of the lift’s car",
    "lift_depth": "Depth of the lift’s car",
    "lift_height": "Height of the lift’s car",
    "lift_load": "Load of the lift",
}
STAIR: Final = "stair"
LOAD: Final = "lift_load"
#: Between these a length of a way, in nm, and the load of a lift, in kg, make sense.
_LIMITS: Final[Mapping[str, tuple[Fraction, Fraction]]] = {
    "length": (Fraction(10**6), Fraction(20 * 10**9)), "mass": (Fraction(1), Fraction(20_000)),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Way:
    """The measures of a way, by their keys (lengths in nm, the load in kg), and how its stair runs; '' is unsaid."""

    measures: Mapping[str, Fraction]
    stair: str = ""

    def __bool__(self) -> bool:
        return bool(self.measures or self.stair)


NO_WAY: Final = Way({})


def quantity_of(key: str) -> str:
    """The quantity of a measure of the way.

    >>> quantity_of("door_width"), quantity_of("lift_load")
    ('length', 'mass')
    """
    return "mass" if key == LOAD else "length"


def read_way(reader: FormReader, value: object) -> Way:
    """The way that a form holds; what can't be read is noted under its field and left out."""
    held = reader.mapping(value, "way", tuple(WAY_KEYS))
    stair = reader.text(held.get(STAIR), f"way.{STAIR}")
    if stair and stair not in STAIRS:
        reader.wrong(f"way.{STAIR}", f"{WAY_KEYS[STAIR]}: “{stair[:60]}” is none of {', '.join(STAIRS)}.")
        stair = ""
    measures = {}
    for key, words in WAY_KEYS.items():
        if key == STAIR:
            continue
        quantity = quantity_of(key)
        least, most = _LIMITS[quantity]
        found = reader.number(held.get(key), f"way.{key}", quantity, None)
        if found is None:
            continue
        if not least <= found <= most:
            low, high = (format_quantity(limit, quantity, reader.system) for limit in (least, most))
            typed = reader.text(held.get(key), f"way.{key}")
            reader.wrong(f"way.{key}", f"{words}: “{typed}” is out of range; it goes from {low} to {high}.")
            continue
        measures[key] = found
    return Way(measures, stair)


def kept_way(typed: Mapping[str, str], system: System) -> tuple[dict[str, str], tuple[Problem, ...]]:
    """A way as it is kept with a customer: bare numbers with the shop's unit, so that they stay what they were when the
    shop measures otherwise; and what is wrong, under way.door_width and the like.

    >>> kept_way({"door_width": "825", "stair": "straight", "landing": ""}, "metric")
    ({'door_width': '825 mm', 'stair': 'straight'}, ())
    """
    reader = FormReader(system)
    held = {key: text for key, text in typed.items() if text}
    read_way(reader, held)
    return {key: _with_unit(key, text, system) for key, text in held.items()}, tuple(reader.problems)


def _with_unit(key: str, text: str, system: System) -> str:
    if key == STAIR:
        return text
    other: System = "inch" if system == "metric" else "metric"
    quantity = quantity_of(key)
    with suppress(MeasureError):
        value = parse_quantity(text, quantity, system)
        with suppress(MeasureError):
            if parse_quantity(text, quantity, other) == value:
                return text
        return write_quantity(value, quantity, system)
    return text
