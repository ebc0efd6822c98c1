"""Mitres: how much longer a piece is on one face than on the opposite one."""

from __future__ import annotations

from fractions import Fraction

from webapp.costing.trade.triangles import tangent


def mitre_run(across: Fraction, degrees: Fraction) -> Fraction:
    """How far a cut runs along a piece `across` nm wide, so many degrees off square: across x tangent, in whole nm.

    Exact geometry, rounded half up; 45 degrees give the width itself. From 0 to less than 90 degrees.

    Raises ValueError for any other angle.

    >>> mitre_run(Fraction(100), Fraction(45)), mitre_run(Fraction(10**9), Fraction(30))
    (Fraction(100, 1), Fraction(577350269, 1))
    """
    if not 0 <= degrees < 90:
        raise ValueError(f"A cut {degrees} degrees off square never crosses the piece.")
    run = Fraction(across) * tangent(degrees)
    return Fraction((2 * run.numerator + run.denominator) // (2 * run.denominator))
