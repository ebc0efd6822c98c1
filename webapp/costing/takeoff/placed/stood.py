"""The pieces of one part as they stand: corners and sizes, and the convex ones of what leans."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.designs.model import Axis, Hardware, Part, Use
from webapp.costing.designs.stations import Pattern
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.written import round_to_step
from webapp.costing.space.bodies import Body, lower_corner, mirrored_body, moved, upper_corner
from webapp.costing.space.turns import Vector, add, take_away

Corner = tuple[Fraction, Fraction, Fraction]
#: From where to where a piece goes along an axis; twice the same where it stands square.
Run = tuple[Fraction, Fraction]

#: What stands: a kind of part, or a use of another design.
Thing = Part | Use | Hardware

AXES: Final[tuple[Axis, ...]] = ("x", "y", "z")
#: Parts that stand on parts that stand on parts: so many at most.
_LONGEST_CHAIN: Final = 60


@dataclass(frozen=True, slots=True)
class Sizes:
    """The exact sizes of one piece; None where nothing states one."""

    length: Figure
    width: Figure | None
    thickness: Figure | None


@dataclass(frozen=True, slots=True)
class Stood:
    """The pieces of a part in space: the corner of each, nearest the front left at the floor, and what all measure.

    `places` tells for each in which place of each use around it it stands, the outermost first. Pieces that stand
    aslant are `bodies` beside; their corners are those of the boxes around them, the extents the first one's.
    """

    corners: tuple[Corner, ...]
    extent: Corner
    places: tuple[tuple[int, ...], ...] = ()
    bodies: tuple[Body, ...] = ()

    def reaches(self, axis: int) -> list[tuple[Fraction, Fraction]]:
        """From where to where each piece reaches along an axis; in whole nanometres where it stands aslant."""
        if self.bodies:
            return [(low[axis], high[axis]) for low, high in map(box_around, self.bodies)]
        return [(corner[axis], corner[axis] + self.extent[axis]) for corner in self.corners]

    @property
    def places_of_all(self) -> tuple[tuple[int, ...], ...]:
        """The places of each piece; none of any where no use is around them."""
        return self.places or ((),) * len(self.corners)

    def ends(self, axis: int) -> tuple[Fraction, Fraction]:
        """From where to where the pieces reach along an axis."""
        lows, highs = zip(*self.reaches(axis), strict=True)
        return min(lows), max(highs)


def stood_aslant(bodies: Sequence[Body], section: Corner, places: tuple[tuple[int, ...], ...] = ()) -> Stood:
    """Pieces that stand aslant; where there is none, only their section is known."""
    boxes = [box_around(body) for body in bodies]
    around = take_away(boxes[0][1], boxes[0][0]) if boxes else section
    return Stood(tuple(low for low, _ in boxes), around, places, tuple(bodies))


def in_each(boxes: Stood, within: Stood, mirrored: Sequence[bool]) -> Stood:
    """What stands in a use, in each of its boxes: by its corner, or along some axes as far from the other end."""
    places = tuple((place, *inner) for place in range(len(boxes.corners)) for inner in within.places_of_all)
    if within.bodies:
        kept = [mirrored_body(body, mirrored) for body in within.bodies]
        # Mirrored about its corner a piece stands before that: it is brought back by the size of the use.
        x, y, z = (whole * other_way for whole, other_way in zip(boxes.extent, mirrored, strict=True))
        bodies = [moved(body, add(box, (x, y, z))) for box in boxes.corners for body in kept]
        return stood_aslant(bodies, within.extent, places)

    def placed(box: Corner, own: Corner) -> Corner:
        x, y, z = (
            box[axis] + (boxes.extent[axis] - within.extent[axis] - own[axis] if mirrored[axis] else own[axis])
            for axis in range(3)
        )
        return x, y, z

    return Stood(tuple(placed(box, own) for box in boxes.corners for own in within.corners), within.extent, places)


def evenly(pattern: Pattern, first: Fraction, last: Fraction, extent: Fraction, count: int) -> Iterator[Fraction]:
    """The lower ends of so many pieces from end to end, with equal gaps, in equal shares, or at the pitch `last`."""
    step = {
        "ends": (last - extent - first) / (count - 1) if count > 1 else Fraction(0),
        "gaps": (last - first - count * extent) / (count + 1) + extent,
        "shares": (last - first) / max(count, 1),
        "pitch": last,
    }[pattern]
    begin = first + {"gaps": step - extent, "shares": (step - extent) / 2}.get(pattern, Fraction(0))
    yield from (begin + place * step for place in range(count))


def box_around(body: Body) -> tuple[Vector, Vector]:
    """The lower and the upper corner of the box that holds a piece, in whole nanometres."""
    return rounded(lower_corner(body)), rounded(upper_corner(body))


def rounded(place: Vector) -> Vector:
    """A place in whole nanometres."""
    x, y, z = (Fraction(round_to_step(each, 1)) for each in place)
    return x, y, z


class Asking:
    """While one part asks for another; who asks for itself in the end, or through too many, is refused."""

    def __init__(self, waiting: list[str], part: Thing, key: str) -> None:
        self._waiting, self._part, self._key = waiting, part, key

    def __enter__(self) -> None:
        if self._key in self._waiting:
            round_ = " needs ".join([*self._waiting[self._waiting.index(self._key) :], self._key])
            raise FormulaError(self._key, f"The place of “{self._part.says}” goes round in a circle: {round_}.")
        if len(self._waiting) >= _LONGEST_CHAIN:
            raise FormulaError(self._key, f"“{self._part.says}” stands by more than {_LONGEST_CHAIN} others in a row.")
        self._waiting.append(self._key)

    def __exit__(self, *_: object) -> Literal[False]:
        self._waiting.pop()
        return False


def lie(part: Part, length: Fraction, width: Fraction, thickness: Fraction) -> Corner:
    """The extents along x, y and z of a piece as it lies."""
    third = next(axis for axis in AXES if axis not in (part.length_axis, part.width_axis))
    along = {part.length_axis: length, part.width_axis: width, third: thickness}
    return along["x"], along["y"], along["z"]

