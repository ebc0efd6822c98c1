"""The kinds of material: one row each says everything by which they differ, so that a new kind is a new row.

What is worked out differently for a kind (a part of a board is planed, a sheet has a saw plan) stands with that work.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from webapp.costing.measures.trade_words import in_trade_words


class Kind(StrEnum):
    """The kinds of material, in the order in which a shop walks through a job: the yard first, the counter after it."""

    SHEET = "sheet"
    BOARD = "board"
    LENGTH = "length"
    PIECE = "piece"
    FASTENER = "fastener"
    LIQUID = "liquid"
    AREA = "area"
    SERVICE = "service"


@dataclass(frozen=True, slots=True)
class Property:
    """One describing value of a material or an offer: its name, words for it and the quantity it is (see measures).

    `money` says that a number is an amount in the shop's currency.
    """

    name: str
    words: str
    quantity: str
    required: bool = False
    hint: str = ""
    money: bool = False

    @property
    def label(self) -> str:
        """What it is called, in the shop's trade words."""
        return in_trade_words(self.words)


@dataclass(frozen=True, slots=True)
class KindRow:
    """Everything by which one kind of material differs from the others."""

    #: What one is called, and what belongs to it.
    one: str
    such_as: str
    #: How settings and tables name them all.
    several: str
    #: The unit in which it is needed; what is needed by the piece is bought in whole ones.
    unit: str
    #: What a price is for, where the offer's size does not say it.
    price_is_for: str
    #: How the size of an offer is typed in one field.
    typed_as: str
    #: After so many days a price is old, and whether the share used is charged, unless the shop says otherwise.
    price_days: int
    by_share: bool
    #: What describes a material, and what one purchase of an offer holds. Lengths are kept in nm, everything else in
    #: the base unit of its quantity.
    properties: tuple[Property, ...]
    sizes: tuple[Property, ...]
    #: Which of those sizes says how much a pack holds, and how much of it is one unit; '' where it is bought whole.
    pack: str = "count"
    pack_unit: int = 1
    #: Whether parts are cut from it. Such materials make most of a price, and their prices move most.
    is_stock: bool = False
    #: The sides of a rest that can stand on the rack; none where nothing of it is kept there.
    rack_sides: tuple[Property, ...] = ()

    @property
    def singular(self) -> str:
        """What one is called, in the shop's trade words."""
        return in_trade_words(self.one)

    @property
    def plural(self) -> str:
        """What all of them are called, in the shop's trade words."""
        return in_trade_words(self.several)

    @property
    def belongs(self) -> str:
        """What belongs to it, in the shop's trade words."""
        return in_trade_words(self.such_as)

    @property
    def needed_sizes(self) -> tuple[Property, ...]:
        """What has to be known of any offer: a first one, typed beside something else, asks for no more."""
        return tuple(one for one in self.sizes if one.required)


def _p(name: str, label: str, quantity: str, required: bool = False, hint: str = "", money: bool = False) -> Property:
    return Property(name, label, quantity, required, hint, money)


_BOUGHT_IN: Final = _p(
    "bought_in", "Bought in: passed on with a profit of its own", "yes_no",
    hint="Without handling and contingency. Unpacking, mounting and wiring are own work, by their steps.",
)  # fmt: skip
_DENSITY: Final = _p(
    "density", "Density", "density", hint="For weights; without it the weight leaves this material out."
)
_STIFFNESS: Final = _p("stiffness", "Stiffness along the grain", "stiffness", hint="For how far a shelf sags.")
_SHEAR: Final = _p("shear_modulus", "Shear modulus", "stiffness", hint="For how far a hollow core sags.")
_PACK: Final = _p("count", "Pieces in a pack", "number", True)
_IN_PACKS: Final = _p("pack", "Sold in packs of", "number", hint="Empty: single ones. The price stays that of one.")

