"""The rack as a table that leaves the house, as filtered on its page."""

from __future__ import annotations

from fractions import Fraction

from fastapi.responses import Response

from webapp.costing.catalogue.kinds import KINDS
from webapp.costing.tables.given import Cell, Given
from webapp.pages.shown.materials import measure_cell, measure_heading
from webapp.pages.web.dependencies import ShopHere, StoreSession
from webapp.pages.web.given import Form, every_entry, table_answer
from webapp.pages.web.routing import PageRouter
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.rack.records import StoredOffcut, find_offcuts
from webapp.persistence.settings.shop import Shop

router = PageRouter()


@router.get("/rack.{form}")
def send_rack(session: StoreSession, shop: ShopHere, form: Form, words: str = "", gone: str = "") -> Response:
    """What stands on the rack, or stood there once."""
    found = every_entry(lambda number, size: find_offcuts(session, words, gone=bool(gone), number=number, size=size))
    sides = tuple(measure_heading(side, "length", shop.length_system) for side in ("length", "width"))
    headings = ("offcut", "material", "name", *sides, "count", "place", "note", "since", "whole", "version")
    return table_answer(Given("The rack", headings, (_cells(one, shop) for one in found)), form, "rack")


def _cells(stored: StoredOffcut, shop: Shop) -> tuple[Cell, ...]:
    offcut, sides = stored.offcut, {one.name for one in KINDS[stored.kind].rack_sides}

    def side(name: str, value: int) -> Cell:
        return measure_cell(Fraction(value), "length", shop.length_system) if name in sides else None

    return (
        offcut.id, offcut.material, stored.material_name, side("length", offcut.length), side("width", offcut.width),
        offcut.count, offcut.place, one_line(stored.note), shop.today(stored.put_at), "yes" if offcut.whole else "no",
        stored.version,
    )  # fmt: skip
