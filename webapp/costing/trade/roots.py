"""Roots and broken powers of exact numbers, to a stated precision: the one place where a sum of the trade takes one."""

from __future__ import annotations

from fractions import Fraction
from math import isqrt
from typing import Final

#: A root is the nearest number of so many decimal places, a half going up; where it comes out even it is exact.
PLACES: Final = 12


def root_to_places(value: Fraction, degree: int = 2) -> Fraction:
    """The root of a number from 0 on, to twelve decimal places; exact where it is a fraction itself.

    By places, as a check holds it against a limit in nm, where no more of it matters; what a design's own formula takes
    a root of is kept by figures, however small, in `triangles.root_to_figures`.

    Raises ValueError below 0, and for a degree below 1.

    >>> root_to_places(Fraction(2)), root_to_places(Fraction(1, 9))
    (Fraction(1414213562373, 1000000000000), Fraction(1, 3))
    >>> root_to_places(Fraction(27), 3)
    Fraction(3, 1)
    """
    value = Fraction(value)
    if value < 0 or degree < 1:
        raise ValueError(f"no root of degree {degree} is taken of {value}")
    over, under = whole_root(value.numerator, degree), whole_root(value.denominator, degree)
    if over**degree == value.numerator and under**degree == value.denominator:
        return Fraction(over, under)
    scaled = value * (2 * 10**PLACES) ** degree
    halves = whole_root(scaled.numerator // scaled.denominator, degree)
    return Fraction((halves + 1) // 2, 10**PLACES)


def power(value: Fraction, exponent: Fraction) -> Fraction:
    """A number to a broken power from 0 on: the power is exact, its root to twelve places.

    >>> power(Fraction(4), Fraction(5, 2))
    Fraction(32, 1)
    """
    exponent = Fraction(exponent)
    return root_to_places(Fraction(value) ** exponent.numerator, exponent.denominator)


def whole_root(value: int, degree: int) -> int:
    """The whole part of the root of a whole number from 0 on.

    >>> whole_root(26, 3), whole_root(27, 3)
    (2, 3)
    """
    if degree == 1 or value < 2:
        return value
    if degree == 2:
        return isqrt(value)
    found = 1 << -(-value.bit_length() // degree)
    while True:
        closer = ((degree - 1) * found + value // found ** (degree - 1)) // degree
        if closer >= found:
            return found
        found = closer
