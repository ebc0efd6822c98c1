"""What a material has to be to fill a place of a design: its tags, and the limits that its measures keep to."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

LimitRule = Literal["equal", "least", "most"]


@dataclass(frozen=True, slots=True)
class Limit:
    """A measure that a material has to keep to fill a place: its `property` against `value`, or against the property
    `of` the material in the role that is followed. Values in the base unit of the catalogue."""

    property: str
    rule: LimitRule
    value: Fraction = Fraction(0)
    of: str = ""


@dataclass(frozen=True, slots=True)
class Needs:
    """What a material has to be to fill a place."""

    tags: tuple[str, ...] = ()
    limits: tuple[Limit, ...] = ()
