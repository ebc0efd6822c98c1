"""What is bought in and passed on: no handling and no contingency on it, and a profit of its own.

A free line of a part, a hire or a service is bought in as a whole; of a line of own work the materials marked so are.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp.costing.job_price.lines import BOUGHT_IN, LineInputs, PriceLine
from webapp.costing.ledger.working import Figure

if TYPE_CHECKING:
    from webapp.costing.job_price.pricer import Pricer


@dataclass(frozen=True, slots=True)
class PassedOn:
    """What is bought in for a line of own work: what it costs, and what it is passed on at."""

    cost: Figure
    price: Figure


def bears_contingency(
    pricer: Pricer, key: str, inputs: LineInputs, build_up: Mapping[str, Figure], direct: Figure
) -> Figure:
    """What of a line's direct cost bears contingency: not what is bought in, whose price is known."""
    if not pricer.rates.yes("bought_in_apart"):
        return direct
    figure_id, label = f"{key}/bears", f"{inputs.label}: bears contingency"
    if not inputs.own_work:
        return pricer.working.given(figure_id, label, 0, "money", "it is bought in, so its price is known")
    if BOUGHT_IN not in build_up:
        return direct
    return pricer.working.derive(
        figure_id, label, "money", "direct cost - what is bought in, whose price is known", "direct - bought",
        direct=direct, bought=build_up[BOUGHT_IN],
    )  # fmt: skip


def pass_on(pricer: Pricer, key: str, inputs: LineInputs, build_up: Mapping[str, Figure]) -> PassedOn | None:
    """What of a line of own work is bought in, at its own profit; None where nothing is."""
    cost = build_up.get(BOUGHT_IN)
    if cost is None:
        return None
    profit, rule, words = pricer.profit("profit_bought_in")
    price = pricer.working.derive(
        f"{key}/bought_in_price", f"{inputs.label}: what is bought in, passed on", "money",
        f"{words}, rounded half up", f"half_up({rule}(cost, profit), coin)", cost=cost, profit=profit,
        coin=pricer.coin,
    )  # fmt: skip
    return PassedOn(cost, price)


def earned_on_bought_in(pricer: Pricer, key: str, line: PriceLine, passed_on: PassedOn | None) -> Figure:
    """What of a line's profit is earned on what is bought in, before discount."""
    price, cost = (line.price, line.cost) if passed_on is None else (passed_on.price, passed_on.cost)
    return pricer.working.derive(
        f"{key}/bought_in_profit", f"{line.label}: earned on what is bought in", "money", "price - cost",
        "price - cost", price=price, cost=cost,
    )  # fmt: skip
