"""The functions that a figure's formula may name, all pure and exact; each stands in the module of its trade."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Final

from webapp.costing.errors import FormulaError
from webapp.costing.measures import money
from webapp.costing.trade import (
    boards,
    fastening,
    finishing,
    folding,
    gluing,
    holes,
    labour,
    mass,
    mitring,
    movement,
    stiffness,
    triangles,
)
from webapp.costing.trade import pricing as pricing_rules
from webapp.costing.trade.loads import bearing, creep


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


def whole(value: Fraction) -> Fraction:
    """The nearest whole number, a half going up.

    >>> whole(Fraction(5, 2)), whole(Fraction(-5, 2)), whole(Fraction(12, 5))
    (Fraction(3, 1), Fraction(-2, 1), Fraction(2, 1))
    """
    return Fraction((2 * value.numerator + value.denominator) // (2 * value.denominator))


def root(value: Fraction) -> Fraction:
    """The square root of a number, or the side of a square of so many nm2 in nm. Raises FormulaError below zero."""
    if value < 0:
        raise FormulaError("", "takes the root of something below zero, which has none")
    return triangles.root_to_figures(value)


def tan(degrees: Fraction) -> Fraction:
    """The tangent of degrees. Raises FormulaError at a right angle."""
    if degrees % 180 == 90:
        raise FormulaError("", f"takes the tangent of {degrees} degrees, and a right angle has none")
    return triangles.tangent(degrees)


def odd(number: Fraction) -> Fraction:
    """1 for an odd whole number, 0 for an even one. Raises FormulaError for what is no whole number.

    >>> odd(Fraction(3)), odd(Fraction(-2))
    (Fraction(1, 1), Fraction(0, 1))
    """
    whole = Fraction(number)
    if whole.denominator != 1:
        raise FormulaError("", f"asks whether {whole} is odd or even, and only a whole number is")
    return whole % 2


def even(number: Fraction) -> Fraction:
    """1 for an even whole number, 0 for an odd one. Raises FormulaError for what is no whole number.

    >>> even(Fraction(3)), even(Fraction(0))
    (Fraction(0, 1), Fraction(1, 1))
    """
    return 1 - odd(number)


RULES: Final[dict[str, Callable[..., Fraction]]] = {
    "least": least,
    "greatest": greatest,
    "whole_up": money.whole_up,
    "whole_down": money.whole_down,
    "whole": whole,
    "root": root,
    "sin": triangles.sine,
    "cos": triangles.cosine,
    "tan": tan,
    "odd": odd,
    "even": even,
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
    "rounded_area": holes.rounded_area,
    "rounded_outline": holes.rounded_outline,
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
    "round_kilograms": mass.round_kilograms,
    "setback": folding.setback,
    "leg_setback": folding.leg_setback,
    "allowance_by_arc": folding.allowance_by_arc,
    "handbook_allowance": folding.handbook_allowance,
    "round_around": mass.round_around,
    "wood_density": mass.wood_density,
    "second_moment": stiffness.second_moment,
    "second_moment_tube": stiffness.second_moment_tube,
    "second_moment_round": stiffness.second_moment_round,
    "sag_uniform": stiffness.sag_uniform,
    "sag_point": stiffness.sag_point,
    "final_sag": creep.final_sag,
    "load_of_one": bearing.load_of_one,
    "load_by_share": bearing.load_by_share,
    "change_of_width": movement.change_of_width,
}
