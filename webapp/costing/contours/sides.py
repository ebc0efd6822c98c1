"""A contour as a round of sides, lines and arcs, each known by its ends and its bulge. All in mm, doubles.

A contour goes round anticlockwise. Where a part fits is decided elsewhere, in whole nanometres; these are for drawings
and templates. What drawing files know by bulges is measured as the same stretches that outlines are laid out by.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import acos, atan, ceil, dist, inf, pi, sin, tan
from typing import Final

from webapp.costing.space import stretches
from webapp.costing.space.stretches import Stretch

Flat = stretches.Flat

#: Places that are nearer are one, mm.
NEAR: Final = 1e-6
#: A bulge of less is none.
STRAIGHT: Final = 1e-12


@dataclass(frozen=True, slots=True)
class Side:
    """A side from its beginning to its end. Its bulge is the tangent of a quarter of the angle that its arc turns by:
    0 for a line, above it where it turns left (DXF Reference, 2015: bulge of a polyline)."""

    begin: Flat
    end: Flat
    bulge: float = 0.0

    @property
    def is_arc(self) -> bool:
        """Whether it is no line."""
        return abs(self.bulge) > STRAIGHT

    @property
    def chord(self) -> float:
        """How far its ends are apart, mm."""
        return dist(self.begin, self.end)

    @property
    def turn(self) -> float:
        """By what angle it turns, radians, to the left above 0."""
        return 4 * atan(self.bulge)

    @property
    def radius(self) -> float:
        """The radius of an arc, mm; infinite of a line."""
        return self.chord * (1 + self.bulge**2) / (4 * abs(self.bulge)) if self.is_arc else inf

    @property
    def middle(self) -> Flat:
        """The middle of the circle that an arc is of."""
        off = (1 - self.bulge**2) / (4 * self.bulge)
        (x, y), (to_x, to_y) = self.begin, self.end
        return (x + to_x) / 2 - (to_y - y) * off, (y + to_y) / 2 + (to_x - x) * off

    @property
    def length(self) -> float:
        """How long it is, mm."""
        return self.radius * abs(self.turn) if self.is_arc else self.chord

    @property
    def back(self) -> Side:
        """The same from its end to its beginning."""
        return Side(self.end, self.begin, -self.bulge)

    @property
    def stretch(self) -> Stretch:
        """The same by the middle that it goes about, and its turn."""
        return Stretch(self.begin, self.end, self.middle if self.is_arc else None, self.turn)

    def at(self, share: float) -> Flat:
        """The place so much of its length on: 0 its beginning, 1 its end."""
        return self.stretch.at(share)

    def heading(self, share: float) -> Flat:
        """Which way it goes there, one long."""
        if not self.is_arc:
            return (self.end[0] - self.begin[0]) / self.chord, (self.end[1] - self.begin[1]) / self.chord
        (x, y), (middle_x, middle_y) = self.at(share), self.middle
        left = 1 if self.bulge > 0 else -1
        return -left * (y - middle_y) / self.radius, left * (x - middle_x) / self.radius

    def places(self, sagitta: float) -> tuple[Flat, ...]:
        """Places along it, its end left out, between which lines stray from it by no more than `sagitta`, mm."""
        if not self.is_arc:
            return (self.begin,)
        step = pi / 4 if self.radius <= sagitta else min(pi / 4, 2 * acos(1 - sagitta / self.radius))
        count = max(1, ceil(abs(self.turn) / step))
        return tuple(self.at(nth / count) for nth in range(count))

    def distance(self, at: Flat) -> float:
        """How far a place is from it, mm."""
        return stretches.far_from((self.stretch,), at)


Contour = tuple[Side, ...]


def contour_of(corners: Sequence[Flat], bulges: Sequence[float] = ()) -> Contour:
    """The contour through these corners, anticlockwise whichever way they go; each side that leaves a corner bulges as
    is said. Corners where the one before is are left out."""
    said = tuple(bulges) or (0.0,) * len(corners)
    sides = tuple(
        Side(begin, end, bulge)
        for begin, end, bulge in zip(corners, (*corners[1:], corners[0]), said, strict=True)
        if dist(begin, end) > NEAR
    )
    return sides if area_of(sides) >= 0 else tuple(side.back for side in reversed(sides))


def rectangle(left: float, low: float, wide: float, tall: float, corner: float = 0.0) -> Contour:
    """A rectangle by its lower left corner, with round corners where a radius is given; a circle where it is half its
    sides."""
    right, high, r = left + wide, low + tall, corner
    if r < NEAR:
        return contour_of([(left, low), (right, low), (right, high), (left, high)])
    quarter = tan(pi / 8)
    places = [
        (left + r, low), (right - r, low), (right, low + r), (right, high - r),
        (right - r, high), (left + r, high), (left, high - r), (left, low + r),
    ]  # fmt: skip
    return contour_of(places, [0.0, quarter] * 4)


def circle(middle: Flat, diameter: float) -> Contour:
    """A circle as two halves."""
    x, y, r = *middle, diameter / 2
    return Side((x - r, y), (x + r, y), 1.0), Side((x + r, y), (x - r, y), 1.0)


def carried(contour: Contour, to: Callable[[Flat], Flat]) -> Contour:
    """A contour moved, turned or turned over by what `to` makes of each of its places, anticlockwise again."""
    (x, y), (right_x, right_y), (up_x, up_y) = to((0.0, 0.0)), to((1.0, 0.0)), to((0.0, 1.0))
    over = (right_x - x) * (up_y - y) < (right_y - y) * (up_x - x)
    sides = [Side(to(side.begin), to(side.end), -side.bulge if over else side.bulge) for side in contour]
    return tuple(side.back for side in reversed(sides)) if over else tuple(sides)


def area_of(contour: Contour) -> float:
    """What lies within, mm2; below nothing where it goes round clockwise.

    >>> round(area_of(rectangle(0, 0, 40, 20, 5)), 6)
    778.539816
    """
    doubled = 0.0
    for side in contour:
        (x, y), (to_x, to_y) = side.begin, side.end
        doubled += x * to_y - y * to_x
        if side.is_arc:
            doubled += side.radius**2 * (side.turn - sin(side.turn))
    return doubled / 2


def length_of(contour: Contour) -> float:
    """How long it is round it, mm."""
    return sum(side.length for side in contour)


def box_of(contour: Sequence[Side]) -> tuple[float, float, float, float]:
    """Left, low, right and high of the box about it, mm."""
    (left, low), (right, high) = stretches.box_of([side.stretch for side in contour])
    return left, low, right, high
