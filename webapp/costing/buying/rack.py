"""What stands on the shop's own rack, as something that can be had like an offer, only no more of it than there is."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Offcut, Offer
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
