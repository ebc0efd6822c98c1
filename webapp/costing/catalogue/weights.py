"""What is sold of a material weighs."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offer, described
from webapp.costing.trade.mass import kilograms, tube_kilograms

NM_PER_METRE: Final = 10**9

def pieces_of(material: Material, offer: Offer) -> Fraction:
    """How many pieces one purchase of an offer holds; sheets and lengths are priced by one."""
    return offer.size.get("count", Fraction(1)) if material.kind not in (Kind.SHEET, Kind.LENGTH) else Fraction(1)


def kilograms_of(material: Material, offer: Offer) -> Fraction | None:
    """What one purchase of an offer weighs, in kg; None where that isn't known."""
    values, size = described(material), offer.size
    density, length = values.get("density"), size.get("length")
    if material.kind is Kind.SHEET and density and length and "thickness" in values:
        return kilograms(length, size["width"], values["thickness"], density)
    if material.kind is Kind.LENGTH and length:
        if "mass_per_metre" in values:
            return values["mass_per_metre"] * length / NM_PER_METRE
        if density and "width" in values and "thickness" in values:
            wall = values.get("wall")
            if wall:
                return tube_kilograms(length, values["width"], values["thickness"], wall, density)
            return kilograms(length, values["width"], values["thickness"], density)
    if "mass" in values:
        return values["mass"] * pieces_of(material, offer)
    return None
