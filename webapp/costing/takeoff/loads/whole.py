"""The whole as it stands on the floor: its pieces with their weights, what is held together, and what is planned on it.

Nothing here decides a fit: ends are whole nanometres and weights whole grams, so that statics stays exact and quick.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.tags import is_tagged
from webapp.costing.designs.model import Hardware, Joint, Lies
from webapp.costing.measures.money import exact_sum
from webapp.costing.measures.written import format_quantity
from webapp.costing.space.bodies import Body, centre_of_body
from webapp.costing.takeoff.checks.planned import planned_loads
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.joints import FittedHardware
from webapp.costing.takeoff.meetings import Meeting, Meetings
from webapp.costing.takeoff.model import Check
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.takeoff.placed.solid import Placed, one_piece

Ends = tuple[int, int, int]

#: Words by which hardware that a design doesn't say it of is known to hold the whole to a wall.
_WALL_WORDS: Final = ("wall", "stud")

#: What stands aslant is judged within a hundredth of a millimetre, nm.
NEAR: Final = 10_000


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of a part or of hardware in space: its ends in whole nm, and its weight in grams where that is known.

    One that stands aslant is a `body` beside, in the box between these ends.
    """

    name: str
    number: int
    says: str
    low: Ends
    high: Ends
    grams: int | None
    body: Body | None = None

    @property
    def middle(self) -> tuple[Fraction, Fraction, Fraction]:
        """Where its weight acts, nm; of what stands aslant, to a whole nm."""
        if self.body is not None:
            return centre_of_body(self.body)
        x, y, z = (Fraction(low + high, 2) for low, high in zip(self.low, self.high, strict=True))
        return x, y, z

    def stands_at(self, floor: int) -> bool:
        """Whether it reaches down to the floor; what stands aslant within a hundredth of a millimetre."""
        return self.low[2] <= floor + (NEAR if self.body is not None else 0)

    def feet(self, floor: int) -> list[tuple[Fraction, Fraction]]:
        """Where it stands on the floor, by the corners of what touches that, to a whole nm."""
        if not self.stands_at(floor):
            return []
        if self.body is None:
            ends = [(self.low[axis], self.high[axis]) for axis in (0, 1)]
            return [(Fraction(x), Fraction(y)) for x in ends[0] for y in ends[1]]
        return [(Fraction(round(x)), Fraction(round(y))) for x, y, z in self.body.corners if z <= floor + NEAR]

    @property
    def called(self) -> str:
        """The piece in sentences."""
        return f"“{self.says}” {self.number}"


@dataclass(frozen=True, slots=True)
class Planned:
    """What is planned on one piece, grams; `lasting` is the share that stays."""

    piece: Piece
    grams: int
    lies: Lies
    lasting: Fraction


