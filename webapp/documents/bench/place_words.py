"""Where each piece of a part stands in the finished thing, in words: 'left, second from the floor'."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from webapp.costing.takeoff.model import Box

#: Pieces whose middles are nearer along an axis stand in one place there, nm.
ONE_PLACE: Final = 1_000_000
ORDINALS: Final = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
#: Of each axis: its two ends, its middle of three, and from where many are counted.
WORDS: Final = (
    ("left", "right", "in the middle", "from the left"), ("front", "back", "in the middle", "from the front"),
    ("bottom", "top", "in the middle", "from the floor"),
)  # fmt: skip
#: The only one of its kind is said by where it stands in the whole, unless it reaches over so much of that.
REACHES: Final = 0.5
THIRD: Final = 1 / 3

#: Along each axis, from where to where something reaches.
_Reach = tuple[tuple[int, int], ...]


def places_in_words(boxes: Sequence[Box], whole: Sequence[Box]) -> Mapping[int, str]:
    """The words of each piece by its number; `boxes` are those of the part, `whole` those of all that stands."""
    pieces: dict[int, list[Box]] = {}
    for box in boxes:
        pieces.setdefault(box.number, []).append(box)
    reaches = {number: _reach(held) for number, held in pieces.items()}
    if len(reaches) == 1:
        ((number, reach),) = reaches.items()
        return {number: _in_whole(reach, _reach(whole))}
    said: dict[int, list[str]] = {number: [] for number in reaches}
    for axis in range(3):
        levels = _levels([_middle(reach[axis]) for reach in reaches.values()])
        if len(levels) > 1:
            for number, reach in reaches.items():
                at = _middle(reach[axis])
                level = next(place for place, top in enumerate(levels) if at <= top)
                said[number].append(_word(axis, level, len(levels)))
    return {number: ", ".join(words) for number, words in said.items()}


def _reach(boxes: Sequence[Box]) -> _Reach:
    return tuple(
        (min(box.corner[axis] for box in boxes), max(box.corner[axis] + box.extent[axis] for box in boxes))
        for axis in range(3)
    )


def _middle(reach: tuple[int, int]) -> int:
    return sum(reach) // 2


def _levels(middles: Sequence[int]) -> list[int]:
    """The places along an axis, each by the greatest middle in it, from the lower end."""
    found: list[int] = []
    for middle in sorted(middles):
        if found and middle - found[-1] <= ONE_PLACE:
            found[-1] = middle
        else:
            found.append(middle)
    return found


def _word(axis: int, level: int, levels: int) -> str:
    low, high, middle, counted = WORDS[axis]
    if levels <= 3:
        return (low, high)[level] if levels == 2 else (low, middle, high)[level]
    if axis == 2 and level in (0, levels - 1):
        return low if level == 0 else high
    return f"{ORDINALS[level + 1] if level + 1 < len(ORDINALS) else f'number {level + 1}'} {counted}"


def _in_whole(reach: _Reach, whole: _Reach) -> str:
    words = []
    for axis, ((low, high), (whole_low, whole_high)) in enumerate(zip(reach, whole, strict=True)):
        far = whole_high - whole_low
        if far <= 0 or high - low > REACHES * far:
            continue
        share = ((low + high) / 2 - whole_low) / far
        if share < THIRD or share > 1 - THIRD:
            words.append(WORDS[axis][share > THIRD])
    return ", ".join(words)
