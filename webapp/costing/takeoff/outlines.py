"""Flat parts cut to an outline by points and arcs: area, metres to cut, and the convex pieces that stand for it. nm.

Corners go along the part's length and across it, from the lower corner of the box that it is cut out of. Areas and
lengths are reckoned in doubles from the radii and rounded once; what stands is made of short straight sides.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final, cast

from webapp.costing.designs.made import Outline, OutlineCorner
from webapp.costing.designs.model import Part
from webapp.costing.errors import CostingError
from webapp.costing.ledger.working import Figure
from webapp.costing.space.bodies import EDGES, FACES, Body, Face
from webapp.costing.space.outlines import Corner, Laid, OutlineError, convex_parts, doubled_area, lay_out
from webapp.costing.space.stretches import Flat, Stretch, box_of
from webapp.costing.space.turns import Vector, unit
from webapp.costing.takeoff.context import LeftOut, Taking
from webapp.costing.takeoff.placed.solid import Placed
from webapp.costing.takeoff.placed.stood import AXES, box_around

_NM_PER_MM: Final = 10**6
#: What lies within this of an edge of the box lies on it, mm.
_ON: Final = 0.01
#: What the faces are called that convex pieces of one part share.
_SEAM: Final = "seam"


@dataclass(frozen=True, slots=True)
class Outlined:
    """A part that is cut to an outline: the nm2 of it, and how much of it is cut beside the edges of its blank, nm."""

    part: Part
    entry: Outline
    laid: Laid
    area: Figure
    cut: Figure

    @property
    def corners(self) -> tuple[tuple[int, int], ...]:
        """Its corners, arcs as short straight sides, nm."""
        return tuple(map(_nm, self.laid.ring))

    @property
    def sides(self) -> tuple[tuple[tuple[int, int], float], ...]:
        """Its lines and arcs: where each begins, nm, and how it bulges."""
        return tuple((_nm(one.begin), one.bulge) for one in self.laid.stretches)

    def metres(self, taking: Taking, count: Figure) -> Figure:
        """What is cut along the outline of all pieces, m."""
        return taking.derive(f"outlines/{self.entry.name}/metres", f"{self.entry.says}: cut", "m",
                             "outline beside the blank's edges x count", "metres(cut) * count",
                             cut=self.cut, count=count)  # fmt: skip


def outline(taking: Taking, part: Part, length: Figure, width: Figure | None) -> Outlined | None:
    """The outline of a part under the answers chosen; None where it is cut square, or what can't be made is named."""
    entries = [one for one in taking.design.outlines.values() if one.part == part.name]
    found: Outlined | None = None
    for entry in filter(taking.environment.active, entries):
        called = f"The outline “{entry.says}”"
        try:
            if found is not None:
                raise LeftOut(f"{called} is a second one of “{part.says}”; it is left out.")
            if width is not None:
                found = _outlined(taking, part, entry, (length.value, width.value), called)
        except CostingError as error:
            taking.leave_out(f"outlines.{entry.name}", called, error)
    return found


def _outlined(
    taking: Taking, part: Part, entry: Outline, box: tuple[Fraction, Fraction], called: str
) -> Outlined:
    laid = laid_from(taking, entry.corners, f"{called} of “{part.says}”")
    around = box_of(laid.stretches)
    for axis, (size, words) in enumerate(zip(box, ("long", "wide"), strict=True)):
        low, high = (corner[axis] for corner in around)
        over = max(-low, high - _mm(size))
        if over > _ON:
            raise LeftOut(f"{called} reaches {_say(taking, over)} beyond “{part.says}”, which is "
                          f"{taking.length(size)} {words}. It is left out.")  # fmt: skip
        if high - low < _mm(size) - _ON:
            taking.wrong(
                f"outlines.{entry.name}",
                f"{called} is {_say(taking, high - low)} {words}, and “{part.says}” {taking.length(size)}: its blank "
                "is cut larger than it needs.",
                "warning",
            )
    key, says = f"outlines/{entry.name}", entry.says
    beside = sum(one.long for one in laid.stretches if not _on_edge(one, box))
    return Outlined(
        part, entry, laid,
        taking.given(f"{key}/area", f"{says}: area", Fraction(round(laid.area * _NM_PER_MM**2)), "nm2",
                     "its corners and arcs"),
        taking.given(f"{key}/cut", f"{says}: outline beside the edges of its blank",
                     Fraction(round(beside * _NM_PER_MM)), "nm", "its corners and arcs"),
    )  # fmt: skip


