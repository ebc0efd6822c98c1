"""What is in whose way along each axis: settled pair by pair, once, for all orders in which pieces may go together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import inf
from typing import Final, NamedTuple

from webapp.costing.space.bodies import Body, box_body, lower_corner, upper_corner
from webapp.costing.space.boxes import Boxed, Ends, whole_ends
from webapp.costing.space.overlaps import passing
from webapp.costing.space.shapes import NEAR, Point, Shape, apart, shape_of
from webapp.costing.space.turns import Vector, take_away

#: A way along an axis: 0 to the right, 1 to the left, 2 to the back, 3 to the front, 4 upwards, 5 downwards.
Way = int
WAYS: Final[tuple[Point, ...]] = (
    (1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0), (0.0, 0.0, -1.0),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class LetIn:
    """A piece that is let into another, as a shelf into its housing: the two stand in each other as boxes, and part by
    the piece leaving in one of these ways."""

    piece: int
    into: int
    leaves: tuple[Way, ...]


class _Box(NamedTuple):
    corner: Vector
    extent: Vector


class Blocking:
    """Which piece runs into which along each axis: square boxes exactly, others within 0.01 mm."""

    def __init__(self, pieces: Sequence[Body | Boxed], let_in: Sequence[LetIn] = ()) -> None:
        self.pieces = pieces
        self._shapes: dict[int, Shape] = {}
        self._asked: dict[tuple[int, int, Point], bool] = {}
        self.tilted = [place for place, piece in enumerate(pieces) if isinstance(piece, Body) and not piece.square]
        self._apart = {(each.piece, each.into): frozenset(each.leaves) for each in let_in}
        self._apart |= {(each.into, each.piece): frozenset(opposite(way) for way in each.leaves) for each in let_in}
        self.floors, self.pairs = self._all_pairs()

    def shape(self, place: int) -> Shape:
        """A piece in doubles, made when it is first asked for."""
        known = self._shapes.get(place)
        if known is None:
            piece = self.pieces[place]
            if not isinstance(piece, Body):
                piece = box_body("", place, piece.extent, piece.corner)
            known = self._shapes[place] = shape_of(piece)
        return known

    def is_blocked(self, place: int, other: int, direction: Point) -> bool:
        """Whether a piece that leaves along any direction runs into another; remembered, for many orders ask it."""
        if (place, other) in self._apart:
            return direction not in {WAYS[way] for way in self._apart[place, other]}
        asked = (place, other, direction)
        if asked not in self._asked:
            mine, theirs = self.shape(place), self.shape(other)
            met = passing(mine, theirs, direction) if _boxes_pass(mine, theirs, direction) else None
            self._asked[asked] = met is not None and met.leaves > NEAR
        return self._asked[asked]

    def is_by(self, place: int, other: int) -> bool:
        """Whether the boxes around two pieces touch."""
        return not apart(self.shape(place), self.shape(other), NEAR)

    def _all_pairs(self) -> tuple[dict[int, float], list[list[tuple[int, int]]]]:
        """How high each piece begins, and for each axis who going up along it runs into whom."""
        aside = set(self.tilted)
        upright = [place for place in range(len(self.pieces)) if place not in aside]
        boxes = [_box_of(self.pieces[place]) for place in upright]
        divisor, ends = whole_ends(boxes)
        floors = {upright[box[6]]: float(box[4]) / divisor for box in ends}
        floors |= {place: self.shape(place).low[2] * 1e6 for place in self.tilted}
        pairs = []
        for axis in range(3):
            found = [(upright[one], upright[other]) for one, other in _ahead(ends, axis)]
            found += self._tilted_ahead(axis)
            pairs.append([pair for pair in found if pair not in self._apart] + self._let_in_ahead(axis))
        return floors, pairs

    def _tilted_ahead(self, axis: int) -> Iterator[tuple[int, int]]:
        seen = set[int]()
        across, upward = (other for other in range(3) if other != axis)
        for place in self.tilted:
            seen.add(place)
            mine = self.shape(place)
            for other in range(len(self.pieces)):
                if other in seen:
                    continue
                theirs = self.shape(other)
                if any(
                    mine.high[side] <= theirs.low[side] + NEAR or theirs.high[side] <= mine.low[side] + NEAR
                    for side in (across, upward)
                ):
                    continue
                met = passing(mine, theirs, WAYS[2 * axis])
                if met is not None and met.leaves > NEAR:
                    yield place, other
                if met is not None and met.enters < -NEAR:
                    yield other, place

    def _let_in_ahead(self, axis: int) -> list[tuple[int, int]]:
        # Each pair stands there both ways round, so that only who goes up has to be asked.
        return [pair for pair, leaves in self._apart.items() if 2 * axis not in leaves]


def opposite(way: Way) -> Way:
    """The other way along the same axis."""
    return way ^ 1


def _boxes_pass(mover: Shape, other: Shape, direction: Point) -> bool:
    """Whether even the boxes around two pieces meet if the one leaves: most do not, and that is told at once."""
    enters, leaves = 0.0, inf
    for axis in range(3):
        ahead, behind = other.low[axis] - mover.high[axis], other.high[axis] - mover.low[axis]
        speed = direction[axis]
        if not speed:
            if ahead >= 0 or behind <= 0:
                return False
            continue
        begins, ends = (ahead / speed, behind / speed) if speed > 0 else (behind / speed, ahead / speed)
        enters, leaves = max(enters, begins), min(leaves, ends)
    return enters < leaves


def _box_of(piece: Body | Boxed) -> Boxed:
    if not isinstance(piece, Body):
        return piece
    corner = lower_corner(piece)
    return _Box(corner, take_away(upper_corner(piece), corner))


def _ahead(ends: list[Ends], axis: int) -> Iterator[tuple[int, int]]:
    """Boxes that meet somewhere along an axis if one goes up it: who goes, and whom it runs into."""
    low, high = 2 * axis, 2 * axis + 1
    across, upward = (2 * other for other in range(3) if other != axis)
    until, bottom, top = across + 1, upward, upward + 1
    waiting = list[Ends]()
    for box in sorted(ends, key=lambda each: each[across]):
        start, box_low, box_high, box_bottom, box_top = box[across], box[low], box[high], box[bottom], box[top]
        waiting = [other for other in waiting if other[until] > start]
        for other in waiting:
            if other[bottom] < box_top and box_bottom < other[top]:
                if other[low] < box_high:
                    yield other[6], box[6]
                if box_low < other[high]:
                    yield box[6], other[6]
        waiting.append(box)
