"""The prices that a design needs, in one table: typed in their rows, with who sells it and in what size."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from math import ceil
from typing import Final
from uuid import UUID

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import KINDS, Kind, Property
from webapp.costing.catalogue.materials import Catalogue, CurrentPrice, Material, Offer, current_price, walk
from webapp.costing.designs.reader import read_design
from webapp.costing.measures.written import write_quantity
from webapp.costing.trade.boards import SURFACED_TWO_SIDES, choose_rough
from webapp.documents.printing.paper import reader_of
from webapp.pages.prices.typed_price import Keeper
from webapp.pages.sheet.page import Worked, work_out
from webapp.pages.sheet.prices import CONFIRMED, PriceAnswers, keep_all_prices, typed_prices
from webapp.pages.shown.figures import Shower
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.fields import Field
from webapp.pages.web.posting import PostedFields, tidy_text
from webapp.pages.web.routing import PageRouter
from webapp.persistence.catalogue.records import list_suppliers, load_catalogue, load_offer
from webapp.persistence.designs.records import StoredDesign, load_design
from webapp.persistence.foundation.lists import fold, one_line
from webapp.persistence.foundation.turns import take_turn
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.showing import Reader, pack_words
from webapp.starters import take_starters, usual_size

router = PageRouter()

ITEM: Final = "one"
#: The field of a row that says who sells it, by name, before the name is looked for among the suppliers.
SELLER: Final = "who"


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One material: what one needs of it, and either what it costs or the fields to say so."""

    name: str
    href: str
    required: str
    needed: bool
    known: str
    sold_as: str
    fields: tuple[Field, ...]
    price: Field | None


@dataclass(frozen=True, slots=True)
class FirstPricesPage:
    """The rows that the usual answers need, those that other answers need, and what the shop does not know at all."""

    action: str
    name: str
    design_href: str
    job_href: str
    currency: str
    seller: str
    sellers: tuple[str, ...]
    rows: tuple[PriceRow, ...]
    others: tuple[PriceRow, ...]
    unknown: tuple[str, ...]
    missing: int
    focus: str
    said: str
    problems: tuple[tuple[str, str], ...]

    @property
    def asks(self) -> bool:
        """Whether any price is asked for."""
        return any(row.price is not None for row in (*self.rows, *self.others))


@router.post("/starters")
def take_over(request: Request, session: StoreSession, user: SignedIn) -> Response:
    """Take over the starter designs and the common materials that the shop does not have yet."""
    take_starters(session, at=running(request).now(), by=user.id)
    return RedirectResponse("/", 303)


@router.get("/designs/{code}/prices")
def show_prices(request: Request, session: StoreSession, shop: ShopHere, code: str) -> Response:
    """The materials that one of a design needs, with their prices or the fields for them."""
    stored = load_design(session, code)
    return render(request, "start/prices.html", _page(request, session, shop, stored, {}, {}))


@router.post("/designs/{code}/prices")
def keep_prices(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, code: str, posted: PostedFields
) -> Response:
    """Keep every price that is typed and right, and go on to a job if all are there; what is wrong stays typed, with
    its sentence."""
    here = running(request)
    stored = load_design(session, code)
    sent = {name: tidy_text(text) for name, text in posted}
    # What has a price by now is no longer asked for: the same form sent twice keeps nothing twice.
    open_rows = _open_names(_page(request, session, shop, stored, {}, {}))
    typed = {name: text for name, text in typed_prices(posted).items() if _stem(name) in open_rows}
    asked = [
        name
        for name, text in typed.items()
        if text and not name.endswith(CONFIRMED) and (name.endswith(".price") or name.startswith("price."))
    ]
    with here.database.writing() as writing:
        keeper = Keeper(writing, shop, user, here.now(), shop.today(here.now()), f"typed for {stored.name}")
        told = _keep_typed(keeper, typed, asked, sent.get(SELLER, ""))
    left, problems = {**typed, **told.asked_about, SELLER: sent.get(SELLER, "")}, told.problems
    with here.database.reading() as afterwards:
        page = _page(request, afterwards, shop, stored, left, problems)
    kept = sum(1 for name in asked if not any(_stem(key) == _stem(name) for key in problems))
    if sent.get("then") == "job" and not problems and not page.missing:
        return RedirectResponse(page.job_href, 303)
    said = "" if not kept else "1 price is kept." if kept == 1 else f"{kept} prices are kept."
    if not asked:
        said = "Nothing was typed: type a price in its row."
    return render(request, "start/prices.html", replace(page, said=said), 422 if problems else 200)


