"""The parts as placed in space: whether they overlap, whether joints touch, and what the whole comes to.

Everything is decided on the exact sizes, before any rounding: square parts close exactly, and what stands aslant within
a hundredth of a millimetre. A part's finished size is rounded once to the shop's step, so at the bench each part may
differ by at most half a step from what is checked here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from webapp.costing.space.bodies import ENDS, Body, box_body
from webapp.costing.space.boxes import Ends, that_meet, whole_ends
from webapp.costing.space.contact import Contact, EndMet, contacts_of_bodies, ends_met
from webapp.costing.space.overlaps import overlaps_of_bodies

Corner = tuple[Fraction, Fraction, Fraction]


@dataclass(frozen=True, slots=True)
class Slant:
    """How the ends of a piece slant: how far the lower and the upper cut run along the axis `along`, None if square.

    Runs are in nm; the cuts lean across the axis `across`. Axes are places: x 0, y 1, z 2.
    """

    along: int
    low: Fraction | None
    high: Fraction | None
    across: int


@dataclass(frozen=True, slots=True)
class Placed:
    """One piece of a part in space: the corner nearest the front left at the floor and the extents, nm, exact.

    A piece `of_hardware` is what fitted hardware takes up. A piece with mitred ends is the box to its long points, with
    the `slant` of what its ends leave of that. One that stands aslant is a `body`, in the box around it in whole nm.
    `places` tells in which place of each use around it it stands, the outermost first. What is not convex is several of
    the same number, told apart by `nth` from 0 on, each with its `share` of the piece.
    """

    part: str
    number: int
    corner: Corner
    extent: Corner
    slant: Slant | None = None
    of_hardware: bool = False
    places: tuple[int, ...] = ()
    body: Body | None = None
    nth: int = 0
    share: Fraction = Fraction(1)

    def is_one_with(self, other: Placed) -> bool:
        """Whether two are of one piece."""
        return (self.part, self.number, self.of_hardware) == (other.part, other.number, other.of_hardware)


def one_piece(placed: Sequence[Placed]) -> Iterator[tuple[int, int]]:
    """The places of what is one piece with another, each with that of the first of them."""
    first: dict[tuple[str, int, bool], int] = {}
    for place, piece in enumerate(placed):
        if not piece.nth:
            first[piece.part, piece.number, piece.of_hardware] = place
        else:
            yield first[piece.part, piece.number, piece.of_hardware], place


class Bodies:
    """All pieces as convex ones, made where some of them stand aslant: where these touch and what they stand in."""

    def __init__(self, placed: Sequence[Placed]) -> None:
        self.aslant = tuple(place for place, piece in enumerate(placed) if piece.body is not None)
        self.placed = placed
        self._square = {place for place, piece in enumerate(placed) if piece.body is None}

    @cached_property
    def _whole(self) -> tuple[int, Sequence[Ends]]:
        return whole_ends(self.placed)

    @property
    def divisor(self) -> int:
        """So many of the whole numbers in `boxes` make a nanometre."""
        return self._whole[0]

    @property
    def boxes(self) -> Sequence[Ends]:
        """The ends of the boxes around all pieces in whole numbers, which compare fast."""
        return self._whole[1]

    @cached_property
    def square(self) -> Sequence[Ends]:
        """The boxes of those that stand square."""
        return [box for box in self.boxes if box[6] in self._square]

    @cached_property
    def pieces(self) -> tuple[Body, ...]:
        """Each piece as a convex one, in their order; a piece with mitred ends as the box to its long points."""
        return tuple(
            piece.body or box_body(piece.part, piece.number, piece.extent, piece.corner) for piece in self.placed
        )

    @cached_property
    def contacts(self) -> Sequence[Contact]:
        """Where pieces touch of which one stands aslant."""
        return contacts_of_bodies(self.pieces, self._square) if self.aslant else ()

    @cached_property
    def overlapping(self) -> Sequence[tuple[int, int]]:
        """The pairs of pieces that stand in each other of which one stands aslant."""
        found = overlaps_of_bodies(self.pieces, self._square) if self.aslant else ()
        return tuple((overlap.first, overlap.second) for overlap in found)

    @cached_property
    def ends(self) -> Mapping[int, tuple[EndMet, EndMet]]:
        """What the two ends of each piece that stands aslant touch, and miss."""
        # What is cut to an outline has no ends.
        ended = [place for place in self.aslant if any(face.name in ENDS for face in self.pieces[place].faces)]
        return ends_met(ended, self.pieces, self.contacts) if ended else {}


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two kinds of part that stand in each other: the first such pieces, and how many pairs there are."""

    first: tuple[str, int]
    second: tuple[str, int]
    pairs: int


