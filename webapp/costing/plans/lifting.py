"""How many people a thing takes to carry: by its weight, its length, and whether it is a full sheet."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from webapp.costing.cutting.ask.model import Lifting
from webapp.costing.cutting.saw.money import people_for
from webapp.costing.settings.rates import Rates

#: What a third person adds, of what two lift. Common practice; local rules go before it.
THIRD: Final = Fraction(1, 2)
#: What lifts a thing that is too much for two, in words; where it is too much for three as well, a check says so.
MORE_THAN_TWO: Final = "a lift, or more than two people"


def lifting_of(rates: Rates, square_nm: Fraction = Fraction(0)) -> Lifting:
    """The shop's limits, with the mass of a square nanometre of a sheet.

    The limits are the shop's own (common practice); the published load constant of 23 kg holds for an ideal lift only.
    """
    return Lifting(
        rates["one_person_kg"], rates["two_person_kg"], int(rates["one_person_length"]),
        rates.yes("full_sheet_takes_two"), square_nm,
    )  # fmt: skip


def people_to_carry(mass_kg: Fraction, longest_nm: int, rates: Rates, *, full_sheet: bool = False) -> int:
    """One, two or three people. Above the two-person limit a lift or a third person is needed. Common practice."""
    return people_for(lifting_of(rates), mass_kg, longest_nm, full_sheet=full_sheet)


def three_lift(rates: Rates) -> Fraction:
    """The most that three people lift, kg: half as much again as the shop's limit for two. Common practice."""
    return rates["two_person_kg"] * (1 + THIRD)