def _keep_typed(keeper: Keeper, typed: Mapping[str, str], asked: list[str], seller_of_all: str) -> PriceAnswers:
    """Keep the prices that are asked for; gives what stands against them."""
    take_turn(keeper.session, "prices")
    told = PriceAnswers()
    for name in asked:
        stem = _stem(name)
        if _has_price(keeper, stem):
            continue
        of_row = {key: text for key, text in typed.items() if _stem(key) == stem}
        if name.startswith("offer."):
            seller = one_line(of_row.get(f"{stem}.{SELLER}", "") or seller_of_all)
            # A supplier named in the row before is known by now.
            known = {fold(one.name): one.code for one in list_suppliers(keeper.session)}
            of_row[f"{stem}.supplier"] = known.get(fold(seller), "")
            of_row[f"{stem}.new_supplier"] = "" if of_row[f"{stem}.supplier"] else seller
        found = keep_all_prices(keeper, of_row)
        told.problems |= {key.replace(".supplier", f".{SELLER}"): said for key, said in found.problems.items()}
        told.asked_about |= found.asked_about
    return told


def _has_price(keeper: Keeper, stem: str) -> bool:
    """Whether somebody else has typed the price of a row while the page was open."""
    section, _, named = stem.partition(".")
    code = load_offer(keeper.session, UUID(named)).offer.material if section == "price" else named
    catalogue = load_catalogue(keeper.session, keeper.today, {code})
    return any(
        section == "offer" or one.id == named
        for one in catalogue.offers_of(code)
        if current_price(catalogue, one.id) is not None
    )


def _stem(name: str) -> str:
    """The part of a field's name that says which row it is of."""
    section, _, rest = name.partition(".")
    return f"{section}.{rest.partition('.')[0]}"


def _open_names(page: FirstPricesPage) -> set[str]:
    return {_stem(row.price.name) for row in (*page.rows, *page.others) if row.price is not None}


def _page(
    request: Request, session: Session, shop: Shop, stored: StoredDesign, typed: Mapping[str, str],
    problems: Mapping[str, str],
) -> FirstPricesPage:  # fmt: skip
    today = shop.today(running(request).now())
    worked = _one_of(session, shop, stored, today)
    catalogue, reader = worked.inputs.catalogue, reader_of(shop)
    shower, rough = Shower("", reader), _rough_needed(worked)
    needs = dict.fromkeys(rough, "")
    for one in sorted(worked.estimate.bought, key=lambda one: walk(one.material)):
        if one.material.code not in rough:
            needs[one.material.code] = " ".join(shower.reader.needed(one.required.value, one.required.unit))
    design, _ = read_design(stored.document)
    usual = dict.fromkeys(role.usual for role in design.roles.values()) if design is not None else {}
    further = sorted(code for code in usual if code not in needs and code in catalogue.materials)
    rows = tuple(_row(code, needs[code], rough.get(code), catalogue, reader, typed, problems) for code in needs)
    others = tuple(_row(code, None, None, catalogue, reader, typed, problems) for code in further)
    still_open = [row for row in rows if row.price is not None]
    wrong = [row.price for row in (*rows, *others) if row.price is not None and row.price.problem]
    first = wrong[0] if wrong else still_open[0].price if still_open else None
    return FirstPricesPage(
        action=f"/designs/{stored.code}/prices",
        name=stored.name,
        design_href=f"/designs/{stored.code}",
        job_href=f"/jobs/new?start=design:{stored.code}",
        currency=shop.currency,
        seller=typed.get(SELLER, ""),
        sellers=tuple(one.name for one in list_suppliers(session)),
        rows=rows,
        others=others,
        unknown=tuple(code for code in usual if code not in catalogue.materials),
        missing=len(still_open),
        focus=first.id if first is not None else "",
        said="",
        problems=tuple((name.replace(".", "-"), said) for name, said in problems.items()),
    )


