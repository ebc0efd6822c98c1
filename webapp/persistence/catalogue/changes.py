"""What is added to the catalogue, edited in it and retired from it; a price is only ever added."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.costing.catalogue.materials import Material, Offer, PriceSeen
from webapp.costing.catalogue.order_terms import write_terms
from webapp.costing.catalogue.tags import tag_words
from webapp.persistence.catalogue.rack_tables import OffcutRow
from webapp.persistence.catalogue.records import (
    MaterialRow,
    OfferRow,
    PriceRow,
    StoredMaterial,
    StoredOffer,
    Supplier,
    SupplierRow,
    WithdrawnPriceRow,
    exact_text,
    load_material,
    load_offer,
    material_of,
    supplier_of,
)
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.column_types import MONEY_PLACES
from webapp.persistence.foundation.errors import NotKept, StaleSave, StoreError
from webapp.persistence.foundation.lists import fold
from webapp.persistence.foundation.turns import take_turn
from webapp.persistence.settings.shop import fix_currency, load_shop


class CodeTaken(StoreError):
    """Two things of one sort can't go under one code."""

    def __init__(self, what: str, code: str) -> None:
        super().__init__(f"There is a {what} under the code {code} already. Choose another code.")
        self.what = what
        self.code = code


class KindFixed(StoreError):
    """A material that is on offer or on the rack can't become another kind: what there is are sizes of that kind."""

    def __init__(self, code: str, stored: str, given: str, where: str) -> None:
        super().__init__(f"{code} is {where} as a {stored}, so it can't become a {given}. Retire it and add another.")
        self.code = code


class PriceRefused(StoreError):
    """A price that can't be kept, with the sentence why."""


def add_supplier(session: Session, supplier: Supplier, *, at: datetime, by: UUID | None = None) -> Supplier:
    """Keep a new supplier. Raises CodeTaken."""
    take_turn(session, "suppliers")
    if session.scalar(select(SupplierRow.id).where(SupplierRow.code == supplier.code)) is not None:
        raise CodeTaken("supplier", supplier.code)
    row = SupplierRow(
        code=supplier.code, name=supplier.name, note=supplier.note, comes=str(supplier.comes),
        carriage=supplier.carriage, terms=write_terms(supplier.terms) or None, version=1,
    )  # fmt: skip
    session.add(row)
    session.flush()
    record(session, HistoryEntry(at, by, "added", "supplier", supplier.code, {"name": supplier.name}))
    return supplier_of(row)


def edit_supplier(session: Session, supplier: Supplier, *, at: datetime, by: UUID | None = None) -> Supplier:
    """Keep a changed supplier under the same code. Raises NotKept, StaleSave."""
    row = session.scalar(select(SupplierRow).where(SupplierRow.code == supplier.code).with_for_update())
    if row is None:
        raise NotKept("supplier", supplier.code)
    if row.version != supplier.version:
        raise StaleSave("supplier", supplier_of(row), supplier)
    row.name, row.note, row.version = supplier.name, supplier.note, supplier.version + 1
    row.comes, row.carriage = str(supplier.comes), supplier.carriage
    row.terms = write_terms(supplier.terms) or None
    session.flush()
    record(session, HistoryEntry(at, by, "edited", "supplier", supplier.code, {"name": supplier.name}))
    return supplier_of(row)


def add_material(session: Session, material: Material, *, at: datetime, by: UUID | None = None) -> StoredMaterial:
    """Keep a new material. Raises CodeTaken."""
    take_turn(session, "materials")
    if session.scalar(select(MaterialRow.id).where(MaterialRow.code == material.code)) is not None:
        raise CodeTaken("material", material.code)
    row = MaterialRow(code=material.code, version=1)
    _write_material(row, material)
    session.add(row)
    session.flush()
    record(session, HistoryEntry(at, by, "added", "material", material.code, {"name": material.name}))
    return StoredMaterial(material, 1)


def edit_material(
    session: Session, material: Material, version: int, *, at: datetime, by: UUID | None = None, what: str = "edited"
) -> StoredMaterial:
    """Keep a changed material under the same code.

    Raises NotKept, KindFixed, and StaleSave where somebody saved since `version` was read.
    """
    row = session.scalar(select(MaterialRow).where(MaterialRow.code == material.code).with_for_update())
    if row is None:
        raise NotKept("material", material.code)
    if row.version != version:
        raise StaleSave("material", StoredMaterial(material_of(row), row.version), StoredMaterial(material, version))
    for held, where in ((OfferRow, "on offer"), (OffcutRow, "on the rack")):
        if row.kind != material.kind.value and session.scalar(
            select(held.id).where(held.material_id == row.id).limit(1)
        ):
            raise KindFixed(material.code, row.kind, material.kind.value, where)
    _write_material(row, material)
    row.version = version + 1
    session.flush()
    record(
        session, HistoryEntry(at, by, what, "material", material.code, {"name": material.name, "version": version + 1})
    )
    return StoredMaterial(material, version + 1)


