"""What a weld uses up: wire by weight, gas by the litre, discs by the piece, each by the length of weld."""

from __future__ import annotations

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.ledger.working import Figure, Working


def used_in_weld(working: Working, key: str, material: Material, metres: Figure, quantity: Figure) -> Figure | None:
    """How much of a material the welds of an item use up: litres of a gas, pieces of all else.

    `metres` is the length of weld of one. None where the material does not say how far it goes.
    """
    name, label, unit = (
        ("weld_litres", "litres for a metre of weld", "L/m")
        if material.kind is Kind.LIQUID
        else ("weld", "length of weld that one does", "nm")
    )
    value = material.values.get(name)
    if not value:
        return None
    source = material.sources.get(name, "the catalogue")
    each = working.given(f"material/{material.code}/{name}", f"{material.name}: {label}", value, unit, source)
    if material.kind is Kind.LIQUID:
        return working.derive(
            key, material.name, "L", "metres of weld x litres for a metre, by quantity", "metres * each * quantity",
            metres=metres, each=each, quantity=quantity,
        )  # fmt: skip
    return working.derive(
        key, material.name, "piece", "metres of weld / metres that one does, by quantity",
        "length / metres(each) * quantity", length=metres, each=each, quantity=quantity,
    )  # fmt: skip
