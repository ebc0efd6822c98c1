"""Which pieces of one finished thing touch or are said to hold each other, and how far apart two stand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Final

from webapp.costing.catalogue.tags import is_tagged
from webapp.costing.designs.model import Joint
from webapp.costing.space.boxes import Ends
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.joints import FittedHardware
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.placed.solid import Placed, one_piece

#: Hardware that holds or bears a part, by what it is: where it stands nowhere, what it holds is not known.
HOLDING: Final = ("shelf_peg", "bracket", "slide", "hinge")

#: What stands aslant is judged within a hundredth of a millimetre, nm.
_NEAR_NM: Final = 10_000


@dataclass(frozen=True)
class Closeness:
    """The pieces in space, parts first and fitted hardware after them, with the faces that they share.

    Places are those in `placed`. A piece with mitred ends touches whatever its box touches or shares a corner with; one
    that stands aslant what a face of it touches within a hundredth of a millimetre.
    """

    meetings: Meetings
    joints: Sequence[Joint]
    hardware: Sequence[FittedHardware]

    @property
    def placed(self) -> Sequence[Placed]:
        """The pieces."""
        return self.meetings.placed

    @property
    def divisor(self) -> int:
        """So many of the whole numbers in `ends` make a nanometre."""
        return self.meetings.bodies.divisor

    @property
    def ends(self) -> Sequence[Ends]:
        """The lower and upper ends of each piece along x, y and z, exactly, in whole numbers: they compare fast."""
        return self.meetings.bodies.boxes

    @cached_property
    def by_part(self) -> Mapping[str, list[int]]:
        """The places of the pieces of each part and of each piece of hardware."""
        found: dict[str, list[int]] = {}
        for place, piece in enumerate(self.placed):
            found.setdefault(piece.part, []).append(place)
        return found

    @cached_property
    def ends_on(self) -> Mapping[tuple[int, int], Sequence[tuple[int, bool]]]:
        """The axes along which a piece ends on another, and whether with its upper end, by both places."""
        found: dict[tuple[int, int], list[tuple[int, bool]]] = {}
        for place in range(len(self.placed)):
            for met in self.meetings.of(place):
                beside = met.other if met.one == place else met.one
                found.setdefault((place, beside), []).append((met.across, met.one == place))
        return found

    @cached_property
    def touching(self) -> Sequence[frozenset[int]]:
        """For each piece, the places of those that it touches."""
        found: list[set[int]] = [set() for _ in self.placed]
        for place in range(len(self.placed)):
            found[place].update(
                met.other if met.one == place else met.one for met in self.meetings.of(place)
            )
        for place, piece in enumerate(self.placed):
            if piece.slant is None:
                continue
            for other, beside in enumerate(self.placed):
                if other != place and beside.body is None and boxes_touch(piece, beside):
                    found[place].add(other)
                    found[other].add(place)
        return [frozenset(each) for each in found]

    def between(self, joint: Joint) -> Iterator[tuple[int, int]]:
        """The pieces of a joint that touch: of its first part, and of those that this is held to."""
        held = {place for name in joint.held for place in self.by_part.get(name, ())}
        for place in self.by_part.get(joint.source, ()):
            yield from ((place, other) for other in sorted(self.touching[place] & held) if other != place)

    def groups(self, joints: Iterable[Joint], *, apart: bool) -> list[list[int]]:
        """The pieces that hang together by what they touch within these joints; with those held `apart` where asked."""
        links = [*one_piece(self.placed), *(pair for joint in joints for pair in self.between(joint))]
        if apart:
            links += self.held_apart()
        return grouped(len(self.placed), links)

    def held_apart(self) -> list[tuple[int, int]]:
        """The pieces that are held by joints that need not touch: each by the first of what it is held to."""
        links = []
        for joint in self.joints:
            held = [place for name in joint.held for place in self.by_part.get(name, ())]
            if not joint.touches and held:
                links += [(place, held[0]) for place in self.by_part.get(joint.source, ())]
        return links

    def holding_nowhere(self, taking: Taking) -> list[str]:
        """What hardware that holds or bears something is called, where the design does not say where it stands."""
        return [
            one.hardware.says
            for one in self.hardware
            if not one.placed and any(is_tagged(_tags(taking, one), tag) for tag in HOLDING)
        ]


def _tags(taking: Taking, one: FittedHardware) -> tuple[str, ...]:
    material = taking.stock.get(one.hardware.stock)
    return (*taking.design.roles[one.hardware.stock].needs.tags, *(material.tags if material is not None else ()))


def grouped(number: int, links: Iterable[tuple[int, int]]) -> list[list[int]]:
    """The sets of places that are linked, each in order, by their first place."""
    leads = list(range(number))

    def lead(place: int) -> int:
        while leads[place] != place:
            leads[place] = leads[leads[place]]
            place = leads[place]
        return place

    for one, other in links:
        first, second = sorted((lead(one), lead(other)))
        leads[second] = first
    found: dict[int, list[int]] = {}
    for place in range(number):
        found.setdefault(lead(place), []).append(place)
    return list(found.values())


def boxes_touch(piece: Placed, other: Placed) -> bool:
    """Whether two boxes share a face of positive area, or a space."""
    shared = [_shared(piece, other, axis) for axis in range(3)]
    return min(shared) >= 0 and sum(one == 0 for one in shared) <= 1


def gap_between(piece: Placed, other: Placed) -> tuple[Fraction, int] | None:
    """How far two boxes stand apart and along which axis, nm; None where no face of one looks at the other, and where
    one stands aslant: the box around it is more than the piece."""
    if piece.body is not None or other.body is not None:
        return None
    clear = [axis for axis in range(3) if _shared(piece, other, axis) <= 0]
    if len(clear) != 1:
        return None
    return -_shared(piece, other, clear[0]), clear[0]


def stands_at(piece: Placed, level: Fraction) -> bool:
    """Whether a piece reaches down to a level; one that stands aslant within a hundredth of a millimetre."""
    return piece.corner[2] <= level + (_NEAR_NM if piece.body is not None else 0)


def _shared(piece: Placed, other: Placed, axis: int) -> Fraction:
    low = max(piece.corner[axis], other.corner[axis])
    return min(piece.corner[axis] + piece.extent[axis], other.corner[axis] + other.extent[axis]) - low


def said_piece(taking: Taking, piece: Placed | tuple[str, int]) -> str:
    """A piece as sentences name it: what its part is called, and its number."""
    name, number = (piece.part, piece.number) if isinstance(piece, Placed) else piece
    return f"“{taking.design.thing(name).says}” {number}"
