"""What the shop keeps by the unit, opened boxes and tins: how much there is, the least it wants, and every change."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final, cast

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.buying.stock import StockOnHand, counted_in, in_parts, may_be_stock, of_parts
from webapp.costing.catalogue.materials import Material
from webapp.costing.measures.typed_numbers import small_number
from webapp.pages.rack.amounts import amount_words, read_amount
from webapp.pages.rack.form import LONGEST_NOTE, LONGEST_PLACE
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.listing import Turning, page_number, turning
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter
from webapp.pages.web.times import moment
from webapp.persistence.catalogue.records import find_materials, load_material
from webapp.persistence.foundation.errors import NotKept, StaleSave, StoreError
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.rack.stock import (
    StockMove,
    StockShort,
    edit_stock,
    keep_in_stock,
    move_stock,
    moves_of_stock,
    stock_of,
)
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

#: What can be done to how much there is, in words, and what was done.
MOVES: Final[Mapping[str, str]] = {"counted": "there is, counted", "used": "used", "returned": "put back"}
DONE: Final[Mapping[str, str]] = {**MOVES, "counted": "counted", "bought": "bought"}
NOTHING: Final = Fraction(0)
CHANGED: Final = "Someone else changed this in between. Nothing of yours was done; this is how it is now."


@dataclass(frozen=True, slots=True)
class StockRow:
    """One material kept by the unit."""

    href: str
    material: str
    amount: str
    unit: str
    least: str
    place: str
    short: bool


@dataclass(frozen=True, slots=True)
class StockPage:
    """All of it."""

    rows: tuple[StockRow, ...]


@dataclass(frozen=True, slots=True)
class ChooseStockPage:
    """Which material is kept by the unit from now on, found by words."""

    words: str
    rows: tuple[tuple[str, str], ...]
    turning: Turning


@dataclass(frozen=True, slots=True)
class StockFormPage:
    """What is said of a material when it is first kept."""

    code: str
    material: str
    unit: str
    fields: Mapping[str, str]
    problems: Mapping[str, str]
    listed: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class StockShown:
    """One material with what can be done, and its history: (when, who, what, by how much, left, why)."""

    code: str
    row: StockRow
    material_href: str
    version: int
    moves: tuple[tuple[str, str], ...]
    fields: Mapping[str, str]
    problems: Mapping[str, str]
    listed: tuple[tuple[str, str], ...]
    stale: str
    history: tuple[tuple[str, str, str, str, str, str], ...]


@router.get("/stock")
def show_stock(request: Request, session: StoreSession) -> Response:
    """Everything that is kept by the unit."""
    kept = stock_of(session)
    rows = tuple(_row(one, load_material(session, code).material) for code, one in kept.items())
    return render(request, "rack/stock.html", StockPage(rows))


@router.get("/stock/new")
def show_new(
    request: Request, session: StoreSession, material: str = "", words: str = "", page: int = 1
) -> Response:  # fmt: skip
    """The form of a material that is kept from now on; before one is chosen, those to choose from."""
    if material:
        chosen = load_material(session, material).material
        if material in stock_of(session, [material]):
            return RedirectResponse(f"/stock/{material}", 303)
        if may_be_stock(chosen):
            return _form(request, chosen, {}, {})
    found = find_materials(session, words, number=page_number(page))
    rows = tuple(
        (f"/stock/new?material={one.material.code}", one.material.name)
        for one in found.entries
        if may_be_stock(one.material)
    )
    return render(
        request, "rack/stock_choose.html",
        ChooseStockPage(words, rows, turning("/stock/new", {"words": words}, found, "material")),
    )  # fmt: skip


@router.post("/stock/new")
def begin(request: Request, session: StoreSession, user: SignedIn, posted: PostedFields) -> Response:
    """Keep a material by the unit, with what was counted of it."""
    fields = {name: one_line(text) for name, text in posted}
    material = load_material(session, fields.get("material", "")).material
    stock, problems = _read(StockOnHand(material.code, NOTHING), fields, amount=True)
    if problems:
        return _form(request, material, fields, problems)
    try:
        keep_in_stock(session, stock, at=running(request).now(), by=user.id)
    except StaleSave:
        return RedirectResponse(f"/stock/{material.code}", 303)
    except StoreError as refused:
        return _form(request, material, fields, {"amount": str(refused)})
    return RedirectResponse(f"/stock/{material.code}", 303)


@router.get("/stock/{code}")
def show_one(request: Request, session: StoreSession, shop: ShopHere, code: str) -> Response:
    """One material: how much there is, what can be done, what was done."""
    return _show(request, session, shop, code)


@router.post("/stock/{code}/move")
def move(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, code: str, posted: PostedFields
) -> Response:
    """Count it, or say that some was used or put back."""
    fields = {name: one_line(text) for name, text in posted}
    problems: dict[str, str] = {}
    if fields.get("what") not in MOVES:
        problems["what"] = "Say what was done: counted, used or put back."
    number = read_amount(fields.get("number", ""), "How much")
    if isinstance(number, str):
        problems["number"], number = number, NOTHING
    typed = fields.get("job", "")
    job = small_number(typed)
    if typed and job is None:
        problems["job"] = f"For job: “{typed[:40]}” is no job's number; empty is for none."
    if len(fields.get("note", "")) > LONGEST_NOTE:
        problems["note"] = f"The note has {len(fields['note'])} characters; at most {LONGEST_NOTE} are kept."
    if problems:
        return _show(request, session, shop, code, fields, problems)
    try:
        move_stock(
            session, code, cast(StockMove, fields["what"]), number, at=running(request).now(), by=user.id,
            version=_version(fields), job=job, note=fields.get("note", ""),
        )  # fmt: skip
    except StockShort as short:
        return _show(request, session, shop, code, fields, {"number": str(short)})
    except StaleSave:
        return _show(request, session, shop, code, fields, stale=True)
    return RedirectResponse(f"/stock/{code}", 303)


@router.post("/stock/{code}/edit")
def edit(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, code: str, posted: PostedFields
) -> Response:
    """Keep another least, or another place."""
    fields = {name: one_line(text) for name, text in posted}
    held = _kept(session, code)
    stock, problems = _read(replace(held, version=_version(fields)), fields, amount=False)
    if problems:
        return _show(request, session, shop, code, fields, problems)
    try:
        edit_stock(session, stock, at=running(request).now(), by=user.id)
    except StaleSave:
        return _show(request, session, shop, code, fields, stale=True)
    return RedirectResponse(f"/stock/{code}", 303)


def _version(fields: Mapping[str, str]) -> int:
    return small_number(fields.get("version", "")) or 0


def _kept(session: Session, code: str) -> StockOnHand:
    found = stock_of(session, [code])
    if code not in found:
        raise NotKept("stock", code)
    return found[code]


def _read(
    stock: StockOnHand, fields: Mapping[str, str], *, amount: bool
) -> tuple[StockOnHand, dict[str, str]]:  # fmt: skip
    """What was typed of a material that is kept, and what is wrong with it, by field."""
    problems: dict[str, str] = {}
    if amount:
        counted = read_amount(fields.get("amount", ""), "How much there is")
        if isinstance(counted, str):
            problems["amount"] = counted
        else:
            stock = replace(stock, amount=counted)
    text = fields.get("least", "")
    least = read_amount(text, "Least") if text else None
    if isinstance(least, str):
        problems["least"] = least
    elif least and not in_parts(least):
        smallest = amount_words(of_parts(1))
        problems["least"] = f"Least: “{text[:40]}” is less than {smallest}, the smallest amount that is counted."
    else:
        stock = replace(stock, least=least or None)
    if len(fields.get("place", "")) > LONGEST_PLACE:
        problems["place"] = f"The place has {len(fields['place'])} characters; at most {LONGEST_PLACE} are kept."
    return replace(stock, place=fields.get("place", "")), problems


def _row(stock: StockOnHand, material: Material) -> StockRow:
    return StockRow(
        f"/stock/{stock.material}", material.name, amount_words(stock.amount), counted_in(material),
        "" if stock.least is None else amount_words(stock.least), stock.place, bool(stock.missing),
    )  # fmt: skip


def _form(
    request: Request, material: Material, fields: Mapping[str, str], problems: Mapping[str, str]
) -> Response:
    held = {"amount": "", "least": "", "place": "", **fields}
    page = StockFormPage(
        material.code, material.name, counted_in(material), held, problems, tuple(problems.items())
    )  # fmt: skip
    return render(request, "rack/stock_form.html", page, 422 if problems else 200)


def _show(
    request: Request, session: Session, shop: Shop, code: str, fields: Mapping[str, str] | None = None,
    problems: Mapping[str, str] | None = None, *, stale: bool = False,
) -> Response:  # fmt: skip
    stock, material = _kept(session, code), load_material(session, code).material
    row = _row(stock, material)
    history = tuple(
        (
            moment(one.at, shop), one.by or "The program", DONE[one.what],
            f"{'+' if one.moved > 0 else ''}{amount_words(one.moved)}", amount_words(one.remaining),
            "; ".join(said for said in (f"job {one.job_number}" if one.job_number else "", one.note) if said),
        )
        for one in moves_of_stock(session, code)
    )  # fmt: skip
    page = StockShown(
        code, row, f"/materials/{code}", stock.version, tuple(MOVES.items()),
        {
            "what": "counted", "number": "", "job": "", "note": "", "least": row.least, "place": row.place,
            **(fields or {}),
        },
        problems or {}, tuple((problems or {}).items()), CHANGED if stale else "", history,
    )  # fmt: skip
    return render(request, "rack/stock_show.html", page, 409 if stale else 422 if problems else 200)
