"""How the price of a material stands, when it is too old, and how that is said on pages and papers alike."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Final

FRESH, STALE, MISSING = "fresh", "stale", "missing"

#: A price that is fresh needs no word.
PRICE_WORDS: Final[Mapping[str, str]] = {FRESH: "", STALE: "stale", MISSING: "no price"}


def state_at(age_days: int, limit_days: Fraction) -> str:
    """How a price of that age stands: at the shop's limit for its kind it is still fresh.

    >>> state_at(90, Fraction(90)), state_at(91, Fraction(90))
    ('fresh', 'stale')
    """
    return STALE if age_days > limit_days else FRESH
