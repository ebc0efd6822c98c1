"""What a shop's saw allows: no workpiece too small to hold, no more turns between rip and cross cuts than wanted.

Sizes are the folded ones of a packing problem (kerf added). A way of cutting is written `ACROSS` for a crosscut, which
runs across the sheet and parts its length, and `ALONG` for a rip.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final, NamedTuple

NOT_CUT: Final = 0
ACROSS: Final = 1
ALONG: Final = 2

#: More turns than any sheet takes.
ANY_TURNS: Final = 10**9

#: Lines looked at before a laid sheet counts as one whose cuts can't be shown to obey.
MOST_LINES: Final = 4_000

Box = tuple[int, int, int, int]
"""A rectangle: left, low, right, high."""


class Made(NamedTuple):
    """How a rectangle came to be: the direction of the cut that made it and the turns that its making took."""

    last: int
    turns: int


UNCUT: Final = Made(NOT_CUT, 0)


class SawRules(NamedTuple):
    """`least` is the least folded size of a workpiece either way, `most_turns` the most turns of any path of cuts."""

    least: int = 0
    most_turns: int = ANY_TURNS

    def bind(self) -> bool:
        """Whether there is any rule at all."""
        return self.least > 0 or self.most_turns < ANY_TURNS

    def turned(self, made: Made, way: int) -> int:
        """The turns after a cut in one direction."""
        return made.turns + (1 if made.last and made.last != way else 0)

    def freeing(self, along: int, across: int, free_along: int, free_across: int, made: Made) -> tuple[Freeing, ...]:
        """The ways in which a piece may be freed from the corner of a rectangle; empty where none obeys."""
        right, above = free_along - along, free_across - across
        if not right and not above:
            return (Freeing(True, made, made, made),)
        if free_along < self.least or free_across < self.least:
            return ()
        found = []
        first = self.turned(made, ACROSS)
        if right and not above and first <= self.most_turns:
            found.append(Freeing(True, Made(ACROSS, first), Made(ACROSS, first), made))
        elif right and above and along >= self.least and first + 1 <= self.most_turns:
            piece = Made(ALONG, first + 1)
            found.append(Freeing(True, piece, Made(ACROSS, first), piece))
        first = self.turned(made, ALONG)
        if above and not right and first <= self.most_turns:
            found.append(Freeing(False, Made(ALONG, first), made, Made(ALONG, first)))
        elif right and above and across >= self.least and first + 1 <= self.most_turns:
            piece = Made(ACROSS, first + 1)
            found.append(Freeing(False, piece, piece, Made(ALONG, first)))
        return tuple(found)


class Freeing(NamedTuple):
    """Whether the crosscut comes first, and how the piece, what is right of it and what is above it come to be."""

    across_first: bool
    piece: Made
    right: Made
    above: Made


def can_part(rules: SawRules, boxes: Sequence[Box], whole: Box, made: Made = UNCUT) -> bool:
    """Whether cuts from edge to edge that obey the rules free every box from the whole.

    All lines of one direction are tried together first, then one at a time. A sheet of very many pieces may be judged
    as one that can't be shown to obey, though it might; never the other way about.
    """
    return _Parting(rules).parts(tuple(sorted(boxes)), whole, made)


class _Parting:
    """The search for a tree of cuts; what was found about a part of the whole is kept."""

    def __init__(self, rules: SawRules) -> None:
        self.rules = rules
        self.known: dict[tuple[Box, Made], bool] = {}
        self.left = MOST_LINES

    def parts(self, boxes: tuple[Box, ...], whole: Box, made: Made) -> bool:
        if not boxes or (len(boxes) == 1 and boxes[0] == whole):
            return True
        if min(whole[2] - whole[0], whole[3] - whole[1]) < self.rules.least:
            return False
        key = (whole, made)
        if key not in self.known:
            self.known[key] = False
            self.known[key] = any(self._cut(boxes, whole, made, way) for way in (ACROSS, ALONG))
        return self.known[key]

    def _cut(self, boxes: tuple[Box, ...], whole: Box, made: Made, way: int) -> bool:
        turns = self.rules.turned(made, way)
        if turns > self.rules.most_turns:
            return False
        low, high = (0, 2) if way == ACROSS else (1, 3)
        lines = _lines(boxes, whole, low, high)
        self.left -= len(lines)
        if not lines or self.left < 0:
            return False
        after = Made(way, turns)
        edges = [whole[low], *lines, whole[high]]
        if any(edges[place + 2] - edges[place] >= self.rules.least for place in range(len(edges) - 2)) and all(
            self.parts(*_between(boxes, whole, low, high, start, end), after) for start, end in pairwise(edges)
        ):
            return True
        if not self.rules.least:
            return False
        return any(
            self.parts(*_between(boxes, whole, low, high, whole[low], line), after)
            and self.parts(*_between(boxes, whole, low, high, line, whole[high]), after)
            for line in lines
        )


def _lines(boxes: tuple[Box, ...], whole: Box, low: int, high: int) -> list[int]:
    """Where a straight cut over the whole touches a box and harms none, in order."""
    lines: list[int] = []
    reached = whole[low]
    for box in sorted(boxes, key=lambda one: one[low]):
        if box[low] >= reached:
            lines += [reached, box[low]]
        reached = max(reached, box[high])
    lines.append(reached)
    return sorted({line for line in lines if whole[low] < line < whole[high]})


def _between(
    boxes: tuple[Box, ...], whole: Box, low: int, high: int, start: int, end: int
) -> tuple[tuple[Box, ...], Box]:
    inside = tuple(box for box in boxes if start <= box[low] and box[high] <= end)
    part = list(whole)
    part[low], part[high] = start, end
    return inside, (part[0], part[1], part[2], part[3])
