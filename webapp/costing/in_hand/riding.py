"""The money that rides on prices that are missing or stale: of one job in few figures, and over all work in hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from webapp.costing.catalogue.materials import Catalogue, current_price
from webapp.costing.catalogue.price_state import FRESH, MISSING, STALE, state_at
from webapp.costing.in_hand.short import Short
from webapp.costing.settings.rates import Rates

#: Of each material in doubt how its price stands, and the money that rides on it.
InDoubt = Mapping[str, tuple[str, Fraction]]


def in_doubt(short: Short, catalogue: Catalogue, rates: Rates) -> InDoubt:
    """What is in doubt on this day of all that was bought, with what the job was charged for it."""
    found: dict[str, tuple[str, Fraction]] = {}
    for one in short.purchases:
        material, price = catalogue.materials.get(one.material), current_price(catalogue, one.offer)
        if material is None:
            continue
        seen = None if price is None else price.at(max(1, int(one.quantity)))
        state = MISSING if seen is None else state_at(
            (catalogue.today - seen.seen_on).days, rates[f"price_age_{material.kind}"]
        )  # fmt: skip
        held, amount = found.get(one.material, (FRESH, Fraction(0)))
        worst = MISSING if MISSING in (state, held) else STALE if STALE in (state, held) else FRESH
        found[one.material] = worst, amount + one.quantity * one.each * one.charged
    return {code: told for code, told in found.items() if told[0] != FRESH}


@dataclass(slots=True)
class Riding:
    """What rides on one material: on each job once, whether it is open or quoted, by the larger sum."""

    state: str
    amounts: dict[str, Fraction] = field(default_factory=dict)

    def add(self, job: str, state: str, amount: Fraction) -> None:
        """A job, or a quote of it, that so much rides in."""
        self.state = MISSING if MISSING in (state, self.state) else self.state
        self.amounts[job] = max(amount, self.amounts.get(job, Fraction(0)))

    @property
    def amount(self) -> Fraction:
        """All of it."""
        return sum(self.amounts.values(), Fraction(0))
