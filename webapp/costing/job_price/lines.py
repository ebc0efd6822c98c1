"""The lines of a quote as values: what goes into one, what it costs, what it is priced at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from webapp.costing.ledger.working import Figure

LineSort = Literal["item", "free", "trip", "charge", "minimum"]

#: The stretch of a line of own work that is passed on as it was bought.
BOUGHT_IN: Final = "bought_in"

#: Lines without contingency, profit and discount.
AS_IT_STANDS: Final = ("charge", "minimum")


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One line of the quote, in the shop's currency; `price` is before discount and tax, `net` after discount.

    `build_up` are the stretches of the cost by name, in order; they, `contingency` and the `reserves` (shares of the
    price that rules take) add to `cost`, profit to `price`. `bought_in_profit` is what of that profit is earned on what
    is bought in.
    """

    id: str
    label: str
    sort: LineSort
    quantity: Figure
    build_up: tuple[tuple[str, Figure], ...]
    minutes: Figure
    direct: Figure
    contingency: Figure
    cost: Figure
    unit_price: Figure
    price: Figure
    discount: Figure
    net: Figure
    tax_rate: Figure
    tax: Figure
    reserves: tuple[tuple[str, Figure], ...] = ()
    bought_in_profit: Figure | None = None

    @property
    def stretches(self) -> tuple[tuple[str, Figure], ...]:
        """The stretches of the cost and the reserves, by name."""
        return (*self.build_up, *self.reserves)


@dataclass(frozen=True, slots=True)
class LineInputs:
    """What goes into a line before it is priced; `reserves` are shares of its price by stretch."""

    id: str
    label: str
    sort: LineSort
    quantity: Figure
    parts: Sequence[tuple[str, Sequence[Figure]]]
    minutes: Sequence[Figure]
    goods: bool
    own_work: bool
    reserves: Sequence[tuple[str, Figure]] = ()


@dataclass(frozen=True, slots=True)
class CostedLine:
    """A line as far as its direct cost goes: all that what may come otherwise is drawn from."""

    id: str
    label: str
    sort: LineSort
    build_up: tuple[tuple[str, Figure], ...]
    minutes: Figure
    direct: Figure
    bears_contingency: Figure
