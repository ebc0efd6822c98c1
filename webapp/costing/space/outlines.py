"""Flat outlines by points and arcs: rounded corners, bowed sides, area and length, and the convex parts of the whole.

An outline is laid out once in doubles, mm, for its area, its length and whether it crosses itself, and rounded once to
whole nanometres where a piece of that shape stands. Arcs are known by radius; only what is drawn or stands is made of
short straight sides.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import acos, ceil, cos, hypot, pi, sin, tan
from typing import Final

Flat = tuple[float, float]

#: An arc's sides stray from it by no more than this, mm, and turn by no more than this, radians.
SAGITTA: Final = 0.25
MOST_TURN: Final = pi / 12
#: Places that are nearer are one, mm; and doubled areas of triangles below this are none, mm2.
NEAR: Final = 1e-6
_FLAT: Final = 1e-6


class OutlineError(Exception):
    """An outline that can't be made; the sentence goes on after its name: 'crosses itself …'."""


@dataclass(frozen=True, slots=True)
class Corner:
    """A corner of an outline, mm: where it is, by which radius it is rounded (0: not), and how far the side that comes
    to it bows outwards in its middle (below 0: inwards)."""

    at: Flat
    radius: float = 0.0
    bow: float = 0.0


@dataclass(frozen=True, slots=True)
class Laid:
    """An outline laid out: its area in mm2, how long it is round it and each stretch of it, and as a round of places,
    anticlockwise. A stretch is from where to where, and how long; `bulges` has of each the tangent of a quarter of the
    angle that it turns by, to the left above 0, as drawing files know arcs."""

    area: float
    length: float
    ring: tuple[Flat, ...]
    stretches: tuple[tuple[Flat, Flat, float], ...]
    bulges: tuple[float, ...]


def lay_out(corners: Sequence[Corner], say: Callable[[float], str] = "{:.4g} mm".format) -> Laid:
    """An outline from its corners, in either sense; `say` puts a length into words.

    Raises OutlineError where it can't be made.

    >>> square = lay_out([Corner((0, 0)), Corner((4, 0)), Corner((4, 4), radius=1), Corner((0, 4))])
    >>> round(square.area, 6), round(square.length, 6)
    (15.785398, 15.570796)
    """
    if len(corners) < 3:
        raise OutlineError("has fewer than three corners")
    for number, (one, other) in enumerate(zip(corners, (*corners[1:], corners[0]), strict=True), 1):
        if _far(one.at, other.at) < NEAR:
            raise OutlineError(f"has its corner {number} where the next one is")
    turned = doubled_area([corner.at for corner in corners])
    if abs(turned) < _FLAT:
        _check_crossing([corner.at for corner in corners], say)
        raise OutlineError("holds nothing")
    if turned < 0:
        # The side that came to a corner is now the one that leaves it.
        back = list(reversed(corners))
        corners = [
            Corner(one.at, one.radius, before.bow)
            for one, before in zip(back, (back[-1], *back[:-1]), strict=True)
        ]  # fmt: skip
    rounds = [_rounded(corners, place, say) for place in range(len(corners))]
    area, ring, stretches = abs(turned) / 2, list[Flat](), list[tuple[Flat, Flat, float]]()
    bulges = list[float]()
    for place, corner in enumerate(corners):
        before, here = rounds[place - 1], rounds[place]
        side, more, long = _side(before.leaves, here.comes, corner.bow, say)
        area += more - here.cut
        stretches.append((before.leaves, here.comes, long))
        bulges.append(2 * corner.bow / _far(before.leaves, here.comes) if corner.bow else 0.0)
        for at in (*side, here.comes, *here.round, here.leaves):
            if not ring or _far(ring[-1], at) > NEAR:
                ring.append(at)
        if here.long:
            stretches.append((here.comes, here.leaves, here.long))
            bulges.append(here.bulge)
    while len(ring) > 1 and _far(ring[0], ring[-1]) < NEAR:
        ring.pop()
    _check_crossing(ring, say)
    return Laid(area, sum(long for _, _, long in stretches), tuple(ring), tuple(stretches), tuple(bulges))


@dataclass(frozen=True, slots=True)
class _Round:
    """A corner as it is rounded: where the side that comes to it ends, where the next begins, the places between, what
    is cut off it, mm2, how long the arc is and how it bulges."""

    comes: Flat
    leaves: Flat
    round: tuple[Flat, ...] = ()
    cut: float = 0.0
    long: float = 0.0
    bulge: float = 0.0


