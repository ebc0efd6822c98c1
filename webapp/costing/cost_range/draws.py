"""Numbers drawn from a seed, alike on every machine and under every release of numpy.

The generator is SplitMix64 ('Fast splittable pseudorandom number generators', 2014), in whole
numbers. Of each thing as many values are laid out as there are draws, each standing for an equal share of what may
come; the generator only says in which order they are drawn. So the spread of one thing is met exactly, whatever the
seed, and only how things fall together is chance. What is done with the numbers is what IEEE 754 defines to the last
bit, but for a power and an exponential, whose last bits are gone once a result is rounded to the coin.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from hashlib import sha256
from math import ceil, sqrt
from statistics import NormalDist
from typing import Any, Final

import numpy as np

Draws = np.ndarray[Any, np.dtype[np.float64]]

_GAMMA: Final = 0x9E3779B97F4A7C15
_MIX_1: Final = 0xBF58476D1CE4E5B9
_MIX_2: Final = 0x94D049BB133111EB
_WORD: Final = (1 << 64) - 1
#: Normal scores are kept in steps of this, so that the last bits of a logarithm can't change an order.
_STEP: Final = 2.0**24
#: A beta distribution is summed up over so many stretches.
_STRETCHES: Final = 4096


def splitmix64(start: int, count: int) -> np.ndarray[Any, np.dtype[np.uint64]]:
    """So many numbers of 64 bits from a starting state."""
    steps = np.arange(1, count + 1, dtype=np.uint64) * np.uint64(_GAMMA)
    z = steps + np.uint64(start & _WORD)
    z = (z ^ (z >> np.uint64(30))) * np.uint64(_MIX_1)
    z = (z ^ (z >> np.uint64(27))) * np.uint64(_MIX_2)
    return z ^ (z >> np.uint64(31))


@lru_cache(maxsize=4)
def midpoints(count: int) -> Draws:
    """The middles of so many equal shares of 0 to 1, rising.

    >>> midpoints(4).tolist()
    [0.125, 0.375, 0.625, 0.875]
    """
    return (np.arange(count, dtype=np.float64) + 0.5) / count


@lru_cache(maxsize=4)
def _normal_scores(count: int) -> Draws:
    normal = NormalDist()
    half = [round(normal.inv_cdf((place + 0.5) / count) * _STEP) / _STEP for place in range(count // 2)]
    middle = [0.0] if count % 2 else []
    return np.array([*half, *middle, *(-score for score in reversed(half))])


@lru_cache(maxsize=256)
def shuffled_normals(name: str, seed: int, count: int) -> Draws:
    """Normal scores in the order that the seed and the name of what is drawn give; not to be written into.

    They are the same at every size of a job, so those of the steps and materials at hand are kept: ordering them is
    most of what a range takes, and the next key waits for it.
    """
    start = int.from_bytes(sha256(f"{seed}/{name}".encode()).digest()[:8], "big")
    drawn = _normal_scores(count)[np.argsort(splitmix64(start, count), kind="stable")]
    drawn.setflags(write=False)
    return drawn


def together(common: Draws, own: Draws, correlation: float) -> Draws:
    """Normals of which any two that share `common` are correlated by so much."""
    return sqrt(correlation) * common + sqrt(1 - correlation) * own


def in_order_of(normals: Draws, table: Draws) -> Draws:
    """The values of a rising table, the least where the normals are least."""
    drawn = np.empty_like(table)
    drawn[np.argsort(normals, kind="stable")] = table
    return drawn


def triangular(low: float, likely: float, high: float, count: int) -> Draws:
    """The quantiles of a triangle, rising."""
    if high <= low:
        return np.full(count, likely)
    share, width = midpoints(count), high - low
    turn = (likely - low) / width
    rising = low + np.sqrt(share * width * (likely - low))
    falling = high - np.sqrt((1 - share) * width * (high - likely))
    return np.where(share < turn, rising, falling)


def beta_pert(low: float, likely: float, high: float, count: int, shape: int) -> Draws:
    """The quantiles of a beta-PERT of that shape (4 is the usual), rising."""
    if high <= low:
        return np.full(count, likely)
    width = high - low
    return low + width * _beta((likely - low) / width, count, shape)


@lru_cache(maxsize=256)
def _beta(likely: float, count: int, shape: int) -> Draws:
    """The quantiles of a beta-PERT between 0 and 1, by the area under its curve up to each place."""
    places = midpoints(_STRETCHES)
    heights = places ** (shape * likely) * (1 - places) ** (shape * (1 - likely))
    below = np.concatenate((np.zeros(1), np.cumsum(heights)))
    edges = np.arange(_STRETCHES + 1, dtype=np.float64) / _STRETCHES
    return np.interp(midpoints(count), below / below[-1], edges)


def price_factors(normals: Draws, spread: float) -> Draws:
    """What prices are multiplied by: lognormal, 1 on the mean, so that none falls below nothing."""
    return np.exp(spread * normals - spread * spread / 2)


def of_observed(values: Draws, count: int) -> Draws:
    """As many quantiles as are drawn from values that were seen, in rising order."""
    return values[np.minimum((midpoints(count) * len(values)).astype(np.int64), len(values) - 1)]


def quantile(drawn: Draws, share: Fraction) -> float:
    """The least drawn value that this share of the draws stay within.

    >>> quantile(np.array([4.0, 1.0, 3.0, 2.0]), Fraction(3, 4))
    3.0
    """
    place = max(0, ceil(share * len(drawn)) - 1)
    return float(np.partition(drawn, place)[place])
