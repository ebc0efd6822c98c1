"""What the shop buys: materials, what suppliers offer of them, and the prices seen. Plain values.

A price is an observation and never overwritten; which one holds follows from the day of the estimate.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Final

from webapp.costing.trade.boards import dressed_thickness, dressed_width
from webapp.costing.trade.mass import wood_density


class Kind(StrEnum):
    """The kinds of material; each is described and bought in its own way."""

    SHEET = "sheet"
    BOARD = "board"
    LENGTH = "length"
    PIECE = "piece"
    FASTENER = "fastener"
    LIQUID = "liquid"
    AREA = "area"
    SERVICE = "service"


class Comes(StrEnum):
    """How the goods of a supplier come: somebody drives for the job, on the shop's round, or they are delivered."""

    FETCHED = "fetched"
    ROUND = "round"
    DELIVERED = "delivered"


@dataclass(frozen=True, slots=True)
class Property:
    """One describing value of a material or an offer: its name, words for it and the quantity it is (see measures).

    `money` says that a number is an amount in the shop's currency.
    """

    name: str
    label: str
    quantity: str
    required: bool = False
    hint: str = ""
    money: bool = False


def _p(name: str, label: str, quantity: str, required: bool = False, hint: str = "", money: bool = False) -> Property:
    return Property(name, label, quantity, required, hint, money)


_BOUGHT_IN = _p(
    "bought_in", "Bought in: passed on with a profit of its own", "yes_no",
    hint="Without handling and contingency. Unpacking, mounting and wiring are own work, by their steps.",
)  # fmt: skip
_DENSITY = _p("density", "Density", "density", hint="For weights; without it the weight leaves this material out.")
_STIFFNESS = _p("stiffness", "Stiffness along the grain", "stiffness", hint="For how far a shelf sags.")

#: What describes a material, by kind. Lengths are kept in nm, everything else in the base unit of its quantity.
MATERIAL_PROPERTIES: Final[Mapping[Kind, tuple[Property, ...]]] = {
    Kind.SHEET: (
        _p("thickness", "Thickness as measured", "length", True, "Parts that fit between others use this one."),
        _p("thinnest", "Thinnest it may come", "length", hint="Screws are checked against this."),
        _p("grain", "Has a grain", "yes_no", hint="Parts that ask for it are then cut along the sheet."),
        _DENSITY,
        _STIFFNESS,
        _p("stiffness_across", "Stiffness across the grain", "stiffness"),
    ),
    Kind.BOARD: (
        _p("specific_gravity", "Specific gravity at 12 % moisture", "number", hint="The density follows from it."),
        _DENSITY,
        _STIFFNESS,
        _p("yield", "Usable share of what is bought", "percent", hint="Knots, wane, checks and rip loss; not planing."),
        _p("narrowest", "Narrowest board", "length", hint="For simulated purchases; empty takes the shop's."),
        _p("widest", "Widest board", "length"),
        _p("shortest", "Shortest board", "length"),
        _p("longest", "Longest board", "length"),
        _p("movement", "Movement across, per point of moisture", "number"),
    ),
    Kind.LENGTH: (
        _p("width", "Section width", "length", hint="Empty for edge band and rope-like things."),
        _p("thickness", "Section thickness", "length"),
        _p("wall", "Wall, of a tube", "length", hint="Weight and stiffness of a tube follow from it; empty for bars."),
        _p("spliced", "May be joined end to end", "yes_no", hint="Edge band is bought by the run; a rail is not."),
        _p("end_trim", "Lost at each end of a stock length", "length"),
        _p("defect_reserve", "Kept free for knots and other defects", "percent", hint="Share of each stock length."),
        _p("splice_lap", "Parts too long are joined: lap of a joint", "length", hint="Empty: no part is ever joined."),
        _p("nominal_width", "Width in its name", "length", hint="Softwood is sold by nominal sizes."),
        _p("nominal_thickness", "Thickness in its name", "length"),
        _p("specific_gravity", "Specific gravity at 12 % moisture", "number", hint="The density follows from it."),
        _p(
            "mass_per_metre",
            "Mass per length",
            "mass_per_length",
            hint="As the maker states it; else it follows from the section, the wall and the density.",
        ),
        _DENSITY,
        _STIFFNESS,
    ),
    Kind.PIECE: (
        _p("mass", "Mass of one", "mass"),
        _p("rated_load", "Rated load", "mass"),
        _BOUGHT_IN,
        _p("fits_width", "For a tube as wide as", "length", hint="Outside. A plug then follows the tube it closes."),
        _p("fits_thickness", "For a tube as thick as", "length", hint="The other side of it, outside."),
        _p("wall_from", "For a tube whose wall is from", "length"),
        _p("wall_to", "For a tube whose wall is up to", "length"),
    ),
    Kind.FASTENER: (
        _p("length", "Length", "length"),
        _p("diameter", "Diameter", "length"),
        _p("spare", "Spares to buy", "percent", hint="Empty takes the shop's share for fasteners."),
    ),
    Kind.LIQUID: (
        _p("spread", "Glue: spread", "spread", hint="Grams on each square metre of glue line."),
        _p("grams_per_litre", "Glue: grams in a litre", "number"),
        _p("coverage", "Finish: coverage of one coat", "coverage"),
        _p(
            "coverage_is_practical",
            "Coverage already holds the loss",
            "yes_no",
            hint="A tin usually prints practical coverage; then nothing is divided again.",
        ),
        _p("solids", "Finish: solids by volume", "percent"),
        _p("dry_film", "Finish: dry film, micrometres", "number"),
        _p("recoat", "Finish: time between coats", "duration", hint="Longer in a cold shop; the maker's sheet rules."),
        _p("wait_before_packing", "Finish: time before packing", "duration"),
        _p("clamp", "Glue: time in clamps", "duration"),
        _p("weld_litres", "Welding gas: litres for a metre of weld", "number"),
    ),
    Kind.AREA: (
        _p("covers", "What one of it does", "area", hint="Square metres that one disc, sheet or roll serves."),
        _p("weld", "Length of weld that one of it does", "length", hint="For welding wire by weight, and flap discs."),
    ),
    Kind.SERVICE: (
        _p("by_area", "Charged by the square metre", "yes_no", hint="Else by the piece."),
        _p("minimum", "Least that they charge for a job", "number", hint="In the shop's currency.", money=True),
        _p(
            "carriage",
            "Carriage there and back",
            "number",
            hint="In the shop's currency, for both ways together.",
            money=True,
        ),
        _p("wait_days", "Days until it is back", "number", hint="Working days; the ready day waits."),
        _BOUGHT_IN,
    ),
}

