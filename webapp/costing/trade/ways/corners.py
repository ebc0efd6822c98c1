"""A thing carried round the right-angled corner of two corridors, or over a landing. Lengths in nm.

Worked by geometry. Let the outer walls be the axes, the corridors u and v wide, so that the inner corner is at (u, v).
A rectangle of length a is turned with both ends of its outer long side sliding on the outer walls, since nothing leaves
more room: at the angle w that side runs from (a cos w, 0) to (0, a sin w), and the inner corner is
u sin w + v cos w - a sin w cos w from it. That has to be at least the width b at each angle. The ladder (b = 0) is the
known case: a = (u to the power 2/3 + v to the power 2/3) to the power 3/2. A thing that lies within a rectangle of u by
v, straight or aslant, needs no turning: it goes along the one corridor, then sideways along the other. At any angle at
which it fits one corridor alone, the first condition holds as well; so together they are exact.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from math import lcm
from typing import Final

from webapp.costing.trade.ways.boxes import SPARE, Box, Passage, Turned, best_of, lies_within, passage, turned

_STEPS: Final = 2**20
_LOOKED: Final = 2**8
_PARTS: Final = 2**10


def widest_that_turns(length: Fraction, one: Fraction, other: Fraction) -> Fraction:
    """The greatest width of a rectangle of this length that can be turned round the corner of two corridors.

    Below 0 nothing of this length turns. The least is looked for at 256 angles and then closed in on, the tangent of
    half the angle in steps of a millionth; in whole nm, rounded down.

    A ladder of 2 root 2 (2.828 m) turns between corridors of 1 m:

    >>> metre = 10**9
    >>> widest_that_turns(Fraction(2828 * 10**6), Fraction(metre), Fraction(metre)) > 0
    True
    >>> widest_that_turns(Fraction(2829 * 10**6), Fraction(metre), Fraction(metre)) > 0
    False
    """
    left = _left_at(length, one, other)
    stride = _STEPS // _LOOKED
    best = min(range(0, _STEPS + 1, stride), key=left)
    low, high = max(0, best - stride), min(_STEPS, best + stride)
    while high - low > 2:
        third = (high - low) // 3
        if left(low + third) < left(high - third):
            high -= third
        else:
            low += third
    return Fraction(min(map(left, range(low, high + 1))) // _PARTS)


def _left_at(length: Fraction, one: Fraction, other: Fraction) -> Callable[[int], int]:
    """From the inner corner to the long side, where the tangent of half its angle is so many _STEPS-ths; in parts of a
    nm, rounded down: whole numbers, since some three hundred angles are looked at for each turn."""
    scale = lcm(*(Fraction(value).denominator for value in (length, one, other)))
    long, near, far = (int(value * scale) for value in (length, one, other))

    def left(step: int) -> int:
        over, under, whole = 2 * step * _STEPS, _STEPS**2 - step**2, _STEPS**2 + step**2
        return _PARTS * ((near * over + far * under) * whole - long * over * under) // (whole**2 * scale)

    return left


def round_corner(box: Box, one: Fraction, other: Fraction, headroom: Fraction, spare: Fraction = SPARE) -> Passage:
    """Whether a thing goes round the right-angled corner of two corridors (or over a landing), and turned how.

    It stays as it is turned (standing, on its side, on its end) and level. Both corridors are long, with room at their
    other ends to turn it. Falls short by what its plan is too wide for the turn, or by what it is too tall.

    >>> mm = 10**6
    >>> bench = Box(Fraction(1800 * mm), Fraction(700 * mm), Fraction(850 * mm))
    >>> round_corner(bench, Fraction(1200 * mm), Fraction(1200 * mm), Fraction(2400 * mm)).how
    'standing'
    """
    return best_of([_turned_round(way, one, other, headroom) for way in turned(box, spare)])


def _turned_round(way: Turned, one: Fraction, other: Fraction, headroom: Fraction) -> Passage:
    too_tall = way.tall - headroom
    if lies_within(way.greater, way.lesser, one, other):
        return passage(way.how, too_tall, Fraction(0))
    return passage(
        way.how, too_tall, way.lesser - min(widest_that_turns(way.greater, one, other), Fraction(one), Fraction(other))
    )
