"""Sums of triangles: the sine, cosine and tangent of degrees, and the root; exact where the truth is a fraction.

Everything else is the nearest decimal of thirty figures, worked out in whole numbers: the same on every machine.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from math import isqrt
from typing import Final

#: Half the ratio of a circle's circumference to its diameter, to forty places.
QUARTER_TURN: Final = Fraction(15707963267948966192313216916397514420986, 10**40)
#: How many figures a result keeps, and how finely the series is summed: its terms are cut off far behind those.
_FIGURES: Final = 30
_FINE: Final = 10**60


@lru_cache(maxsize=1024)
def sine(degrees: Fraction) -> Fraction:
    """The sine of an angle in degrees.

    >>> sine(Fraction(30)), sine(Fraction(-90)), sine(Fraction(180))
    (Fraction(1, 2), Fraction(-1, 1), Fraction(0, 1))
    """
    turned = Fraction(degrees) % 360
    if turned >= 180:
        return -sine(turned - 180)
    if turned > 90:
        turned = 180 - turned
    if turned in (0, 30, 90):
        # No other angle of whole or broken degrees from 0 to 90 has a sine that is a fraction.
        return {0: Fraction(0), 30: Fraction(1, 2), 90: Fraction(1)}[int(turned)]
    return _to_figures(_series(turned, 1) if turned <= 45 else _series(90 - turned, 0))


def cosine(degrees: Fraction) -> Fraction:
    """The cosine of an angle in degrees.

    >>> cosine(Fraction(60)), cosine(Fraction(180))
    (Fraction(1, 2), Fraction(-1, 1))
    """
    return sine(Fraction(degrees) + 90)


def tangent(degrees: Fraction) -> Fraction:
    """The tangent of an angle in degrees. Raises ZeroDivisionError at a right angle, which has none.

    >>> tangent(Fraction(45)), tangent(Fraction(-135))
    (Fraction(1, 1), Fraction(1, 1))
    """
    return _to_figures(sine(degrees) / cosine(degrees))


def root_to_figures(value: Fraction) -> Fraction:
    """The square root; of an area in nm2, a length in nm. Raises ValueError below zero.

    By thirty figures, as sines and tangents are: formulas of a design multiply it on, and a slope may be small. Sums
    that checks are made by need no more than the places of `roots.root_to_places`.

    >>> root_to_figures(Fraction(9, 4)), root_to_figures(Fraction(2)) ** 2 == 2
    (Fraction(3, 2), False)
    """
    value = Fraction(value)
    above, below = value.numerator, value.denominator
    if above < 0:
        raise ValueError("Nothing has a root that is below zero.")
    if isqrt(above) ** 2 == above and isqrt(below) ** 2 == below:
        return Fraction(isqrt(above), isqrt(below))
    scale = 10 ** max(0, _FIGURES + 1 - _decimal_size(value) // 2)
    down = isqrt(above * scale**2 // below)
    nearest = down + ((2 * down + 1) ** 2 * below <= 4 * above * scale**2)
    return Fraction(nearest, scale)


def _series(degrees: Fraction, first: int) -> Fraction:
    """The sine (`first` 1) or cosine (`first` 0) of more than 0 to 45 degrees, by its power series."""
    angle = QUARTER_TURN * degrees / 90
    scale = _FINE * max(1, angle.denominator // angle.numerator)
    square = scale * scale
    counted = angle.numerator * scale // angle.denominator
    term, sign, number = (counted, 1, 1) if first else (scale, 1, 0)
    total = term
    while term:
        term = term * counted * counted // (square * (number + 1) * (number + 2))
        sign, number = -sign, number + 2
        total += sign * term
    return Fraction(total, scale)


def _decimal_size(value: Fraction) -> int:
    """About how many figures stand before the point; below zero, how many noughts after it."""
    return (value.numerator.bit_length() - value.denominator.bit_length()) * 30103 // 100_000


def _to_figures(value: Fraction) -> Fraction:
    if value < 0:
        return -_to_figures(-value)
    scale = 10 ** max(0, _FIGURES + 1 - _decimal_size(value)) if value else 1
    scaled = value * scale
    return Fraction((2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator), scale)
