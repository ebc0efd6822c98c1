"""A folded part: its folds, what of it lies where when it is flat, and how it stands. nm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from webapp.costing.designs.made import Folds
from webapp.costing.designs.model import FACES, Face, Part
from webapp.costing.ledger.working import Figure
from webapp.costing.takeoff.placed.legs import Bend, Leg, square_box, stand
from webapp.costing.takeoff.placed.solid import Placed
from webapp.costing.takeoff.placed.stood import AXES
from webapp.costing.trade.folding import SQUARE


@dataclass(frozen=True, slots=True)
class Folded:
    """One fold: by which entry, along which edge of the flat, its leg outside, whether it runs along the part's length,
    how long it is, how far it is bent, what it takes off the flat, how far it is cut back in all from the ends of the
    edge, and the fold on whose leg it is."""

    entry: Folds
    edge: Face
    leg: Figure
    is_along: bool
    run: Figure
    degrees: Figure
    deduction: Figure
    back: Fraction
    on: Folded | None = None

    @property
    def root(self) -> Folds:
        """The entry that folds the flat itself."""
        return self.entry if self.on is None else self.on.root

    @property
    def stands_square(self) -> bool:
        """Whether its leg stands square to the flat, and so does all that it is folded on."""
        return self.degrees.value == SQUARE and (self.on is None or self.on.stands_square)


@dataclass(frozen=True, slots=True)
class FoldedPart:
    """The folds of a part, what is folded on another after that; its thickness and inside radius.

    `own` says that the shop has a test strip of the sheet; `radius` is None where nobody states it, `inside` the one
    that is reckoned with. `added` is what the folds add to the flat between them, by the side that it lies along, and
    `area` the nm2 of it all laid flat.
    """

    part: Part
    folds: tuple[Folded, ...]
    thickness: Figure
    radius: Figure | None
    inside: Figure
    own: bool
    added: Mapping[str, Figure]
    area: Figure

    def beyond(self, fold: Folded) -> Folded | None:
        """What is folded on the leg of a fold."""
        return next((one for one in self.folds if one.on is fold), None)

    def laid_beyond(self, fold: Folded) -> Fraction:
        """What of the flat lies beyond the leg of a fold: the legs that are folded on it, nm."""
        further = self.beyond(fold)
        if further is None:
            return Fraction(0)
        return further.leg.value - further.deduction.value + self.laid_beyond(further)


def legs_of(folded: FoldedPart, base: Placed) -> tuple[Placed, ...]:
    """The flat of one piece and its legs as they stand: several of the same number."""
    return stand_legs(folded, base)[0]


def stand_legs(
    folded: FoldedPart, base: Placed, square: bool = False
) -> tuple[tuple[Placed, ...], tuple[Leg, ...]]:
    """The same, with the legs by place of their folds; as if every fold were `square`, where that is asked."""
    thin = next(place for place, axis in enumerate(AXES) if axis not in (folded.part.length_axis,
                                                                         folded.part.width_axis))  # fmt: skip
    places = {id(one): place for place, one in enumerate(folded.folds)}
    bends = []
    for one in folded.folds:
        axis, end = FACES[one.edge]
        across = AXES.index(axis)
        low, high = one.back, base.extent[3 - across - thin] - one.back
        if not one.is_along:
            for edge in {other.edge for other in folded.folds
                         if other.is_along and other.root.way == one.root.way}:  # fmt: skip
                low += 0 if FACES[edge][1] else base.extent[thin]
                high -= base.extent[thin] if FACES[edge][1] else 0
        bends.append(Bend(
            across, end, FACES[one.root.way][1], one.leg.value, SQUARE if square else one.degrees.value,
            base.extent[thin] + folded.inside.value, (low, high),
            None if one.on is None else places[id(one.on)], one.entry.inwards,
        ))  # fmt: skip
    return stand(base, thin, bends)


@dataclass(frozen=True, slots=True)
class LegThere:
    """The leg of one fold of one piece: the box of the flat, the leg as it stands, and as if every fold were square
    with the box that it would be then."""

    fold: Folded
    base: Placed
    stood: Leg
    square: Leg
    box: Placed

    @property
    def run_axis(self) -> int:
        """Along which axis the fold runs."""
        return self.square.frame.axes[2]

    @property
    def up_axis(self) -> int:
        """Along which axis the leg would go if every fold were square."""
        return self.square.frame.axes[0 if self.square.along[0] else 1]

    @property
    def free_end(self) -> int:
        """At which end of that axis its free edge would be."""
        place = 0 if self.square.along[0] else 1
        return int(self.square.frame.ways[place] * self.square.along[place] > 0)

    def measured(self, at: Mapping[int, Fraction]) -> tuple[Fraction, Fraction]:
        """A place by how far it is from the lower corner of the square box along each axis, as how far it is along the
        fold from the lower corner of the flat, and up the leg from the outside of its fold."""
        up = at[self.up_axis]
        run = self.box.corner[self.run_axis] - self.base.corner[self.run_axis] + at[self.run_axis]
        return run, up if self.free_end else self.box.extent[self.up_axis] - up

    def on_flat(self, run: Fraction, up: Fraction) -> tuple[Fraction, Fraction]:
        """Where a place of the leg is when all is laid flat: along the part's length and across it, from the lower
        corner of the flat between the folds."""
        out = up - self.fold.deduction.value
        below = self.fold.on
        while below is not None:
            out += below.leg.value - below.deduction.value
            below = below.on
        axis, end = FACES[self.fold.edge]
        across = self.base.extent[AXES.index(axis)] + out if end else -out
        return (run, across) if self.fold.is_along else (across, run)


def legs_there(folded: FoldedPart, bases: Sequence[Placed], row: str) -> tuple[LegThere, ...]:
    """The legs of a row of folds of all pieces."""
    found = []
    for base in bases:
        stood, square = (stand_legs(folded, base, each)[1] for each in (False, True))
        found += [
            LegThere(fold, base, one, other, square_box(base, other))
            for fold, one, other in zip(folded.folds, stood, square, strict=True) if fold.entry.name == row
        ]  # fmt: skip
    return tuple(found)
