"""From cost to price: margin and markup, fees."""

from __future__ import annotations

from fractions import Fraction


def price_from_margin(cost: Fraction, margin: Fraction) -> Fraction:
    """price = cost / (1 - margin); the margin is a share of the price, below 1."""
    return cost / (1 - margin)


def price_from_markup(cost: Fraction, markup: Fraction) -> Fraction:
    """price = cost x (1 + markup); the markup is a share of the cost."""
    return cost * (1 + markup)


def margin_of(cost: Fraction, price: Fraction) -> Fraction:
    """The margin that a price leaves over its cost, as a share of the price (nothing sold leaves none)."""
    return (price - cost) / price if price else Fraction(0)


def markup_of(cost: Fraction, price: Fraction) -> Fraction:
    """The markup that a price puts on its cost, as a share of the cost."""
    return (price - cost) / cost if cost else Fraction(0)


def fee_gross_up(total: Fraction, fee: Fraction) -> Fraction:
    """What to add so that the total is left after a fee of the share f is taken: total x f / (1 - f)."""
    return total * fee / (1 - fee)
