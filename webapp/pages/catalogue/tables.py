"""Which materials an address asks for; and they and their prices as tables that leave the house, to be taken back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, cast

from fastapi import Depends, Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.measures.quantities import System
from webapp.costing.tables.given import Cell, Given
from webapp.pages.catalogue.material_form import tags_typed
from webapp.pages.shown.materials import measure_cell, measure_heading
from webapp.pages.web.dependencies import ShopHere, StoreSession
from webapp.pages.web.given import Form, every_entry, table_answer
from webapp.pages.web.listing import one_of
from webapp.pages.web.routing import PageRouter
from webapp.persistence.catalogue.records import MATERIAL_SORTS, MaterialSort, StoredMaterial, find_materials
from webapp.persistence.foundation.lists import Page, one_line
from webapp.price_import import prices_out
from webapp.running import running

router = PageRouter()

@dataclass(frozen=True, slots=True)
class AskedMaterials:
    """The materials asked for: by words and kind, retired ones too, those alone that have no price; and their order."""

    words: str
    kind: Kind | None
    retired: bool
    unpriced: bool
    sort: MaterialSort

    @property
    def narrowed(self) -> bool:
        """Whether other materials are asked for than those in use."""
        return bool(self.words or self.kind or self.retired or self.unpriced)

    @property
    def query(self) -> dict[str, str]:
        """The same as it stands in an address."""
        return {
            "words": self.words, "kind": self.kind or "", "retired": "yes" if self.retired else "",
            "unpriced": "yes" if self.unpriced else "", "sort": "" if self.sort == MATERIAL_SORTS[0] else self.sort,
        }  # fmt: skip

    def found(self, session: Session, number: int, size: int) -> Page[StoredMaterial]:
        """One page of them."""
        return find_materials(
            session, self.words, self.kind, retired=None if self.retired else False, unpriced=self.unpriced,
            sort=self.sort, number=number, size=size,
        )  # fmt: skip


def asked_materials(
    words: str = "", kind: str = "", retired: str = "", unpriced: str = "", sort: str = ""
) -> AskedMaterials:  # fmt: skip
    """What an address asks for, so far as it is known."""
    return AskedMaterials(
        words, Kind(kind) if kind in set(Kind) else None, bool(retired), bool(unpriced),
        cast(MaterialSort, one_of(sort, MATERIAL_SORTS, MATERIAL_SORTS[0])),
    )  # fmt: skip


@router.get("/materials.{form}")
def send_materials(
    session: StoreSession, shop: ShopHere, form: Form, asked: Annotated[AskedMaterials, Depends(asked_materials)]
) -> Response:  # fmt: skip
    """The materials, each with what describes it."""
    return table_answer(materials_out(_found(session, asked), shop.length_system), form, "materials")


@router.get("/prices/export.{form}")
def send_prices(
    request: Request, session: StoreSession, shop: ShopHere, form: Form,
    asked: Annotated[AskedMaterials, Depends(asked_materials)],
) -> Response:  # fmt: skip
    """What is on offer with today's prices, as a file that can be filled in and taken back."""
    codes = [one.material.code for one in _found(session, asked)] if asked.narrowed else None
    given = prices_out(session, shop, shop.today(running(request).now()), codes)
    return table_answer(given, form, "prices")


def _found(session: Session, asked: AskedMaterials) -> list[StoredMaterial]:
    return list(every_entry(lambda number, size: asked.found(session, number, size)))


def materials_out(stored: Sequence[StoredMaterial], system: System) -> Given:
    """The materials as the box of pasted rows reads them: a column for whatever describes any of them, for those of one
    kind all that describes that kind."""
    materials = [one.material for one in stored]
    kinds = [kind for kind in Kind if any(one.kind is kind for one in materials)]
    columns = dict.fromkeys(
        (quality.name, quality.quantity)
        for kind in kinds
        for quality in KINDS[kind].properties
        if len(kinds) == 1 or any(quality.name in one.values for one in materials if one.kind is kind)
    )
    measures = (measure_heading(name, quantity, system) for name, quantity in columns)
    headings = ("code", "name", "kind", *measures, "tags", "note", "version")

    def cells(one: StoredMaterial) -> tuple[Cell, ...]:
        material = one.material
        return (
            material.code, material.name, material.kind.value,
            *(_cell(material, name, quantity, system) for name, quantity in columns),
            tags_typed(material), one_line(material.note), one.version,
        )  # fmt: skip

    return Given("Materials", headings, map(cells, stored))


def _cell(material: Material, name: str, quantity: str, system: System) -> Cell:
    value = material.values.get(name)
    if value is None or all((one.name, one.quantity) != (name, quantity) for one in KINDS[material.kind].properties):
        return None
    if quantity == "yes_no":
        return "yes" if value else "no"
    return measure_cell(value, quantity, system)
