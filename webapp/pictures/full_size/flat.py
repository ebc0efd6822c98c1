"""The flat of a part in mm: its outline by lines and arcs, and what is made in it where it lies on the bench.

The left end lies at x = 0 and the lower edge at y = 0, the face to the eye. What is made from the back stands where it
is in the part, seen through from the face: nothing is turned over. What is made into an edge or an end stands in a view
of that, beside the part, with the face next to it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Final

from webapp.costing.contours.sides import Contour, Flat, Side, box_of, carried, circle, contour_of, rectangle
from webapp.costing.takeoff.features import Hole, Pocket
from webapp.costing.takeoff.features import Side as OnSide
from webapp.pictures.drawings.detail import PartDrawn
from webapp.pictures.piece_mark import Edge

NM_PER_MM: Final = 1_000_000
#: Between a part and the view of one of its edges, mm.
ASIDE: Final = 20.0
#: How long the mark of the grain is, as a share of the part.
GRAIN: Final = 0.3


@dataclass(frozen=True, slots=True)
class FlatHole:
    """A hole: on which side, where its middle is, how wide and how deep (0: through), and what goes in."""

    side: OnSide
    at: Flat
    diameter: float
    depth: float
    takes: str


@dataclass(frozen=True, slots=True)
class FlatCut:
    """A pocket or an opening: on which side, its contour, how deep (0: through), and what goes in."""

    side: OnSide
    contour: Contour
    depth: float
    takes: str


@dataclass(frozen=True, slots=True)
class FlatPart:
    """A part as it lies. `views` are the outlines of its edges beside it, by side, where something is made in one;
    `bevels` are where cuts that slant end on its face, `bands` the banded edges, `grain` is () where it has none.
    `bare` is its outline as it is cut before it is banded; () where it has no band, or is no rectangle."""

    length: float
    width: float
    thickness: float
    outline: Contour
    views: tuple[tuple[OnSide, Contour], ...]
    bevels: tuple[Side, ...]
    folds: tuple[Side, ...]
    bands: tuple[Side, ...]
    grain: tuple[Side, ...]
    holes: tuple[FlatHole, ...]
    cuts: tuple[FlatCut, ...]
    bare: Contour = ()

    @property
    def on_face(self) -> tuple[FlatHole, ...]:
        """The holes in its face and its back."""
        return tuple(one for one in self.holes if one.side in ("face", "back"))


def flat_part(part: PartDrawn, openings: Collection[str] = (), band: int = 0) -> FlatPart:
    """The flat of a part as it is drawn; a hole for one of these `openings` is a round opening or pocket, and its edge
    band is so thick, nm."""
    length, width, thickness = (mm(side) for side in (part.length, part.width, part.thickness))
    outline, bevels = _outline(part, length, width)
    holes, cuts, sides = list[FlatHole](), list[FlatCut](), dict[OnSide, None]()
    for one in part.made:
        to = _places_on(one.side, part)
        if one.side not in ("face", "back"):
            sides[one.side] = None
        if isinstance(one, Hole) and one.takes in openings:
            contour = circle((mm(one.along), mm(one.up)), mm(one.diameter))
            cuts.append(FlatCut(one.side, carried(contour, to), mm(one.depth), one.takes))
        elif isinstance(one, Hole):
            holes += [
                FlatHole(one.side, to((mm(one.along + column * one.column_step), mm(one.up + row * one.row_step))),
                         mm(one.diameter), mm(one.depth), one.takes)
                for row in range(one.rows) for column in range(one.columns)
            ]  # fmt: skip
        else:
            cuts.append(FlatCut(one.side, carried(made_contour(one), to), mm(one.depth), one.takes))
    views = tuple(
        (side, carried(rectangle(0, 0, width if side in ("start", "end") else length, thickness),
                       _places_on(side, part)))
        for side in sides
    )  # fmt: skip
    return FlatPart(
        length, width, thickness, outline, views, bevels, _folds(part, length, width), _bands(part, length, width),
        _grain(part, length, width), tuple(holes), tuple(cuts), _bare(part, outline, mm(band)),
    )  # fmt: skip


def made_contour(one: Pocket) -> Contour:
    """The outline of what is made: of a pocket or an opening, on its own side of the part."""
    if one.stations:
        ends = [(mm(one.along + x), mm(one.up + y)) for x, y, _ in one.stations]
        return contour_of([ends[-1], *ends[:-1]], one.bulges)
    if one.outline:
        return contour_of([(mm(one.along + x), mm(one.up + y)) for x, y in one.outline])
    return rectangle(mm(one.along), mm(one.up), mm(one.length), mm(one.width), mm(one.corner))


def mm(nm: int) -> float:
    """A length in mm."""
    return nm / NM_PER_MM


def _outline(part: PartDrawn, length: float, width: float) -> tuple[Contour, tuple[Side, ...]]:
    """The outline, and where slanting cuts end on the face."""
    if part.sides:
        return contour_of([(mm(x), mm(y)) for (x, y), _ in part.sides], [bulge for _, bulge in part.sides]), ()
    if part.outline:
        return contour_of([(mm(x), mm(y)) for x, y in part.outline]), ()
    if part.sawn is not None:
        seen = part.sawn.face
        whole = contour_of([(mm(x), mm(y)) for x, y in seen.whole])
        there = {frozenset((side.begin, side.end)) for side in whole}
        face = contour_of([(mm(x), mm(y)) for x, y in seen.side]) if len(seen.side) > 2 else ()
        return whole, tuple(side for side in face if frozenset((side.begin, side.end)) not in there)
    start, end = (mm(slant) for slant in part.slants)
    return contour_of([(0.0, 0.0), (length, 0.0), (length - end, width), (start, width)]), ()


def _bare(part: PartDrawn, outline: Contour, band: float) -> Contour:
    """What is cut where band comes on: less by its thickness."""
    if not (band and part.banded) or part.sides or part.outline or part.sawn is not None or any(part.slants):
        return ()
    edges: tuple[Edge, ...] = ("start", "end", "low", "high")
    start, end, low, high = (band if edge in part.banded else 0.0 for edge in edges)
    left, foot, right, top = box_of(outline)
    return rectangle(left + start, foot + low, right - end - left - start, top - high - foot - low)


def _places_on(side: OnSide, part: PartDrawn) -> Callable[[Flat], Flat]:
    """Where a place on a side of the part comes to lie."""
    length, width, thickness = mm(part.length), mm(part.width), mm(part.thickness)

    def to(at: Flat) -> Flat:
        along, up = at
        if side == "face":
            return along, up
        if side == "back":
            return length - along, up
        # In the view of an edge the face lies next to the part.
        off = ASIDE + (up if part.lower else thickness - up)
        return {
            "low": (along, -off), "high": (along, width + off), "start": (-off, along), "end": (length + off, along)
        }[side]  # fmt: skip

    return to


def _folds(part: PartDrawn, length: float, width: float) -> tuple[Side, ...]:
    return tuple(_parallel(edge, mm(off), length, width) for edge, off in part.folds)


def _parallel(edge: Edge, off: float, length: float, width: float) -> Side:
    """A line so far in from an edge."""
    return {
        "start": Side((off, 0.0), (off, width)), "end": Side((length - off, 0.0), (length - off, width)),
        "low": Side((0.0, off), (length, off)), "high": Side((0.0, width - off), (length, width - off)),
    }[edge]  # fmt: skip


def _bands(part: PartDrawn, length: float, width: float) -> tuple[Side, ...]:
    start, end = (mm(slant) for slant in part.slants)
    ends: dict[Edge, Side] = {
        "start": Side((0.0, 0.0), (start, width)), "end": Side((length, 0.0), (length - end, width)),
        "low": Side((0.0, 0.0), (length, 0.0)), "high": Side((start, width), (length - end, width)),
    }  # fmt: skip
    return tuple(ends[edge] for edge in part.banded)


def _grain(part: PartDrawn, length: float, width: float) -> tuple[Side, ...]:
    x, y = length / 2, width / 2
    if part.grain == "length":
        return (Side((x - GRAIN * length / 2, y), (x + GRAIN * length / 2, y)),)
    if part.grain == "width":
        return (Side((x, y - GRAIN * width / 2), (x, y + GRAIN * width / 2)),)
    return ()
