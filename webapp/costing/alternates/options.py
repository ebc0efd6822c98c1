"""What another way of a job comes to beside its own: differences of rounded sums, so that they add up to the cent."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from webapp.costing.estimate.estimate import Estimate
from webapp.costing.measures.money import to_decimal

#: The sums of a foot that a difference is told of, in the order in which they add: what is without tax, the tax, a
#: card's fee, and what is to be paid.
PARTS: Final = ("net", "tax", "fee")
TOTAL: Final = "total"


@dataclass(frozen=True, slots=True)
class Option:
    """Another way on a quote: by how much each sum of the foot is more (or, below nothing, less) than the quote's own,
    and what is to be paid with it. All amounts are of the currency's decimals; `by[net] + by[tax] + by[fee]` is
    `by[total]`, and the quote's total with `by[total]` is `total`, to the cent."""

    id: str
    name: str
    by: Mapping[str, Decimal]
    total: Decimal


def option_of(key: str, name: str, own: Estimate, other: Estimate) -> Option:
    """Another way beside the job's own, both worked out."""
    by = {part: _sum(other, part) - _sum(own, part) for part in (*PARTS, TOTAL)}
    return Option(key, name, by, _sum(other, TOTAL))


def write_option(option: Option) -> dict[str, Any]:
    """An option as a plain document: every amount as text, so that none is rounded."""
    return {
        "id": option.id,
        "name": option.name,
        "by": {part: f"{amount:f}" for part, amount in option.by.items()},
        "total": f"{option.total:f}",
    }


def _sum(estimate: Estimate, part: str) -> Decimal:
    value: Fraction = getattr(estimate.totals, part).value
    return to_decimal(value, estimate.places)
