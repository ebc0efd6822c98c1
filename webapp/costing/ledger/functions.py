"""The functions that a figure's formula may name, all pure and exact; each stands in the module of its trade."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Final

from webapp.costing.measures import money
from webapp.costing.trade import boards, fastening, finishing, gluing, labour, mass, mitring, stiffness
from webapp.costing.trade import pricing as pricing_rules


def least(*values: Fraction) -> Fraction:
    """The smallest of the values."""
    return min(values)


def greatest(*values: Fraction) -> Fraction:
    """The largest of the values."""
    return max(values)


def square_metres(length: Fraction, width: Fraction) -> Fraction:
    """The area in m2 of a face whose sides are in nm.

    >>> square_metres(Fraction(2 * 10**9), Fraction(500 * 10**6))
    Fraction(1, 1)
    """
    return length * width / 10**18


def metres(length: Fraction) -> Fraction:
    """A length in nm as metres.

    >>> metres(Fraction(1_500 * 10**6))
    Fraction(3, 2)
    """
    return length / 10**9


RULES: Final[dict[str, Callable[..., Fraction]]] = {
    "least": least,
    "greatest": greatest,
    "whole_up": money.whole_up,
    "whole_down": money.whole_down,
    "half_up": money.half_up,
    "up_to_step": money.up_to_step,
    "square_metres": square_metres,
    "metres": metres,
    "board_feet": boards.board_feet,
    "row_count": fastening.row_count,
    "with_spares": fastening.with_spares,
    "bite_needed": fastening.bite_needed,
    "practical_coverage": finishing.practical_coverage,
    "theoretical_coverage": finishing.theoretical_coverage,
    "glue_litres": gluing.glue_litres,
    "mitre_run": mitring.mitre_run,
    "mean_known": labour.mean_known,
    "mean_new": labour.mean_new,
    "learning_average": labour.learning_average,
    "price_from_margin": pricing_rules.price_from_margin,
    "price_from_markup": pricing_rules.price_from_markup,
    "margin_of": pricing_rules.margin_of,
    "markup_of": pricing_rules.markup_of,
    "fee_gross_up": pricing_rules.fee_gross_up,
    "kilograms": mass.kilograms,
    "tube_kilograms": mass.tube_kilograms,
    "wood_density": mass.wood_density,
    "second_moment": stiffness.second_moment,
    "second_moment_tube": stiffness.second_moment_tube,
    "sag_uniform": stiffness.sag_uniform,
}
