"""What a supplier sells of a material: added with its first price, edited, no longer sold, sold again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated
from uuid import UUID, uuid4

from fastapi import Form, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import KINDS
from webapp.costing.catalogue.materials import Material
from webapp.pages.catalogue.material_form import differences
from webapp.pages.catalogue.offer_form import (
    COUNTED,
    NEW_SUPPLIER,
    fields_of,
    labels_of,
    read_offer,
    said_of,
    size_fields,
    typed_offer,
)
from webapp.pages.catalogue.supplier_form import COMES_WORDS
from webapp.pages.prices.typed_price import Desk, TypedPrice, empty_price, keep_seen, read_price, typed_price
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.fields import Field
from webapp.pages.web.posting import PostedFields, version_to_show
from webapp.pages.web.routing import PageRouter
from webapp.persistence.catalogue.changes import add_offer, add_supplier, edit_offer, retire_offer
from webapp.persistence.catalogue.records import (
    StoredOffer,
    Supplier,
    list_suppliers,
    load_material,
    load_offer,
    load_offers,
)
from webapp.persistence.foundation.errors import NotKept
from webapp.rendering import render
from webapp.running import running

router = PageRouter()


@dataclass(frozen=True, slots=True)
class OfferFormPage:
    """The form of an offer, what was typed in it and what stands against it; `price` is only there for a new one."""

    title: str
    action: str
    material: str
    material_href: str
    suppliers: tuple[tuple[str, str], ...]
    fields: Mapping[str, str]
    sizes: tuple[Field, ...]
    price: TypedPrice | None
    price_is_for: str
    currency: str
    version: int
    problems: Mapping[str, str]
    listed: tuple[tuple[str, str], ...]
    stale: tuple[tuple[str, str, str], ...]


@router.get("/materials/{code}/offers/new")
def show_new(request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, code: str) -> Response:
    """The form of a new offer."""
    material = load_material(session, code).material
    desk = Desk(request, session, shop, user)
    counted = {f"size.{one.name}": "1" for one in KINDS[material.kind].sizes if one.name in COUNTED}
    return _page(desk, material, counted, {}, None, empty_price(None, desk.today))


@router.post("/materials/{code}/offers/new")
def add(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, code: str, posted: PostedFields
) -> Response:
    """Keep a new offer, with its price where one is typed; all of it or nothing."""
    material, sent = load_material(session, code).material, dict(posted)
    desk, fields = Desk(request, session, shop, user), typed_offer(sent, material.kind)
    typed = typed_price(sent, desk.today)
    suppliers = list_suppliers(session)
    offer, problems = read_offer(str(uuid4()), material, fields, suppliers, shop)
    held = [one.offer for one in load_offers(session, code)]
    if not problems and any((one.supplier, one.size) == (offer.supplier, offer.size) for one in held):
        problems["supplier"] = f"{material.name} is on offer there in this size already; edit that offer, or price it."
    seen = None
    if typed.amount:
        seen, wrong = read_price(desk.keeper, typed, offer, material, None)
        typed = replace(typed, problems=wrong)
        problems |= wrong
    if problems:
        return _page(desk, material, fields, problems, None, typed)
    at = running(request).now()
    if offer.supplier not in {one.code for one in suppliers}:
        add_supplier(session, Supplier(offer.supplier, fields["new_supplier"]), at=at, by=user.id)
    add_offer(session, offer, at=at, by=user.id)
    if seen is not None:
        keep_seen(desk.keeper, seen)
    return RedirectResponse(f"/materials/{code}#offer-{offer.id}", 303)


@router.get("/materials/{code}/offers/{offer_id}/edit")
def show_edit(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, code: str, offer_id: UUID
) -> Response:
    """The form of an offer that is kept."""
    material, stored = load_material(session, code).material, offer_of_material(session, code, offer_id)
    return _page(
        Desk(request, session, shop, user), material, fields_of(stored.offer, material, shop), {}, stored, None
    )


@router.post("/materials/{code}/offers/{offer_id}/edit")
def edit(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, code: str, offer_id: UUID,
    posted: PostedFields,
) -> Response:  # fmt: skip
    """Keep a changed offer; where somebody saved it in between, show what they said beside what is typed."""
    material, stored = load_material(session, code).material, offer_of_material(session, code, offer_id)
    sent, desk = dict(posted), Desk(request, session, shop, user)
    fields, suppliers = typed_offer(sent, material.kind), list_suppliers(session)
    offer, problems = read_offer(str(offer_id), material, fields, suppliers, shop)
    version = sent.get("version", "")
    if problems:
        return _page(desk, material, fields, problems, stored, None, version)
    if version != str(stored.version):
        return _page(desk, material, fields, {}, stored, None, stale=True)
    at = running(request).now()
    if offer.supplier not in {one.code for one in suppliers}:
        add_supplier(session, Supplier(offer.supplier, fields["new_supplier"]), at=at, by=user.id)
    edit_offer(session, replace(offer, retired=stored.offer.retired), stored.version, at=at, by=user.id)
    return RedirectResponse(f"/materials/{code}#offer-{offer_id}", 303)


@router.post("/materials/{code}/offers/{offer_id}/retire")
def retire(
    request: Request,
    session: StoreSession,
    user: SignedIn,
    code: str,
    offer_id: UUID,
    version: Annotated[int, Form()] = 0,
    retired: Annotated[str, Form()] = "yes",
) -> Response:
    """Say that an offer is no longer sold, or is again; its prices are kept."""
    offer_of_material(session, code, offer_id)
    retire_offer(session, offer_id, version, at=running(request).now(), by=user.id, retired=retired != "no")
    return RedirectResponse(f"/materials/{code}", 303)


def offer_of_material(session: Session, code: str, offer_id: UUID) -> StoredOffer:
    """An offer under the address of its own material. Raises NotKept."""
    stored = load_offer(session, offer_id)
    if stored.offer.material != code:
        raise NotKept("offer", offer_id)
    return stored


def _page(
    desk: Desk, material: Material, fields: Mapping[str, str], problems: Mapping[str, str], stored: StoredOffer | None,
    price: TypedPrice | None, version: str = "", *, stale: bool = False,
) -> Response:  # fmt: skip
    known = list_suppliers(desk.session)
    suppliers = tuple((one.code, f"{one.name}, {COMES_WORDS[one.comes]}") for one in known)
    filled = {**dict.fromkeys(labels_of(material.kind), ""), **fields}
    theirs: tuple[tuple[str, str, str], ...] = ()
    if stale and stored is not None:
        kept = fields_of(stored.offer, material, desk.shop)
        names = {one.code: one.name for one in known}
        theirs = differences(said_of(kept, names), said_of(filled, names), labels_of(material.kind))
    held = stored.version if stored is not None else 0
    address = f"/materials/{material.code}"
    page = OfferFormPage(
        title=f"New offer of {material.name}" if stored is None else f"Offer of {material.name}",
        action=f"{address}/offers/new" if stored is None else f"{address}/offers/{stored.offer.id}/edit",
        material=material.name,
        material_href=address,
        suppliers=(("", "Choose a supplier"), *suppliers, NEW_SUPPLIER),
        fields=filled,
        sizes=size_fields(material.kind, filled, problems, desk.shop.length_system),
        price=price,
        price_is_for=KINDS[material.kind].price_is_for,
        currency=desk.shop.currency,
        version=version_to_show(version, held, stale=stale),
        problems=problems,
        listed=tuple((name.replace(".", "-"), sentence) for name, sentence in problems.items()),
        stale=theirs,
    )
    return render(desk.request, "catalogue/offer_form.html", page, 409 if stale else 422 if problems else 200)
