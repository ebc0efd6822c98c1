"""Offcuts in words, as they are listed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from webapp.costing.catalogue.materials import Offcut
from webapp.costing.measures.written import System, format_length
from webapp.persistence.rack.records import StoredOffcut
from webapp.persistence.settings.shop import Shop


@dataclass(frozen=True, slots=True)
class OffcutView:
    """An offcut in words; `old` where it has stood there for more than a year."""

    id: str
    href: str
    material: str
    material_href: str
    size: str
    count: int
    place: str
    note: str
    since: str
    old: bool
    version: int
    held: str = ""
    whole: bool = False


def size_words(offcut: Offcut, system: System) -> str:
    """Its size: length along the grain first."""
    if not offcut.width:
        return format_length(offcut.length, system)
    return f"{format_length(offcut.length, system, with_unit=False)} × {format_length(offcut.width, system)}"


def offcut_view(stored: StoredOffcut, shop: Shop, today: date, held: str = "") -> OffcutView:
    """An offcut as it is listed; `held` names the jobs that hold pieces of it."""
    offcut, put_on = stored.offcut, shop.today(stored.put_at)
    return OffcutView(
        offcut.id, f"/rack/{offcut.id}", stored.material_name, f"/materials/{offcut.material}",
        size_words(offcut, shop.length_system), offcut.count, offcut.place, stored.note, put_on.isoformat(),
        (today.year, today.month, today.day) > (put_on.year + 1, put_on.month, put_on.day), stored.version,
        held, offcut.whole,
    )  # fmt: skip
