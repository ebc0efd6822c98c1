"""A chain of dimension lines along one side of a view: from end to end of the parts, each stretch with its words.

Words stand in a break of their stretch where it has room for them, else beyond the chain at the end of a thin line.
Small stretches that lie side by side are collected: their sizes are said one after another, or as their sum.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from typing import Final

from webapp.pictures.bench.dimensions import AROUND, CLEAR, DIMENSION_WIDTH, EXTENSION_WIDTH, PAST, SIZE, around, both
from webapp.pictures.bench.painting import Flat
from webapp.pictures.marks import Area, line, number, text_width, tick

FormatLength = Callable[[int], str]

#: From what stands beside the view to the chain, and from the chain to the words that have no room in it.
FIRST: Final = 20.0
BEYOND: Final = 17.0
#: What two words beside each other keep free, across and down the page.
BETWEEN: Final = 7.0
LINE_GAP: Final = 15.0
#: A word may stand so far from its stretch before words stand in a further row, and then stretches are collected.
FURTHEST: Final = 26.0
MOST_ROWS: Final = 3
ROW_GAP: Final = 15.0
#: So many different sizes are said one after another; of more the sum is said.
MOST_SAID: Final = 3
_TALL: Final = 10.0


@dataclass(frozen=True, slots=True)
class Place:
    """The end of a part along an axis: how far, nm, and where that is along the side of the drawing."""

    nm: int
    along: float


@dataclass(frozen=True, slots=True)
class Chain:
    """A chain drawn, with the room that it takes; `said` are the stretches that it says, nm."""

    svg: str
    area: Area
    said: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class _Side:
    """Along which side of the view it runs: `base` is the edge of what stands there, `way` the direction off it."""

    upright: bool
    base: float
    way: int

    def at(self, along: float, off: float) -> Flat:
        """A point so far along the side and so far off it."""
        return (self.base + self.way * off, along) if self.upright else (along, self.base + self.way * off)


@dataclass(slots=True)
class _Group:
    """Stretches whose words stand together, from one place to another."""

    first: int
    last: int
    words: str
    is_sum: bool


def draw_chain(
    places: Sequence[Place], edge: float, beyond: float, way: int, upright: bool, format_length: FormatLength
) -> Chain:
    """The chain through three places or more, in the order in which they stand along the side.

    `edge` is the edge of the view, `beyond` what else stands there; `way` is 1 for below and right, -1 for left.
    """
    sizes = [abs(after.nm - before.nm) for before, after in pairwise(places)]
    words = [format_length(size) for size in sizes]
    inline = {place for place, said in enumerate(words) if _fits(places, place, said, upright)}
    groups = _collect([_Group(place, place, said, is_sum=False) for place, said in enumerate(words)
                       if place not in inline], places, words, sizes, upright, format_length)  # fmt: skip
    half = max((text_width(words[place], SIZE) / 2 for place in inline), default=0.0) if upright else _TALL / 2
    off = beyond + (max(FIRST, half + AROUND + CLEAR) if upright else FIRST)
    side = _Side(upright, edge, way)
    summed = {inner for group in groups if group.is_sum for inner in range(group.first + 1, group.last + 1)}
    body, area = _line(places, side, off, inline, words, summed)
    if groups:
        far = off + (half + 9 if upright else BEYOND)
        beside, room = _beside(groups, places, side, off, far)
        body, area = body + beside, both(area, room)
    said = [(before.nm, after.nm) for before, after in pairwise(places)]
    return Chain("".join(body), area, tuple(said))


def _fits(places: Sequence[Place], stretch: int, words: str, upright: bool) -> bool:
    long = abs(places[stretch + 1].along - places[stretch].along)
    return long > (_TALL if upright else text_width(words, SIZE)) + 2 * AROUND + 9


def _line(
    places: Sequence[Place], side: _Side, off: float, inline: set[int], words: Sequence[str], summed: set[int]
) -> tuple[list[str], Area]:
    """The chain's own line with its ends, the extension lines, and the words that have room in it."""
    body: list[str] = []
    points = [side.at(place.along, off + PAST) for place in places]
    for place, one in enumerate(places):
        if place not in summed:
            ends = [side.at(one.along, CLEAR), side.at(one.along, off + PAST)]
            body += [line(ends, "drawn-ink", EXTENSION_WIDTH), tick(*side.at(one.along, off))]
    for place, (one, other) in enumerate(pairwise(places)):
        begin, end = side.at(one.along, off), side.at(other.along, off)
        if place not in inline:
            body.append(line([begin, end], "drawn-ink", DIMENSION_WIDTH))
            continue
        middle = (one.along + other.along) / 2
        free = (_TALL if side.upright else text_width(words[place], SIZE)) / 2 + AROUND
        turn = 1 if other.along > one.along else -1
        body.append(line([begin, side.at(middle - turn * free, off)], "drawn-ink", DIMENSION_WIDTH))
        body.append(line([side.at(middle + turn * free, off), end], "drawn-ink", DIMENSION_WIDTH))
        x, y = side.at(middle, off)
        body.append(_words(x, y, words[place], "middle"))
        half = text_width(words[place], SIZE) / 2
        points += [(x - half, y - _TALL / 2), (x + half, y + _TALL / 2)]
    return body, around(points, 5.0)