class Whole:
    """One finished thing as it stands."""

    def __init__(
        self,
        taking: Taking,
        parts: Sequence[MadePart],
        hardware: Sequence[FittedHardware],
        joints: Sequence[Joint],
        meetings: Meetings,
    ) -> None:
        self.taking, self.parts, self.hardware, self.joints, self.meetings = taking, parts, hardware, joints, meetings
        self.made: Mapping[str, MadePart] = {one.part.name: one for one in parts}
        self.fitted = {
            one.hardware.name: [_piece(placed, one.hardware.says, _grams_of_one(one)) for placed in one.placed]
            for one in hardware
        }
        #: The parts, and the standing hardware that joints hold them to.
        self.pieces = [
            self.fitted[placed.part][placed.number - 1]
            if placed.of_hardware
            else _piece(placed, self.made[placed.part].part.says, _grams(self.made[placed.part], placed))
            for placed in meetings.placed
        ]
        #: What has a weight and stands nobody knows where, grams.
        self.adrift = sum(
            int(one.taken.mass.value * 1000) for one in hardware if one.taken.mass is not None and not one.placed
        )
        self.unweighed = list(dict.fromkeys(one.part.says for one in parts if one.taken.mass is None))
        self.joined = {frozenset((joint.source, held)) for joint in joints if joint.touches for held in joint.held}
        self.bodies = self._bodies()
        self.planned = self._planned()

    # ---- hardware ---------------------------------------------------------------------------------------------------

    def tags(self, hardware: Hardware) -> tuple[str, ...]:
        """What a piece of hardware is: what its material is tagged, and what its place asks for."""
        material = self.taking.stock.get(hardware.stock)
        asked = self.taking.design.roles[hardware.stock].needs.tags
        return (*asked, *(material.tags if material is not None else ()))

    def tagged(self, tag: str) -> list[FittedHardware]:
        """The hardware that is of a tag."""
        return [one for one in self.hardware if is_tagged(self.tags(one.hardware), tag)]

    def stands_on(self) -> list[FittedHardware]:
        """The castors and feet that it stands on."""
        return [*self.tagged("castor"), *self.tagged("foot")]

    def feet_under(self, place: int) -> list[Piece]:
        """The castors and feet that stand under a piece and that no joint holds to it."""
        piece = self.pieces[place]
        return [
            foot for foot in self._loose_feet
            if foot.high[2] == piece.low[2]
            and all(foot.low[axis] < piece.high[axis] and piece.low[axis] < foot.high[axis] for axis in (0, 1))
        ]  # fmt: skip

    @cached_property
    def _loose_feet(self) -> list[Piece]:
        names = {one.hardware.name for one in self.stands_on()}
        return [piece for piece in self.loose if piece.name in names]

    @cached_property
    def loose(self) -> list[Piece]:
        """The hardware that no joint holds."""
        held = {piece.name for piece in self.pieces}
        return [piece for name, pieces in self.fitted.items() if name not in held for piece in pieces]

    def held_by_wall(self) -> list[FittedHardware]:
        """What holds it to a wall: as the design says it, or by the words of its hardware."""
        return [
            one
            for one in self.hardware
            if one.hardware.to_wall or any(word in one.hardware.says.casefold() for word in _WALL_WORDS)
        ]

    # ---- weights ----------------------------------------------------------------------------------------------------

    def weight_of(self, bodies: Iterable[int]) -> int:
        """What bodies weigh by themselves, grams, as far as it is known."""
        wanted = set(bodies)
        return sum(piece.grams or 0 for piece, body in zip(self.pieces, self.bodies, strict=True) if body in wanted)

    def planned_on(self, bodies: Iterable[int]) -> int:
        """What is planned on the pieces of bodies, grams."""
        wanted = set(bodies)
        by_piece = {id(piece): body for piece, body in zip(self.pieces, self.bodies, strict=True)}
        return sum(one.grams for one in self.planned if by_piece[id(one.piece)] in wanted)

    @cached_property
    def all_weights(self) -> list[tuple[int, tuple[Fraction, Fraction, Fraction]]]:
        """Each weight with where it acts; what is adrift acts in the middle of all others."""
        return [(piece.grams, piece.middle) for piece in (*self.pieces, *self.loose) if piece.grams]

    def own_weight(self) -> int:
        """What it weighs with nothing on it, grams."""
        return sum(grams for grams, _ in self.all_weights) + self.adrift

    def centre(self) -> tuple[Fraction, Fraction, Fraction] | None:
        """Where its own weight acts; None where nothing of it has a weight."""
        return centre_of(self.all_weights)

    # ---- what is held together --------------------------------------------------------------------------------------

    def _bodies(self) -> list[int]:
        """By piece, the number of the body that it belongs to: all that joints hold to it, straight or by others."""
        root = list(range(len(self.pieces)))

        def find(one: int) -> int:
            while root[one] != one:
                root[one] = root[root[one]]
                one = root[one]
            return one

        for one, other in self._held_pairs():
            root[find(one)] = find(other)
        return [find(one) for one in range(len(self.pieces))]

    def _held_pairs(self) -> Iterator[tuple[int, int]]:
        placed = self.meetings.placed
        yield from one_piece(placed)
        slanted = {place for place, piece in enumerate(placed) if piece.slant is not None}
        for pair in self.joined:
            source, into = (*pair, *pair)[:2]
            for met in self.meetings.between(source, into):
                yield met.one, met.other
            for place in slanted:
                # The box of a mitred piece is more than the piece; what touches it and is joined to it is held.
                yield from (
                    (place, other)
                    for other, piece in enumerate(placed)
                    if other != place
                    and piece.body is None
                    and frozenset((placed[place].part, piece.part)) == pair
                    and _boxes_touch(self.pieces[place], self.pieces[other])
                )

    def rests(self) -> Iterator[tuple[int, int, Meeting]]:
        """What lies on what: the upper piece, the lower one, and where."""
        for place in range(len(self.pieces)):
            for met in self.meetings.of(place):
                if met.across == 2 and met.other == place:
                    yield place, met.one, met

    def hanging_bodies(self) -> dict[int, list[int]]:
        """The bodies that stand on nothing, by number with their pieces: neither on the floor nor on another body."""
        pieces: dict[int, list[int]] = {}
        for place, body in enumerate(self.bodies):
            pieces.setdefault(body, []).append(place)
        floor = self.floor()
        held = {self.bodies[upper] for upper, lower, _ in self.rests() if self.bodies[upper] != self.bodies[lower]}
        held |= {self.bodies[place] for place, piece in enumerate(self.pieces) if piece.stands_at(floor)}
        return {body: found for body, found in pieces.items() if body not in held}

    @staticmethod
    def shared(met: Meeting, axis: int) -> tuple[int, int]:
        """From where to where what two pieces share reaches along an axis, whole nm."""
        low, high = met.ends(axis)
        return int(low), int(high)

    def floor(self) -> int:
        """The level of the lowest pieces, nm: where it stands without what is fitted under it."""
        return min((piece.low[2] for piece in self.pieces), default=0)

    # ---- what is planned --------------------------------------------------------------------------------------------

    def _planned(self) -> list[Planned]:
        """What is planned, by the pieces it stands on."""
        return [
            Planned(piece, round(load.kilograms * 1000), load.lies, load.lasting)
            for load in planned_loads(self.taking)
            for piece, placed in zip(self.pieces, self.meetings.placed, strict=True)
            if piece.name == load.part and load.kilograms and not placed.nth
        ]

    # ---- words ------------------------------------------------------------------------------------------------------

    def kilograms(self, grams: Fraction | int) -> str:
        """A weight as the shop reads it."""
        return format_quantity(Fraction(grams) / 1000, "mass", self.taking.system, 1)

    def note(self, check: Check) -> None:
        """Keep a check."""
        self.taking.checks.append(check)


