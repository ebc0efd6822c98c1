"""Does each blank come out of a size that is sold, in its grain? What the rack may hold is not counted on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offer
from webapp.costing.cutting.ask.model import LengthStock
from webapp.costing.cutting.ask.splices import usable_length
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.model import Check, PartTaken
from webapp.costing.takeoff.parts import MadePart


@dataclass(frozen=True, slots=True)
class _Over:
    """How much too large a blank is one way: before anything is trimmed off, 0 where it is not, and after; nm."""

    way: str
    bare: int
    trimmed: int


@dataclass(frozen=True, slots=True)
class _Miss:
    """What a blank is held against that comes nearest, how much too large it is for that, and what is trimmed off."""

    of: str
    over: tuple[_Over, ...]
    trim: str


def check_blanks(taking: Taking, parts: Sequence[MadePart]) -> None:
    """Note each part whose blank no offer of its material can give; a material nobody offers is named where bought."""
    fits = True
    for part in (one.taken for one in parts):
        material = taking.stock.get(part.role)
        miss = None if material is None else _misses(taking, part, material, parts)
        if material is None or miss is None:
            continue
        fits = False
        figures = [part.blank_length.id, *([part.blank_width.id] if part.blank_width is not None else [])]
        taking.checks.append(
            Check(
                f"blank/{part.name}",
                "failure",
                f"“{part.says}”, {_blank(taking, part)} as a blank, comes out of no size of {material.name} that is "
                f"sold: {miss.of} it is {' and '.join(_told(taking, one, miss.trim) for one in miss.over)}.",
                tuple(figures),
            )
        )
    if fits and parts:
        taking.checks.append(Check("blank", "pass", "Each blank comes out of a size that is sold."))


def _told(taking: Taking, over: _Over, trim: str) -> str:
    """By how much it misses: as sold, and with what is trimmed off."""
    trimmed = taking.fine(Fraction(over.trimmed))
    if over.bare <= 0:
        return f"{trimmed} too {over.way} {trim}"
    more = f", {trimmed} {trim}" if over.trimmed != over.bare else ""
    return f"{taking.fine(Fraction(over.bare))} too {over.way}{more}"


def _misses(taking: Taking, part: PartTaken, material: Material, parts: Sequence[MadePart]) -> _Miss | None:
    offers = [offer for offer in taking.catalogue.offers_of(material.code) if offer.offcut is None]
    if part.kind is Kind.SHEET:
        by_router = all(one.taken.by_router for one in parts if one.taken.material == material.code)
        return _misses_sheets(taking, part, material, offers, by_router=by_router)
    if part.kind is Kind.LENGTH:
        return _misses_lengths(taking, part, material, offers)
    return _misses_boards(taking, part, material)


def _misses_sheets(
    taking: Taking, part: PartTaken, material: Material, offers: Sequence[Offer], *, by_router: bool
) -> _Miss | None:
    """A sheet less its trims, the blank along its grain, or turned where it may be."""
    if part.blank_width is None:
        return None
    length, width = int(part.blank_length.value), int(part.blank_width.value)
    free = part.grain == "free" or material.values.get("grain") != 1
    trim = int(taking.rates["router_border" if by_router else "sheet_trim"])
    trimmed = f"with {taking.fine(Fraction(trim))} of trim all round"
    found: list[tuple[int, _Miss]] = []
    for offer in offers:
        sheet = int(offer.size["length"]), int(offer.size["width"])
        lying = [(length, width)] if part.grain != "width" or free else [(width, length)]
        if free:
            lying.append((width, length))
        for along, across in lying:
            ways = ("long", "wide") if (along, across) == (length, width) else ("wide", "long")
            over = tuple(
                _Over(way, side - whole, side - whole + 2 * trim)
                for way, side, whole in zip(ways, (along, across), sheet, strict=True)
                if side > whole - 2 * trim
            )
            if not over:
                return None
            grain = "" if free else f", with its grain along the {taking.length(Fraction(sheet[0]))},"
            miss = _Miss(f"for one of {_by(taking, *sheet)}{grain}", over, trimmed)
            found.append((sum(one.trimmed for one in over), miss))
    return min(found, key=lambda each: each[0])[1] if found else None


def _misses_lengths(taking: Taking, part: PartTaken, material: Material, offers: Sequence[Offer]) -> _Miss | None:
    """The longest less its ends and what is kept free for knots; a material that may be spliced is joined."""
    if not offers or "splice_lap" in material.values:
        return None
    trim = int(material.values.get("end_trim", taking.rates["end_trim"]))
    reserve = material.values.get("defect_reserve", taking.rates["defect_reserve"])
    longest = max(int(offer.size["length"]) for offer in offers)
    usable = usable_length(LengthStock("", longest, trim, Fraction(0), None, reserve))
    length = int(part.blank_length.value)
    if length <= usable:
        return None
    kept = "what is lost at its ends and kept free for knots" if reserve else "what is lost at its ends"
    over = _Over("long", length - longest, length - usable)
    return _Miss(f"for the longest, {taking.length(Fraction(longest))},", (over,), f"with {kept}")


def _misses_boards(taking: Taking, part: PartTaken, material: Material) -> _Miss | None:
    """The longest and widest board; a wide part is glued up from strips."""
    longest = int(material.values.get("longest") or taking.rates["board_length_high"])
    widest = int(material.values.get("widest") or taking.rates["board_width_high"])
    width = 0 if part.blank_width is None else int(part.blank_width.value / part.strips)
    sides = (("long", int(part.blank_length.value) - longest), ("wide", width - widest))
    over = tuple(_Over(way, more, more) for way, more in sides if more > 0)
    return _Miss(f"for a board of {_by(taking, longest, widest)}, the largest,", over, "") if over else None


def _blank(taking: Taking, part: PartTaken) -> str:
    if part.blank_width is None:
        return f"{taking.length(part.blank_length.value)} long"
    return _by(taking, int(part.blank_length.value), int(part.blank_width.value))


def _by(taking: Taking, length: int, width: int) -> str:
    return f"{taking.length(Fraction(length))} x {taking.length(Fraction(width))}"
