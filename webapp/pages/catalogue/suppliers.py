"""Who the shop buys from: added and edited."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.catalogue.materials import Comes
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.typed_numbers import small_number
from webapp.pages.catalogue.material_form import differences, free_code
from webapp.pages.catalogue.supplier_form import (
    COMES_WORDS,
    LONGEST_NOTE,
    TERM_FIELDS,
    fields_of_terms,
    labels_of_terms,
    problem_with_name,
    read_order_terms,
    read_sum,
)
from webapp.pages.web.dependencies import SignedIn, StoreSession
from webapp.pages.web.posting import PostedFields, tidy_text, version_to_show
from webapp.pages.web.routing import PageRouter
from webapp.persistence.catalogue.changes import add_supplier, edit_supplier
from webapp.persistence.catalogue.records import Supplier, list_suppliers
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.settings.shop import Shop, load_shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()


@dataclass(frozen=True, slots=True)
class SupplierPage:
    """The form of a supplier; `stale` is what somebody else saved in between, as (field, theirs, ours)."""

    title: str
    action: str
    version: int
    fields: Mapping[str, str]
    currency: str
    ways: tuple[tuple[str, str], ...]
    problems: Mapping[str, str]
    listed: tuple[tuple[str, str], ...]
    stale: tuple[tuple[str, str, str], ...]


@router.get("/buying/suppliers/new")
def show_new(request: Request, session: StoreSession) -> Response:
    """The form of a new supplier."""
    shop = load_shop(session)
    return _page(request, shop, None, _fields(Supplier("", ""), shop), {})


@router.post("/buying/suppliers/new")
def add(request: Request, session: StoreSession, user: SignedIn, posted: PostedFields) -> Response:
    """Keep a new supplier, under a code made of the name."""
    fields, known, shop = _typed(posted), list_suppliers(session), load_shop(session)
    problems = _problems(fields, known, shop)
    if problems:
        return _page(request, shop, None, fields, problems)
    supplier = _supplier(free_code(fields["name"], {one.code for one in known}, "supplier"), fields, shop, 1)
    add_supplier(session, supplier, at=running(request).now(), by=user.id)
    return RedirectResponse("/buying#suppliers", 303)


@router.get("/buying/suppliers/{code}/edit")
def show_edit(request: Request, session: StoreSession, code: str) -> Response:
    """The form of a supplier that is kept."""
    supplier, shop = _load(session, code), load_shop(session)
    return _page(request, shop, supplier, _fields(supplier, shop), {})


@router.post("/buying/suppliers/{code}/edit")
def edit(request: Request, session: StoreSession, user: SignedIn, code: str, posted: PostedFields) -> Response:
    """Keep a changed supplier; where somebody saved it in between, show what they said beside what is typed."""
    stored, fields, version = _load(session, code), _typed(posted), dict(posted).get("version", "")
    shop = load_shop(session)
    problems = _problems(fields, [one for one in list_suppliers(session) if one.code != code], shop)
    if problems:
        return _page(request, shop, stored, fields, problems, version)
    changed = _supplier(code, fields, shop, small_number(version) or 0)
    try:
        edit_supplier(session, changed, at=running(request).now(), by=user.id)
    except StaleSave:
        return _page(request, shop, stored, fields, {}, stale=True)
    return RedirectResponse("/buying#suppliers", 303)


def _load(session: Session, code: str) -> Supplier:
    for supplier in list_suppliers(session):
        if supplier.code == code:
            return supplier
    raise NotKept("supplier", code)


def _typed(posted: PostedFields) -> dict[str, str]:
    sent = dict(posted)
    return {
        "name": one_line(sent.get("name", "")), "comes": one_line(sent.get("comes", Comes.FETCHED)),
        "carriage": one_line(sent.get("carriage", "")), "note": tidy_text(sent.get("note", "")),
        **{name: one_line(sent.get(name, "")) for name in TERM_FIELDS},
    }  # fmt: skip


def _fields(supplier: Supplier, shop: Shop) -> dict[str, str]:
    carriage = "" if supplier.carriage is None else f"{supplier.carriage:.{shop.currency_places}f}"
    return {
        "name": supplier.name, "comes": str(supplier.comes), "carriage": carriage, "note": supplier.note,
        **fields_of_terms(supplier.terms, shop),
    }  # fmt: skip


def _supplier(code: str, fields: Mapping[str, str], shop: Shop, version: int) -> Supplier:
    """The supplier of fields against which nothing stands."""
    carriage, _ = read_sum(fields["carriage"], shop, "")
    terms, _ = read_order_terms(fields, shop)
    return Supplier(code, fields["name"], fields["note"], version, Comes(fields["comes"]), carriage, terms)


def _problems(fields: Mapping[str, str], others: list[Supplier] | tuple[Supplier, ...], shop: Shop) -> dict[str, str]:
    problems = {}
    if problem := problem_with_name(fields["name"], others):
        problems["name"] = problem
    if fields["comes"] not in list(Comes):
        problems["comes"] = "Choose how its goods come."
    _, problem = read_sum(fields["carriage"], shop, "where they ask nothing for it")
    if not problem and fields["carriage"] and fields["comes"] != Comes.DELIVERED:
        problem = in_trade_words("Only what is delivered costs carriage: choose “delivered”, or empty this.")
    if problem:
        problems["carriage"] = problem
    _, wrong = read_order_terms(fields, shop)
    if fields["free_from"] and not fields["carriage"] and "free_from" not in wrong:
        wrong["free_from"] = in_trade_words("Say what carriage they ask below that, or empty this.")
    problems |= wrong
    if len(fields["note"]) > LONGEST_NOTE:
        problems["note"] = f"The note has {len(fields['note'])} characters; at most {LONGEST_NOTE} are kept."
    return problems


def _labels() -> dict[str, str]:
    carriage = in_trade_words("Carriage of an order")
    return {"name": "Name", "comes": "Its goods come", "carriage": carriage, **labels_of_terms(), "note": "Note"}


def _said(fields: Mapping[str, str]) -> dict[str, str]:
    """The fields as they are read."""
    return {**fields, "comes": COMES_WORDS[Comes(fields["comes"])]}


def _page(
    request: Request, shop: Shop, stored: Supplier | None, fields: Mapping[str, str], problems: Mapping[str, str],
    version: str = "", *, stale: bool = False,
) -> Response:  # fmt: skip
    held = stored.version if stored else 0
    page = SupplierPage(
        title=f"Edit {stored.name}" if stored else "New supplier",
        action=f"/buying/suppliers/{stored.code}/edit" if stored else "/buying/suppliers/new",
        version=version_to_show(version, held, stale=stale),
        fields=fields,
        currency=shop.currency,
        ways=tuple((str(one), words) for one, words in COMES_WORDS.items()),
        problems=problems,
        listed=tuple(problems.items()),
        stale=differences(_said(_fields(stored, shop)), _said(fields), _labels()) if stale and stored else (),
    )
    return render(request, "catalogue/supplier.html", page, 409 if stale else 422 if problems else 200)
