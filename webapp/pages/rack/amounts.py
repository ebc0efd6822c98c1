"""Amounts of what is kept by the unit, as a shop types and reads them."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from webapp.costing.buying.stock import PARTS, in_parts
from webapp.costing.errors import MeasureError
from webapp.costing.measures.amounts import parse_amount
from webapp.costing.measures.manner import pointed
from webapp.costing.measures.written import as_kept

MOST: Final = 1_000_000


def amount_words(amount: Fraction) -> str:
    """An amount in plain figures: 37, 2.5."""
    whole, rest = divmod(in_parts(abs(amount)), PARTS)
    digits = f"{whole}.{rest:03}".rstrip("0").rstrip(".")
    return f"{'-' if amount < 0 and digits != '0' else ''}{pointed(digits)}"


def read_amount(text: str, label: str, *, whole: bool = False) -> Fraction | str:
    """An amount as it was typed, from nothing up, or the sentence why it can't be taken."""
    try:
        amount = Fraction(parse_amount(as_kept(text)))
    except MeasureError:
        return f"{label}: “{text[:40]}” should be a number from 0 up, such as {amount_words(Fraction(25, 2))}."
    if amount > MOST or (whole and amount.denominator != 1):
        kind = "a whole number" if whole else "a number"
        return f"{label}: “{text[:40]}” should be {kind} from 0 to {MOST}."
    return amount