def laid_from(taking: Taking, corners: Sequence[OutlineCorner], called: str) -> Laid:
    """An outline laid out from its corners at the sizes chosen. Raises LeftOut where it can't be made."""
    value = taking.environment.value
    found = [
        Corner(
            (_mm(value(one.along)), _mm(value(one.across))),
            0.0 if one.rounded is None else _mm(value(one.rounded)),
            0.0 if one.bowed is None else _mm(value(one.bowed)),
        )
        for one in corners
    ]
    if any(corner.radius < 0 for corner in found):
        raise LeftOut(f"{called} rounds a corner by less than nothing; it is left out.")
    try:
        return lay_out(found, lambda mm: _say(taking, mm))
    except OutlineError as error:
        raise LeftOut(f"{called} {error}. It is left out.") from None


def _say(taking: Taking, mm: float) -> str:
    return taking.fine(Fraction(round(mm * _NM_PER_MM)))


def _mm(nm: Fraction) -> float:
    return nm.numerator / (nm.denominator * _NM_PER_MM)


def _nm(at: Flat) -> tuple[int, int]:
    return round(at[0] * _NM_PER_MM), round(at[1] * _NM_PER_MM)


def _on_edge(one: Stretch, box: tuple[Fraction, Fraction]) -> bool:
    """Whether a stretch is a straight one along an edge of the blank, which is there when that is cut."""
    return one.middle is None and any(
        abs(one.begin[axis] - edge) < _ON and abs(one.end[axis] - edge) < _ON
        for axis, size in enumerate(box) for edge in (0.0, _mm(size))
    )  # fmt: skip


def pieces_of(outlined: Outlined, base: Placed) -> Iterator[Placed]:
    """One piece as the convex ones that it is made of, in the box that it is cut out of."""
    ring = outlined.laid.ring
    parts = convex_parts(ring)
    areas = [Fraction(abs(doubled_area([ring[at] for at in part]))) for part in parts]
    for nth, (part, area) in enumerate(zip(parts, areas, strict=True)):
        body = _prism(outlined.part, base, ring, part)
        low, high = box_around(body)
        x, y, z = (far - near for near, far in zip(low, high, strict=True))
        yield replace(base, corner=low, extent=(x, y, z), body=body, nth=nth, share=area / sum(areas))


def _prism(part: Part, base: Placed, ring: Sequence[Flat], places: Sequence[int]) -> Body:
    along, across = AXES.index(part.length_axis), AXES.index(part.width_axis)
    thin = 3 - along - across
    number = len(places)
    corners = []
    for end in (Fraction(0), base.extent[thin]):
        for place in places:
            at = list(base.corner)
            at[along] += round(ring[place][0] * _NM_PER_MM)
            at[across] += round(ring[place][1] * _NM_PER_MM)
            at[thin] += end
            corners.append(cast(Vector, tuple(at)))
    faces = [Face(FACES[0], tuple(reversed(range(number)))), Face(FACES[1], tuple(range(number, 2 * number)))]
    for one in range(number):
        other = (one + 1) % number
        name = EDGES[0] if (places[one] + 1) % len(ring) == places[other] else _SEAM
        faces.append(Face(name, (one, other, number + other, number + one)))
    if (across - along) % 3 != 1:
        faces = [Face(face.name, face.corners[::-1]) for face in faces]
    return Body(
        base.part, base.number, tuple(corners), tuple(faces), unit(along), unit(across), unit(thin)
    )  # fmt: skip