KINDS: Final[Mapping[Kind, KindRow]] = {
    Kind.SHEET: KindRow(
        one="Sheet",
        such_as="plywood, fibreboard, hardboard, laminate on a core: cut from sheets of a size",
        several="sheets",
        unit="m2",
        price_is_for="one sheet",
        typed_as="length x width x thickness",
        price_days=30,
        by_share=False,
        properties=(
            _p("thickness", "Thickness as measured", "length", True, "Parts that fit between others use this one."),
            _p("thinnest", "Thinnest it may come", "length", hint="Screws are checked against this."),
            _p("thickest", "Thickest it may come", "length", hint="Whether screws still bite is checked against this."),
            _p("grain", "Has a grain", "yes_no", hint="Parts that ask for it are then cut along the sheet."),
            _DENSITY,
            _STIFFNESS,
            _p("stiffness_across", "Stiffness across the grain", "stiffness"),
            _SHEAR,
            _p("fold_radius", "Folded: inside radius that the die leaves", "length", hint="Of sheet metal."),
            _p(
                "strip_flat",
                "Test strip of it, folded once: its length when flat",
                "length",
                hint="Bend a strip square in your die and measure. Without it, folding is bought in.",
            ),
            _p("strip_legs", "Test strip of it: its two legs, outside, added up", "length"),
        ),
        sizes=(
            _p("length", "Sheet length", "length", True, "Along the grain."),
            _p("width", "Sheet width", "length", True),
            _IN_PACKS,
        ),
        pack="",
        is_stock=True,
        rack_sides=(
            _p("length", "Length", "length", True, "Along the grain, where it has one."),
            _p("width", "Width", "length", True),
        ),
    ),
    Kind.BOARD: KindRow(
        one="Sawn board",
        such_as="hardwood by volume, in rough thicknesses",
        several="sawn boards",
        unit="BF",
        price_is_for="one board foot",
        typed_as="rough thickness",
        price_days=60,
        by_share=False,
        properties=(
            _p("specific_gravity", "Specific gravity at 12 % moisture", "number", hint="The density follows from it."),
            _DENSITY,
            _STIFFNESS,
            _p(
                "yield",
                "Usable share of what is bought",
                "percent",
                hint="Knots, wane, checks and rip loss; not planing.",
            ),
            _p("narrowest", "Narrowest board", "length", hint="For simulated purchases; empty takes the shop's."),
            _p("widest", "Widest board", "length"),
            _p("shortest", "Shortest board", "length"),
            _p("longest", "Longest board", "length"),
            _p("movement", "Movement across, per point of moisture", "number"),
        ),
        sizes=(
            _p("rough_thickness", "Rough thickness", "length", True),
            _p("step", "Sold in steps of", "board_feet", True, "Board feet; the price is for one board foot."),
        ),
        pack="",
        is_stock=True,
    ),
    Kind.LENGTH: KindRow(
        one="Length",
        such_as="softwood, tube, bar, edge band: cut from stock lengths, or bought by the run",
        several="lengths and edge band",
        unit="m",
        price_is_for="one length",
        typed_as="width x thickness x stock length, or the stock length alone",
        price_days=30,
        by_share=True,
        properties=(
            _p("width", "Section width", "length", hint="Empty for edge band and rope-like things."),
            _p("thickness", "Section thickness", "length"),
            _p("round", "Round section", "yes_no", hint="Bar, tube or dowel rod: as wide as it is thick."),
            _p(
                "wall",
                "Wall, of a tube",
                "length",
                hint="Weight and stiffness of a tube follow from it; empty for bars.",
            ),
            _p("spliced", "May be joined end to end", "yes_no", hint="Edge band is bought by the run; a rail is not."),
            _p("end_trim", "Lost at each end of a stock length", "length"),
            _p(
                "defect_reserve", "Kept free for knots and other defects", "percent", hint="Share of each stock length."
            ),
            _p(
                "splice_lap",
                "Parts too long are joined: lap of a joint",
                "length",
                hint="Empty: no part is ever joined.",
            ),
            _p("nominal_width", "Width in its name", "length", hint="Softwood is sold by nominal sizes."),
            _p("nominal_thickness", "Thickness in its name", "length"),
            _p("specific_gravity", "Specific gravity at 12 % moisture", "number", hint="The density follows from it."),
            _p(
                "mass_per_metre",
                "Weight per length",
                "mass_per_length",
                hint="As the maker states it; else it follows from the section, the wall and the density.",
            ),
            _DENSITY,
            _STIFFNESS,
        ),
        sizes=(_p("length", "Stock length", "length", True), _IN_PACKS),
        pack="length",
        pack_unit=10**9,
        is_stock=True,
        rack_sides=(_p("length", "Length", "length", True),),
    ),
    Kind.PIECE: KindRow(
        one="Piece",
        such_as="castors, slides, hinges, bolts, feet: counted, sold single or in packs",
        several="hardware",
        unit="piece",
        price_is_for="one pack",
        typed_as="how many in a pack",
        price_days=180,
        by_share=False,
        properties=(
            _p("mass", "Weight of one", "mass"),
            _p("rated_load", "Rated load", "mass"),
            _p("wheel", "Castor: diameter of its wheel", "length"),
            _p("swing", "Castor: wheel beside its pivot by", "length", hint="Where it swivels; for tipping."),
            _p("diameter", "Diameter of what goes into a hole", "length"),
            _p("side_room", "Room at each side of what it carries", "length", hint="A slide's; the maker's sheet."),
            _p("travel", "How far it draws out", "length", hint="A slide's; the maker's sheet."),
            _p("lowest", "Lifting base: as low as it goes", "length", hint="Up to what lies on it; the maker's sheet."),
            _p("highest", "Lifting base: as high as it goes", "length"),
            _BOUGHT_IN,
            _p(
                "fits_width", "For a tube as wide as", "length", hint="Outside. A plug then follows the tube it closes."
            ),
            _p("fits_thickness", "For a tube as thick as", "length", hint="The other side of it, outside."),
            _p("wall_from", "For a tube whose wall is from", "length"),
            _p("wall_to", "For a tube whose wall is up to", "length"),
        ),
        sizes=(_PACK,),
    ),
    Kind.FASTENER: KindRow(
        one="Fastener",
        such_as="screws, nails, dowels, biscuits: counted, in packs",
        several="fasteners",
        unit="piece",
        price_is_for="one pack",
        typed_as="how many in a pack",
        price_days=180,
        by_share=True,
        properties=(
            _p("length", "Length", "length"),
            _p("diameter", "Diameter", "length"),
            _p("spare", "Spares to buy", "percent", hint="Empty takes the shop's share for fasteners."),
        ),
        sizes=(_PACK,),
    ),
    Kind.LIQUID: KindRow(
        one="Liquid",
        such_as="glue and finish, in containers",
        several="glue and finish",
        unit="L",
        price_is_for="one container",
        typed_as="how much in a container",
        price_days=120,
        by_share=True,
        properties=(
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
            _p(
                "recoat",
                "Finish: time between coats",
                "duration",
                hint="Longer in a cold shop; the maker's sheet rules.",
            ),
            _p("wait_before_packing", "Finish: time before packing", "duration"),
            _p("clamp", "Glue: time in clamps", "duration"),
            _p("weld_litres", "Welding gas: litres for a metre of weld", "number"),
        ),
        sizes=(_p("litres", "Container", "volume", True),),
        pack="litres",
    ),
    Kind.AREA: KindRow(
        one="Roll goods and consumables",
        such_as="abrasives, veneer, welding wire: used up by the area or the weld they serve",
        several="roll goods and consumables",
        unit="piece",
        price_is_for="one pack",
        typed_as="how many in a pack",
        price_days=90,
        by_share=True,
        properties=(
            _p("covers", "What one of it does", "area", hint="Square metres that one disc, sheet or roll serves."),
            _p(
                "weld",
                "Length of weld that one of it does",
                "length",
                hint="For welding wire by weight, and flap discs.",
            ),
            _p("grit", "Grit", "number", hint="Of an abrasive; the higher, the finer."),
        ),
        sizes=(_PACK,),
    ),
    Kind.SERVICE: KindRow(
        one="Service",
        such_as="powder coating, delivery, hire: work that others do",
        several="services",
        unit="piece",
        price_is_for="one",
        typed_as="how many in one",
        price_days=180,
        by_share=False,
        properties=(
            _p("by_area", "Charged by the square metre", "yes_no", hint="Else by the piece."),
            _p("minimum", "Minimum that they charge for a job", "number", hint="In the shop's currency.", money=True),
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
        sizes=(_p("count", "Units in one", "number", True),),
    ),
}
#: What parts are cut from, and of this what can stand on the rack.
CUT_STOCK: Final = tuple(kind for kind in Kind if KINDS[kind].is_stock)
ON_THE_RACK: Final = tuple(kind for kind in Kind if KINDS[kind].rack_sides)