#: What one purchase of an offer holds, by kind of material.
OFFER_SIZES: Final[Mapping[Kind, tuple[Property, ...]]] = {
    Kind.SHEET: (
        _p("length", "Sheet length", "length", True, "Along the grain."),
        _p("width", "Sheet width", "length", True),
    ),
    Kind.BOARD: (
        _p("rough_thickness", "Rough thickness", "length", True),
        _p("step", "Sold in steps of", "board_feet", True, "Board feet; the price is for one board foot."),
    ),
    Kind.LENGTH: (_p("length", "Stock length", "length", True),),
    Kind.PIECE: (_p("count", "Pieces in a pack", "number", True),),
    Kind.FASTENER: (_p("count", "Pieces in a pack", "number", True),),
    Kind.LIQUID: (_p("litres", "Container", "volume", True),),
    Kind.AREA: (_p("count", "Pieces in a pack", "number", True),),
    Kind.SERVICE: (_p("count", "Units in one", "number", True),),
}


@dataclass(frozen=True, slots=True)
class Material:
    """A material that the shop knows. `values` are by property name, `sources` say where a value came from."""

    code: str
    name: str
    kind: Kind
    values: Mapping[str, Fraction] = field(default_factory=dict)
    sources: Mapping[str, str] = field(default_factory=dict)
    note: str = ""
    retired: bool = False
    #: What it is, for the places that ask: 'edge_band'. Without any nobody has said yet.
    tags: tuple[str, ...] = ()


LONGEST_TAG: Final = 40
MOST_TAGS: Final = 12


def tag_words(tag: str) -> str:
    """A tag as it is read: edge band."""
    return tag.replace("_", " ")


def read_tags(text: str) -> tuple[tuple[str, ...], str]:
    """Tags typed with commas between, each once and in order of the alphabet, or the sentence why they can't be taken.

    Capitals and signs between words make no other tag: Edge-band is edge_band.
    """
    tags = {re.sub(r"[^a-z0-9]+", "_", one.casefold()).strip("_") for one in text.split(",") if one.strip()}
    if "" in tags or any(not tag[0].isalpha() or len(tag) > LONGEST_TAG for tag in tags):
        return (), f"“{text[:80]}”: a tag is words of plain letters and digits, at most {LONGEST_TAG} of them."
    if len(tags) > MOST_TAGS:
        return (), f"There are {len(tags)} tags; at most {MOST_TAGS} are kept."
    return tuple(sorted(tags)), ""


