"""The value at which something that follows from it comes to a wished amount: tried, not calculated backwards."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

#: A search that has not come to its end by then has none: the thing jumps there.
MOST_TRIES: Final = 60
#: Of the wished amount; where the nearest that can be had is further off, it explains nothing.
FURTHEST_OFF: Final = Fraction(1, 100)


@dataclass(frozen=True, slots=True)
class Search:
    """What is tried: from where, in which limits, how far at first, and in which steps, the roundest first.

    `rises` says whether what follows from it grows with it. Anything nearer to the goal than `slack` is there.
    """

    start: Fraction
    least: Fraction
    most: Fraction
    reach: Fraction
    grains: Sequence[Fraction]
    slack: Fraction
    rises: bool = True


def solve(gives: Callable[[Fraction], Fraction], now: Fraction, goal: Fraction, search: Search) -> Fraction | None:
    """The value at which `gives` comes to the goal, the roundest of those; None where no value in the limits does.

    `gives` never falls (or, where it doesn't rise, never grows) and may go in steps; `now` is what it gives at the
    start.

    >>> whole = Search(Fraction(40), Fraction(0), Fraction(100), Fraction(5), (Fraction(1), Fraction(1, 100)),
    ...     Fraction(1, 100))
    >>> solve(lambda rate: 12 * rate + 300, Fraction(780), Fraction(924), whole)
    Fraction(52, 1)
    """
    fine = search.grains[-1]

    def is_there(given: Fraction) -> bool:
        return abs(given - goal) < search.slack

    if is_there(now):
        return search.start
    ends = _bracket(gives, now, goal, search)
    if ends is None:
        return None
    (near, near_gives), (far, far_gives) = ends
    for turn in range(MOST_TRIES):
        if is_there(far_gives) or is_there(near_gives) or abs(far - near) <= fine:
            break
        # Between two known values first as if it went straight; every third time halfway, so that no end stays put.
        share = (goal - near_gives) / (far_gives - near_gives) if turn % 3 < 2 else Fraction(1, 2)
        tried = _within(_rounded(near + share * (far - near), fine), near, far, fine)
        given = gives(tried)
        if (given < goal) == (near_gives < goal):
            near, near_gives = tried, given
        else:
            far, far_gives = tried, given
    found, given = min(((near, near_gives), (far, far_gives)), key=lambda end: abs(end[1] - goal))
    if abs(given - goal) > max(search.slack, FURTHEST_OFF * abs(goal)):
        return None
    for grain in search.grains[:-1]:
        rounder = _rounded(found, grain)
        if search.least <= rounder <= search.most and is_there(gives(rounder)):
            return rounder
    return found


_End = tuple[Fraction, Fraction]


def _bracket(
    gives: Callable[[Fraction], Fraction], now: Fraction, goal: Fraction, search: Search
) -> tuple[_End, _End] | None:
    """Two values, each with what it gives, between which the goal is passed, the nearer to the start first."""
    fine, way = search.grains[-1], 1 if (goal > now) == search.rises else -1
    near: _End = (search.start, now)
    stride = max(search.reach, fine)
    for _ in range(MOST_TRIES):
        tried = min(search.most, max(search.least, _rounded(near[0] + way * stride, fine)))
        if tried == near[0]:
            return None
        far = (tried, gives(tried))
        if far[1] == goal or (far[1] < goal) != (now < goal):
            return near, far
        moved = far[1] - near[1]
        # A little beyond where a straight line would meet the goal; and on by leaps where nothing moves yet.
        along = abs((goal - far[1]) / moved * (far[0] - near[0])) * Fraction(11, 10) if moved else 4 * stride
        near, stride = far, min(max(along, fine), 16 * stride)
    return None


def _rounded(value: Fraction, grain: Fraction) -> Fraction:
    return Fraction(round(value / grain)) * grain


def _within(value: Fraction, one: Fraction, other: Fraction, fine: Fraction) -> Fraction:
    """A value strictly between two that lie further apart than the finest step."""
    low, high = min(one, other), max(one, other)
    if low < value < high:
        return value
    return _rounded((low + high) / 2, fine) if high - low > 2 * fine else low + fine
