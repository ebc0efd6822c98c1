"""What the shop keeps by the unit, opened boxes and tins: how much there is, and how much is to be bought again."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor
from typing import Final

from webapp.costing.buying.getting import used_up_whole
from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Material, Offer

#: So many parts of a unit are counted: a millilitre of a litre.
PARTS: Final = 1000


@dataclass(frozen=True, slots=True)
class StockOnHand:
    """So much of a material in the unit that it is needed in, where it stands, and below how much it is bought again.

    `version` is the one that a count of it names.
    """

    material: str
    amount: Fraction
    least: Fraction | None = None
    place: str = ""
    version: int = 1

    @property
    def missing(self) -> Fraction:
        """How much is missing to the least."""
        return max(Fraction(0), self.least - self.amount) if self.least is not None else Fraction(0)


def may_be_stock(material: Material) -> bool:
    """Whether the shop can keep opened packs of it: what is cut stands on the rack, and work keeps nowhere."""
    return material.kind is not Kind.SERVICE and not used_up_whole(material)


def counted_in(material: Material) -> str:
    """The unit that it is counted in; nothing for pieces."""
    unit = KINDS[material.kind].unit
    return "" if unit == "piece" else unit


def in_parts(amount: Fraction) -> int:
    """An amount in whole parts of its unit, rounded half up.

    >>> in_parts(Fraction(1, 3)), in_parts(Fraction(5)), in_parts(Fraction(-5))
    (333, 5000, -5000)
    """
    return floor(amount * PARTS + Fraction(1, 2))


def of_parts(parts: int) -> Fraction:
    """So many parts of a unit as an amount."""
    return Fraction(parts, PARTS)


def one_holds(material: Material, offer: Offer) -> Fraction:
    """What one of an offer holds, in the unit that the material is needed in."""
    row = KINDS[material.kind]
    return offer.size[row.pack] / row.pack_unit


def packs_for(amount: Fraction, holds: Fraction) -> int:
    """How many packs hold at least an amount.

    >>> packs_for(Fraction(101), Fraction(100))
    2
    """
    return ceil(amount / holds)