def _one_of(session: Session, shop: Shop, stored: StoredDesign, today: date) -> Worked:
    """One of the design at its usual sizes, worked out as a job would be."""
    item = {"id": ITEM, "design": stored.code, "version": str(stored.version), "quantity": "1"}
    return work_out(session, {"form": "1", "job": stored.name, "items": [item]}, shop, today, None)


def _rough_needed(worked: Worked) -> dict[str, int]:
    """The rough thickness to ask for, of each board that nobody offers thick enough for a part."""
    found: dict[str, int] = {}
    for item in worked.estimate.items:
        for part in item.take_off.parts:
            if part.kind is Kind.BOARD and part.rough_thickness is None and part.thickness is not None:
                rough = choose_rough(ceil(part.thickness.value / part.layers), SURFACED_TWO_SIDES)
                found[part.material] = max(found.get(part.material, 0), rough or 0)
    return {code: rough for code, rough in found.items() if code in worked.inputs.catalogue.materials}


def _row(
    code: str, need: str | None, rough: int | None, catalogue: Catalogue, reader: Reader, typed: Mapping[str, str],
    problems: Mapping[str, str],
) -> PriceRow:  # fmt: skip
    material = catalogue.materials[code]
    priced = [(offer, current_price(catalogue, offer.id)) for offer in catalogue.offers_of(code)]
    known = [_price_words(material, offer, price, reader) for offer, price in priced if price is not None]
    fields: tuple[Field, ...] = ()
    price, sold_as = None, ""
    if not known and priced and rough is None:
        offer = priced[0][0]
        name = f"price.{offer.id}"
        sold_as = f"{pack_words(material, offer, reader)}, {offer.seller}"
        price = _price_of(material, name, typed, problems)
    elif not known or rough is not None:
        stem = f"offer.{code}"

        def field(name: str, label: str, value: str = "", hint: str = "") -> Field:
            full = f"{stem}.{name}"
            return Field(full, label, typed.get(full, value), hint, problems.get(full, ""))

        fields = (
            *(
                field(one.name, one.label, _usual(material, one, rough, reader), one.hint)
                for one in KINDS[material.kind].needed_sizes
            ),
            field(SELLER, "Sold by"),
        )
        price = _price_of(material, f"{stem}.price", typed, problems)
    return PriceRow(
        material.name, f"/materials/{code}", need or "", need is not None, "; ".join(known), sold_as, fields, price
    )


def _price_of(material: Material, name: str, typed: Mapping[str, str], problems: Mapping[str, str]) -> Field:
    confirmed = typed.get(f"{name}{CONFIRMED}", "")
    return Field(
        name, f"Price of {material.name}", typed.get(name, ""), problem=problems.get(name, ""), confirmed=confirmed
    )


def _price_words(material: Material, offer: Offer, price: CurrentPrice, reader: Reader) -> str:
    return f"{reader.money(price.breaks[0].amount)}, {pack_words(material, offer, reader)}, {offer.seller}"


def _usual(material: Material, quality: Property, rough: int | None, reader: Reader) -> str:
    """What a size of the first offer begins with: the thickness that is needed, what is usual, or a single one."""
    value = usual_size(material.code).get(quality.name)
    if quality.name == "rough_thickness" and rough:
        value = Fraction(rough)
    if value is None:
        return "1" if quality.quantity in ("number", "board_feet") else ""
    return write_quantity(value, quality.quantity, reader.system)
