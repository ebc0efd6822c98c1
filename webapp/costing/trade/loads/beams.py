"""A beam on two supports under any loads: what each support bears, the bending moment, and how far it sags.

Lengths in nm from the first support, forces in N downward, an even load in N/mm over the whole span. All exact; the
greatest sag is looked for to a thousandth of a millimetre. Source: any mechanics text (simple span, by superposition).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

NM_PER_MM: Final = 10**6


@dataclass(frozen=True, slots=True)
class PointLoad:
    """A force in N at a place on the beam, nm from the first support."""

    force: Fraction
    place: Fraction


def reactions(span: Fraction, loads: Iterable[PointLoad], even: Fraction = Fraction(0)) -> tuple[Fraction, Fraction]:
    """What the first and the second support bear, N. A load beyond a support lifts the other: then that is negative.

    Raises ValueError for a span that is not above 0.

    A load of 90 N a third of the way along:

    >>> reactions(Fraction(900), [PointLoad(Fraction(90), Fraction(300))])
    (Fraction(60, 1), Fraction(30, 1))
    """
    if span <= 0:
        raise ValueError("A span is above nothing.")
    loads = list(loads)
    evenly = even * span / NM_PER_MM
    second = evenly / 2 + sum((load.force * load.place / span for load in loads), Fraction(0))
    return sum((load.force for load in loads), evenly) - second, second


def bending_moment(span: Fraction, loads: Sequence[PointLoad], even: Fraction, place: Fraction) -> Fraction:
    """The bending moment at a place between the supports, N mm; above 0 the beam sags there.

    >>> bending_moment(Fraction(900 * NM_PER_MM), [], Fraction(8), Fraction(450 * NM_PER_MM))
    Fraction(810000, 1)
    """
    first, _ = reactions(span, loads, even)
    along = place / NM_PER_MM
    beyond = sum((load.force * (place - load.place) for load in loads if load.place < place), Fraction(0)) / NM_PER_MM
    return first * along - even * along**2 / 2 - beyond


def greatest_moment(span: Fraction, loads: Sequence[PointLoad], even: Fraction = Fraction(0)) -> Fraction:
    """The greatest bending moment between the supports, N mm: at a load, or where the shear passes nothing. Exact.

    >>> greatest_moment(Fraction(900 * NM_PER_MM), [PointLoad(Fraction(90), Fraction(300 * NM_PER_MM))])
    Fraction(18000, 1)
    """
    places = {Fraction(0), Fraction(span), *(load.place for load in loads if 0 <= load.place <= span)}
    if even > 0:
        first, _ = reactions(span, loads, even)
        for start in tuple(places):
            passed = sum((load.force for load in loads if load.place <= start), Fraction(0))
            turned = (first - passed) / even * NM_PER_MM
            if start <= turned <= span:
                places.add(turned)
    return max(bending_moment(span, loads, even, place) for place in places)


def sag_at(span: Fraction, loads: Sequence[PointLoad], even: Fraction, rigidity: Fraction, place: Fraction) -> Fraction:
    """The sag at a place between the supports, nm, of loads between them; `rigidity` is E I in N mm2.

    Raises ValueError where a load or the place lies beyond the supports.

    >>> halfway = Fraction(500 * NM_PER_MM)
    >>> sag_at(Fraction(10**9), [PointLoad(Fraction(480), halfway)], Fraction(0), Fraction(10**9), halfway)
    Fraction(10000000, 1)
    """
    if not all(0 <= one <= span for one in (place, *(load.place for load in loads))):
        raise ValueError("The sag is worked out between the supports, under loads between them.")
    whole, along = span / NM_PER_MM, place / NM_PER_MM
    evenly = even * along * (whole**3 - 2 * whole * along**2 + along**3) / 24
    by_points = sum((_of_one(whole, load.force, load.place / NM_PER_MM, along) for load in loads), Fraction(0))
    return (evenly + by_points) / rigidity * NM_PER_MM


def _of_one(whole: Fraction, force: Fraction, at: Fraction, along: Fraction) -> Fraction:
    """E I times the sag of one load: P b x (L2 - b2 - x2) / 6 L, from the support that the place is nearer to."""
    if along > at:
        at, along = whole - at, whole - along
    far = whole - at
    return force * far * along * (whole**2 - far**2 - along**2) / (6 * whole)


def slope_at_ends(
    span: Fraction, loads: Sequence[PointLoad], even: Fraction, rigidity: Fraction
) -> tuple[Fraction, Fraction]:
    """How steeply the beam leaves the first and the second support, as rise in run, both above 0 where it sags.

    >>> slope_at_ends(Fraction(1000 * NM_PER_MM), [], Fraction(24), Fraction(10**9))
    (Fraction(1, 1), Fraction(1, 1))
    """
    whole = span / NM_PER_MM
    evenly = even * whole**3 / 24
    ends = []
    for turned in (False, True):
        by_points = Fraction(0)
        for load in loads:
            far = whole - load.place / NM_PER_MM if not turned else load.place / NM_PER_MM
            by_points += load.force * far * (whole**2 - far**2) / (6 * whole)
        ends.append((evenly + by_points) / rigidity)
    return ends[0], ends[1]


def greatest_sag(
    span: Fraction, loads: Sequence[PointLoad], even: Fraction, rigidity: Fraction
) -> tuple[Fraction, Fraction]:
    """The greatest sag between the supports under loads that press down, and where: (nm, nm from the first).

    The beam sags in one curve: the place where it lies level is closed in on to a thousandth of a millimetre, which
    moves the sag by nothing that could be told.

    >>> sag, at = greatest_sag(Fraction(10**9), [PointLoad(Fraction(480), Fraction(5 * 10**8))], Fraction(0),
    ...                        Fraction(10**9))
    >>> int(sag), round(at / 10**4)
    (10000000, 50000)
    """
    whole = span / NM_PER_MM
    points = [(load.force, load.place / NM_PER_MM) for load in loads]
    near, far = 0, int(whole * 1000)
    while far - near > 1:
        middle = (near + far) // 2
        falls = _slope(whole, points, even, Fraction(middle, 1000)) > 0
        near, far = (middle, far) if falls else (near, middle)
    return max(
        (sag_at(span, loads, even, rigidity, place), place) for place in (Fraction(near * 1000), Fraction(far * 1000))
    )


def _slope(whole: Fraction, points: Sequence[tuple[Fraction, Fraction]], even: Fraction, along: Fraction) -> Fraction:
    """E I times how steeply the beam falls at a place, in mm; below 0 it rises there."""
    slope = even * (whole**3 - 6 * whole * along**2 + 4 * along**3) / 24
    for force, at in points:
        falls = along <= at
        near, place = (at, along) if falls else (whole - at, whole - along)
        far = whole - near
        one = force * far * (whole**2 - far**2 - 3 * place**2) / (6 * whole)
        slope += one if falls else -one
    return slope


def out_of_flat(heights: Iterable[Fraction]) -> Fraction:
    """How far a top is from flat: the highest of its points less the lowest, as a straight edge finds it, nm.

    What sags is given below 0; a point over a support is at 0 unless that itself gives way.

    >>> out_of_flat([Fraction(0), Fraction(-300_000), Fraction(50_000)])
    Fraction(350000, 1)
    """
    found = list(heights)
    return max(found) - min(found)