def _beside(
    groups: Sequence[_Group], places: Sequence[Place], side: _Side, off: float, far: float
) -> tuple[list[str], Area]:
    """The words that stand beyond the chain, each at the end of a thin line to its stretch."""
    body: list[str] = []
    points: list[Flat] = []
    ordered = sorted(groups, key=lambda one: _middle(one, places))
    lines: list[str] = []
    for group, (at, row) in zip(ordered, _spread(ordered, places, side.upright)[0], strict=True):
        wide = text_width(group.words, SIZE)
        x, y = side.at(at, far + row * ROW_GAP)
        begin = side.at(_middle(group, places), off)
        # The line bends before the words, so that it never runs through its neighbour's.
        bend = side.at(at, far - 7) if side.upright else (x, y - 7)
        lines.append(line([begin, bend, side.at(at, far - 2) if side.upright else (x, y - 6)], "drawn-ink",
                          EXTENSION_WIDTH))  # fmt: skip
        anchor = ("start" if side.way > 0 else "end") if side.upright else "middle"
        body.append(_words(x, y, group.words, anchor))
        left = x - (wide if anchor == "end" else wide / 2 if anchor == "middle" else 0)
        points += [(left, y - _TALL / 2), (left + wide, y + _TALL / 2)]
    return [*lines, *body], around(points, 2.0)


def _collect(
    groups: list[_Group], places: Sequence[Place], words: Sequence[str], sizes: Sequence[int], upright: bool,
    format_length: FormatLength,
) -> list[_Group]:  # fmt: skip
    """The words beyond the chain with as many stretches collected as are needed to stand near to their places.

    Equal ones in a row are always counted: 5 × 6.
    """
    equal: list[_Group] = []
    for group in groups:
        before = equal[-1] if equal else None
        if before is not None and before.last + 1 == group.first and words[before.first] == group.words:
            equal[-1] = _joined(before.first, group.last, words, sizes, format_length)
        else:
            equal.append(group)
    groups = equal
    while len(groups) > 1:
        ordered = sorted(groups, key=lambda one: _middle(one, places))
        if _spread(ordered, places, upright)[1]:
            break
        pairs = [place for place in range(len(groups) - 1) if groups[place].last + 1 == groups[place + 1].first]
        if not pairs:
            break
        chosen = min(pairs, key=lambda place: _length(groups[place], places) + _length(groups[place + 1], places))
        like = (groups[chosen].words, groups[chosen + 1].words)
        for place in reversed(pairs):
            # Equal pairs are collected alike; one that was taken into another just now is no pair any more.
            if place + 1 < len(groups) and (groups[place].words, groups[place + 1].words) == like:
                one, other = groups[place], groups[place + 1]
                groups[place : place + 2] = [_joined(one.first, other.last, words, sizes, format_length)]
    return groups


def _joined(
    first: int, last: int, words: Sequence[str], sizes: Sequence[int], format_length: FormatLength
) -> _Group:  # fmt: skip
    runs: list[tuple[str, int]] = []
    for said in words[first : last + 1]:
        if runs and runs[-1][0] == said:
            runs[-1] = (said, runs[-1][1] + 1)
        else:
            runs.append((said, 1))
    if len(runs) > MOST_SAID:
        return _Group(first, last, format_length(sum(sizes[first : last + 1])), is_sum=True)
    said = " + ".join(one if count == 1 else f"{count} × {one}" for one, count in runs)
    return _Group(first, last, said, is_sum=False)


def _middle(group: _Group, places: Sequence[Place]) -> float:
    return (places[group.first].along + places[group.last + 1].along) / 2


def _length(group: _Group, places: Sequence[Place]) -> float:
    return abs(places[group.last + 1].along - places[group.first].along)


def _spread(
    groups: Sequence[_Group], places: Sequence[Place], upright: bool
) -> tuple[list[tuple[float, int]], bool]:  # fmt: skip
    """Where the words stand along the side, and in which row: near to their stretches, and none on another.

    They take as few rows as keep them near; whether they are near is told with them.
    """
    middles = [_middle(group, places) for group in groups]
    widths = [LINE_GAP if upright else text_width(group.words, SIZE) + BETWEEN for group in groups]
    found: list[tuple[float, int]] = []
    for rows in range(1, 2 if upright else MOST_ROWS + 1):
        found = [(0.0, 0)] * len(groups)
        for row in range(rows):
            stands = apart(middles[row::rows], widths[row::rows])
            found[row::rows] = [(at, row) for at in stands]
        if all(abs(at - middle) <= FURTHEST for (at, _), middle in zip(found, middles, strict=True)):
            return found, True
    return found, False


def apart(wanted: Sequence[float], widths: Sequence[float]) -> list[float]:
    """Middles as near to the wanted ones (rising) as can be, of things so wide, none on another."""
    runs: list[tuple[list[float], float]] = []
    for middle, wide in zip(wanted, widths, strict=True):
        run, first = [wide], middle - wide / 2
        while runs and runs[-1][1] + sum(runs[-1][0]) > first:
            before, start = runs.pop()
            # Both move so that neither is further from its own place than it has to be.
            share = len(before) / (len(before) + len(run))
            first = share * start + (1 - share) * (first - sum(before))
            run = before + run
        runs.append((run, first))
    found = []
    for run, first in runs:
        for wide in run:
            found.append(first + wide / 2)
            first += wide
    return found


def _words(x: float, y: float, words: str, anchor: str) -> str:
    """Words on ground of their own: what is measured further out has lines that run behind them."""
    wide = text_width(words, SIZE)
    left = x - (wide if anchor == "end" else wide / 2 if anchor == "middle" else 0)
    return (
        f'<rect class="drawn-ground" x="{number(left - 1)}" y="{number(y - _TALL / 2 - 1)}" width="{number(wide + 2)}"'
        f' height="{number(_TALL + 2)}" fill="#FFFFFF"/>'
        f'<text class="drawn-ink-fill drawn-size" x="{number(x)}" y="{number(y + SIZE * 0.35)}" font-size="{SIZE:g}"'
        f' text-anchor="{anchor}" font-weight="600" fill="#1F4E79">{escape(words)}</text>'
    )
