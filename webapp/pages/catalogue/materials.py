"""The materials: found by words and kind with their prices, a new price typed in its row, and one material's sheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final
from uuid import UUID

from fastapi import Depends, Request
from fastapi.responses import RedirectResponse, Response

from webapp.costing.catalogue.kinds import KINDS
from webapp.costing.measures.typed_numbers import small_number
from webapp.pages.catalogue import bring_materials, material_edit, offer_edit, pasted_materials, tables
from webapp.pages.catalogue.material_sheet import show_material_sheet
from webapp.pages.catalogue.offer_view import OfferView, Place, Shelf, offer_view
from webapp.pages.catalogue.tables import AskedMaterials, asked_materials
from webapp.pages.prices.typed_price import Desk, take_price, typed_price
from webapp.pages.web.answers import inside
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.errors import is_part
from webapp.pages.web.given import TableLinks, table_links
from webapp.pages.web.listing import Turning, address, page_number, turning
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter
from webapp.persistence.catalogue.records import (
    MaterialSort,
    StoredOffer,
    load_catalogue,
    load_material,
    load_offer,
    price_history,
)
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.settings.rates import current_rates
from webapp.rendering import render
from webapp.running import running
from webapp.showing import counted

router = PageRouter()
router.include_router(tables.router)

#: A material takes a line for each of its offers, with a field in each: fifty of them would be a roll of paper.
A_PAGE: Final = 20
SORT_WORDS: Final[dict[MaterialSort, str]] = {"name": "by name", "code": "by code", "newest": "the newest first"}


@dataclass(frozen=True, slots=True)
class MaterialRow:
    """A material in the list with what is sold of it."""

    code: str
    href: str
    name: str
    kind: str
    note: str
    retired: bool
    offers: tuple[OfferView, ...]


@dataclass(frozen=True, slots=True)
class MaterialsPage:
    """The list, what it was narrowed to, and where it goes on."""

    words: str
    kind: str
    kinds: tuple[tuple[str, str], ...]
    sort: str
    sorts: tuple[tuple[str, str], ...]
    retired: bool
    unpriced: bool
    rows: tuple[MaterialRow, ...]
    currency: str
    turning: Turning
    narrowed: bool
    brought: str
    table: TableLinks
    prices: TableLinks


@dataclass(frozen=True, slots=True)
class OfferPart:
    """One offer, put in place of itself."""

    offer: OfferView


@router.get("/materials")
def show_materials(
    request: Request, session: StoreSession, shop: ShopHere,
    asked: Annotated[AskedMaterials, Depends(asked_materials)], page: int = 1, brought: str = "",
) -> Response:  # fmt: skip
    """The materials, each with its offers and their prices."""
    found, query = asked.found(session, page_number(page), A_PAGE), asked.query
    today = shop.today(running(request).now())
    codes = [one.material.code for one in found.entries]
    shelf = Shelf(load_catalogue(session, today, codes), current_rates(session), shop)
    here = address("/materials", {**query, "page": "" if found.number == 1 else str(found.number)})
    rows, came = [], small_number(brought)
    for stored in found.entries:
        material = stored.material
        offers = tuple(
            offer_view(shelf, material, StoredOffer(offer, 0), "row", here)
            for offer in shelf.catalogue.offers_of(material.code)
        )
        rows.append(
            MaterialRow(
                material.code,
                f"/materials/{material.code}",
                material.name,
                KINDS[material.kind].singular,
                material.note,
                material.retired,
                offers,
            )
        )
    return render(
        request,
        "catalogue/list.html",
        MaterialsPage(
            asked.words,
            asked.kind.value if asked.kind else "",
            (("", "of any kind"), *((kind.value, row.singular) for kind, row in KINDS.items())),
            asked.sort,
            tuple(SORT_WORDS.items()),
            asked.retired,
            asked.unpriced,
            tuple(rows),
            shop.currency,
            turning("/materials", query, found, "material"),
            asked.narrowed or page > 1,
            "" if came is None else f"{counted(came, 'material')} came along.",
            table_links("These materials", "/materials", query),
            table_links("Their prices", "/prices/export", query),
        ),
    )


# What is named before a code: /materials/paste is no material.
router.include_router(pasted_materials.router)
router.include_router(bring_materials.router)
router.include_router(material_edit.router)
router.include_router(offer_edit.router)


@router.get("/materials/{code}")
def show_material(request: Request, session: StoreSession, shop: ShopHere, code: str) -> Response:
    """One material: its values, its offers, their prices."""
    return show_material_sheet(request, session, shop, load_material(session, code))


@router.post("/materials/{code}/offers/{offer_id}/price")
def keep_new_price(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, code: str, offer_id: UUID,
    posted: PostedFields,
) -> Response:  # fmt: skip
    """Keep a price typed for an offer, asking once about one that jumps."""
    material, stored = load_material(session, code), load_offer(session, offer_id)
    if stored.offer.material != code:
        raise NotKept("offer", offer_id)
    desk, fields = Desk(request, session, shop, user), dict(posted)
    refused = take_price(desk.keeper, typed_price(fields, desk.today), stored.offer, material.material)
    back = inside(fields.get("back") or f"/materials/{code}")
    status = 422 if refused else 200
    if is_part(request):
        shelf = Shelf(load_catalogue(session, desk.today, [code]), current_rates(session), shop)
        place: Place = "row" if fields.get("place") == "row" else "sheet"
        history = price_history(session, offer_id) if place == "sheet" else ()
        view = offer_view(
            shelf, material.material, stored, place, back, typed=refused, history=history, just_kept=refused is None
        )
        return render(request, f"catalogue/offer_{place}.html", OfferPart(view), status)
    if refused is None:
        return RedirectResponse(f"{back}#offer-{offer_id}", 303)
    return show_material_sheet(
        request, session, shop, material, typed={stored.offer.id: refused}, back=back, status=422
    )
