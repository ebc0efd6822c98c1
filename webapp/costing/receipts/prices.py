"""The prices that follow from the lines of a receipt, by the one rule for purchases."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from webapp.costing.buying_list.lines import Offered
from webapp.costing.buying_list.prices import Purchase, price_of_purchase
from webapp.costing.catalogue.materials import PriceSeen
from webapp.costing.prices.stated_price import Jump
from webapp.costing.receipts.receipt import Receipt


@dataclass(frozen=True, slots=True)
class PriceOnReceipt:
    """The price of one that the line `number` tells. Where it jumps and nobody said that it is right, it is asked about
    and not kept; what was paid counts all the same."""

    number: int
    seen: PriceSeen
    jump: Jump | None


def prices_on(receipt: Receipt, offers: Mapping[str, Offered], where: str, by: str) -> tuple[PriceOnReceipt, ...]:
    """The price of each line that is of an offer, was counted, and was paid for."""
    found = []
    for number, line in enumerate(receipt.lines, 1):
        offered = offers.get(line.offer)
        if offered is None or line.count is None or line.paid <= 0:
            continue
        # A receipt without tax tells nothing about it: such a price is as the one before.
        with_tax = receipt.hold_tax if receipt.tax else None
        bought = Purchase(
            offered, line.count * offered.per, line.paid, receipt.day, with_tax, not offered.comes_delivered,
            line.one_off,
        )  # fmt: skip
        told = price_of_purchase(bought, receipt.terms, where, by)
        if told is not None:
            found.append(PriceOnReceipt(number, told[0], None if line.sure else told[1]))
    return tuple(found)
