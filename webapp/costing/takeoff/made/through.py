"""What an opening goes through behind its own part: the pieces in its line, what they lose, the metres cut. nm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.ledger.working import Figure
from webapp.costing.space.outlines import Laid, doubled_area
from webapp.costing.space.stretches import Flat, clipped, fine_ring, runs_within
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.made.cuts import Cut, Place, in_mm
from webapp.costing.takeoff.made.sides import OnSide
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.takeoff.placed.solid import Placed

_NM_PER_MM: Final = 10**6


@dataclass(frozen=True, slots=True)
class CutThrough:
    """What of one piece an opening takes, as a rectangle from its lower corner, or as what lies in that of an outline
    `laid` out from there; `whole` where all of it lies within the piece. Hardware, and what stands aslant, can't be
    cut."""

    piece: Placed
    low: Place
    high: Place
    whole: bool
    laid: Laid | None = None

    @property
    def can_be_cut(self) -> bool:
        """Whether it is a square part."""
        return not self.piece.of_hardware and self.piece.body is None and self.piece.slant is None

    @property
    def area(self) -> Fraction:
        """What is open of it, the corners of a rectangle reckoned square, nm2."""
        if self.laid is not None:
            return open_within(self.laid, in_mm(self.low), in_mm(self.high))
        return (self.high[0] - self.low[0]) * (self.high[1] - self.low[1])

    def sawn(self, axis: int, reach: Place) -> Fraction:
        """How far a saw goes along the sides of the opening that lie inside the piece: each as long as it is, or as
        deep as the piece is there. A side of an outline goes on round what is no corner."""
        deep, found = self.piece.extent[axis], Fraction(0)
        if self.laid is not None:
            runs = runs_within(self.laid.stretches, (0.0, 0.0), in_mm(reach))
            return sum((max(Fraction(round(run * _NM_PER_MM)), deep) for run in runs), found)
        for along in (0, 1):
            inside = (self.low[along] > 0) + (self.high[along] < reach[along])
            found += inside * max(self.high[1 - along] - self.low[1 - along], deep)
        return found


def open_within(laid: Laid, low: Flat, high: Flat) -> Fraction:
    """What of an outline lies in a rectangle, nm2; its arcs by sides of a degree."""
    return Fraction(round(doubled_area(clipped(fine_ring(laid.stretches), low, high)) / 2 * _NM_PER_MM**2))


def lies_behind(part: MadePart, side: OnSide, cut: Cut, meetings: Meetings) -> list[CutThrough]:
    """The pieces behind all pieces of a part that lie in the line of an opening: what meets it there, what meets that,
    and so on, away from the side that it is cut from."""
    places = {(piece.part, piece.number): place for place, piece in enumerate(meetings.placed)}
    found: dict[tuple[str, int], CutThrough] = {}
    for piece, end in zip(part.placed, side.ends, strict=True):
        from_ = places.get((piece.part, piece.number))
        if from_ is None:
            continue
        first, second = side.plane
        at = piece.corner[first], piece.corner[second]
        for other in _beyond(from_, side.axis, end, meetings):
            behind = meetings.placed[other]
            taken = _cut_of(behind, side, cut, at)
            if taken is not None:
                found.setdefault((behind.part, behind.number), taken)
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


def _cut_of(piece: Placed, side: OnSide, cut: Cut, at: Place) -> CutThrough | None:
    """What an opening takes of a piece, its side at this place; None where it goes by."""
    spans, moved = [], []
    for along, axis in enumerate(side.plane):
        by = at[along] - piece.corner[axis]
        low = max(cut.low[along] + by, Fraction(0))
        high = min(cut.high[along] + by, piece.extent[axis])
        if high <= low:
            return None
        spans.append((low, high, high - low == cut.reach[along]))
        moved.append(by)
    (low_one, high_one, all_one), (low_two, high_two, all_two) = spans
    laid = None if cut.laid is None else cut.laid.moved(in_mm((moved[0], moved[1])))
    found = CutThrough(piece, (low_one, low_two), (high_one, high_two), all_one and all_two, laid)
    return None if laid is not None and not found.area else found


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
