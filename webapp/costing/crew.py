"""How many people a thing takes to carry: by its weight, its length, and whether it is a full sheet."""

from __future__ import annotations

from fractions import Fraction

from webapp.costing.rates import Rates


def people_to_carry(mass_kg: Fraction, longest_nm: int, rates: Rates, *, full_sheet: bool = False) -> int:
    """One, two or three people, by the shop's limits. Above the two-person limit a lift or a third person is needed.

    The limits are the shop's own (common practice); the published load constant of 23 kg holds for an ideal lift only.
    """
    if mass_kg > rates["two_person_kg"]:
        return 3
    too_long = longest_nm > rates["one_person_length"]
    if mass_kg > rates["one_person_kg"] or too_long or (full_sheet and rates.yes("full_sheet_takes_two")):
        return 2
    return 1
