"""Square boxes among each other: where two meet on a face, in whole numbers of a common fraction of a nanometre."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import lcm
from typing import Final, NamedTuple, Protocol, cast

from webapp.costing.space.turns import Vector

#: Lower and upper ends along x, y and z, then the place of the box in the list.
Ends = tuple[int, int, int, int, int, int, int]

#: Above this many digits in common the ends are compared as fractions: slower, but they can't grow without end.
_MOST_BITS: Final = 2000


class Boxed(Protocol):
    """Whatever is a box along the axes: its lower corner and its extents along x, y and z, nm, exact."""

    @property
    def corner(self) -> Vector: ...

    @property
    def extent(self) -> Vector: ...


class BoxContact(NamedTuple):
    """Two boxes that meet on a face, by their places in the list: the upper side of the first along the axis (x 0, y 1,
    z 2) against the lower side of the second.

    `at` is where along the axis, then come the lower and upper ends of what they share along the other two axes, in
    their order; all in whole numbers of which `divisor` make a nanometre.
    """

    first: int
    second: int
    axis: int
    at: int
    low_one: int
    high_one: int
    low_two: int
    high_two: int
    divisor: int

    @property
    def run(self) -> Fraction:
        """The longer side of what they share, nm, exact."""
        return Fraction(max(self.high_one - self.low_one, self.high_two - self.low_two), self.divisor)

    @property
    def width(self) -> Fraction:
        """The shorter side of what they share, nm, exact."""
        return Fraction(min(self.high_one - self.low_one, self.high_two - self.low_two), self.divisor)

    @property
    def area(self) -> Fraction:
        """What they share, nm², exact."""
        return Fraction((self.high_one - self.low_one) * (self.high_two - self.low_two), self.divisor * self.divisor)

    def ends(self, axis: int) -> tuple[Fraction, Fraction]:
        """From where to where what they share reaches along an axis, nm, exact; twice the same where they meet."""
        low, high = self.at, self.at
        if axis != self.axis:
            is_one = axis == (1 if self.axis == 0 else 0)
            low, high = (self.low_one, self.high_one) if is_one else (self.low_two, self.high_two)
        return Fraction(low, self.divisor), Fraction(high, self.divisor)


def contacts_of_boxes(divisor: int, ends: Sequence[Ends]) -> list[BoxContact]:
    """Every pair of boxes that meet on a face of positive area; an edge or a corner is none, nor is an overlap.

    The boxes are told by their `whole_ends`, by whose places the pairs are.
    """
    contacts = (_contact(one, other, divisor) for one, other in that_meet(ends))
    return sorted(contact for contact in contacts if contact is not None)


def _contact(one: Ends, other: Ends, divisor: int) -> BoxContact | None:
    """How two boxes meet that share at least a point: on one axis end to end, on the others over a length."""
    meets, shared = -1, list[int]()
    for axis in (0, 2, 4):
        low, high = max(one[axis], other[axis]), min(one[axis + 1], other[axis + 1])
        if low < high:
            shared += (low, high)
        elif meets >= 0:
            return None
        else:
            meets, at = axis, low
    if meets < 0:
        return None
    lower, upper = (one, other) if one[meets + 1] == other[meets] else (other, one)
    low_one, high_one, low_two, high_two = shared
    return BoxContact(lower[6], upper[6], meets // 2, at, low_one, high_one, low_two, high_two, divisor)


def whole_ends(boxes: Sequence[Boxed]) -> tuple[int, list[Ends]]:
    """The ends of boxes in whole numbers over their common divisor. Where that would grow without sense they stay
    fractions, over 1."""
    divisor = 1
    for each in boxes:
        divisor = lcm(divisor, *(value.denominator for value in (*each.corner, *each.extent)))
        if divisor.bit_length() > _MOST_BITS:
            # Fractions compare as whole numbers do, only slower; no sweep asks which it has.
            return 1, [cast(Ends, _ends(place, *each.corner, *each.extent)) for place, each in enumerate(boxes)]
    ends = []
    for place, each in enumerate(boxes):
        values = (value.numerator * (divisor // value.denominator) for value in (*each.corner, *each.extent))
        ends.append(cast(Ends, _ends(place, *values)))
    return divisor, ends


def that_meet(ends: Sequence[Ends]) -> Iterator[tuple[Ends, Ends]]:
    """Pairs of boxes that share at least a point, by a sweep along the axis on which the boxes crowd least."""
    if not ends:
        return
    along = min((0, 2, 4), key=lambda axis: _crowding(ends, axis))
    across, upward = (axis for axis in (0, 2, 4) if axis != along)
    until, deep, tall = along + 1, across + 1, upward + 1
    waiting: list[Ends] = []
    for box in sorted(ends, key=lambda each: each[along]):
        start, low, high, bottom, top = box[along], box[across], box[deep], box[upward], box[tall]
        waiting = [other for other in waiting if other[until] >= start]
        for other in waiting:
            if other[across] <= high and low <= other[deep] and other[upward] <= top and bottom <= other[tall]:
                yield other, box
        waiting.append(box)


def _ends(place: int, *sizes: Fraction | int) -> tuple[Fraction | int, ...]:
    x, y, z, wide, deep, tall = sizes
    return (x, x + wide, y, y + deep, z, z + tall, place)


def _crowding(ends: Sequence[Ends], axis: int) -> Fraction:
    """How much of an axis the boxes take up together, against what the whole takes up."""
    whole = max(box[axis + 1] for box in ends) - min(box[axis] for box in ends)
    return Fraction(sum(box[axis + 1] - box[axis] for box in ends)) / (whole or 1)
