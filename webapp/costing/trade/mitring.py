"""Mitres: how much longer a piece is on one face than on the opposite one."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

#: Half the ratio of a circle's circumference to its diameter, to forty places.
QUARTER_TURN: Final = Fraction(15707963267948966192313216916397514420986, 10**40)
_TERMS: Final = 24


def mitre_run(across: Fraction, degrees: Fraction) -> Fraction:
    """How far a cut runs along a piece `across` nm wide, so many degrees off square: across x tangent, in whole nm.

    Exact geometry, rounded half up; 45 degrees give the width itself. From 0 to less than 90 degrees.

    Raises ValueError for any other angle.

    >>> mitre_run(Fraction(100), Fraction(45)), mitre_run(Fraction(10**9), Fraction(30))
    (Fraction(100, 1), Fraction(577350269, 1))
    """
    if not 0 <= degrees < 90:
        raise ValueError(f"A cut {degrees} degrees off square never crosses the piece.")
    angle = QUARTER_TURN * Fraction(degrees) / 90
    run = Fraction(across) * _series(angle, 1) / _series(angle, 0)
    return Fraction((2 * run.numerator + run.denominator) // (2 * run.denominator))


def _series(angle: Fraction, first: int) -> Fraction:
    """The sine (`first` 1) or cosine (`first` 0) by its power series, far beyond a nanometre in a kilometre."""
    term = angle if first else Fraction(1)
    total = term
    for number in range(first + 2, first + 2 * _TERMS, 2):
        term *= -angle * angle / (number * (number - 1))
        total += term
    return total
