"""What is left between openings, and between these and holes: of rectangles and circles exactly, of what has an outline
by the nearest of its stretches. nm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import inf
from typing import Final

from webapp.costing.space.outlines import SAGITTA, Laid, is_within
from webapp.costing.space.stretches import apart, box_of, boxes_apart, far_from
from webapp.costing.takeoff.made.cuts import Cut, in_mm, laid_out
from webapp.costing.takeoff.made.holes import Drilled
from webapp.costing.trade.roots import root_to_places

Span = tuple[Fraction, Fraction]

_NM_PER_MM: Final = 10**6
#: What two things leave that run into each other.
_NONE: Final = Fraction(-1)


def between(one: Cut, other: Cut) -> Fraction:
    """What is left between two cuts; nothing or less where they run into each other."""
    if one.laid is not None or other.laid is not None:
        first, second = laid_out(one), laid_out(other)
        if is_within(first.ring, second.ring[0]) or is_within(second.ring, first.ring[0]):
            return _NONE
        return Fraction(round(apart(first.stretches, second.stretches) * _NM_PER_MM))
    asides = [_apart(*spans) for spans in zip(_inner(one), _inner(other), strict=True)]
    return root_to_places(asides[0] ** 2 + asides[1] ** 2) - one.corner - other.corner


def beside_holes(cut: Cut, holes: Drilled) -> tuple[Fraction | None, Sequence[int]]:
    """What is left between a cut and the nearest hole of a row, and the numbers of the holes that run into it; None
    where there is no hole."""
    if cut.laid is not None:
        return _beside_outline(cut.laid, holes)
    radius = holes.diameter / 2
    asides = [[_apart(span, (place, place)) for place in line]
              for span, line in zip(_inner(cut), holes.lines, strict=True)]  # fmt: skip
    off = {number: asides[0][column] ** 2 + asides[1][row] ** 2 for (column, row), number in holes.numbered().items()}
    reach = (cut.corner + radius) ** 2
    within = [number for number, square in off.items() if square < reach or not square]
    return root_to_places(min(off.values())) - cut.corner - radius if off else None, within


def _beside_outline(laid: Laid, holes: Drilled) -> tuple[Fraction | None, Sequence[int]]:
    radius, box = float(holes.diameter / 2) / _NM_PER_MM, box_of(laid.stretches)
    least, within = inf, []
    for (column, row), number in holes.numbered().items():
        at = in_mm((holes.lines[0][column], holes.lines[1][row]))
        if boxes_apart(box, (at, at)) >= max(least, radius):
            continue
        far = far_from(laid.stretches, at)
        least = min(least, far)
        if far < radius or is_within(laid.ring, at):
            within.append(number)
    return None if least == inf else Fraction(round((least - radius) * _NM_PER_MM)), within


def left_in(outline: Laid, cut: Laid) -> float:
    """What is left between a cut and the outline of its part, mm; below 0 as far as it reaches beyond, or nothing where
    the outline runs into it."""
    beyond = [far_from(outline.stretches, at) for at in _ends(cut) if not is_within(outline.ring, at)]
    if beyond and max(beyond) > SAGITTA:
        return -max(beyond)
    if any(is_within(cut.ring, at) for at in _ends(outline)):
        return 0.0
    return apart(outline.stretches, cut.stretches)


def _ends(laid: Laid) -> Iterator[tuple[float, float]]:
    """Places on an outline: where its stretches end, and the middle of each arc."""
    for one in laid.stretches:
        yield one.begin
        if one.middle is not None:
            yield one.at(0.5)


def _inner(cut: Cut) -> tuple[Span, Span]:
    """A cut without what its corners round off: all of it lies within a corner's radius of that."""
    first, second = (
        (cut.low[along] + cut.corner, cut.high[along] - cut.corner) for along in (0, 1)
    )  # fmt: skip
    return first, second


def _apart(one: Span, other: Span) -> Fraction:
    return max(one[0] - other[1], other[0] - one[1], Fraction(0))