def _rounded(corners: Sequence[Corner], place: int, say: Callable[[float], str]) -> _Round:
    corner = corners[place]
    before, after = corners[place - 1], corners[(place + 1) % len(corners)]
    if not corner.radius:
        return _Round(corner.at, corner.at)
    if corner.bow or after.bow:
        raise OutlineError(f"rounds its corner {_said(corner.at, say)} by a bowed side; bow a side of its own there")
    come, leave = _way(before.at, corner.at), _way(corner.at, after.at)
    turn = acos(max(-1.0, min(1.0, come[0] * leave[0] + come[1] * leave[1])))
    sense = 1 if come[0] * leave[1] - come[1] * leave[0] > 0 else -1
    if turn < NEAR:
        return _Round(corner.at, corner.at)
    back = corner.radius * tan(turn / 2)
    for other in (before, after):
        own = _far(corner.at, other.at)
        if back > own - NEAR and not (other.radius == 0 and back <= own + NEAR):
            raise OutlineError(
                f"has no room for the radius {say(corner.radius)} at its corner {_said(corner.at, say)}: it takes "
                f"{say(back)} of a side of {say(own)}"
            )
    comes = (corner.at[0] - come[0] * back, corner.at[1] - come[1] * back)
    leaves = (corner.at[0] + leave[0] * back, corner.at[1] + leave[1] * back)
    middle = (comes[0] - sense * come[1] * corner.radius, comes[1] + sense * come[0] * corner.radius)
    cut = sense * corner.radius**2 * (tan(turn / 2) - turn / 2)
    arc = _arc(middle, comes, sense * turn)
    return _Round(comes, leaves, arc, cut, corner.radius * turn, sense * tan(turn / 4))


def _side(
    begin: Flat, end: Flat, bow: float, say: Callable[[float], str]
) -> tuple[tuple[Flat, ...], float, float]:
    """The places between the ends of a side, what its bow adds to the area, and how long it is."""
    chord = _far(begin, end)
    if not bow:
        return (), 0.0, chord
    if abs(bow) > chord / 2 + NEAR:
        raise OutlineError(f"bows a side of {say(chord)} by {say(abs(bow))}; half its length is the most")
    radius = (chord**2 / 4 + bow**2) / (2 * abs(bow))
    turn = 2 * acos(max(-1.0, min(1.0, (radius - abs(bow)) / radius)))
    along = _way(begin, end)
    # Outwards lies to the right of a side that goes round anticlockwise.
    sense = 1 if bow > 0 else -1
    inwards = (-along[1] * sense, along[0] * sense)
    half = ((begin[0] + end[0]) / 2, (begin[1] + end[1]) / 2)
    middle = (half[0] + inwards[0] * (radius - abs(bow)), half[1] + inwards[1] * (radius - abs(bow)))
    segment = radius**2 / 2 * (turn - sin(turn))
    return _arc(middle, begin, sense * turn), sense * segment, radius * turn


def _arc(middle: Flat, begin: Flat, turn: float) -> tuple[Flat, ...]:
    """The places along an arc from one that it begins at, without its ends."""
    radius = _far(middle, begin)
    step = MOST_TURN if radius <= SAGITTA else min(MOST_TURN, 2 * acos(1 - SAGITTA / radius))
    count = max(1, ceil(abs(turn) / step))
    x, y = begin[0] - middle[0], begin[1] - middle[1]
    found = []
    for nth in range(1, count):
        angle = turn * nth / count
        found.append((middle[0] + x * cos(angle) - y * sin(angle), middle[1] + x * sin(angle) + y * cos(angle)))
    return tuple(found)


def _check_crossing(ring: Sequence[Flat], say: Callable[[float], str]) -> None:
    sides = list(zip(ring, (*ring[1:], ring[0]), strict=True))
    for (first, one), (second, other) in combinations(enumerate(sides), 2):
        if second - first in (1, len(sides) - 1):
            shared = one[1] if second - first == 1 else one[0]
            ends = (one[0], other[1]) if second - first == 1 else (one[1], other[0])
            if abs(_cross(shared, *ends)) < _FLAT and _dot(shared, *ends) > 0:
                raise OutlineError(f"turns back on itself at {_said(shared, say)}")
        elif _meet(one, other):
            raise OutlineError(f"crosses itself: its side from {_said(one[0], say)} to {_said(one[1], say)} "
                               f"meets that from {_said(other[0], say)} to {_said(other[1], say)}")  # fmt: skip


