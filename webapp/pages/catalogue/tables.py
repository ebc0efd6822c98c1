"""Materials and their prices as tables that leave the house, as filtered on their page; both can be taken back."""

from __future__ import annotations

from collections.abc import Sequence

from fastapi import Request
from fastapi.responses import Response

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.measures.quantities import System
from webapp.costing.tables.given import Cell, Given
from webapp.pages.catalogue.material_form import tags_typed
from webapp.pages.shown.materials import measure_cell, measure_heading
from webapp.pages.web.dependencies import ShopHere, StoreSession
from webapp.pages.web.given import Form, every_entry, table_answer
from webapp.pages.web.routing import PageRouter
from webapp.persistence.catalogue.records import MATERIAL_SORTS, find_materials
from webapp.persistence.foundation.lists import one_line
from webapp.price_import import prices_out
from webapp.running import running

router = PageRouter()

@router.get("/materials.{form}")
def send_materials(
    session: StoreSession, shop: ShopHere, form: Form, words: str = "", kind: str = "", retired: str = "",
    unpriced: str = "", sort: str = "",
) -> Response:  # fmt: skip
    """The materials, each with what describes it."""
    found = _found(session, words, kind, retired, unpriced, sort)
    return table_answer(materials_out(found, shop.length_system), form, "materials")


@router.get("/prices/export.{form}")
def send_prices(
    request: Request, session: StoreSession, shop: ShopHere, form: Form, words: str = "", kind: str = "",
    retired: str = "", unpriced: str = "", sort: str = "",
) -> Response:  # fmt: skip
    """What is on offer with today's prices, as a file that can be filled in and taken back."""
    narrowed = words or kind or retired or unpriced
    codes = [one.code for one in _found(session, words, kind, retired, unpriced, sort)] if narrowed else None
    given = prices_out(session, shop, shop.today(running(request).now()), codes)
    return table_answer(given, form, "prices")


def _found(
    session: StoreSession, words: str, kind: str, retired: str, unpriced: str, sort: str
) -> list[Material]:  # fmt: skip
    wanted = Kind(kind) if kind in set(Kind) else None
    order = next((one for one in MATERIAL_SORTS if one == sort), MATERIAL_SORTS[0])
    entries = every_entry(
        lambda number, size: find_materials(
            session, words, wanted, retired=None if retired else False, unpriced=bool(unpriced), sort=order,
            number=number, size=size,
        )
    )  # fmt: skip
    return [one.material for one in entries]


def materials_out(materials: Sequence[Material], system: System) -> Given:
    """The materials as the box of pasted rows reads them: a column for whatever describes any of them, for those of one
    kind all that describes that kind."""
    kinds = [kind for kind in Kind if any(one.kind is kind for one in materials)]
    columns = dict.fromkeys(
        (quality.name, quality.quantity)
        for kind in kinds
        for quality in KINDS[kind].properties
        if len(kinds) == 1 or any(quality.name in one.values for one in materials if one.kind is kind)
    )
    measures = (measure_heading(name, quantity, system) for name, quantity in columns)
    headings = ("code", "name", "kind", *measures, "tags", "note")

    def cells(material: Material) -> tuple[Cell, ...]:
        return (
            material.code, material.name, material.kind.value,
            *(_cell(material, name, quantity, system) for name, quantity in columns),
            tags_typed(material), one_line(material.note),
        )  # fmt: skip

    return Given("Materials", headings, map(cells, materials))


def _cell(material: Material, name: str, quantity: str, system: System) -> Cell:
    value = material.values.get(name)
    if value is None or all((one.name, one.quantity) != (name, quantity) for one in KINDS[material.kind].properties):
        return None
    if quantity == "yes_no":
        return "yes" if value else "no"
    return measure_cell(value, quantity, system)
