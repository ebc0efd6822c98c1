"""A job: what is to be made for whom, as plain values, read from the job form.

The form is the same nested text document in the database, in a file for the command line and in a quote's snapshot.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.cutting.hand.pins import Pin
from webapp.costing.jobs.alternates import Alternate
from webapp.costing.jobs.way import NO_WAY, Way
from webapp.costing.jobs.wishes import NO_WISHES, Wishes

LineKind = Literal["labour", "part", "hire", "service"]
LINE_KINDS: Final[tuple[LineKind, ...]] = ("labour", "part", "hire", "service")
NOVELTIES: Final = ("repeat", "known", "new")
#: Which size of a part the grain runs along.
ListedGrain = Literal["", "length", "width", "free"]


@dataclass(frozen=True, slots=True)
class Fact:
    """Something about a job that few jobs need, and the rule of the allowance table that asks for it."""

    name: str
    label: str
    quantity: Literal["number", "money"]
    rule: str
    most: int


FACTS: Final[tuple[Fact, ...]] = (
    Fact("samples", "Samples and mock-ups", "number", "samples", 1000),
    Fact("own_material", "Value of the customer's own material", "money", "own_material", 10**7),
    Fact("storage_days", "Days stored after the ready date", "number", "storage", 3650),
    Fact("days_until_paid", "Days until it is paid", "number", "late_payment", 730),
    Fact("months_waited", "Months it waits past the quote's days", "number", "price_rise", 60),
    Fact("visits", "Visits to the customer", "number", "visit_minimum", 1000),
)


@dataclass(frozen=True, slots=True)
class MinutesChange:
    """An operation's minutes changed for this job, with a word why. What is None stays as the shop has it."""

    why: str
    set_up: Fraction | None = None
    low: Fraction | None = None
    likely: Fraction | None = None
    high: Fraction | None = None


@dataclass(frozen=True, slots=True)
class ListedPart:
    """A row of a list of parts without a design: so many cut from a material, at finished sizes in nm.

    `place` is its row from 1; `material` and `band` are codes or names as typed. `grain` says which size it runs along,
    '' leaves that to the material. `edges` are how many long and how many short edges are banded; long ones run along
    the length.
    """

    place: int
    name: str
    count: int
    length: int
    width: int | None
    thickness: int | None
    material: str
    grain: ListedGrain = ""
    edges: tuple[int, int] = (0, 0)
    band: str = ""


@dataclass(frozen=True, slots=True)
class PartsList:
    """Parts without a design, with the band of those that name none, and what is done to all of them."""

    parts: tuple[ListedPart, ...] = ()
    band: str = ""
    sanded: bool = False
    finish: str = ""
    coats: int = 2
    glue: str = ""

    def names(self) -> frozenset[str]:
        """The materials that the list names, as they are typed."""
        named = {
            self.band,
            self.finish,
            self.glue,
            *(row.material for row in self.parts),
            *(row.band for row in self.parts),
        }
        return frozenset(named - {""})


def left_out(called: str) -> str:
    """What is said of an item or an added line of which there is none."""
    return f"“{called}” is left out: how many there are of it is 0."


@dataclass(frozen=True, slots=True)
class DesignItem:
    """So many of a design at chosen sizes, or of a list of parts without one. `sizes` are as typed; the design's own
    reader makes numbers of them. One of a `quantity` of 0 is left out, and the sums say so.

    `jigs` are jigs and templates to make for them, once for all. With `listed` the item names no `design`.
    """

    id: str
    design: str
    quantity: int
    label: str = ""
    version: int | None = None
    sizes: Mapping[str, str] = field(default_factory=dict)
    choices: Mapping[str, str] = field(default_factory=dict)
    materials: Mapping[str, str] = field(default_factory=dict)
    minutes: Mapping[str, MinutesChange] = field(default_factory=dict)
    jigs: int = 0
    listed: PartsList | None = None

    @property
    def made_from(self) -> tuple[str, int | None, PartsList | None]:
        """What the item is made from: which version of a design, or which list."""
        return self.design, self.version, self.listed


@dataclass(frozen=True, slots=True)
class FreeLine:
    """A line without a design: minutes of labour, or a part, hire or service at a cost each (before profit).

    A hire may state its carriage one way, and the share of its cost that a damage waiver takes.
    """

    id: str
    kind: LineKind
    says: str
    quantity: Fraction = Fraction(1)
    each: Fraction | None = None
    minutes: Fraction | None = None
    carriage: Fraction | None = None
    waiver: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Delivery:
    """The trip: distance there and back in km, minutes there and back for each person, people."""

    distance_km: Fraction = Fraction(0)
    travel_minutes: Fraction = Fraction(0)
    people: int = 1


@dataclass(frozen=True, slots=True)
class Customer:
    """Whom the job is for, as typed."""

    name: str = ""
    address: str = ""
    email: str = ""
    phone: str = ""
    tax_number: str = ""


@dataclass(frozen=True, slots=True)
class Job:
    """A job ready for the estimate. `settings` are the shop's settings changed for this job, base units.

    `facts` are what few jobs need, by name (see FACTS), where it is stated. `rack` says whether offcuts from the rack
    are used; None leaves that to the shop. `due` is the day it is wanted by. `pins` are
    the cut plans pinned by hand, by material code. `buying` is what is wanted of its purchase. `way` is how one gets to
    where it goes. `alternates` are other ways in which it could be made: no sum of the job goes by them.
    """

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
    facts: Mapping[str, Fraction] = field(default_factory=dict)
    pins: Mapping[str, Pin] = field(default_factory=dict, kw_only=True)
    rack: bool | None = None
    due: date | None = field(default=None, kw_only=True)
    buying: Wishes = field(default=NO_WISHES, kw_only=True)
    way: Way = field(default=NO_WAY, kw_only=True)
    alternates: tuple[Alternate, ...] = field(default=(), kw_only=True)