def centre_of(
    weights: Sequence[tuple[int, tuple[Fraction, Fraction, Fraction]]],
) -> tuple[Fraction, Fraction, Fraction] | None:
    """Where weights act together, nm; None where there are none."""
    grams = [grams for grams, _ in weights]
    if not sum(grams):
        return None
    x, y, z = (exact_sum([at[axis] for _, at in weights], grams) / sum(grams) for axis in range(3))
    return x, y, z


def _piece(placed: Placed, says: str, grams: int | None) -> Piece:
    low = (int(placed.corner[0]), int(placed.corner[1]), int(placed.corner[2]))
    high = [round(corner + extent) for corner, extent in zip(placed.corner, placed.extent, strict=True)]
    return Piece(placed.part, placed.number, says, low, (high[0], high[1], high[2]), grams, placed.body)


def _grams(one: MadePart, placed: Placed) -> int | None:
    return None if one.taken.mass is None else round(one.taken.mass.value * placed.share * 1000)


def _grams_of_one(one: FittedHardware) -> int | None:
    if one.taken.mass is None:
        return 0 if one.taken.material else None
    return round(one.taken.mass.value * 1000 / one.taken.count.value)


def _boxes_touch(one: Piece, other: Piece) -> bool:
    return all(one.low[axis] <= other.high[axis] and other.low[axis] <= one.high[axis] for axis in range(3))


def is_screw(taking: Taking, hardware: Hardware) -> bool:
    """Whether hardware is a fastening rather than a piece."""
    return taking.design.roles[hardware.stock].kind is Kind.FASTENER
