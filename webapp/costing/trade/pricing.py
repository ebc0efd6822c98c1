"""From cost to price: margin and markup, fees."""

from __future__ import annotations

from fractions import Fraction


def price_from_margin(cost: Fraction, margin: Fraction) -> Fraction:
    """price = cost / (1 - margin); the margin is a share of the price, below 1.

    Raises ZeroDivisionError for a margin of the whole price.

    A fifth of the price is left over the cost, so that 80 cost 100:

    >>> price_from_margin(Fraction(80), Fraction(1, 5))
    Fraction(100, 1)
    """
    return cost / (1 - margin)


def price_from_markup(cost: Fraction, markup: Fraction) -> Fraction:
    """price = cost x (1 + markup); the markup is a share of the cost.

    A fifth of the cost is put on it, so that 80 cost 96:

    >>> price_from_markup(Fraction(80), Fraction(1, 5))
    Fraction(96, 1)
    """
    return cost * (1 + markup)


def margin_of(cost: Fraction, price: Fraction) -> Fraction:
    """The margin that a price leaves over its cost, as a share of the price (nothing sold leaves none).

    >>> margin_of(Fraction(80), Fraction(100))
    Fraction(1, 5)
    """
    return (price - cost) / price if price else Fraction(0)


def markup_of(cost: Fraction, price: Fraction) -> Fraction:
    """The markup that a price puts on its cost, as a share of the cost.

    >>> markup_of(Fraction(80), Fraction(100))
    Fraction(1, 4)
    """
    return (price - cost) / cost if cost else Fraction(0)


def fee_gross_up(total: Fraction, fee: Fraction) -> Fraction:
    """What to add so that the total is left after a fee of the share f is taken: total x f / (1 - f).

    >>> fee_gross_up(Fraction(97), Fraction(3, 100))
    Fraction(3, 1)
    """
    return total * fee / (1 - fee)
