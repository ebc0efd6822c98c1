"""The size or pack of an offer as files of prices write it, and whether a typed one is that of an offer."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Material, Offer
from webapp.costing.errors import MeasureError
from webapp.costing.measures.quantities import System
from webapp.costing.measures.written import parse_quantity, write_quantity


def pack_text(material: Material, offer: Offer, system: System) -> str:
    """What one purchase of an offer holds, as a file of prices says it; read back, it is exactly the same."""
    return _written(material.kind, tuple(offer.size.items()), system)


@lru_cache(maxsize=4096)
def _written(kind: Kind, held: tuple[tuple[str, Fraction], ...], system: System) -> str:
    size = dict(held)
    return " x ".join(
        write_quantity(size[one.name], one.quantity, system) for one in KINDS[kind].sizes if one.name in size
    )  # fmt: skip


def is_pack(text: str, material: Material, offer: Offer, system: System) -> bool:
    """Whether a typed size or pack is that of an offer; further measures of the offer may be left out."""
    parts = [part.strip() for part in re.split(r"\s*[x×]\s*", text.casefold())]
    wanted = [one for one in KINDS[material.kind].sizes if one.name in offer.size]
    if not 1 <= len(parts) <= len(wanted):
        return False
    for part, one in zip(parts, wanted, strict=False):
        try:
            if parse_quantity(part, one.quantity, system) != offer.size[one.name]:
                return False
        except MeasureError:
            return False
    return True
