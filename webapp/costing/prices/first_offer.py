"""A line of a supplier's file made a material with its offer: guessed from its words, and read as somebody puts it
right."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.errors import CostingError, MeasureError
from webapp.costing.measures.quantities import System
from webapp.costing.measures.written import parse_quantity, write_quantity
from webapp.costing.prices.file import ToldLine
from webapp.costing.prices.matching import sizes_in

_MM: Final = 10**6
_LITRES: Final = re.compile(r"(?<![\w.,])(\d+(?:[.,]\d+)?)\s*(ml|l|ltr|liter|litre)s?(?!\w)", re.IGNORECASE)
#: What is sold by the pack of so many, in several languages, in small letters: common practice.
_FASTENERS: Final = frozenset(
    ("screw", "screws", "nail", "nails", "dowel", "dowels", "staple", "staples", "schraube", "schrauben", "nägel",
     "dübel", "vis", "clous", "tourillons", "tornillos", "clavos", "viti", "chiodi", "schroeven", "spijkers", "wkręty")
)  # fmt: skip


class OfferRefused(CostingError):
    """A size that can't be that of an offer, with the sentence why."""


@dataclass(frozen=True, slots=True)
class FirstOffer:
    """The kind of a new material, what describes it, and what one purchase of it holds."""

    kind: Kind
    values: dict[str, Fraction]
    size: dict[str, Fraction]


def guess(line: ToldLine, system: System) -> tuple[Kind, str]:
    """What kind of material a line seems to be about, and its size as it would be typed."""
    kind = guess_kind(line)
    return kind, guess_size(line, kind, system)


def guess_kind(line: ToldLine) -> Kind:
    """What kind of material a line seems to be about: by what its price is for, its sizes and, of screws, its words."""
    sizes, measure = _sizes(line), line.basis.measure
    if measure in ("BF", "m3") and sizes:
        return Kind.BOARD
    if measure == "L" or _LITRES.search(line.words):
        return Kind.LIQUID
    if len(sizes) == 3 and sizes[1] >= 400 * _MM and sizes[2] <= 80 * _MM:
        return Kind.SHEET
    if (measure in ("m", "ft") and len(sizes) >= 2) or (len(sizes) == 3 and sizes[0] >= 1000 * _MM):
        return Kind.LENGTH
    return Kind.FASTENER if _FASTENERS & set(line.words.casefold().split()) else Kind.PIECE


def guess_size(line: ToldLine, kind: Kind, system: System) -> str:
    """The size of one purchase of such a kind, as it would be typed; '' where the line doesn't say it."""
    sizes = _sizes(line)

    def typed(*lengths: int) -> str:
        return " x ".join(write_quantity(Fraction(one), "length", system) for one in lengths)

    match kind:
        case Kind.SHEET:
            return typed(*sizes) if len(sizes) == 3 else ""
        case Kind.BOARD:
            return typed(sizes[-1]) if sizes else ""
        case Kind.LENGTH:
            if line.basis.measure in ("m", "ft") and len(sizes) >= 2:
                return typed(*sizes[-2:], max(sizes[0], 1000 * _MM))
            return typed(sizes[1], sizes[2], sizes[0]) if len(sizes) == 3 else typed(*sizes[:1])
        case Kind.LIQUID:
            found = _LITRES.search(line.words)
            if found is None:
                return write_quantity(Fraction(1), "volume", system) if line.basis.measure == "L" else ""
            held = Fraction(found[1].replace(",", "."))
            return write_quantity(held / 1000 if found[2].casefold() == "ml" else held, "volume", system)
        case Kind.FASTENER if line.in_pack is None and line.basis.measure != "piece":
            return ""
    return str(line.in_pack or (int(line.basis.count) if line.basis.measure == "piece" else 1))


def _sizes(line: ToldLine) -> list[int]:
    """The sizes in its words, the largest first."""
    return sorted((min(one) for one in sizes_in(line.words)), reverse=True)


def read_first_offer(kind: Kind, typed: str, system: System) -> FirstOffer:
    """A kind and a size as somebody left them. Raises OfferRefused with the sentence why they can't be."""
    parts = [part.strip() for part in re.split(r"\s*[x×]\s*", typed.strip()) if part.strip()]

    def measured(text: str, quantity: str) -> Fraction:
        try:
            value = parse_quantity(text, quantity, system)
        except MeasureError as error:
            raise OfferRefused(error.reason) from error
        if value <= 0:
            raise OfferRefused(f"“{text}” must be above zero.")
        return value

    def refuse(count: int) -> None:
        if len(parts) != count:
            raise OfferRefused(f"“{typed}” can't be a size here: write {KINDS[kind].typed_as}.")

    if kind is Kind.SHEET:
        refuse(3)
        length, width, thickness = (measured(part, "length") for part in parts)
        return FirstOffer(kind, {"thickness": thickness}, {"length": length, "width": width})
    if kind is Kind.LENGTH:
        refuse(3 if len(parts) > 1 else 1)
        *section, length = (measured(part, "length") for part in parts)
        return FirstOffer(kind, dict(zip(("width", "thickness"), section, strict=False)), {"length": length})
    refuse(1)
    if kind is Kind.BOARD:
        return FirstOffer(kind, {}, {"rough_thickness": measured(parts[0], "length"), "step": Fraction(1)})
    if kind is Kind.LIQUID:
        return FirstOffer(kind, {}, {"litres": measured(parts[0], "volume")})
    count = measured(parts[0], "number")
    if count.denominator != 1:
        raise OfferRefused(f"“{typed}” is no whole number of pieces.")
    return FirstOffer(kind, {}, {"count": count})
