"""Who the shop buys from: added and edited."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.pages.dependencies import SignedIn, StoreSession
from webapp.pages.job_form import PostedFields, tidy_text
from webapp.pages.material_form import differences
from webapp.pages.routing import PageRouter
from webapp.pages.supplier_form import LONGEST_NOTE, free_code, problem_with_name
from webapp.persistence.catalogue import Supplier, list_suppliers
from webapp.persistence.catalogue_changes import add_supplier, edit_supplier
from webapp.persistence.errors import NotKept, StaleSave
from webapp.persistence.lists import one_line
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
    problems: Mapping[str, str]
    listed: tuple[tuple[str, str], ...]
    stale: tuple[tuple[str, str, str], ...]


@router.get("/buying/suppliers/new")
def show_new(request: Request) -> Response:
    """The form of a new supplier."""
    return _page(request, None, {"name": "", "note": ""}, {})


@router.post("/buying/suppliers/new")
def add(request: Request, session: StoreSession, user: SignedIn, posted: PostedFields) -> Response:
    """Keep a new supplier, under a code made of the name."""
    fields, known = _typed(posted), list_suppliers(session)
    problems = _problems(fields, known)
    if problems:
        return _page(request, None, fields, problems)
    supplier = Supplier(free_code(fields["name"], known), fields["name"], fields["note"])
    add_supplier(session, supplier, at=running(request).now(), by=user.id)
    return RedirectResponse("/buying#suppliers", 303)


@router.get("/buying/suppliers/{code}/edit")
def show_edit(request: Request, session: StoreSession, code: str) -> Response:
    """The form of a supplier that is kept."""
    supplier = _load(session, code)
    return _page(request, supplier, _fields(supplier), {})


@router.post("/buying/suppliers/{code}/edit")
def edit(request: Request, session: StoreSession, user: SignedIn, code: str, posted: PostedFields) -> Response:
    """Keep a changed supplier; where somebody saved it in between, show what they said beside what is typed."""
    stored, fields, version = _load(session, code), _typed(posted), dict(posted).get("version", "")
    problems = _problems(fields, [one for one in list_suppliers(session) if one.code != code])
    if problems:
        return _page(request, stored, fields, problems, version)
    given = int(version) if version.isdecimal() else 0
    try:
        edit_supplier(
            session, Supplier(code, fields["name"], fields["note"], given), at=running(request).now(), by=user.id
        )
    except StaleSave:
        return _page(request, stored, fields, {}, stale=True)
    return RedirectResponse("/buying#suppliers", 303)


def _load(session: Session, code: str) -> Supplier:
    for supplier in list_suppliers(session):
        if supplier.code == code:
            return supplier
    raise NotKept("supplier", code)


def _typed(posted: PostedFields) -> dict[str, str]:
    sent = dict(posted)
    return {"name": one_line(sent.get("name", "")), "note": tidy_text(sent.get("note", ""))}


def _fields(supplier: Supplier) -> dict[str, str]:
    return {"name": supplier.name, "note": supplier.note}


def _problems(fields: Mapping[str, str], others: list[Supplier] | tuple[Supplier, ...]) -> dict[str, str]:
    problems = {}
    if problem := problem_with_name(fields["name"], others):
        problems["name"] = problem
    if len(fields["note"]) > LONGEST_NOTE:
        problems["note"] = f"The note has {len(fields['note'])} characters; at most {LONGEST_NOTE} are kept."
    return problems


def _page(
    request: Request, stored: Supplier | None, fields: Mapping[str, str], problems: Mapping[str, str],
    version: str = "", *, stale: bool = False,
) -> Response:  # fmt: skip
    held = stored.version if stored else 0
    page = SupplierPage(
        title=f"Edit {stored.name}" if stored else "New supplier",
        action=f"/buying/suppliers/{stored.code}/edit" if stored else "/buying/suppliers/new",
        version=int(version) if version.isdecimal() and not stale else held,
        fields=fields,
        problems=problems,
        listed=tuple(problems.items()),
        stale=differences(_fields(stored), fields, {"name": "Name", "note": "Note"}) if stale and stored else (),
    )
    return render(request, "buying/supplier.html", page, 409 if stale else 422 if problems else 200)
