"""Which services are ordered as one piece of work, and by what they are measured."""

from __future__ import annotations

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material


def is_subcontracted(material: Material) -> bool:
    """Whether a service is charged as one piece of work: by area, with a least charge, or with carriage."""
    return material.kind is Kind.SERVICE and any(
        material.values.get(name) for name in ("by_area", "minimum", "carriage")
    )


def service_unit(material: Material) -> str:
    """'m2' for a service charged by area; '' where the kind's own unit holds."""
    return "m2" if material.kind is Kind.SERVICE and material.values.get("by_area") == 1 else ""


def by_measure(material: Material) -> bool:
    """Whether a purchase is told by what is bought, and not in packs: boards, and work that is sent out."""
    return material.kind is Kind.BOARD or is_subcontracted(material)