def is_bought_in(material: Material) -> bool:
    """Whether the shop passes a material on as it was bought: that is marked on it, never guessed."""
    return material.values.get("bought_in") == 1


def described(material: Material) -> Mapping[str, Fraction]:
    """The values of a material with what follows from them: a wood's density from its specific gravity at 12 %
    moisture, and the dressed section of softwood (PS 20) from its nominal one. What is stated stays."""
    stated = material.values
    found = dict(stated)
    if "density" not in stated and "specific_gravity" in stated:
        found["density"] = wood_density(stated["specific_gravity"], Fraction(12, 100))
    for name, dressed in (("thickness", dressed_thickness), ("width", dressed_width)):
        nominal = stated.get(f"nominal_{name}")
        if name not in stated and nominal is not None:
            try:
                found[name] = Fraction(dressed(int(nominal)))
            except ValueError:
                continue
    return found


@dataclass(frozen=True, slots=True)
class Offcut:
    """So many equal pieces left over that stand on the shop's own rack, lengths in nm; a length has a width of 0.

    A sheet's length lies along its grain. `place` says where on the rack.
    """

    id: str
    material: str
    length: int
    width: int
    count: int
    place: str = ""


@dataclass(frozen=True, slots=True)
class Offer:
    """What one supplier sells of a material: a size or pack. `size` is by property name (see OFFER_SIZES).

    `comes` and `carriage`, of an order that is delivered, are the supplier's. With an `offcut` it is the shop's own
    rack that gives it, and no more of it than stand there.
    """

    id: str
    material: str
    supplier: str
    size: Mapping[str, Fraction]
    supplier_code: str = ""
    lead_days: int | None = None
    minimum_order: Decimal | None = None
    retired: bool = False
    supplier_name: str = ""
    offcut: Offcut | None = None
    comes: Comes = Comes.FETCHED
    carriage: Decimal | None = None

    @property
    def seller(self) -> str:
        """The supplier in words: its name, or its code where no name is known."""
        return self.supplier_name or self.supplier


@dataclass(frozen=True, slots=True)
class PriceSeen:
    """One price, as seen on a day. `from_quantity` packs on, it holds (a price break).

    `one_off` prices (a clearance) are kept but never become the current price.
    """

    offer: str
    amount: Decimal
    currency: str
    seen_on: date
    where: str
    by: str = ""
    from_quantity: int = 1
    with_tax: bool = False
    delivered: bool = False
    one_off: bool = False


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Everything that can be bought, as known on `today`, and what stands on the rack.

    Keys: material code, material code, offer id; offcuts by material code.
    """

    materials: Mapping[str, Material]
    offers: Mapping[str, tuple[Offer, ...]]
    prices: Mapping[str, tuple[PriceSeen, ...]]
    currency: str
    today: date
    offcuts: Mapping[str, tuple[Offcut, ...]] = field(default_factory=dict)

    def offers_of(self, material: str) -> tuple[Offer, ...]:
        """What can still be bought of a material."""
        return tuple(offer for offer in self.offers.get(material, ()) if not offer.retired)


@dataclass(frozen=True, slots=True)
class CurrentPrice:
    """The prices that hold for an offer: the observation and its age for each break, smallest quantity first."""

    breaks: tuple[PriceSeen, ...]
    age_days: int

    def at(self, packs: int) -> PriceSeen | None:
        """The price of one pack when so many are bought."""
        fitting = [seen for seen in self.breaks if seen.from_quantity <= packs]
        return fitting[-1] if fitting else None


def current_price(catalogue: Catalogue, offer_id: str) -> CurrentPrice | None:
    """The latest price of each break that is not in the future, not one-off and in the shop's currency."""
    latest: dict[int, PriceSeen] = {}
    for seen in catalogue.prices.get(offer_id, ()):
        if seen.seen_on > catalogue.today or seen.one_off or seen.currency != catalogue.currency:
            continue
        held = latest.get(seen.from_quantity)
        if held is None or seen.seen_on >= held.seen_on:
            latest[seen.from_quantity] = seen
    if not latest:
        return None
    breaks = tuple(latest[quantity] for quantity in sorted(latest))
    oldest = min(seen.seen_on for seen in breaks)
    return CurrentPrice(breaks, (catalogue.today - oldest).days)
