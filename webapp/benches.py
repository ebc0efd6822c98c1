"""Benches drawn for pages: what of a design's sizes shows on the drawing is found once and remembered."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.measures.written import STEP_NM, System, and_words, format_length
from webapp.costing.settings.rates import Rates
from webapp.costing.takeoff.measured import (
    Between,
    Measured,
    counted_from_below,
    drawn_boxes,
    find_between,
    measure,
    place_parts,
    try_sizes,
)
from webapp.costing.takeoff.model import Box, TakeOff
from webapp.pictures.bench.looking import Corner
from webapp.pictures.bench.picture import small_picture
from webapp.pictures.bench.pieces import NM_PER_MM
from webapp.pictures.bench.sheet import SheetDrawing, bench_sheet, bench_with_sizes
from webapp.pictures.bench.thing import Thing, thing_of
from webapp.remembered import Remembered

#: How large the picture of a job in a list is.
STAMP: Final = (96.0, 64.0)
MOST_DESIGNS: Final = 200


@dataclass(frozen=True, slots=True)
class Shows:
    """Where a size of a design shows, and whether it counts what the thing stands on and nothing draws."""

    between: tuple[Between, ...]
    from_below: bool


#: Where the sizes of designs show: it follows from the design.
SHOWS: Final = Remembered[object, Mapping[str, Shows]](MOST_DESIGNS)


def shown_sizes(
    taken: TakeOff, catalogue: Catalogue, rates: Rates, system: System
) -> tuple[dict[str, Measured], tuple[str, ...]]:
    """The sizes that are a stretch of the thing as it is placed, and those that count from the floor beneath it.

    Found once for a design with its answers, materials and numbers; at other lengths it is only seen whether it holds.
    """
    boxes = drawn_boxes(taken.design, taken.parts, taken.hardware)
    values = {name: figure.value for name, figure in taken.sizes.items()}
    lengths = {name: int(values[name]) for name, size in taken.design.sizes.items() if size.is_length}
    numbers = tuple((name, value) for name, value in values.items() if name not in lengths)
    key = (taken.design.digest, tuple(taken.choices.items()), tuple(taken.materials.items()), numbers, system)
    known = SHOWS.get(key) if taken.design.digest else None
    if known is None or any(
        shows.between and measure(shows.between, lengths[name], boxes) is None for name, shows in known.items()
    ):
        known = _find(taken, boxes, values, catalogue, rates, system)
        SHOWS.put(key, known)
    measured, from_below = {}, []
    for name, shows in known.items():
        found = measure(shows.between, lengths[name], boxes)
        if found is not None:
            measured[name] = found
        elif shows.from_below and counted_from_below(lengths[name], boxes):
            from_below.append(name)
    return measured, tuple(from_below)


def _find(
    taken: TakeOff, boxes: Sequence[Box], values: Mapping[str, Fraction], catalogue: Catalogue, rates: Rates,
    system: System,
) -> dict[str, Shows]:  # fmt: skip
    def place(sizes: Mapping[str, Fraction]) -> Sequence[Box]:
        return place_parts(
            taken.design, sizes, taken.choices, taken.materials, catalogue, rates, STEP_NM[system], system
        )

    return {
        name: Shows(
            find_between(int(values[name]), boxes, placed, change),
            counted_from_below(int(values[name]), boxes) and counted_from_below(int(values[name]) + change, placed),
        )
        for name, change, placed in try_sizes(values, taken.design, system, place)
    }


def draw_at_head(
    taken: TakeOff, words: str, catalogue: Catalogue, rates: Rates, system: System, corner: Corner = "front right",
    wide: float = 700.0, tall: float = 400.0, numbers: Mapping[str, int] | None = None, called: str = "",
) -> SheetDrawing:  # fmt: skip
    """The drawing at the head of an item of a job's sheet; `svg` is empty where nothing is placed.

    Where it is `called` something, its parts can be pointed at, by their `numbers` in the cut list.
    """
    measured, from_below = shown_sizes(taken, catalogue, rates, system)
    thing = thing_of(taken, numbers)
    beside = {name: _counted_words(thing, int(taken.sizes[name].value), system) for name in from_below}
    said = f"{words} from the front, and as one sees it from the {corner}"
    return bench_sheet(thing, measured, lambda nm: format_length(nm, system), said, corner, wide, tall, beside, called)


def picture_with_sizes(
    taken: TakeOff, words: str, length: Callable[[int], str], wide: float = 330.0, tall: float = 290.0
) -> str:
    """A thing as one sees it, with its overall sizes as it is drawn, in the words of `length`; '' where nothing is
    placed."""
    said = f"{words}, from the front right, with its sizes"
    return bench_with_sizes(thing_of(taken), length, said, wide, tall)


def stamp_of(things: Iterable[TakeOff]) -> str:
    """The first of some things that has anything placed, no larger than a stamp; '' where none has."""
    return next((small for taken in things if (small := small_picture(thing_of(taken), "", *STAMP))), "")


def counted_heights(taken: TakeOff, catalogue: Catalogue, rates: Rates, system: System) -> dict[str, str]:
    """What is said of each size that counts what the thing stands on, where nothing draws that."""
    boxes = drawn_boxes(taken.design, taken.parts, taken.hardware)
    if not any(counted_from_below(int(figure.value), boxes) for figure in taken.sizes.values()):
        return {}
    _, from_below = shown_sizes(taken, catalogue, rates, system)
    thing = thing_of(taken)
    return {name: _counted_words(thing, int(taken.sizes[name].value), system) for name in from_below}


def _counted_words(thing: Thing, height: int, system: System) -> str:
    """What is said of a height that counts what the thing stands on: 900 mm with castors; drawn without: 750 mm."""
    drawn = round((thing.high[2] - thing.low[2]) * NM_PER_MM)
    named = and_words(thing.stands_on or thing.without) or "what it stands on"
    return f"{format_length(height, system)} with {named}; drawn without: {format_length(drawn, system)}"
