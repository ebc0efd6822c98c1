"""Fastenings in rows, spares, and whether a fastening bites and stays inside. Lengths in nm."""

from __future__ import annotations

from fractions import Fraction
from math import ceil
from typing import Final

#: How many times what it holds a screw goes into the second part. Common practice.
BITE_OF_HELD: Final = Fraction(3, 2)


def row_count(
    run: Fraction, end: Fraction, spacing: Fraction, at_least: Fraction, within: Fraction = Fraction(0)
) -> Fraction:
    """Fastenings in one row: max(least, whole_up((run - 2 x end) / spacing) + 1), lengths judged `within` so much.

    Where the run is shorter than two end distances, the end distance shrinks to a quarter of the run and two
    fastenings hold it (common practice). The perimeter of a panel at 6 in: IRC table R602.3(1).

    A run of 1000 mm, 50 mm from its ends, every 150 mm, two at least:

    >>> row_count(Fraction(1000), Fraction(50), Fraction(150), Fraction(2))
    Fraction(7, 1)
    """
    if run <= 0 or spacing <= 0:
        return Fraction(0)
    if run + within < 2 * end:
        return max(Fraction(2), at_least)
    return max(at_least, Fraction(ceil((run - 2 * end - within) / spacing) + 1))


def with_spares(count: Fraction, share: Fraction) -> Fraction:
    """Whole pieces to have at hand: the count and its spares, rounded up once, exactly.

    >>> with_spares(Fraction(36), Fraction(1, 10))
    Fraction(40, 1)
    """
    return Fraction(ceil(count * (1 + share)))


def bite_needed(held: Fraction, least: Fraction, times: Fraction = BITE_OF_HELD) -> Fraction:
    """How deep a screw has to go into the second part: so many times what it holds, and at least `least`.

    Through 18 mm, in sheets of which 25 mm are the least:

    >>> bite_needed(Fraction(18), Fraction(25))
    Fraction(27, 1)
    """
    return max(times * held, least)
