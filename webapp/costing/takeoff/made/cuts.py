"""One cut of an opening on a side of its part, as a rectangle, a circle or an outline. nm; outlines in doubles, mm."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.space.outlines import Corner, Laid, lay_out
from webapp.costing.space.stretches import ON_EDGE, Flat, box_of, clipped

Place = tuple[Fraction, Fraction]

_NM_PER_MM: Final = 10**6


@dataclass(frozen=True, slots=True)
class Cut:
    """One cut of an opening: its lower corner on the side, how far it reaches, the radius of its corners, and how deep
    it goes (0: through). That by an outline of its own has this `laid` out on the side, and reaches as far as the
    rectangle about it."""

    low: Place
    reach: Place
    corner: Fraction
    depth: Fraction
    laid: Laid | None = None

    @property
    def high(self) -> Place:
        """Its upper corner."""
        return self.low[0] + self.reach[0], self.low[1] + self.reach[1]

    @property
    def around(self) -> Fraction:
        """How far it is round it, its corners reckoned square."""
        if self.laid is not None:
            return Fraction(round(self.laid.length * _NM_PER_MM))
        return 2 * (self.reach[0] + self.reach[1])


def laid_out(cut: Cut) -> Laid:
    """A cut by its outline, whatever it is."""
    if cut.laid is not None:
        return cut.laid
    (left, low), (right, high), radius = in_mm(cut.low), in_mm(cut.high), float(cut.corner) / _NM_PER_MM
    return lay_out([Corner(at, radius) for at in ((left, low), (right, low), (right, high), (left, high))])


def in_mm(place: Place) -> Flat:
    """A place on a side, mm."""
    return float(place[0]) / _NM_PER_MM, float(place[1]) / _NM_PER_MM


def in_nm(at: Flat) -> Place:
    """A place in mm as whole nm."""
    return Fraction(round(at[0] * _NM_PER_MM)), Fraction(round(at[1] * _NM_PER_MM))


def ring_within(cut: Cut) -> list[Flat]:
    """The outline of a cut as far as it lies in its rectangle; nothing of one that has none of its own."""
    if cut.laid is None:
        return []
    return list(cut.laid.ring) if _is_whole(cut, cut.laid) else clipped(cut.laid.ring, in_mm(cut.low), in_mm(cut.high))


def stations_of(cut: Cut) -> list[tuple[Flat, float, float]]:
    """Where the sides and arcs of an outline end in turn, mm, each with the radius of the arc that comes to it, nm, and
    its bulge; of one that runs over its rectangle nothing."""
    if cut.laid is None or not _is_whole(cut, cut.laid):
        return []
    return [(one.end, one.radius * _NM_PER_MM, one.bulge) for one in cut.laid.stretches]


def _is_whole(cut: Cut, laid: Laid) -> bool:
    """Whether all of an outline lies in the rectangle of its cut."""
    low, high = box_of(laid.stretches)
    (left, front), (right, back) = in_mm(cut.low), in_mm(cut.high)
    least = min(low[0] - left, low[1] - front, right - high[0], back - high[1])
    return least > -ON_EDGE
