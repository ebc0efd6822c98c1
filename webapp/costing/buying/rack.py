"""The shop's own rack: what stands there can be had like an offer, only no more of it than there is; and what the cut
plans of a job leave over for it that is worth keeping."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material, Offcut, Offer
from webapp.costing.cutting.ask.model import LengthPlan, LengthRequest, SheetPlan, SheetRequest, SheetStock
from webapp.costing.cutting.ask.price_breaks import whole_beyond
from webapp.costing.cutting.saw.sequence import offcuts, sawn_sheet
from webapp.costing.items.requirements import Requirement
from webapp.costing.settings.rates import Rates

#: Where offcuts come from, as a supplier's code and in words.
RACK: Final = "rack"
THE_RACK: Final = "the rack"
#: So many offcuts of a material are weighed against new stock, the largest first: each makes the search wider.
MOST_WEIGHED: Final = 24


def as_offer(offcut: Offcut) -> Offer:
    """An offcut as an offer of the shop to itself."""
    size = {"length": Fraction(offcut.length)}
    if offcut.width:
        size["width"] = Fraction(offcut.width)
    return Offer(f"{RACK}:{offcut.id}", offcut.material, RACK, size, supplier_name=THE_RACK, offcut=offcut)


def offered_by_rack(requirement: Requirement, catalogue: Catalogue, rates: Rates) -> tuple[Offer, ...]:
    """The offcuts of a material that at least one blank fits in, where the rack is used; the largest first."""
    if not rates.yes("rack_used"):
        return ()
    standing = catalogue.offcuts.get(requirement.material.code, ())
    found = [one for one in standing if one.count > 0 and _serves(one, requirement, rates)]
    found.sort(key=lambda one: (-one.length * max(one.width, 1), one.id))
    return tuple(as_offer(one) for one in found[:MOST_WEIGHED])


def size_of(offer: Offer) -> Fraction:
    """The area of a sheet in nm2, or the length of a length in nm."""
    return offer.size["length"] * offer.size.get("width", 1)


def _serves(offcut: Offcut, requirement: Requirement, rates: Rates) -> bool:
    """Whether some blank lies within what its edges leave, however it is turned."""
    if requirement.material.kind is Kind.SHEET:
        if min(offcut.length, offcut.width) <= rates["kerf"]:
            return False
        edge = "sheet_trim" if offcut.whole else "rack_trim"
        left = sorted(side - 2 * int(rates[edge]) for side in (offcut.length, offcut.width))
        blanks = [
            sorted((int(piece.part.blank_length.value), int(piece.part.blank_width.value)))
            for piece in requirement.pieces
            if piece.part.blank_width is not None
        ]
        return any(blank[0] <= left[0] and blank[1] <= left[1] for blank in blanks)
    if offcut.length <= rates["length_kerf"]:
        return False
    lost = 2 * int(requirement.material.values.get("end_trim", rates["end_trim"]))
    return any(int(piece.part.blank_length.value) <= offcut.length - lost for piece in requirement.pieces)


@dataclass(frozen=True, slots=True)
class Rest:
    """So many equal rests, lengths in nm; a sheet's length lies along the sheet's, a length has a width of 0."""

    material: Material
    length: int
    width: int
    count: int


def rests_worth_keeping(bought: tuple[MaterialBought, ...], rates: Rates) -> tuple[Rest, ...]:
    """The rests that the cuts of a job leave, by material, the largest first."""
    found = []
    for one in bought:
        if not one.purchases:
            continue
        counted: dict[tuple[int, int], int] = {}
        for size, count in _rests(one, rates):
            counted[size] = counted.get(size, 0) + count
        sizes = sorted(counted, key=lambda size: (-size[0] * max(size[1], 1), size))
        found += [Rest(one.material, *size, counted[size]) for size in sizes]
    return tuple(found)


def _rests(bought: MaterialBought, rates: Rates) -> Iterator[tuple[tuple[int, int], int]]:
    """Length, width and number of each rest that is worth keeping, whole ones that were bought for a price among it."""
    if bought.request is not None and bought.plan is not None:
        whole = {stock.id: stock for stock in bought.request.stocks}
        for name, count in whole_beyond(bought.request.stocks, bought.plan).items():
            stock = whole[name]
            yield (stock.length, stock.width if isinstance(stock, SheetStock) else 0), count
    if isinstance(bought.plan, SheetPlan) and isinstance(bought.request, SheetRequest):
        keep = (int(rates["offcut_length"]), int(rates["offcut_width"]))
        for sheet in bought.plan.sheets:
            for left, low, right, high in offcuts(sawn_sheet(bought.request, sheet, keep)):
                yield (right - left, high - low), sheet.count
    elif isinstance(bought.plan, LengthPlan) and isinstance(bought.request, LengthRequest):
        stocks = {stock.id: stock for stock in bought.request.stocks}
        sizes = {piece.id: piece.length for piece in bought.request.pieces}
        sizes |= {part.id: part.length for part in bought.plan.parts}
        for cut in bought.plan.lengths:
            stock = stocks[cut.stock]
            last = max((at + sizes[piece] for piece, at in cut.pieces), default=0)
            # The far end is left as it came: its trim is lost only when the rest is cut in its turn.
            rest = stock.length - last - bought.request.kerf
            if rest - stock.trim >= rates["offcut_length"]:
                yield (rest, 0), cut.count
