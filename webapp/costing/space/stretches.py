"""Stretches of an outline, straight or along a circle: how far they reach, how far apart they are, and what of them
lies in a rectangle. Doubles, mm; by formula, so that an arc is an arc."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import acos, asin, atan2, ceil, cos, hypot, inf, pi, sin, tan
from typing import Final

Flat = tuple[float, float]
Box = tuple[Flat, Flat]

#: Where an area is reckoned of short straight sides, an arc has one for so much of its turn, radians.
FINE: Final = pi / 180
#: What is no further in than this lies on the edge of a rectangle, mm.
ON_EDGE: Final = 1e-6
_ANGLE: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Stretch:
    """From a place to another: straight, or about a `middle` by a `turn` in radians, anticlockwise above 0."""

    begin: Flat
    end: Flat
    middle: Flat | None = None
    turn: float = 0.0

    @property
    def radius(self) -> float:
        """That of an arc; 0 of what is straight."""
        return 0.0 if self.middle is None else _far(self.middle, self.begin)

    @property
    def long(self) -> float:
        """How long it is."""
        return _far(self.begin, self.end) if self.middle is None else self.radius * abs(self.turn)

    @property
    def bulge(self) -> float:
        """The tangent of a quarter of its turn, as drawing files know arcs; 0 of what is straight."""
        return tan(self.turn / 4)

    def at(self, share: float) -> Flat:
        """The place that lies such a share of its length along it."""
        if self.middle is None:
            return (self.begin[0] + share * (self.end[0] - self.begin[0]),
                    self.begin[1] + share * (self.end[1] - self.begin[1]))  # fmt: skip
        x, y, angle = self.begin[0] - self.middle[0], self.begin[1] - self.middle[1], share * self.turn
        return self.middle[0] + x * cos(angle) - y * sin(angle), self.middle[1] + x * sin(angle) + y * cos(angle)

    def moved(self, by: Flat) -> Stretch:
        """The same elsewhere."""
        begin, end, middle = ((at[0] + by[0], at[1] + by[1]) for at in (self.begin, self.end, self.middle or by))
        return Stretch(begin, end, None if self.middle is None else middle, self.turn)

    def swapped(self) -> Stretch:
        """The same with along and across swapped."""
        middle = None if self.middle is None else self.middle[::-1]
        return Stretch(self.begin[::-1], self.end[::-1], middle, -self.turn)


def box_of(stretches: Sequence[Stretch]) -> Box:
    """The lower and the upper corner of the rectangle about an outline.

    >>> box_of([Stretch((0, 0), (4, 0)), Stretch((4, 0), (0, 0), (2, 0), pi)])
    ((0, 0), (4, 2.0))
    """
    places = [place for one in stretches for place in _extremes(one)]
    (left, low), (right, high) = ((pick(at[0] for at in places), pick(at[1] for at in places)) for pick in (min, max))
    return (left, low), (right, high)


def _extremes(one: Stretch) -> Iterator[Flat]:
    yield one.begin
    yield one.end
    if one.middle is not None:
        for x, y in ((1, 0), (0, 1), (-1, 0), (0, -1)):
            place = (one.middle[0] + x * one.radius, one.middle[1] + y * one.radius)
            if _is_along(one, place):
                yield place


def far_from(stretches: Sequence[Stretch], at: Flat) -> float:
    """How far a place is from the nearest of an outline's stretches.

    >>> far_from([Stretch((4, 0), (-4, 0), (0, 0), pi)], (0, 1))
    3.0
    """
    return min(_off(one, at) for one in stretches)


def apart(ones: Sequence[Stretch], others: Sequence[Stretch]) -> float:
    """The least distance between two outlines; 0 where they cross.

    >>> apart([Stretch((0, 0), (0, 9))], [Stretch((5, 5), (5, 5), (7, 5), 2 * pi)])
    5.0
    """
    least = inf
    boxes = [box_of([other]) for other in others]
    for one in ones:
        box = box_of([one])
        for other, beside in zip(others, boxes, strict=True):
            if boxes_apart(box, beside) < least:
                least = min(least, _between(one, other))
    return least


def boxes_apart(one: Box, other: Box) -> float:
    """The least distance between two rectangles, each by its lower and its upper corner; 0 where they overlap."""
    return hypot(*(max(one[0][way] - other[1][way], other[0][way] - one[1][way], 0.0) for way in (0, 1)))


def _between(one: Stretch, other: Stretch) -> float:
    """Two stretches are nearest where one ends, where they cross, or on the line through the middle of an arc."""
    if one.middle is None:
        one, other = other, one
    places = [place for place in _nearest_places(one, other) if _is_along(one, place)]
    return min(*(_off(other, place) for place in (one.begin, one.end, *places)),
               *(_off(one, place) for place in (other.begin, other.end)))  # fmt: skip


def _nearest_places(one: Stretch, other: Stretch) -> Iterator[Flat]:
    """Places of the first, longer than it is, where the two may cross or are nearest; of an arc and what is straight
    the arc is the first."""
    if one.middle is None:
        (ax, ay), (bx, by) = _run(one), _run(other)
        turned = ax * by - ay * bx
        if turned:
            x, y = other.begin[0] - one.begin[0], other.begin[1] - one.begin[1]
            yield one.at((x * by - y * bx) / turned)
        return
    if other.middle is None:
        way, far = _way(other.begin, other.end)
        x, y = other.begin[0] - one.middle[0], other.begin[1] - one.middle[1]
        off = x * way[1] - y * way[0]
        foot = (off * way[1], -off * way[0])
        normal = (way[1], -way[0])
    else:
        normal, far = _way(one.middle, other.middle)
        if far <= ON_EDGE:
            return
        # The circles cross on a line across the one through their middles.
        off = (far**2 + one.radius**2 - other.radius**2) / (2 * far)
        foot = (off * normal[0], off * normal[1])
        way = (-normal[1], normal[0])
    half = one.radius**2 - off**2
    for sign in (1, -1):
        yield one.middle[0] + sign * normal[0] * one.radius, one.middle[1] + sign * normal[1] * one.radius
        if half >= 0:
            reach = sign * half**0.5
            yield one.middle[0] + foot[0] + reach * way[0], one.middle[1] + foot[1] + reach * way[1]


def _off(one: Stretch, at: Flat) -> float:
    """How far a place is from a stretch."""
    if one.middle is not None and _is_along(one, at):
        return abs(_far(one.middle, at) - one.radius)
    if one.middle is None and (long := _far(one.begin, one.end)):
        (x, y), (begin_x, begin_y) = _run(one), one.begin
        share = ((at[0] - begin_x) * x + (at[1] - begin_y) * y) / long**2
        return _far(one.at(max(0.0, min(1.0, share))), at)
    return min(_far(one.begin, at), _far(one.end, at))


def _is_along(one: Stretch, at: Flat) -> bool:
    """Whether a place, or the line from the middle of an arc through it, meets the stretch between its ends."""
    if one.middle is None:
        x, y = _run(one)
        share = (at[0] - one.begin[0]) * x + (at[1] - one.begin[1]) * y
        return 0 <= share <= x * x + y * y
    return _angle(one, at) <= abs(one.turn) + _ANGLE


def _angle(one: Stretch, at: Flat) -> float:
    """How far an arc has turned when it comes to the line from its middle through a place, from 0 to a whole turn."""
    middle = one.middle or (0.0, 0.0)
    x, y = one.begin[0] - middle[0], one.begin[1] - middle[1]
    u, v = at[0] - middle[0], at[1] - middle[1]
    angle = atan2(x * v - y * u, x * u + y * v) * (1 if one.turn > 0 else -1)
    return angle if angle >= -_ANGLE else angle + 2 * pi


def runs_within(stretches: Sequence[Stretch], low: Flat, high: Flat) -> list[float]:
    """How long the runs of an outline are that lie inside a rectangle, each from corner to corner or from edge to edge;
    nothing of what runs along an edge.

    >>> runs_within([Stretch((-5, 1), (5, 1)), Stretch((5, 1), (5, 0))], (0, 0), (9, 9))
    [5.0, 1.0]
    """
    runs = list[float]()
    goes_on = from_first = False
    for place, one in enumerate(stretches):
        smooth, goes_on_now = _is_smooth(stretches[place - 1], one), False
        for begin, end in inside(one, (low, high)):
            if begin == 0 and goes_on and smooth:
                runs[-1] += end * one.long
            else:
                runs.append((end - begin) * one.long)
            from_first = from_first or (place == 0 and begin == 0)
            goes_on_now = end == 1
        goes_on = goes_on_now
    if goes_on and from_first and len(runs) > 1 and _is_smooth(stretches[-1], stretches[0]):
        runs[0] += runs.pop()
    return runs


def _is_smooth(one: Stretch, other: Stretch) -> bool:
    """Whether what follows a stretch goes on where and as it ends."""
    (ax, ay), (bx, by) = _heads(one, one.end), _heads(other, other.begin)
    return _far(one.end, other.begin) < ON_EDGE and abs(ax * by - ay * bx) < ON_EDGE and ax * bx + ay * by > 0


def _heads(one: Stretch, at: Flat) -> Flat:
    """The direction in which a stretch goes where it begins or ends."""
    if one.middle is None:
        return _way(one.begin, one.end)[0]
    (x, y), _ = _way(one.middle, at)
    return (-y, x) if one.turn > 0 else (y, -x)


def inside(one: Stretch, box: Box) -> list[tuple[float, float]]:
    """From which share to which a stretch lies inside a rectangle."""
    (left, low), (right, high) = box
    found = list[tuple[float, float]]()
    shares = sorted({0.0, 1.0, *(share for share in _crossings(one, box) if 0 < share < 1)})
    for before, after in pairwise(shares):
        x, y = one.at((before + after) / 2)
        if left + ON_EDGE < x < right - ON_EDGE and low + ON_EDGE < y < high - ON_EDGE:
            joined = bool(found) and found[-1][1] == before
            found[-1:] = [(found[-1][0], after)] if joined else [*found[-1:], (before, after)]
    return found


def _crossings(one: Stretch, box: Box) -> Iterator[float]:
    """The shares of a stretch at which it may cross the lines of a rectangle's edges."""
    for way in (0, 1):
        for level in (corner[way] for corner in box):
            if one.middle is None:
                run = one.end[way] - one.begin[way]
                if run:
                    yield (level - one.begin[way]) / run
            elif abs(off := (level - one.middle[way]) / one.radius) < 1:
                for angle in (acos(off), -acos(off)) if way == 0 else (asin(off), pi - asin(off)):
                    place = one.middle[0] + cos(angle), one.middle[1] + sin(angle)
                    yield _angle(one, place) / abs(one.turn)


