"""A job: what is to be made for whom, as plain values, read from the job form.

The form is the same nested text document in the database, in a file for the command line and in a quote's snapshot.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final, Literal

LineKind = Literal["labour", "part", "hire", "service"]
LINE_KINDS: Final[tuple[LineKind, ...]] = ("labour", "part", "hire", "service")
NOVELTIES: Final = ("repeat", "known", "new")


@dataclass(frozen=True, slots=True)
class MinutesChange:
    """An operation's minutes changed for this job, with a word why. What is None stays as the shop has it."""

    why: str
    set_up: Fraction | None = None
    low: Fraction | None = None
    likely: Fraction | None = None
    high: Fraction | None = None


@dataclass(frozen=True, slots=True)
class DesignItem:
    """So many of a design at chosen sizes. `sizes` are as typed; the design's own reader makes numbers of them."""

    id: str
    design: str
    quantity: int
    label: str = ""
    version: int | None = None
    sizes: Mapping[str, str] = field(default_factory=dict)
    choices: Mapping[str, str] = field(default_factory=dict)
    materials: Mapping[str, str] = field(default_factory=dict)
    minutes: Mapping[str, MinutesChange] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class FreeLine:
    """A line without a design: minutes of labour, or a part, hire or service at a cost each (before profit)."""

    id: str
    kind: LineKind
    says: str
    quantity: Fraction = Fraction(1)
    each: Fraction | None = None
    minutes: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Delivery:
    """The trip: distance there and back in km, minutes there and back for each person, people."""

    distance_km: Fraction = Fraction(0)
    travel_minutes: Fraction = Fraction(0)
    people: int = 1


@dataclass(frozen=True, slots=True)
class Customer:
    name: str = ""
    address: str = ""
    email: str = ""
    phone: str = ""


@dataclass(frozen=True, slots=True)
class Job:
    """A job ready for the estimate. `settings` are the shop's settings changed for this job, base units."""

    title: str
    customer: Customer
    site: str
    items: tuple[DesignItem, ...]
    lines: tuple[FreeLine, ...]
    delivery: Delivery | None
    install: bool
    novelty: str
    discount: Fraction
    pays_by_card: bool
    settings: Mapping[str, Fraction]
    reasons: Mapping[str, str]
    notes: str = ""
    not_included: tuple[str, ...] = ()
    document: Mapping[str, object] = field(default_factory=dict)
