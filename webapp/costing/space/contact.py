"""Where pieces touch of which one is tilted or cut: faces that lie on each other, found within a hundredth of a
millimetre.

Two faces meet where they look at each other and their outlines overlap; whether they touch is decided by the corners
of what they share, each against the other's plane, and not by the angle between them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.space.bodies import ENDS, Body
from webapp.costing.space.shapes import (
    NEAR,
    Point,
    Shape,
    Side,
    apart,
    between,
    cross_points,
    dot_points,
    near_pairs,
    one_long,
    pairs_of,
    shape_of,
)

#: The cosine between two faces that look at each other is below this.
_OPPOSED: Final = -1 + 1e-6
#: How far a face of 1 mm may lean from the other, mm: what goes with the cosine above, with room to spare.
_LEAN: Final = 0.0015
#: How near an end looks for what it misses, mm.
_REACH: Final = 5.0
_NM_PER_MM: Final = 1_000_000
Flat = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Contact:
    """Two pieces that touch, by their places in the list, and the names of the faces that meet.

    `run` is how long what they share is along its longest edge, `width` square to that (the longer of the two first),
    nm, each rounded once; `area` in nm². `gap` is the mean distance between the faces, nm, below nothing where they
    stand in each other by that little, and `widest` the largest at a corner.
    """

    first: int
    second: int
    first_face: str
    second_face: str
    run: Fraction
    width: Fraction
    area: Fraction
    gap: Fraction
    widest: Fraction
    outline: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class EndMet:
    """An end of a piece: the places of the pieces that it touches, and where it touches none, the nearest piece that
    it looks at within 5 mm, with how far off that is, nm."""

    end: str
    touched: tuple[int, ...]
    missed: int | None = None
    off: Fraction = Fraction(0)


def contacts_of_bodies(bodies: Sequence[Body], square: Collection[int] = ()) -> list[Contact]:
    """Every pair of faces of two pieces that touch. Pairs of which both places are in `square` are left out: square
    boxes are asked exactly, elsewhere."""
    shapes = [shape_of(body) for body in bodies]
    boxes = frozenset(square)
    found = list[Contact]()
    for one, other in sorted(near_pairs(shapes, NEAR)):
        if one not in boxes or other not in boxes:
            found += _contacts(one, shapes[one], other, shapes[other])
    return found


def ends_met(
    places: Iterable[int], bodies: Sequence[Body], contacts: Sequence[Contact]
) -> dict[int, tuple[EndMet, EndMet]]:
    """For each of these places what the start end and the far end of the piece touch, by the contacts found among all
    the pieces; and what an end misses, by how much. For tilted pieces: contacts of two square boxes are not among
    these."""
    met: dict[tuple[int, str], set[int]] = defaultdict(set)
    for contact in contacts:
        met[contact.first, contact.first_face].add(contact.second)
        met[contact.second, contact.second_face].add(contact.first)
    shapes = [shape_of(body) for body in bodies]
    found = {}
    for place in places:
        start, far = (
            EndMet(end, tuple(sorted(met[place, end]))) if met[place, end] else _missed(end, place, shapes)
            for end in ENDS
        )
        found[place] = (start, far)
    return found


def _missed(end: str, place: int, shapes: Sequence[Shape]) -> EndMet:
    mine = [side for side in shapes[place].sides if side.name == end]
    nearest: tuple[float, int] | None = None
    for other, shape in enumerate(shapes):
        if other == place or apart(shapes[place], shape, _REACH):
            continue
        for one in mine:
            for side in shape.sides:
                gap = _gap(one, side)
                if gap is not None and (nearest is None or abs(gap) < abs(nearest[0])):
                    nearest = (gap, other)
    return EndMet(end, ()) if nearest is None else EndMet(end, (), nearest[1], _nm(nearest[0]))


def _gap(one: Side, other: Side) -> float | None:
    """How far apart two faces are that look at each other over an area, mm; None where they don't, or are far off."""
    shared = _shared(one, other, _REACH)
    if shared is None:
        return None
    off = [dot_points(other.normal, corner) - other.offset for corner in shared]
    middle = sum(off) / len(off)
    return middle if abs(middle) <= _REACH else None


def _contacts(one: int, first: Shape, other: int, second: Shape) -> Iterator[Contact]:
    for side in first.sides:
        for facing in second.sides:
            shared = _shared(side, facing, NEAR)
            if shared is None:
                continue
            off = [dot_points(facing.normal, corner) - facing.offset for corner in shared]
            widest = max(off, key=abs)
            if abs(widest) > NEAR:
                continue
            run, width, area, gap = _measured(shared, facing)
            if width <= NEAR:
                continue
            yield Contact(
                one, other, side.name, facing.name, _nm(run), _nm(width), Fraction(round(area * _NM_PER_MM**2)),
                _nm(gap), _nm(widest), tuple(shared),
            )  # fmt: skip


def _shared(side: Side, facing: Side, reach: float) -> list[Point] | None:
    """What of a face lies before another that looks at it, in the plane of the first; None where nothing does."""
    if dot_points(side.normal, facing.normal) > _OPPOSED:
        return None
    # The other's plane is nearly this one: seen from the middle of things it is no farther than it may lean.
    off = dot_points(side.normal, facing.corners[0]) - side.offset
    if abs(off) > reach + _LEAN * max(_size(side), _size(facing)):
        return None
    kept = list(side.corners)
    for near, far in pairs_of(facing.corners):
        # Outwards from each edge of the other face, in its own plane.
        outwards = one_long(cross_points(between(near, far), facing.normal))
        kept = _clipped(kept, outwards, dot_points(outwards, near))
        if len(kept) < 3:
            return None
    return kept


def _size(side: Side) -> float:
    first = side.corners[0]
    return max(sum(abs(part) for part in between(first, corner)) for corner in side.corners)


def _clipped(corners: list[Point], normal: Point, offset: float) -> list[Point]:
    """What of a round lies within a plane."""
    beyond = [dot_points(normal, corner) - offset for corner in corners]
    if max(beyond) <= 0:
        return corners
    kept = list[Point]()
    for place, corner in enumerate(corners):
        before, here = beyond[place - 1], beyond[place]
        if (before < 0 < here) or (here < 0 < before):
            share = before / (before - here)
            x, y, z = corners[place - 1]
            kept.append((x + share * (corner[0] - x), y + share * (corner[1] - y), z + share * (corner[2] - z)))
        if here <= 0:
            kept.append(corner)
    return kept


def _measured(corners: Sequence[Point], facing: Side) -> tuple[float, float, float, float]:
    """Run, width and area of an outline, and the mean distance of the other plane, mm and mm²."""
    edges = [between(one, following) for one, following in pairs_of(corners)]
    along = one_long(max(edges, key=lambda edge: dot_points(edge, edge)))
    across = cross_points(facing.normal, along)
    flat = [(dot_points(along, corner), dot_points(across, corner)) for corner in corners]
    off = [dot_points(facing.normal, corner) - facing.offset for corner in corners]
    area, weighed = 0.0, 0.0
    (x0, y0), gap0 = flat[0], off[0]
    for place in range(1, len(flat) - 1):
        (x1, y1), (x2, y2) = flat[place], flat[place + 1]
        piece = abs((x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)) / 2
        area += piece
        weighed += piece * (gap0 + off[place] + off[place + 1]) / 3
    sizes = [max(each) - min(each) for each in zip(*flat, strict=True)]
    return max(sizes), min(sizes), area, weighed / area if area else gap0


def _nm(mm: float) -> Fraction:
    return Fraction(round(mm * _NM_PER_MM))
