"""How a planned sheet comes apart: the tree of its workpieces, found from where the pieces lie alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final, NamedTuple

Area = tuple[int, int, int, int]
"""Left, low, right, high: left and right along the raw sheet's length."""

#: What a cut parts: a crosscut the length, a rip the width.
CROSS: Final = 0
RIP: Final = 1


class Slice(NamedTuple):
    """A part between two cuts of one workpiece, and the places in the plan of the pieces that lie in it."""

    area: Area
    places: tuple[int, ...]


@dataclass(slots=True)
class Parting:
    """A workpiece that cuts in one direction (`axis`) part into slices, in the order in which they lie.

    What lies between the slices and at the ends is waste. `level` is the number of turns from rip to crosscut or back
    that came before. `within` has for each slice how it is cut again, None where it needs no cut or none parts it.
    """

    area: Area
    axis: int
    level: int
    slices: tuple[Slice, ...]
    within: list[Parting | None] = field(default_factory=list)


def part(boxes: Sequence[Area], area: Area, axis: int, kerf: int) -> Parting | None:
    """The tree of workpieces of an area, first parted along `axis`; None where no cut in that direction gets on.

    Each workpiece is parted by every cut that it allows in one direction, its slices by all in the other, and so on.
    """
    root = one_parting(boxes, area, range(len(boxes)), axis, kerf, 0)
    waiting = [] if root is None else [root]
    while waiting:
        parting = waiting.pop()
        for one in parting.slices:
            inner = one_parting(boxes, one.area, one.places, 1 - parting.axis, kerf, parting.level + 1)
            parting.within.append(inner)
            if inner is not None:
                waiting.append(inner)
    return root


def one_parting(
    boxes: Sequence[Area], area: Area, places: Sequence[int], axis: int, kerf: int, level: int
) -> Parting | None:
    """The slices of one workpiece along `axis`, not parted further; None where that leaves it as it is."""
    if not places or (len(places) == 1 and boxes[places[0]] == area):
        return None
    slices = tuple(_slices(boxes, area, places, axis, kerf))
    return None if len(slices) == 1 and slices[0].area == area else Parting(area, axis, level, slices)


class Measures(NamedTuple):
    """What all cuts of a tree come to: its largest rest, its cuts, its narrowest workpiece, the length of its cuts."""

    largest_rest: int
    cuts: int
    narrowest: int
    length: int


def measured(root: Parting, kerf: int) -> Measures:
    """The measures of a tree, the same in whatever order its cuts are made."""
    largest = cuts = length = 0
    narrowest = max(root.area)
    waiting = [root]
    while waiting:
        parting = waiting.pop()
        axis, area = parting.axis, parting.area
        across = area[3 - axis] - area[1 - axis]
        made = len(parting.slices) - 1
        reached = area[axis]
        for place, one in enumerate(parting.slices):
            gap = one.area[axis] - reached - (kerf if place else 0)
            if gap:
                made += 1
                largest = max(largest, (gap - kerf) * across)
            reached = one.area[axis + 2]
        if reached < area[axis + 2]:
            made += 1
            largest = max(largest, (area[axis + 2] - reached - kerf) * across)
        cuts += made
        length += made * across
        narrowest = min(narrowest, across, area[axis + 2] - area[axis])
        waiting += [inner for inner in parting.within if inner is not None]
    return Measures(largest, cuts, narrowest, length)


def between(area: Area, axis: int, start: int, end: int) -> Area:
    """The part of an area between two places along an axis."""
    if axis == CROSS:
        return (start, area[1], end, area[3])
    return (area[0], start, area[2], end)


def _slices(boxes: Sequence[Area], area: Area, places: Sequence[int], axis: int, kerf: int) -> list[Slice]:
    """The pieces in groups between which there is room for a cut over the whole area."""
    found: list[Slice] = []
    group: list[int] = []
    start = reached = area[axis]
    for place in sorted(places, key=lambda one: boxes[one][axis]):
        low, high = boxes[place][axis], boxes[place][axis + 2]
        if group and low >= reached + kerf:
            found.append(Slice(between(area, axis, start, reached), tuple(group)))
            group = []
        if not group:
            start = reached = low
        group.append(place)
        reached = max(reached, high)
    if group:
        found.append(Slice(between(area, axis, start, reached), tuple(group)))
    return found