class Solid:
    """The pieces of one finished thing, with their ends in whole numbers of a common fraction of a nanometre."""

    def __init__(self, placed: Sequence[Placed], bodies: Bodies | None = None) -> None:
        self.placed = placed
        self.bodies = bodies or Bodies(placed)
        self._touching = {(one.first, one.second) for one in self.bodies.contacts}
        self._divisor, self._ends = self.bodies.divisor, self.bodies.boxes
        self._by_part: dict[str, list[Ends]] = {}
        for ends in self._ends:
            self._by_part.setdefault(placed[ends[6]].part, []).append(ends)

    def find_overlaps(self) -> list[Overlap]:
        """The kinds of part that share a space of positive volume, each pair of kinds once. Touching is no overlap.

        Nor is it where two mitres meet: their boxes overlap, but the pieces share that corner along the cut.
        """
        placed = self.placed
        pairs: Counter[tuple[str, str]] = Counter()
        first_seen: dict[tuple[str, str], tuple[int, int]] = {}
        for one, other in (*_overlapping(self.bodies.square), *self.bodies.overlapping):
            if placed[one].is_one_with(placed[other]) or mitres_meet(placed[one], placed[other]):
                continue
            low, high = sorted((one, other))
            kinds = (placed[low].part, placed[high].part)
            pairs[kinds] += 1
            first_seen[kinds] = min(first_seen.get(kinds, (low, high)), (low, high))
        return [
            Overlap((placed[low].part, placed[low].number), (placed[high].part, placed[high].number), pairs[kinds])
            for kinds, (low, high) in sorted(first_seen.items(), key=lambda each: each[1])
        ]

    def untouched(self, source: str, into: Sequence[str], *, of_place: bool = False) -> list[tuple[str, int]]:
        """The pieces of `source` that touch no piece of any of `into` on a face of positive area, or mitre to mitre.

        With `of_place` only those in whose place of the uses around them no other piece of `source` does.
        """
        reached = [ends for part in into for ends in self._by_part.get(part, [])]
        touching: dict[int, bool] = {}
        places = {}
        for ends in self._by_part.get(source, []):
            piece = self.placed[ends[6]]
            places[piece.number] = piece.places
            # What one leg of a piece touches, the piece touches.
            touching[piece.number] = touching.get(piece.number, False) or any(
                self._touches(ends, other) for other in reached if not piece.is_one_with(self.placed[other[6]])
            )
        met = {places[number] for number, touches in touching.items() if of_place and touches}
        return [(source, number) for number, touches in touching.items() if not touches and places[number] not in met]

    def _touches(self, one: Ends, other: Ends) -> bool:
        piece, beside = self.placed[one[6]], self.placed[other[6]]
        if piece.body is not None or beside.body is not None:
            return (min(one[6], other[6]), max(one[6], other[6])) in self._touching
        return _touch(one, other) or mitres_meet(piece, beside)

    def overall(self) -> Mapping[str, Fraction]:
        """What the whole comes to along x, y and z, nm, exact; empty where nothing is placed."""
        if not self._ends:
            return {}
        return {
            axis: Fraction(
                max(ends[low + 1] for ends in self._ends) - min(ends[low] for ends in self._ends), self._divisor
            )
            for axis, low in (("x", 0), ("y", 2), ("z", 4))
        }


def mitres_meet(piece: Placed, other: Placed) -> bool:
    """Whether two boxes share just a corner that a mitre of each parts from edge to edge.

    Each piece's cut runs over all that it shares with the other, at its very end. Pieces lie with their longest face
    turned outwards: then what is cut off the one is what the other keeps.
    """
    first, second = piece.slant, other.slant
    if first is None or second is None or (first.along, first.across) != (second.across, second.along):
        return False
    if not all(_shared(piece, other, axis) > 0 for axis in range(3)):
        return False
    return _cut_over(piece, first, other) and _cut_over(other, second, piece)


def _cut_over(piece: Placed, slant: Slant, other: Placed) -> bool:
    """Whether a cut at an end of a piece runs just over what another shares with it.

    A cut's run is in whole nanometres, so a rest below one is none.
    """
    axis = slant.along
    below = other.corner[axis] - piece.corner[axis]
    above = piece.corner[axis] + piece.extent[axis] - other.corner[axis] - other.extent[axis]
    shared = _shared(piece, other, axis)
    return any(
        run is not None and abs(shared - run) < 1 and abs(gap) < 1
        for run, gap in ((slant.low, below), (slant.high, above))
    )


def _shared(piece: Placed, other: Placed, axis: int) -> Fraction:
    low = max(piece.corner[axis], other.corner[axis])
    return min(piece.corner[axis] + piece.extent[axis], other.corner[axis] + other.extent[axis]) - low


def _overlapping(ends: Sequence[Ends]) -> Iterator[tuple[int, int]]:
    """Pairs of places whose boxes overlap."""
    for one, other in that_meet(ends):
        if all(one[axis] < other[axis + 1] and other[axis] < one[axis + 1] for axis in (0, 2, 4)):
            yield one[6], other[6]


def _touch(one: Ends, other: Ends) -> bool:
    """Whether two boxes share a face: they meet on one axis and overlap on the other two."""
    meets = False
    for axis in (0, 2, 4):
        low, high = max(one[axis], other[axis]), min(one[axis + 1], other[axis + 1])
        if low > high or (low == high and meets):
            return False
        meets = meets or low == high
    return meets
