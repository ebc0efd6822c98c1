"""What an opening goes through behind its own part: the pieces in its line, what they lose, the metres cut. nm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from webapp.costing.ledger.working import Figure
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.made.sides import OnSide
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.takeoff.placed.solid import Placed

Place = tuple[Fraction, Fraction]


@dataclass(frozen=True, slots=True)
class CutThrough:
    """What of one piece an opening takes, as a rectangle from its lower corner; `whole` where all of it lies within the
    piece. Hardware, and what stands aslant, can't be cut."""

    piece: Placed
    low: Place
    high: Place
    whole: bool

    @property
    def can_be_cut(self) -> bool:
        """Whether it is a square part."""
        return not self.piece.of_hardware and self.piece.body is None and self.piece.slant is None

    @property
    def area(self) -> Fraction:
        """What is open of it, its corners reckoned square, nm2."""
        return (self.high[0] - self.low[0]) * (self.high[1] - self.low[1])

    def sawn(self, axis: int, reach: Place) -> Fraction:
        """How far a saw goes along the sides of the opening that lie inside the piece: each as long as it is, or as
        deep as the piece is there."""
        deep, found = self.piece.extent[axis], Fraction(0)
        for along in (0, 1):
            inside = (self.low[along] > 0) + (self.high[along] < reach[along])
            found += inside * max(self.high[1 - along] - self.low[1 - along], deep)
        return found


def lies_behind(part: MadePart, side: OnSide, low: Place, high: Place, meetings: Meetings) -> list[CutThrough]:
    """The pieces behind all pieces of a part that lie in the line of an opening: what meets it there, what meets that,
    and so on, away from the side that it is cut from."""
    places = {(piece.part, piece.number): place for place, piece in enumerate(meetings.placed)}
    found: dict[tuple[str, int], CutThrough] = {}
    for piece, end in zip(part.placed, side.ends, strict=True):
        from_ = places.get((piece.part, piece.number))
        if from_ is None:
            continue
        at = [(piece.corner[axis] + low[along], piece.corner[axis] + high[along])
              for along, axis in enumerate(side.plane)]  # fmt: skip
        for other in _beyond(from_, side.axis, end, meetings):
            behind = meetings.placed[other]
            cut = _cut_of(behind, side, at)
            if cut is not None:
                found.setdefault((behind.part, behind.number), cut)
    return list(found.values())


def _beyond(start: int, axis: int, end: int, meetings: Meetings) -> Iterator[int]:
    """The pieces that are reached from one, from face to face away from its end, along an axis."""
    reached, waiting = {start}, [start]
    while waiting:
        place = waiting.pop()
        for met in meetings.of(place):
            near, far = (met.other, met.one) if end else (met.one, met.other)
            if met.across == axis and near == place and far not in reached:
                reached.add(far)
                waiting.append(far)
                yield far


def _cut_of(piece: Placed, side: OnSide, at: Sequence[tuple[Fraction, Fraction]]) -> CutThrough | None:
    """What an opening at this place takes of a piece; None where it goes by."""
    spans = []
    for axis, (begin, finish) in zip(side.plane, at, strict=True):
        low = max(begin - piece.corner[axis], Fraction(0))
        high = min(finish - piece.corner[axis], piece.extent[axis])
        if high <= low:
            return None
        spans.append((low, high, high - low == finish - begin))
    (low_one, high_one, all_one), (low_two, high_two, all_two) = spans
    return CutThrough(piece, (low_one, low_two), (high_one, high_two), all_one and all_two)


@dataclass(frozen=True, slots=True)
class TakenBehind:
    """What an opening takes of the pieces of one part behind its own: kg in all where the part is weighed, and m2 of
    their broad faces, in all, where it goes through these."""

    part: str
    mass: Figure | None
    open: Figure | None


def take_behind(
    taking: Taking, key: str, says: str, cuts: Sequence[CutThrough], side: OnSide, through: Figure,
    made: Mapping[str, MadePart],
) -> tuple[Sequence[TakenBehind], Figure | None]:  # fmt: skip
    """What is lost behind by part, and the metres cut there; `through` is the m2 of the opening itself."""
    by_part: dict[str, list[CutThrough]] = {}
    for cut in cuts:
        if cut.can_be_cut:
            by_part.setdefault(cut.piece.part, []).append(cut)
    found, sawn = [], Fraction(0)
    for name, of_it in by_part.items():
        one, own = made[name], f"{key}/behind/{name}"
        whole = [cut for cut in of_it if cut.whole]
        rest = sum((cut.area for cut in of_it if not cut.whole), Fraction(0))
        open_ = taking.derive(
            f"{own}/open", f"{says}: open in “{one.part.says}”", "m2", "opening x pieces that hold all of it + rest",
            "through * whole + square_metres(rest, 1)", through=through,
            whole=taking.given(f"{own}/whole", f"{says}: pieces that hold all of it", len(whole), "piece", "places"),
            rest=taking.given(f"{own}/rest", f"{says}: of pieces that it runs over", rest, "nm2", "where they stand"),
        )  # fmt: skip
        density = taking.stated_figure(one.part.stock, "density", "kg/m3") if one.taken.mass is not None else None
        mass = None
        if density is not None:
            mass = taking.derive(
                f"{own}/off", f"{says}: weight cut off “{one.part.says}”", "kg", "open x depth x density",
                "open * metres(deep) * density", open=open_, density=density,
                deep=taking.given(f"{own}/deep", f"{says}: how deep", of_it[0].piece.extent[side.axis], "nm"),
            )  # fmt: skip
        flat = {one.part.length_axis, one.part.width_axis} == {"xyz"[axis] for axis in side.plane}
        found.append(TakenBehind(name, mass, open_ if flat else None))
        first, second = side.plane
        sawn += sum(cut.sawn(side.axis, (cut.piece.extent[first], cut.piece.extent[second])) for cut in of_it)
    if not found:
        return (), None
    metres = taking.derive(
        f"{key}/behind/metres", f"{says}: cut behind", "m", "sides of the opening inside each piece", "metres(sides)",
        sides=taking.given(f"{key}/behind/sides", f"{says}: sides inside the pieces behind", sawn, "nm", "places"),
    )  # fmt: skip
    return found, metres
