"""What a shop is asked before its first quote: its own hour, overhead, tax and margin, in place of the program's."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from webapp.costing.settings.rates import Rates


@dataclass(frozen=True, slots=True)
class FirstRate:
    """One thing that is asked, what it is for, and the settings that the answer is kept in."""

    name: str
    label: str
    hint: str
    settings: tuple[str, ...]


FIRST_RATES: Final = (
    FirstRate(
        "hour", "An hour of work costs",
        "Pay with all that is paid on it, often 1.3 times the wage. Your own hours cost money too: what somebody else "
        "would be paid for them. It holds for maker, helper and office until you tell them apart.",
        ("labour_maker", "labour_helper", "labour_office"),
    ),
    FirstRate(
        "overhead", "Overhead for each hour",
        "A year's rent, power, insurance and hours that nobody pays for, divided by the hours that are charged.",
        ("overhead_per_hour",),
    ),
    FirstRate(
        "tax", "Tax on what you charge",
        "Added to the price; 0 where you charge none. Goods and work can differ later.",
        ("tax_goods", "tax_services"),
    ),
    FirstRate(
        "margin", "Margin, of the price",
        "What is left of the price when hours, overhead and materials are paid: at 20 %, 20 of 100.",
        ("profit",),
    ),
)  # fmt: skip


def still_asked(rates: Rates) -> tuple[FirstRate, ...]:
    """What the shop has given no answer of its own to."""
    return tuple(one for one in FIRST_RATES if not rates.own.intersection(one.settings))
