"""What the shop buys, as kept: materials, suppliers, their offers, and every price seen. Reading only."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final, Literal
from uuid import UUID

from sqlalchemy import ColumnElement, ForeignKey, Index, false, func, select
from sqlalchemy.orm import InstrumentedAttribute, Mapped, Session, mapped_column

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Comes, Material, Offcut, Offer, PriceSeen
from webapp.costing.catalogue.order_terms import NO_TERMS, OrderTerms, read_terms
from webapp.persistence.catalogue.rack_tables import OffcutHoldRow, OffcutRow
from webapp.persistence.foundation.base import Named, Row, Versioned
from webapp.persistence.foundation.column_types import CanonicalJson, Money
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.foundation.lists import PAGE_SIZE, AnySelect, Page, SortText, holds_words, turn_to
from webapp.persistence.settings.shop import load_shop

MaterialSort = Literal["name", "code", "newest"]
MATERIAL_SORTS: Final[tuple[MaterialSort, ...]] = ("name", "code", "newest")


class SupplierRow(Versioned, Row):
    """Someone the shop buys from."""

    __tablename__ = "suppliers"

    id: Mapped[int] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    note: Mapped[str]
    comes: Mapped[str] = mapped_column(server_default="fetched")
    carriage: Mapped[Decimal | None] = mapped_column(Money)
    terms: Mapped[dict[str, str] | None] = mapped_column(CanonicalJson)


class MaterialRow(Versioned, Row):
    """A material. `values` are exact numbers as text; `name_key` and `search` are the folded name and all its words,
    `tags` its tags with spaces between, nothing where nobody said."""

    __tablename__ = "materials"

    id: Mapped[int] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    name_key: Mapped[str] = mapped_column(SortText, index=True)
    search: Mapped[str]
    kind: Mapped[str] = mapped_column(index=True)
    values: Mapped[dict[str, str]] = mapped_column(CanonicalJson)
    sources: Mapped[dict[str, str]] = mapped_column(CanonicalJson)
    note: Mapped[str]
    retired: Mapped[bool]
    tags: Mapped[str | None]


class OfferRow(Named, Versioned, Row):
    """What one supplier sells of a material."""

    __tablename__ = "offers"

    material_id: Mapped[int] = mapped_column(ForeignKey("materials.id"), index=True)
    supplier_id: Mapped[int] = mapped_column(ForeignKey("suppliers.id"), index=True)
    size: Mapped[dict[str, str]] = mapped_column(CanonicalJson)
    supplier_code: Mapped[str]
    lead_days: Mapped[int | None]
    minimum_order: Mapped[Decimal | None] = mapped_column(Money)
    retired: Mapped[bool]


class PriceRow(Row):
    """One price as seen; a trigger keeps it from ever being changed. Of two of one day, the one entered later holds."""

    __tablename__ = "price_observations"
    __table_args__ = (Index(None, "offer_id", "seen_on"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    offer_id: Mapped[UUID] = mapped_column(ForeignKey("offers.id"))
    amount: Mapped[Decimal] = mapped_column(Money)
    currency: Mapped[str]
    seen_on: Mapped[date]
    where_seen: Mapped[str]
    seen_by: Mapped[str]
    from_quantity: Mapped[int]
    with_tax: Mapped[bool]
    delivered: Mapped[bool]
    one_off: Mapped[bool]
    entered_at: Mapped[datetime]
    #: The file it came in, if it did; that file is undone as a whole.
    import_id: Mapped[UUID | None] = mapped_column(index=True)


class PriceImportRow(Named, Row):
    """One file of prices that was taken."""

    __tablename__ = "price_imports"

    name: Mapped[str]
    supplier_id: Mapped[int | None] = mapped_column(ForeignKey("suppliers.id"))
    file: Mapped[str]
    reckoned: Mapped[bool]
    lines: Mapped[int]
    prices: Mapped[int]
    kept_at: Mapped[datetime] = mapped_column(index=True)
    kept_by: Mapped[UUID | None] = mapped_column(ForeignKey("users.id", ondelete="SET NULL"))
    undone_at: Mapped[datetime | None]


class WithdrawnPriceRow(Row):
    """A price that no longer counts, since what it was told by was put right; it stays where it was told."""

    __tablename__ = "withdrawn_prices"

    price_id: Mapped[int] = mapped_column(ForeignKey("price_observations.id"), primary_key=True, autoincrement=False)
    why: Mapped[str]
    at: Mapped[datetime]


#: Of all prices ever told, those that count.
COUNTS: Final = PriceRow.id.not_in(select(WithdrawnPriceRow.price_id))


@dataclass(frozen=True, slots=True)
class Supplier:
    """Someone the shop buys from, with the version that a save of it names.

    `comes` says how its goods come, `carriage` what an order that is delivered costs on top, `terms` what it asks of an
    order beside that and when its goods come.
    """

    code: str
    name: str
    note: str = ""
    version: int = 1
    comes: Comes = Comes.FETCHED
    carriage: Decimal | None = None
    terms: OrderTerms = NO_TERMS


@dataclass(frozen=True, slots=True)
class StoredMaterial:
    """A material with the version that a save of it names."""

    material: Material
    version: int


@dataclass(frozen=True, slots=True)
class StoredOffer:
    """An offer with the version that a save of it names."""

    offer: Offer
    version: int


def load_catalogue(
    session: Session, today: date, codes: Collection[str] | None = None, for_jobs: Collection[UUID] = ()
) -> Catalogue:
    """What can be bought as known on a day, and what stands on the rack that these jobs may take, since no other holds
    it: the named materials, or all; unknown codes are left out.

    Of the prices those that hold on that day, one for each offer and break; `price_history` has the others.
    """
    known = select(MaterialRow.id)
    if codes is not None:
        known = known.where(MaterialRow.code.in_(codes))
    materials: dict[str, Material] = {}
    for row in session.execute(columns_of_materials().where(MaterialRow.id.in_(known)).order_by(MaterialRow.id)):
        material = material_of(row)
        materials[material.code] = material
    offers: dict[str, list[Offer]] = {}
    offered = _columns_of_offers().where(OfferRow.material_id.in_(known))
    for row in session.execute(offered.order_by(SupplierRow.code, OfferRow.id)):
        offer = offer_of(row)
        offers.setdefault(offer.material, []).append(offer)
    return Catalogue(
        materials=materials,
        offers={code: tuple(found) for code, found in offers.items()},
        prices=_prices_on(session, today, None if codes is None else known),
        currency=load_shop(session).currency,
        today=today,
        offcuts=_on_the_rack(session, None if codes is None else known, for_jobs),
    )


def rack_for(
    session: Session, codes: Collection[str], for_jobs: Collection[UUID], *, held: bool = False
) -> Mapping[str, tuple[Offcut, ...]]:
    """What stands on the rack of these materials that these jobs may take; with `held` what others hold is among it."""
    known = select(MaterialRow.id).where(MaterialRow.code.in_(codes))
    return _on_the_rack(session, known, for_jobs, held=held)


def who_holds(session: Session, job_ids: Collection[UUID | None]) -> list[UUID]:
    """Which of these jobs hold a piece of the rack."""
    hold = OffcutHoldRow
    wanted = {one for one in job_ids if one is not None}
    return list(session.scalars(select(hold.job_id).where(hold.job_id.in_(wanted)).distinct())) if wanted else []


def _on_the_rack(
    session: Session, known: AnySelect | None, for_jobs: Collection[UUID], *, held: bool = False
) -> Mapping[str, tuple[Offcut, ...]]:
    row, hold = OffcutRow, OffcutHoldRow
    of_others = (
        select(func.count()).select_from(hold)
        .where(hold.offcut_id == row.id, hold.job_id.not_in(for_jobs)).scalar_subquery()
    )  # fmt: skip
    free = row.count if held else row.count - of_others
    standing = (
        select(row.id, MaterialRow.code, row.length, row.width, free, row.place, row.whole)
        .join(MaterialRow, row.material_id == MaterialRow.id)
        .where(free > 0)
        .order_by(row.id)
    )
    if known is not None:
        standing = standing.where(row.material_id.in_(known))
    offcuts: dict[str, list[Offcut]] = {}
    for key, code, length, width, count, place, whole in session.execute(standing):
        one = Offcut(str(key), code, length, width, count, place, whole)
        offcuts.setdefault(code, []).append(one)
    return {code: tuple(found) for code, found in offcuts.items()}


def _prices_on(session: Session, today: date, known: AnySelect | None) -> Mapping[str, tuple[PriceSeen, ...]]:
    later_first = func.row_number().over(
        partition_by=(PriceRow.offer_id, PriceRow.from_quantity), order_by=(PriceRow.seen_on.desc(), PriceRow.id.desc())
    )
    seen = select(*PRICE_COLUMNS, later_first.label("place")).where(
        PriceRow.seen_on <= today, PriceRow.one_off == false(), COUNTS
    )
    if known is not None:
        seen = seen.where(PriceRow.offer_id.in_(select(OfferRow.id).where(OfferRow.material_id.in_(known))))
    ranked = seen.subquery()
    prices: dict[str, list[PriceSeen]] = {}
    for row in session.execute(
        select(ranked).where(ranked.c.place == 1).order_by(ranked.c.offer_id, ranked.c.from_quantity)
    ):
        price = price_of(row)
        prices.setdefault(price.offer, []).append(price)
    return {offer: tuple(found) for offer, found in prices.items()}


def find_materials(
    session: Session,
    words: str = "",
    kind: Kind | None = None,
    *,
    retired: bool | None = False,
    unpriced: bool = False,
    sort: MaterialSort = "name",
    number: int = 1,
    size: int = PAGE_SIZE,
) -> Page[StoredMaterial]:
    """Materials whose code, name or note hold all the words, by name unless sorted otherwise.

    `retired` None finds both sorts; `unpriced` only those of which nothing that is sold has a price.
    """
    statement = columns_of_materials().where(*holds_words(MaterialRow.search, words))
    if kind is not None:
        statement = statement.where(MaterialRow.kind == kind.value)
    if retired is not None:
        statement = statement.where(MaterialRow.retired.is_(retired))
    if unpriced:
        priced = select(OfferRow.material_id).where(
            OfferRow.retired.is_(False),
            OfferRow.id.in_(select(PriceRow.offer_id).where(PriceRow.one_off == false(), COUNTS)),
        )
        statement = statement.where(MaterialRow.id.not_in(priced))
    order: dict[MaterialSort, tuple[ColumnElement[Any] | InstrumentedAttribute[Any], ...]] = {
        "name": (MaterialRow.name_key, MaterialRow.code),
        "code": (MaterialRow.code,),
        "newest": (MaterialRow.id.desc(),),
    }
    rows, total = turn_to(session, statement.order_by(*order[sort]), number, size)
    return Page(tuple(StoredMaterial(material_of(row), row.version) for row in rows), total, number, size)


def load_material(session: Session, code: str) -> StoredMaterial:
    """One material. Raises NotKept."""
    row = session.execute(columns_of_materials().where(MaterialRow.code == code)).one_or_none()
    if row is None:
        raise NotKept("material", code)
    return StoredMaterial(material_of(row), row.version)


def load_offers(session: Session, code: str) -> tuple[StoredOffer, ...]:
    """Every offer of a material, those still sold first."""
    rows = session.execute(
        _columns_of_offers().where(MaterialRow.code == code).order_by(OfferRow.retired, SupplierRow.code, OfferRow.id)
    )
    return tuple(StoredOffer(offer_of(row), row.version) for row in rows)


def load_offer(session: Session, offer_id: UUID) -> StoredOffer:
    """One offer. Raises NotKept."""
    row = session.execute(_columns_of_offers().where(OfferRow.id == offer_id)).one_or_none()
    if row is None:
        raise NotKept("offer", offer_id)
    return StoredOffer(offer_of(row), row.version)


def price_history(session: Session, offer_id: UUID) -> tuple[PriceSeen, ...]:
    """Every price ever seen of an offer that counts, the latest first."""
    rows = session.execute(
        select(*PRICE_COLUMNS)
        .where(PriceRow.offer_id == offer_id, COUNTS)
        .order_by(PriceRow.seen_on.desc(), PriceRow.id.desc())
    )
    return tuple(price_of(row) for row in rows)


def list_suppliers(session: Session) -> tuple[Supplier, ...]:
    """Everyone the shop buys from, by name."""
    rows = session.scalars(select(SupplierRow)).all()
    return tuple(sorted(map(supplier_of, rows), key=lambda supplier: (supplier.name.casefold(), supplier.code)))


PRICE_COLUMNS = (
    PriceRow.offer_id, PriceRow.amount, PriceRow.currency, PriceRow.seen_on, PriceRow.where_seen, PriceRow.seen_by,
    PriceRow.from_quantity, PriceRow.with_tax, PriceRow.delivered, PriceRow.one_off,
)  # fmt: skip


def columns_of_materials() -> AnySelect:
    """What is read of each material."""
    row = MaterialRow
    return select(row.code, row.name, row.kind, row.values, row.sources, row.note, row.retired, row.tags, row.version)


def _columns_of_offers() -> AnySelect:
    return (
        select(
            OfferRow.id, MaterialRow.code.label("material"), SupplierRow.code.label("supplier"), OfferRow.size,
            SupplierRow.name.label("supplier_name"), SupplierRow.comes, SupplierRow.carriage, SupplierRow.terms,
            OfferRow.supplier_code, OfferRow.lead_days, OfferRow.minimum_order, OfferRow.retired, OfferRow.version,
        )
        .join(MaterialRow, OfferRow.material_id == MaterialRow.id)
        .join(SupplierRow, OfferRow.supplier_id == SupplierRow.id)
    )  # fmt: skip


def exact_text(values: Mapping[str, Fraction]) -> dict[str, str]:
    """Exact numbers by name as they are kept, '5/64'."""
    return {name: str(Fraction(value)) for name, value in values.items()}


def exact_values(texts: Mapping[str, str]) -> dict[str, Fraction]:
    """Exact numbers by name as they were kept."""
    return {name: Fraction(text) for name, text in texts.items()}


def supplier_of(row: SupplierRow) -> Supplier:
    """The supplier a row holds."""
    return Supplier(
        row.code, row.name, row.note, row.version, Comes(row.comes), row.carriage, read_terms(row.terms)
    )  # fmt: skip


def material_of(row: Any) -> Material:
    """The material a row, or its columns, hold."""
    return Material(
        row.code,
        row.name,
        Kind(row.kind),
        exact_values(row.values),
        dict(row.sources),
        row.note,
        row.retired,
        tuple((row.tags or "").split()),
    )


def offer_of(row: Any) -> Offer:
    """The offer that the columns of an offer with its codes hold."""
    return Offer(
        str(row.id), row.material, row.supplier, exact_values(row.size), row.supplier_code, row.lead_days,
        row.minimum_order, row.retired, row.supplier_name, comes=Comes(row.comes), carriage=row.carriage,
        terms=read_terms(row.terms),
    )  # fmt: skip


def price_of(row: Any) -> PriceSeen:
    """The price that a row's columns hold."""
    return PriceSeen(
        str(row.offer_id), row.amount, row.currency, row.seen_on, row.where_seen, row.seen_by, row.from_quantity,
        row.with_tax, row.delivered, row.one_off,
    )  # fmt: skip
