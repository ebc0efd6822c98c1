"""What was paid at the lines of a list, as prices seen: by the one rule for prices, held against the list's own."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.buying_list.entries import GOT, LOADED
from webapp.costing.buying_list.lines import Offered, Terms
from webapp.costing.buying_list.settle import Settled, SettledList
from webapp.costing.catalogue.materials import PriceSeen
from webapp.costing.measures.money import to_decimal
from webapp.costing.prices.stated_price import Jump, PriceRead, find_jump

#: Beyond the currency's own decimals: what one of three costs that cost 10.00 together.
FURTHER_PLACES: Final = 2


@dataclass(frozen=True, slots=True)
class PricePaid:
    """A price that follows from the entry of a line. Where it jumps and nobody said that it is right it is asked about
    and not yet kept as a price; what was paid counts all the same."""

    line: str
    entry: str
    seen: PriceSeen
    jump: Jump | None

    @property
    def counts(self) -> bool:
        """Whether it is kept as a price."""
        return self.jump is None


def prices_paid(settled: SettledList, where: str) -> tuple[PricePaid, ...]:
    """The prices of a list, in the order of the entries that they follow from, whatever order these came in."""
    terms = settled.making.terms
    found = [(one.holds.place, paid) for one in settled.lines if one.holds and (paid := _of(one, terms, where))]
    return tuple(paid for _, paid in sorted(found, key=lambda each: each[0]))


def bought_as(one: Settled) -> Offered | None:
    """Of which offer a line's price is; None where it is of none: another thing, or bought where the list knows none of
    it."""
    return offered_as(one) if one.holds is not None else None


def offered_as(one: Settled) -> Offered | None:
    """Which offer a line is bought as, or is to be; None where it is none: another thing, or a stop that the list knows
    no such pack of."""
    line, said = one.line, one.holds.said if one.holds else None
    if line is None or line.taken or (said is not None and said.instead):
        return None
    if said is not None and said.offer:
        return next((other for other in line.offers if other.offer == said.offer), None)
    if one.stop == line.stop:
        return line.offered
    # The same pack at another stop is that stop's own offer.
    return next((other for other in line.others if (other.stop, other.pack) == (one.stop, line.pack)), None)


def _of(one: Settled, terms: Terms, where: str) -> PricePaid | None:
    offered, entry, paid = bought_as(one), one.holds, one.paid
    if offered is None or entry is None or not paid or one.state not in GOT:
        return None
    said = entry.said
    found = price_of_purchase(
        Purchase(offered, one.got * offered.per, paid, entry.day, said.with_tax, one.state == LOADED, said.one_off),
        terms, where, entry.by,
    )  # fmt: skip
    return None if found is None else PricePaid(one.id, entry.id, found[0], None if said.sure else found[1])


@dataclass(frozen=True, slots=True)
class Purchase:
    """So many of an offer, counted as its price counts them, and what was paid for them together."""

    offered: Offered
    number: Fraction
    paid: Decimal
    day: date
    with_tax: bool | None
    collected: bool
    one_off: bool


def price_of_purchase(one: Purchase, terms: Terms, where: str, by: str) -> tuple[PriceSeen, Jump | None] | None:
    """The price of one that was seen with a purchase, and how far it jumps; None where it tells no price."""
    amount = _each(one.paid, one.number, terms.places) if one.number else Decimal(0)
    if amount <= 0:
        return None
    price = one.offered.price
    held = price.at(int(one.number)) if price else None
    read = PriceRead(
        amount, one.day, held.from_quantity if held else 1, one.with_tax,
        # Who loads it at the counter pays no carriage in its price.
        None if one.offered.comes_delivered or not one.collected else False,
        one.one_off,
    )  # fmt: skip
    seen = read.seen(one.offered.offer, terms.currency, where, by, price)
    return seen, find_jump(seen, price, terms.jump, terms.tax)


def _each(paid: Decimal, number: Fraction, places: int) -> Decimal:
    """The price of one, without decimals beyond the currency's where it has none."""
    amount = to_decimal(Fraction(paid) / number, places + FURTHER_PLACES)
    return amount.quantize(Decimal(1).scaleb(-places)) if amount == round(amount, places) else amount