def fine_ring(stretches: Sequence[Stretch]) -> list[Flat]:
    """An outline as a round of places, its arcs by straight sides of a degree each."""
    found = list[Flat]()
    for one in stretches:
        count = max(1, ceil(abs(one.turn) / FINE))
        found += [one.at(nth / count) for nth in range(count)]
    return found


def clipped(ring: Sequence[Flat], low: Flat, high: Flat) -> list[Flat]:
    """What of a round of places lies in a rectangle, as one round: what is in several pieces hangs together along the
    rectangle's edges.

    >>> clipped([(-2, -2), (2, -2), (2, 2), (-2, 2)], (0, 0), (9, 9))
    [(2.0, 0.0), (2, 2), (0.0, 2.0), (0.0, 0.0)]
    """
    found = list(ring)
    for way, level, sign in ((0, low[0], 1), (0, high[0], -1), (1, low[1], 1), (1, high[1], -1)):
        kept = list[Flat]()
        for one, other in zip(found, (*found[1:], *found[:1]), strict=True):
            begin, end = sign * (one[way] - level), sign * (other[way] - level)
            if begin >= 0:
                kept.append(one)
            if (begin > 0 > end) or (begin < 0 < end):
                share = begin / (begin - end)
                across = one[1 - way] + share * (other[1 - way] - one[1 - way])
                kept.append((float(level), across) if way == 0 else (across, float(level)))
        found = kept
    return found


def _run(one: Stretch) -> Flat:
    return one.end[0] - one.begin[0], one.end[1] - one.begin[1]


def _way(one: Flat, other: Flat) -> tuple[Flat, float]:
    """The direction from one place to another, of length one, and how far it is."""
    far = _far(one, other)
    return ((other[0] - one[0]) / far, (other[1] - one[1]) / far) if far else (1.0, 0.0), far


def _far(one: Flat, other: Flat) -> float:
    return hypot(other[0] - one[0], other[1] - one[1])
