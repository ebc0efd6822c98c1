"""Money and rounding. Exact fractions inside, decimals with the currency's minor unit where a line is printed."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor, lcm


def exact_sum(values: Sequence[Fraction], times: Sequence[int] | None = None) -> Fraction:
    """The sum of values, each so many times where that is said; in whole numbers of what they have in common, which is
    quicker than one fraction after another.

    >>> exact_sum([Fraction(1, 2), Fraction(1, 3)]), exact_sum([Fraction(1, 2), Fraction(1, 3)], [2, 6]), exact_sum([])
    (Fraction(5, 6), Fraction(3, 1), Fraction(0, 1))
    """
    divisor = lcm(*(value.denominator for value in values))
    parts = [value.numerator * (divisor // value.denominator) for value in values]
    if times is not None:
        parts = [part * number for part, number in zip(parts, times, strict=True)]
    return Fraction(sum(parts), divisor)


def half_up(value: Fraction, step: Fraction = Fraction(1)) -> Fraction:
    """Round to a multiple of `step`, a half going away from zero, as sales tax rules print it
    (Streamlined Sales and Use Tax Agreement, s. 324).

    >>> half_up(Fraction(5, 2)), half_up(Fraction(-5, 2))
    (Fraction(3, 1), Fraction(-3, 1))
    >>> half_up(Fraction("10.005"), Fraction("0.01"))
    Fraction(1001, 100)
    """
    ratio = value / step
    # In whole numbers: amounts are rounded hundreds of times for each page.
    above, below = ratio.numerator, ratio.denominator
    steps = (2 * abs(above) + below) // (2 * below)
    return step * (steps if above > 0 else -steps)


def up_to_step(value: Fraction, step: Fraction) -> Fraction:
    """Round up to a multiple of `step`; a step of 0 leaves the value as it is.

    >>> up_to_step(Fraction(1761), Fraction(5))
    Fraction(1765, 1)
    """
    return value if step == 0 else ceil(value / step) * step


def whole_up(value: Fraction) -> Fraction:
    """The least whole number not below the value.

    >>> whole_up(Fraction(7, 2))
    Fraction(4, 1)
    """
    return Fraction(ceil(value))


def whole_down(value: Fraction) -> Fraction:
    """The largest whole number not above the value.

    >>> whole_down(Fraction(7, 2))
    Fraction(3, 1)
    """
    return Fraction(floor(value))


def to_decimal(value: Fraction, places: int) -> Decimal:
    """A printed amount: rounded half up to `places` decimals.

    >>> to_decimal(Fraction(2, 3), 2)
    Decimal('0.67')
    """
    scaled = half_up(value * 10**places)
    return Decimal(int(scaled)).scaleb(-places)