def _meet(one: tuple[Flat, Flat], other: tuple[Flat, Flat]) -> bool:
    """Whether two sides share a place."""
    if any(max(a[axis] for a in one) < min(b[axis] for b in other) - NEAR
           or max(b[axis] for b in other) < min(a[axis] for a in one) - NEAR for axis in (0, 1)):  # fmt: skip
        return False
    aside = [_cross(one[0], one[1], end) / _far(*one) for end in other]
    across = [_cross(other[0], other[1], end) / _far(*other) for end in one]
    return min(aside) <= NEAR and max(aside) >= -NEAR and min(across) <= NEAR and max(across) >= -NEAR


def convex_parts(ring: Sequence[Flat]) -> list[list[int]]:
    """The convex parts of an outline that goes round anticlockwise, each a round of its places: ears are cut off, and
    joined again as long as what they make is convex."""
    left, triangles = list(range(len(ring))), list[list[int]]()
    if all(_cross(ring[at - 2], ring[at - 1], ring[at]) > -_FLAT for at in left):
        return [left]
    while len(left) > 3:
        ear = next((at for at in range(len(left)) if _is_ear(ring, left, at)), None)
        if ear is None:
            # What is left turns nowhere by more than noise.
            break
        triangles.append([left[ear - 1], left[ear], left[(ear + 1) % len(left)]])
        del left[ear]
    triangles.append(left)
    return _joined(ring, triangles)


def _is_ear(ring: Sequence[Flat], left: Sequence[int], at: int) -> bool:
    before, here, after = (left[at - 1], left[at], left[(at + 1) % len(left)])
    corner = (ring[before], ring[here], ring[after])
    if _cross(*corner) <= _FLAT:
        return False
    return not any(
        all(_cross(corner[side], corner[(side + 1) % 3], ring[other]) > -_FLAT for side in range(3))
        for other in left if other not in (before, here, after)
    )  # fmt: skip


def _joined(ring: Sequence[Flat], parts: list[list[int]]) -> list[list[int]]:
    joined = True
    while joined:
        joined = False
        for one, other in combinations(range(len(parts)), 2):
            both = _as_one(ring, parts[one], parts[other])
            if both is not None:
                parts[one] = both
                del parts[other]
                joined = True
                break
    return parts


def _as_one(ring: Sequence[Flat], one: Sequence[int], other: Sequence[int]) -> list[int] | None:
    """Two rounds that share a side as one, where that is convex."""
    for place, begin in enumerate(one):
        end = one[(place + 1) % len(one)]
        if end not in other or other[(other.index(end) + 1) % len(other)] != begin:
            continue
        start = other.index(begin)
        beyond = [other[(start + step) % len(other)] for step in range(1, len(other) - 1)]
        both = [*one[: place + 1], *beyond, *one[place + 1 :]]
        if all(_cross(ring[both[at - 2]], ring[both[at - 1]], ring[both[at]]) > -_FLAT for at in range(len(both))):
            return both
    return None


def is_within(ring: Sequence[Flat], at: Flat) -> bool:
    """Whether a place lies in an outline."""
    within = False
    for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if (ay > at[1]) != (by > at[1]) and at[0] < ax + (at[1] - ay) / (by - ay) * (bx - ax):
            within = not within
    return within


def distance_to(ring: Sequence[Flat], at: Flat) -> float:
    """How far a place is from the nearest side of an outline, mm."""
    return min(_from_side(at, *side) for side in zip(ring, (*ring[1:], ring[0]), strict=True))


def _from_side(at: Flat, begin: Flat, end: Flat) -> float:
    share = _dot(begin, end, at) / _far(begin, end) ** 2
    share = max(0.0, min(1.0, share))
    return _far(at, (begin[0] + share * (end[0] - begin[0]), begin[1] + share * (end[1] - begin[1])))


def _said(at: Flat, say: Callable[[float], str]) -> str:
    return f"{say(at[0])} along and {say(at[1])} across"


def _far(one: Flat, other: Flat) -> float:
    return hypot(other[0] - one[0], other[1] - one[1])


def _way(one: Flat, other: Flat) -> Flat:
    far = _far(one, other)
    return (other[0] - one[0]) / far, (other[1] - one[1]) / far


def _cross(one: Flat, other: Flat, third: Flat) -> float:
    return (other[0] - one[0]) * (third[1] - one[1]) - (other[1] - one[1]) * (third[0] - one[0])


def _dot(one: Flat, other: Flat, third: Flat) -> float:
    return (other[0] - one[0]) * (third[0] - one[0]) + (other[1] - one[1]) * (third[1] - one[1])


def doubled_area(ring: Sequence[Flat]) -> float:
    """Twice the area of a round of places, mm2; below nothing where it goes clockwise."""
    return sum(ax * by - ay * bx for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True))
