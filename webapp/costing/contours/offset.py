"""A contour grown or shrunk by a distance, exactly: lines move, arcs grow or shrink, and corners close as they must."""

from __future__ import annotations

from collections.abc import Iterator
from math import atan2, dist, pi, sqrt, tan
from typing import Final

from webapp.costing.contours.sides import NEAR, STRAIGHT, Contour, Flat, Side
from webapp.costing.space.stretches import far_from

#: How near the offset has to be to its distance wherever it is looked at, mm; and how many places of a side are.
_EXACT: Final = 1e-4
_LOOKED_AT: Final = 8
#: A corner that turns by less is none, as a share of a right angle's sine.
_SMOOTH: Final = 1e-7


class OffsetError(Exception):
    """No contour runs so far off all the way round: somewhere it is too narrow. The sentence names the place, mm."""

    def __init__(self, at: Flat) -> None:
        super().__init__(f"too narrow near {at[0]:.1f} along and {at[1]:.1f} up")
        self.at = at


def offset(contour: Contour, by: float) -> Contour:
    """The contour that runs `by` mm outside (below 0: inside) all along. What grows gets round corners outside; inside
    them sides meet.

    Raises OffsetError where a side would vanish, or where the two sides of a narrow place would cross.

    >>> from webapp.costing.contours.sides import area_of, rectangle
    >>> round(area_of(offset(rectangle(0, 0, 40, 20), 5)), 6), round(area_of(offset(rectangle(0, 0, 40, 20), -5)), 6)
    (1478.539816, 300.0)
    """
    if abs(by) < NEAR:
        return contour
    kept = [(side, shifted) for side in contour if (shifted := _shifted(side, by)) is not None]
    if len(kept) < 2:
        raise OffsetError(contour[0].begin)
    ends = [_join(kept[place - 1], kept[place], by) for place in range(len(kept))]
    found: list[Side] = []
    for place, (side, shifted) in enumerate(kept):
        begin, after = ends[place], ends[(place + 1) % len(kept)]
        if begin.round is not None:
            found.append(begin.round)
        trimmed = _trimmed(shifted, begin.begins, after.ends)
        if trimmed is None:
            raise OffsetError(side.at(0.5))
        if trimmed.chord > NEAR:
            found.append(trimmed)
    _check(tuple(found), contour, by)
    return tuple(found)


class _Joint:
    """Where one moved side ends and the next begins, and the arc between them where a corner opens."""

    def __init__(self, ends: Flat, begins: Flat, around: Side | None = None) -> None:
        self.ends, self.begins, self.round = ends, begins, around


def _shifted(side: Side, by: float) -> Side | None:
    """A side moved to its right; None of an arc of which nothing is left."""
    if not side.is_arc:
        x, y = side.heading(0.0)
        off = (y * by, -x * by)
        return Side((side.begin[0] + off[0], side.begin[1] + off[1]), (side.end[0] + off[0], side.end[1] + off[1]))
    radius = side.radius + by * (1 if side.bulge > 0 else -1)
    if radius < NEAR:
        return None
    x, y = side.middle
    share = radius / side.radius
    begin, end = ((x + (at[0] - x) * share, y + (at[1] - y) * share) for at in (side.begin, side.end))
    return Side(begin, end, side.bulge)


def _join(before: tuple[Side, Side], after: tuple[Side, Side], by: float) -> _Joint:
    (one, moved), (other, moved_other) = before, after
    if dist(moved.end, moved_other.begin) < NEAR:
        return _Joint(moved.end, moved_other.begin)
    corner = other.begin
    if dist(one.end, corner) < NEAR:
        come, leave = one.heading(1.0), other.heading(0.0)
        bend = come[0] * leave[1] - come[1] * leave[0]
        if bend * by > _SMOOTH * abs(by):
            # The corner opens: all that is so far from it is an arc about it.
            turn = atan2(bend, come[0] * leave[0] + come[1] * leave[1])
            return _Joint(moved.end, moved_other.begin, Side(moved.end, moved_other.begin, tan(turn / 4)))
    else:
        corner = ((one.end[0] + corner[0]) / 2, (one.end[1] + corner[1]) / 2)
    met = min(_crossings(moved, moved_other), key=lambda at: dist(at, corner), default=None)
    if met is None:
        raise OffsetError(corner)
    return _Joint(met, met)


def _crossings(one: Side, other: Side) -> Iterator[Flat]:
    """Where two sides meet, each taken as far as it goes: a whole line, a whole circle."""
    if not one.is_arc and not other.is_arc:
        (x, y), (u, v) = one.heading(0.0), other.heading(0.0)
        turn = x * v - y * u
        if abs(turn) > _SMOOTH:
            far = ((other.begin[0] - one.begin[0]) * v - (other.begin[1] - one.begin[1]) * u) / turn
            yield one.begin[0] + far * x, one.begin[1] + far * y
    elif one.is_arc and other.is_arc:
        yield from _of_circles(one.middle, one.radius, other.middle, other.radius)
    else:
        line, arc = (other, one) if one.is_arc else (one, other)
        (x, y), (u, v), (middle_x, middle_y) = line.begin, line.heading(0.0), arc.middle
        along = (middle_x - x) * u + (middle_y - y) * v
        left = arc.radius**2 - ((middle_x - x) * v - (middle_y - y) * u) ** 2
        if left > -NEAR:
            for far in (along - sqrt(max(left, 0.0)), along + sqrt(max(left, 0.0))):
                yield x + far * u, y + far * v


def _of_circles(one: Flat, radius: float, other: Flat, other_radius: float) -> Iterator[Flat]:
    far = dist(one, other)
    if far < NEAR:
        return
    along = (far**2 + radius**2 - other_radius**2) / (2 * far)
    left = radius**2 - along**2
    if left > -NEAR:
        u, v = (other[0] - one[0]) / far, (other[1] - one[1]) / far
        for up in (sqrt(max(left, 0.0)), -sqrt(max(left, 0.0))):
            yield one[0] + along * u - up * v, one[1] + along * v + up * u


def _trimmed(side: Side, begin: Flat, end: Flat) -> Side | None:
    """A moved side between the places where it meets its neighbours; None where that would turn it round."""
    if not side.is_arc:
        (x, y), far = side.heading(0.0), (end[0] - begin[0], end[1] - begin[1])
        return Side(begin, end) if far[0] * x + far[1] * y > -NEAR else None
    middle, left = side.middle, 1 if side.bulge > 0 else -1
    angles = [atan2(at[1] - middle[1], at[0] - middle[0]) for at in (begin, end)]
    turn = left * (angles[1] - angles[0]) % (2 * pi)
    if turn > 2 * pi - _SMOOTH:
        turn = 0.0
    if turn > abs(side.turn) + pi / 2:
        # It would go nearly all the way round: its ends have passed each other.
        return None
    bulge = left * tan(turn / 4)
    return Side(begin, end, bulge if abs(bulge) > STRAIGHT else 0.0)


def _check(found: Contour, contour: Contour, by: float) -> None:
    """Raises OffsetError where what was found comes nearer to the contour than it should anywhere."""
    asked = [side.stretch for side in contour]
    for side in found:
        for nth in range(_LOOKED_AT + 1):
            at = side.at(nth / _LOOKED_AT)
            if far_from(asked, at) < abs(by) - _EXACT:
                raise OffsetError(at)
