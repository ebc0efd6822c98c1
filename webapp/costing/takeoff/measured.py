"""Which sizes of a design are a distance on the thing itself: found by making one a little larger, never guessed.

A size is measured between two planes where their distance is its value, and follows when the size alone is changed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.catalogue.tags import is_tagged
from webapp.costing.designs.model import Design
from webapp.costing.ledger.working import Working
from webapp.costing.measures.written import System
from webapp.costing.settings.rates import Rates
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.joints import fit_hardware
from webapp.costing.takeoff.model import Box, HardwareTaken, PartTaken
from webapp.costing.takeoff.parts import make_parts

#: The side of a piece: its part, its number, and 0 for the lower end or 1 for the upper one along the axis.
Side = tuple[str, int, int]

#: By how much a size is changed to see what follows it, nm.
TRIED: Final = 1_000_000
#: Places are whole nanometres, each rounded by itself.
_NEAR: Final = 3
#: So many places where a size could be shown are remembered.
_MOST_KEPT: Final = 12


@dataclass(frozen=True, slots=True)
class Between:
    """The planes that a size lies between along an axis (0 x, 1 y, 2 z); None is the end of the whole thing."""

    axis: int
    low: Side | None = None
    high: Side | None = None


@dataclass(frozen=True, slots=True)
class Measured:
    """A size as a stretch of the thing: along which axis, from where to where, nm."""

    axis: int
    low: int
    high: int


def place_parts(
    design: Design,
    sizes: Mapping[str, Fraction],
    choices: Mapping[str, str],
    materials: Mapping[str, str],
    catalogue: Catalogue,
    rates: Rates,
    step_nm: int,
    system: System,
) -> tuple[Box, ...]:
    """Where the parts of one finished thing and its drawn hardware stand, without all else that a take-off counts."""
    taking = Taking(design, sizes, choices, materials, catalogue, rates, Working(), "placed", step_nm, system)
    parts = tuple(made.taken for made in make_parts(taking))
    return drawn_boxes(design, parts, [one.taken for one in fit_hardware(taking)] if _drawn(design) else ())


def drawn_boxes(
    design: Design, parts: Iterable[PartTaken], hardware: Iterable[HardwareTaken]
) -> tuple[Box, ...]:
    """The boxes of the parts, and of the hardware that is drawn as what it takes up: all that stands in space but
    castors and feet, which a drawing says in words."""
    drawn = _drawn(design)
    fitted = (box for one in hardware if one.name in drawn for box in one.boxes)
    return (*(box for part in parts for box in part.boxes), *fitted)


def _drawn(design: Design) -> set[str]:
    return {
        name
        for name, one in design.hardware.items()
        if one.size and name not in design.parts
        and not any(is_tagged(design.roles[one.stock].needs.tags, tag) for tag in ("castor", "foot"))
    }


def find_between(value: int, boxes: Sequence[Box], changed: Sequence[Box], change: int) -> tuple[Between, ...]:
    """Every place where a size of this value shows, the ends of the whole first; `changed` are the boxes with it
    larger by `change`."""
    if value <= 0 or not boxes or not changed:
        return ()
    whole = [
        Between(axis)
        for axis in range(3)
        if _is_near(_extent(boxes, axis), value) and _is_near(_extent(changed, axis), value + change)
    ]
    return (*whole, *_between_sides(value, boxes, changed, change))[:_MOST_KEPT]


def _between_sides(value: int, boxes: Sequence[Box], changed: Sequence[Box], change: int) -> Iterable[Between]:
    for axis in (0, 2, 1):
        now, then = _sides(boxes, axis), _sides(changed, axis)
        at: dict[int, list[Side]] = {}
        for side, place in now.items():
            if side in then:
                at.setdefault(place, []).append(side)
        places = sorted(at)
        for low in places:
            for high in (near for step in range(-_NEAR, _NEAR + 1) if (near := low + value + step) in at):
                found = _following(at[low], at[high], then, value + change)
                if found is not None:
                    yield Between(axis, *found)
                    break


def _following(
    lows: Sequence[Side], highs: Sequence[Side], then: Mapping[Side, int], wanted: int
) -> tuple[Side, Side] | None:
    """A side of each of two planes that stand as far apart as wanted once the size is changed."""
    where: dict[int, Side] = {}
    for side in highs:
        where.setdefault(then[side], side)
    for side in lows:
        for step in range(-_NEAR, _NEAR + 1):
            other = where.get(then[side] + wanted + step)
            if other is not None:
                return side, other
    return None


def measure(between: Iterable[Between], value: int, boxes: Sequence[Box]) -> Measured | None:
    """The first of the places where a size still shows as its value; None where it shows nowhere."""
    for one in between:
        if one.low is None or one.high is None:
            low = min(box.corner[one.axis] for box in boxes)
            high = max(box.corner[one.axis] + box.extent[one.axis] for box in boxes)
        else:
            sides = _sides(boxes, one.axis)
            if one.low not in sides or one.high not in sides:
                continue
            low, high = sides[one.low], sides[one.high]
        if _is_near(high - low, value):
            return Measured(one.axis, low, high)
    return None


def counted_from_below(value: int, boxes: Sequence[Box]) -> bool:
    """Whether a size counts from the floor to the top of a thing that does not begin at the floor."""
    return bool(boxes) and min(box.corner[2] for box in boxes) > _NEAR and _is_near(_top(boxes), value)


def try_sizes(
    sizes: Mapping[str, Fraction],
    design: Design,
    system: System,
    place: Callable[[Mapping[str, Fraction]], Sequence[Box]],
) -> Iterable[tuple[str, int, Sequence[Box]]]:
    """Each length of a design with how much it is changed by to see what follows, and where the parts stand then.

    It is made larger, or smaller where the design allows no more or nothing could be placed.
    """
    for size in design.sizes_in(system).values():
        if not size.is_length or size.name not in sizes:
            continue
        value = sizes[size.name]
        for change in (TRIED, -TRIED):
            if size.least <= value + change <= size.most and (placed := place({**sizes, size.name: value + change})):
                yield size.name, change, placed
                break


def _sides(boxes: Sequence[Box], axis: int) -> dict[Side, int]:
    found: dict[Side, int] = {}
    for box in boxes:
        # Of a piece of several boxes the first is what its places go by.
        found.setdefault((box.part, box.number, 0), box.corner[axis])
        found.setdefault((box.part, box.number, 1), box.corner[axis] + box.extent[axis])
    return found


def _extent(boxes: Sequence[Box], axis: int) -> int:
    return max(box.corner[axis] + box.extent[axis] for box in boxes) - min(box.corner[axis] for box in boxes)


def _top(boxes: Sequence[Box]) -> int:
    return max(box.corner[2] + box.extent[2] for box in boxes)


def _is_near(one: int, other: int) -> bool:
    return abs(one - other) <= _NEAR