def retire_material(
    session: Session, code: str, version: int, *, at: datetime, by: UUID | None = None, retired: bool = True
) -> StoredMaterial:
    """Take a material out of the lists, or bring it back; what uses it still finds it. Raises as `edit_material`."""
    material = replace(load_material(session, code).material, retired=retired)
    return edit_material(session, material, version, at=at, by=by, what="retired" if retired else "brought back")


def add_offer(session: Session, offer: Offer, *, at: datetime, by: UUID | None = None) -> StoredOffer:
    """Keep what a supplier sells of a material; the offer's id is a UUID made by the caller. Raises NotKept."""
    row = OfferRow(id=UUID(offer.id), version=1)
    _write_offer(session, row, offer)
    session.add(row)
    session.flush()
    record(
        session,
        HistoryEntry(at, by, "added", "offer", offer.id, {"material": offer.material, "supplier": offer.supplier}),
    )
    return StoredOffer(offer, 1)


def edit_offer(
    session: Session, offer: Offer, version: int, *, at: datetime, by: UUID | None = None, what: str = "edited"
) -> StoredOffer:
    """Keep a changed offer; its prices stay with it. Raises NotKept, StaleSave."""
    row = session.get(OfferRow, UUID(offer.id), with_for_update=True)
    if row is None:
        raise NotKept("offer", offer.id)
    if row.version != version:
        raise StaleSave("offer", load_offer(session, row.id), StoredOffer(offer, version))
    _write_offer(session, row, offer)
    row.version = version + 1
    session.flush()
    record(session, HistoryEntry(at, by, what, "offer", offer.id, {"material": offer.material, "version": version + 1}))
    return StoredOffer(offer, version + 1)


def retire_offer(
    session: Session, offer_id: UUID, version: int, *, at: datetime, by: UUID | None = None, retired: bool = True
) -> StoredOffer:
    """Say that an offer is no longer sold, or is again. Raises as `edit_offer`."""
    offer = replace(load_offer(session, offer_id).offer, retired=retired)
    return edit_offer(session, offer, version, at=at, by=by, what="retired" if retired else "brought back")


def add_price(session: Session, price: PriceSeen, *, at: datetime, by: UUID | None = None) -> int:
    """Keep a price as seen, beside all earlier ones, and say its place. The first price of a shop fixes its currency.

    Raises NotKept, and PriceRefused for another currency than the shop's, an amount that is nothing or less, one with
    more decimals than are kept, and a break that begins below one.
    """
    offer = load_offer(session, UUID(price.offer)).offer
    shop = load_shop(session)
    if price.currency != shop.currency:
        raise PriceRefused(
            f"The price of {offer.material} is given in {price.currency}, but this shop counts in {shop.currency}. "
            f"Type it in {shop.currency}."
        )
    if not price.amount.is_finite() or price.amount <= 0:
        raise PriceRefused(f"The price of {offer.material} is {price.amount}; a price must be above zero.")
    if price.amount >= 10**12 or price.amount != round(price.amount, MONEY_PLACES):
        raise PriceRefused(
            f"The price of {offer.material} is {price.amount}; at most {MONEY_PLACES} decimals "
            "and twelve figures before them are kept."
        )
    if price.from_quantity < 1:
        raise PriceRefused(f"A price break of {offer.material} begins at {price.from_quantity}; the least is 1.")
    if not shop.currency_fixed:
        fix_currency(session)
    row = PriceRow(
        offer_id=UUID(price.offer),
        amount=price.amount,
        currency=price.currency,
        seen_on=price.seen_on,
        where_seen=price.where,
        seen_by=price.by,
        from_quantity=price.from_quantity,
        with_tax=price.with_tax,
        delivered=price.delivered,
        one_off=price.one_off,
        entered_at=at,
    )
    session.add(row)
    session.flush()
    details = {"amount": str(price.amount), "seen_on": price.seen_on.isoformat(), "offer": price.offer}
    record(session, HistoryEntry(at, by, "priced", "material", offer.material, details))
    return row.id


def withdraw_price(session: Session, price_id: int, why: str, *, at: datetime) -> None:
    """Let a price no longer count; what was told stays told."""
    session.add(WithdrawnPriceRow(price_id=price_id, why=why, at=at))
    session.flush()


def _write_material(row: MaterialRow, material: Material) -> None:
    row.name, row.name_key = material.name, fold(material.name)
    row.search = fold(material.code, material.name, material.note, *map(tag_words, material.tags))
    row.kind = material.kind.value
    row.values, row.sources = exact_text(material.values), dict(material.sources)
    row.note, row.retired = material.note, material.retired
    row.tags = " ".join(material.tags) or None


def _write_offer(session: Session, row: OfferRow, offer: Offer) -> None:
    with session.no_autoflush:
        material = session.scalar(select(MaterialRow.id).where(MaterialRow.code == offer.material))
        supplier = session.scalar(select(SupplierRow.id).where(SupplierRow.code == offer.supplier))
    if material is None:
        raise NotKept("material", offer.material)
    if supplier is None:
        raise NotKept("supplier", offer.supplier)
    row.material_id, row.supplier_id = material, supplier
    row.size, row.supplier_code = exact_text(offer.size), offer.supplier_code
    row.lead_days, row.minimum_order, row.retired = offer.lead_days, offer.minimum_order, offer.retired
