"""What a price is for, as suppliers tell it, and the same price for what the shop's offer sells.

An offer is priced for what is sold of it: a sheet, a length, a board foot, a pack, a container. Suppliers also tell
prices for a piece, for a hundred, for a square metre, a metre, a kilogram, a board foot or a cubic metre.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offer, described
from webapp.costing.catalogue.weights import NM_PER_METRE, kilograms_of, pieces_of
from webapp.costing.measures.money import to_decimal
from webapp.costing.measures.quantities import BOARD_FOOT_M3, NM_PER_FOOT

Measure = Literal["sold", "pack", "piece", "m2", "m", "kg", "BF", "m3", "L", "ft", "ft2"]

#: What is counted into packs, of which suppliers sell other ones than the shop buys.
IN_PACKS: Final = (Kind.PIECE, Kind.FASTENER, Kind.AREA)
#: A price that is reckoned is told with so many figures at least: small ones need more decimals than a currency has.
FIGURES: Final = 4
MOST_PLACES: Final = 6

#: What suppliers call each, in the languages of their lists, in small letters and without full stops: common practice.
_WORDS: Final[Mapping[Measure, str]] = {
    "sold": "",
    "pack": "pack packs package pk pkt pkg packet box bx boxes carton ctn paket packung pak karton ve vpe colis "
    "boîte boite paquet confezione conf caja opak op doos förp frp pakke pkn",
    "piece": "1 each ea pc pcs piece pieces per st stk stck stück stueck szt pz pza pce unit unité unite un u ud "
    "unidad sheet sheets tafel platte plaat panneau pannello panel length lengths stange stab bar ks kpl kus sht lgth",
    "m2": "m2 m² qm sqm sq-m m^2 mq kvm m.2",
    "m": "m lfm lm mtr meter metre metres ml rm lbm mb m1 jm",
    "kg": "kg kgs kilo kilogramm kilogram",
    "BF": "bf bdft bd-ft fbm board-foot board-feet boardfoot",
    "m3": "m3 m³ cbm fm kbm m^3 mc",
    "L": "l ltr liter litre litres lt",
    "ft": "ft foot feet lf lft lin-ft",
    "ft2": "ft2 ft² sqft sq-ft sf",
}
_MEASURE_OF: Final[Mapping[str, Measure]] = {
    word: measure for measure, words in _WORDS.items() for word in words.split()
}
_HUNDREDS: Final[Mapping[str, int]] = {
    "c": 100, "hundred": 100, "hundert": 100, "cent": 100, "cento": 100, "cien": 100, "%": 100, "thousand": 1000,
    "tausend": 1000, "mille": 1000, "mil": 1000, "mbf": 1000,
}  # fmt: skip
_KEY: Final = re.compile(r"(?:(?P<count>[1-9][0-9]{0,11}(?:/[1-9][0-9]{0,11})?) )?(?P<measure>\S+)")
_COUNTED: Final = re.compile(r"(?:(?:per|pro|je|par|por|al|für|/)\s*)?(?P<count>[0-9]+(?:[.,][0-9]+)?)?\s*(?P<word>.*)")

#: What a price may be for, as the shop points at it, with its words.
CHOICES: Final[tuple[tuple[str, str], ...]] = (
    ("sold", "what is sold: a sheet, a pack"),
    ("piece", "one piece"), ("pack", "one pack"), ("100 piece", "100 pieces"), ("1000 piece", "1000 pieces"),
    ("m2", "one square metre"), ("m", "one metre"), ("100 m", "100 metres"), ("kg", "one kilogram"),
    ("100 kg", "100 kilograms"), ("BF", "one board foot"), ("m3", "one cubic metre"), ("L", "one litre"),
    ("ft", "one foot"), ("ft2", "one square foot"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Basis:
    """What a price is for: so many of a measure. `sold` is whatever the offer sells."""

    measure: Measure = "sold"
    count: Fraction = Fraction(1)

    @property
    def key(self) -> str:
        """As it is kept."""
        return self.measure if self.count == 1 else f"{self.count} {self.measure}"

    @property
    def words(self) -> str:
        """As it is said behind an amount: a piece, for 100 pieces; nothing for what is sold."""
        known = "" if self.measure == "sold" else dict(CHOICES).get(self.key, f"{self.count} {self.measure}")
        return f"a {known.removeprefix('one ')}" if known.startswith("one ") else f"for {known}" if known else ""


AS_SOLD: Final = Basis()


def basis_of(key: str) -> Basis:
    """What was kept by its key; as sold where nothing was.

    >>> basis_of("100 piece")
    Basis(measure='piece', count=Fraction(100, 1))
    """
    found = _KEY.fullmatch(key)
    measure = next((one for one in _WORDS if found is not None and one == found["measure"]), None)
    return AS_SOLD if found is None or measure is None else Basis(measure, Fraction(found["count"] or 1))


def read_basis(text: str) -> Basis | None:
    """What a price is for by the words of a file, or None where they aren't known.

    >>> [one and one.key for one in map(read_basis, ("100 Stk.", "per m²", "C", "VE", "1", "bundle"))]
    ['100 piece', 'm2', '100 piece', 'pack', 'piece', None]
    """
    found = _COUNTED.fullmatch(" ".join(text.casefold().split()))
    if found is None:
        return None
    word = found["word"].strip(" .()").replace(". ", "-").replace(" ", "-").rstrip(".")
    count = Fraction((found["count"] or "1").replace(",", "."))
    if count <= 0 or not (word or found["count"]):
        return None
    if word == "mbf":
        return Basis("BF", count * 1000)
    if word in _HUNDREDS:
        return Basis("piece", count * _HUNDREDS[word])
    measure = _MEASURE_OF.get(word) if word else "piece"
    return None if measure is None else Basis(measure, count)


def for_offer(
    amount: Decimal | Fraction, basis: Basis, material: Material, offer: Offer, places: int, in_pack: int | None = None
) -> tuple[Decimal | None, str]:
    """A price as told, for what is sold of an offer, and how; or None with the sentence why it can't be reckoned.

    `in_pack` is how many pieces the file says a pack holds, where it says so. An amount that was reckoned is exact, and
    rounded here alone.
    """
    told = amount if isinstance(amount, Decimal) else rounded(amount, places)
    counted = material.kind in IN_PACKS and in_pack is not None
    if basis.measure == "sold" and not counted:
        return told, ""
    if basis.measure in ("sold", "pack") and in_pack is not None:
        held: Fraction | None = pieces_of(material, offer) / in_pack
    elif basis.measure == "pack":
        held = Fraction(1, offer.in_packs_of)
    else:
        held = held_by(basis.measure, material, offer)
    if held is None:
        return None, f"A price {basis.words} can't be reckoned for {material.name}: {_lacking(basis.measure)}."
    if held == basis.count:
        return told, ""
    of = f"for {in_pack}" if basis.measure in ("sold", "pack") and in_pack is not None else basis.words
    reckoned = rounded(Fraction(amount) * held / basis.count, places)
    shown = amount if isinstance(amount, Decimal) else to_decimal(amount, MOST_PLACES)
    return reckoned, f"{as_told(shown, places)} {of}"


def held_by(measure: Measure, material: Material, offer: Offer) -> Fraction | None:
    """How much of a measure what is sold of an offer holds; None where that isn't known, or makes no sense."""
    size, values, kind = offer.size, described(material), material.kind
    length, width = size.get("length"), size.get("width")
    area = length * width / NM_PER_METRE**2 if kind is Kind.SHEET and length and width else None
    if measure == "piece":
        return None if kind in (Kind.BOARD, Kind.LIQUID) and "count" not in size else pieces_of(material, offer)
    if measure in ("m2", "ft2"):
        return area if area is None or measure == "m2" else area * NM_PER_METRE**2 / NM_PER_FOOT**2
    if measure in ("m", "ft"):
        run = length if kind is Kind.LENGTH else None
        return None if run is None else Fraction(run) / (NM_PER_METRE if measure == "m" else NM_PER_FOOT)
    if measure == "L":
        return size.get("litres")
    if kind is Kind.BOARD and measure in ("BF", "m3"):
        return Fraction(1) if measure == "BF" else BOARD_FOOT_M3
    thickness = values.get("thickness")
    if measure in ("BF", "m3"):
        volume = area * thickness / NM_PER_METRE if area is not None and thickness else None
        return volume if volume is None or measure == "m3" else volume / BOARD_FOOT_M3
    return kilograms_of(material, offer)


def rounded(amount: Fraction, places: int) -> Decimal:
    """A reckoned price with the decimals of the currency, or more where it is so small that they would be lost.

    >>> rounded(Fraction("63.70352"), 2), rounded(Fraction("0.041555"), 2)
    (Decimal('63.70'), Decimal('0.04156'))
    """
    first, shown = 0, abs(amount)
    while shown and shown < 10 ** (FIGURES - 1) and first < MOST_PLACES:
        shown *= 10
        first += 1
    return to_decimal(amount, max(places, min(first, MOST_PLACES)) if abs(amount) < 1 else places)


def _lacking(measure: Measure) -> str:
    if measure == "kg":
        return "its weight is not known; state its density or its weight in the catalogue"
    return "what the shop buys of it is not measured so"


def as_told(amount: Decimal, places: int) -> str:
    """An amount with the decimals of the currency at least: 33.10, 4.155."""
    plain = f"{amount.normalize():f}"
    return f"{amount:.{places}f}" if len(plain.partition(".")[2]) < places else plain
