"""Where parts begin and end: which ends each view tells, so that none is told twice and none is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from webapp.costing.measures.written import System, format_length
from webapp.pictures.bench.dimensions import Measure, both, stack
from webapp.pictures.bench.looking import ABOVE, FRONT, RIGHT_END
from webapp.pictures.bench.pieces import NM_PER_MM, Piece
from webapp.pictures.bench.thing import Thing
from webapp.pictures.drawings.chains import Place, draw_chain
from webapp.pictures.drawings.numbering import View
from webapp.pictures.marks import Area

#: Which axes lie across and up each view.
AXES: Final[dict[str, tuple[int, int]]] = {FRONT.name: (0, 2), RIGHT_END.name: (1, 2), ABOVE.name: (0, 1)}
#: An end is told where a corner that is in sight lies on it, mm.
ON: Final = 0.02


@dataclass(slots=True)
class Told:
    """What one view tells: the ends along its axes, nm, that it shows, those of parts that it draws broken, and the
    pieces that it draws broken."""

    shown: dict[int, set[int]] = field(default_factory=dict)
    behind: dict[int, set[int]] = field(default_factory=dict)
    broken: set[int] = field(default_factory=set)

    def chains(self, axis: int) -> list[set[int]]:
        """The ends of each chain along an axis, the nearest to the view first."""
        return [ends[axis] for ends in (self.shown, self.behind) if ends.get(axis)]


@dataclass(slots=True)
class Ends:
    """The ends of all pieces along each axis, to the shop's step."""

    thing: Thing
    step: int

    def of(self, piece: Piece, axis: int) -> set[int]:
        """Where a piece begins and ends."""
        return {self.rounded(end) for end in self.exact(piece, axis)}

    def exact(self, piece: Piece, axis: int) -> list[float]:
        """The same in mm. Of what is cut to an outline only the ends of the whole: its detail tells the rest."""
        alike = [piece]
        if piece.curved:
            alike = [one for one in self.thing.pieces if (one.part, one.number) == (piece.part, piece.number)]
        along = [corner[axis] for corner in piece.corners]
        whole = [corner[axis] for one in alike for corner in one.corners]
        return [end for end, far in ((min(along), min(whole)), (max(along), max(whole))) if abs(end - far) < ON]

    def rounded(self, along: float) -> int:
        """A place along an axis, nm."""
        return round(along * NM_PER_MM / self.step) * self.step

    def whole(self, axis: int) -> tuple[int, int]:
        """Where the whole begins and ends."""
        return self.rounded(self.thing.low[axis]), self.rounded(self.thing.high[axis])


def share_ends(views: Sequence[View], thing: Thing, step: int, broken: Sequence[set[int]]) -> list[Told]:
    """Which ends each view tells: the first view that shows it.

    What none shows is told where its part is drawn `broken`, and what is not even that is drawn broken for it in the
    first view along whose sides it can be told.
    """
    ends = Ends(thing, step)
    told = [Told(broken=set(pieces)) for pieces in broken]
    known = [set(ends.whole(axis)) for axis in range(3)]
    for view, here in zip(views, told, strict=True):
        for place, axis in enumerate(AXES[view.look.name]):
            here.shown[axis] = _shown(view, place, axis, ends) - known[axis]
            known[axis] |= here.shown[axis]
    for pieces, view, here in zip(broken, views, told, strict=True):
        for axis in AXES[view.look.name]:
            found = {end for piece in pieces for end in ends.of(view.seen.heap.pieces[piece], axis)}
            here.behind[axis] = found - known[axis]
            known[axis] |= found
    for one in thing.pieces:
        for axis in range(3):
            for end in ends.of(one, axis) - known[axis]:
                first = next(at for at, view in enumerate(views) if axis in AXES[view.look.name])
                told[first].behind.setdefault(axis, set()).add(end)
                told[first].broken.update(_alike(thing, one.part, axis, end, ends))
                known[axis].add(end)
    return told


def _alike(thing: Thing, part: str, axis: int, end: int, ends: Ends) -> set[int]:
    """The pieces of a kind of part that begin or end there."""
    return {
        place for place, piece in enumerate(thing.pieces)
        if piece.part == part and end in ends.of(piece, axis)
    }  # fmt: skip


def _shown(view: View, place: int, axis: int, ends: Ends) -> set[int]:
    """The ends along an axis that a view shows: those with a corner on them that is in sight."""
    found = set()
    heap = view.seen.heap
    for piece, one in enumerate(heap.pieces[: len(heap.pieces) - int(heap.is_cell.sum())]):
        corners = [corner[place] for ring in view.sight.rings(piece) for corner in ring]
        for end in ends.exact(one, axis):
            if any(abs(corner - end) < ON for corner in corners):
                found.add(ends.rounded(end))
    return found


def draw_sizes(
    view: View, told: Told, thing: Thing, step: int, system: System, area: Area, with_overall: bool
) -> tuple[list[str], Area]:
    """The chains and the overall sizes about a view, outside all that stands in `area`; and the room with them.

    Overall width and height stand on the front view, the depth on the end view: no size is given twice.
    """
    # What stands further out is drawn first: its lines run behind the words of what is nearer.
    ends, bare, body = Ends(thing, step), view.area, []
    across, up = AXES[view.look.name]
    wide, tall = ends.whole(across), ends.whole(up)

    def plain(nm: int) -> str:
        return format_length(nm, system, with_unit=False)

    for found in told.chains(across):
        places = [Place(nm, view.frame.at((nm / NM_PER_MM, 0.0))[0]) for nm in sorted({*found, *wide})]
        chain = draw_chain(places, bare.bottom, area.bottom - bare.bottom, 1, upright=False, format_length=plain)
        body.append(chain.svg)
        area = both(area, chain.area)
    for found in told.chains(up):
        # Rising down the page: the highest place first.
        places = [Place(nm, view.frame.at((0.0, nm / NM_PER_MM))[1]) for nm in sorted({*found, *tall}, reverse=True)]
        chain = draw_chain(places, bare.left, bare.left - area.left, -1, upright=True, format_length=plain)
        body.append(chain.svg)
        area = both(area, chain.area)
    for measure in _overall(view, thing, system) if with_overall else []:
        beyond = bare.left - area.left if measure.off[0] else area.bottom - bare.bottom
        for one in stack([measure], beyond):
            body.append(one.svg)
            area = both(area, one.area)
    return body[::-1], area


def _overall(view: View, thing: Thing, system: System) -> list[Measure]:
    area = view.area
    wide, deep, tall = (
        format_length(round((high - low) * NM_PER_MM), system)
        for low, high in zip(thing.low, thing.high, strict=True)
    )
    below = Measure((area.left, area.bottom), (area.right, area.bottom), (0, 1), wide)
    if view.look is RIGHT_END:
        return [Measure(below.begin, below.end, below.off, deep)]
    if view.look is FRONT:
        return [below, Measure((area.left, area.top), (area.left, area.bottom), (-1, 0), tall)]
    return []
