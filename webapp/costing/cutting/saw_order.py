"""In which order a planned sheet is sawn: strips first, the widest before the others, then what comes off each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

#: A piece as it lies: (left, low, right, high), left and right along the sheet's length.
Lying = tuple[int, int, int, int]
Cut = tuple[Literal["rip", "cross"], int]

_ALONG: Final = 0
_ACROSS: Final = 1


@dataclass(frozen=True, slots=True)
class SawStrip:
    """One strip and its pieces, by their places in what was asked, in the order in which they come off.

    `cuts` are the settings that free it from the sheet, the last of them its own width: a rip runs along the sheet's
    length, a crosscut across it.
    """

    cuts: tuple[Cut, ...]
    pieces: tuple[int, ...]


def saw_order(boxes: Sequence[Lying]) -> tuple[SawStrip, ...]:
    """The strips of one sheet in sawing order; every piece is in exactly one of them. Sizes in the plan's own unit.

    A sheet that no rip divides is crosscut into panels first. Pieces that no cut from edge to edge parts (which a plan
    for the saw never holds) come as one strip, the largest first.
    """
    places = list(range(len(boxes)))
    strips = _apart(boxes, places, _ACROSS)
    if len(strips) > 1:
        return tuple(_strip(boxes, (), one) for one in _largest_first(boxes, strips, _ACROSS))
    panels = _apart(boxes, places, _ALONG)
    if len(panels) < 2 or all(len(panel) == 1 for panel in panels):
        return (_strip(boxes, (), places),) if places else ()
    found: list[SawStrip] = []
    for panel in _largest_first(boxes, panels, _ALONG):
        before: tuple[Cut, ...] = (("cross", _extent(boxes, panel, _ALONG)),)
        for one in _largest_first(boxes, _apart(boxes, panel, _ACROSS), _ACROSS):
            found.append(_strip(boxes, before, one))
    return tuple(found)


def _strip(boxes: Sequence[Lying], before: tuple[Cut, ...], places: list[int]) -> SawStrip:
    width: Cut = ("rip", _extent(boxes, places, _ACROSS))
    return SawStrip((*before, width), tuple(_off_the_strip(boxes, places, _ALONG)))


def _off_the_strip(boxes: Sequence[Lying], places: list[int], axis: int) -> list[int]:
    """The pieces as cuts from edge to edge part them, the largest first, turning the cut at each level."""
    if len(places) < 2:
        return places
    groups = _apart(boxes, places, axis)
    if len(groups) == 1:
        axis = _ACROSS if axis == _ALONG else _ALONG
        groups = _apart(boxes, places, axis)
        if len(groups) == 1:
            return sorted(places, key=lambda place: (-_area(boxes[place]), place))
    other = _ACROSS if axis == _ALONG else _ALONG
    return [place for group in _largest_first(boxes, groups, axis) for place in _off_the_strip(boxes, group, other)]


def _apart(boxes: Sequence[Lying], places: list[int], axis: int) -> list[list[int]]:
    """The pieces parted by every line over the whole of them that no piece crosses; the line runs square to `axis`."""
    groups: list[list[int]] = []
    reach: int | None = None
    for place in sorted(places, key=lambda one: (boxes[one][axis], one)):
        low, high = boxes[place][axis], boxes[place][axis + 2]
        if reach is None or low >= reach:
            groups.append([])
            reach = high
        groups[-1].append(place)
        reach = max(reach, high)
    return groups


def _largest_first(boxes: Sequence[Lying], groups: list[list[int]], axis: int) -> list[list[int]]:
    return sorted(groups, key=lambda group: (-_extent(boxes, group, axis), min(group)))


def _extent(boxes: Sequence[Lying], places: list[int], axis: int) -> int:
    return max(boxes[place][axis + 2] for place in places) - min(boxes[place][axis] for place in places)


def _area(box: Lying) -> int:
    return (box[2] - box[0]) * (box[3] - box[1])
