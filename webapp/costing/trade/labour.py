"""Minutes: the mean of a low / likely / high triple, and what repeats save."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from math import log
from typing import Final

#: How much the likely minutes weigh beside low and high where the shop knows a step, as in PERT.
LIKELY_WEIGHT: Final = Fraction(4)


def mean_known(low: Fraction, likely: Fraction, high: Fraction, weight: Fraction = LIKELY_WEIGHT) -> Fraction:
    """Mean minutes of a step that the shop knows: (a + 4 m + b) / 6, as in PERT.

    >>> mean_known(Fraction(4), Fraction(6), Fraction(12))
    Fraction(20, 3)
    """
    return (low + weight * likely + high) / (2 + weight)


def mean_new(low: Fraction, likely: Fraction, high: Fraction) -> Fraction:
    """Mean minutes of a step that the shop does not know: (a + m + b) / 3, the triangular mean.

    >>> mean_new(Fraction(4), Fraction(6), Fraction(12))
    Fraction(22, 3)
    """
    return (low + likely + high) / 3


def unit_factor(number: int, slope: Fraction) -> float:
    """What unit `number` takes, as a share of the first: n ** (ln slope / ln 2), Crawford's unit curve.

    Each doubling takes the slope of what it took before:

    >>> round(unit_factor(4, Fraction(4, 5)), 9)
    0.64
    """
    return float(number ** (log(float(slope)) / log(2)))


@lru_cache(maxsize=1024)
def learning_average(count: Fraction, slope: Fraction, flat_after: Fraction) -> Fraction:
    """The average unit time over `count` repeats, as a share of the first unit's, to nine decimals.

    Crawford's unit curve (operations textbook, exhibit 4A); after `flat_after` units nothing more is gained.

    The first takes 1, the second 0.8:

    >>> learning_average(Fraction(2), Fraction(4, 5), Fraction(100))
    Fraction(9, 10)
    """
    repeats, flat = int(count), int(flat_after)
    if repeats <= 1 or slope >= 1:
        return Fraction(1)
    falling = sum(unit_factor(number, slope) for number in range(1, min(repeats, flat) + 1))
    level = max(0, repeats - flat) * unit_factor(flat, slope)
    return Fraction(round((falling + level) / repeats * 10**9), 10**9)
